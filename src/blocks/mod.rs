//! The printed blocks: hold-downs and spacers as models, the figures sunk into them, and the plates
//! on which they are printed.
//!
//! Promised: a block is exactly as tall as it was asked to be, and prints without supports.
//! Not promised: what a printed block bears; it cracks and creeps.

pub mod block;
mod bolt;
pub(crate) mod hold_down;
mod mark;
pub mod plate;
pub mod spacer;

pub use bolt::clearance_hole;
pub(crate) use hold_down::shaped;
pub use hold_down::{BOLT_HOLE_TOO_NEAR, HoldDownModel, Hole, hold_down, hold_downs};

use crate::finding::Code;

/// All codes of this room.
pub const CODES: &[Code] = &[BOLT_HOLE_TOO_NEAR, plate::PLATE_TOO_SMALL];
