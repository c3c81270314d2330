//! What the cutters do in a setup: passes and their limits, what a pass sweeps, how far the cutter
//! and its holder come over the board.
//!
//! Promised: what a pass may touch lies inside its limit; a sweep is never lower than the relief.
//! Not promised: the way between two places of a pass, which the path program chooses.

pub mod envelope;
mod holder;
mod kind;
mod limit;
pub mod passes;
pub mod sweep;

pub use kind::PassKind;
pub use limit::{Limit, centre_reach};

use crate::finding::Code;

/// Holes through the board go this far past the stock, so that they are open (no source).
pub(crate) const THROUGH_MM: f64 = 0.5;

/// All codes of this room.
pub const CODES: &[Code] = &[passes::CLEAN_UP_ASTRAY];
