//! The order of work: which steps a job has, what each needs done before it, and why.
//!
//! Promised: no step stands before one that it needs.
//! Not promised: that the steps are all that a workshop needs; its own rules come first.

pub mod boring;
pub mod circumstances;
pub mod order;
pub mod pass_heights;
pub mod plan;
mod words;

pub use boring::{Boring, Dowel, Drilling, bore, bores, boring_cutter, borings};
pub use circumstances::{InlayWork, PlugWork};
pub use order::{Step, StepFile, Task};
pub use pass_heights::{PassHeights, lift, pass_heights};
pub use plan::{PieceOrder, Travels, WorkOrder, plan, travel};

use crate::finding::Code;

/// All codes of this room.
pub const CODES: &[Code] = &[boring::NO_BORING_CUTTER];
