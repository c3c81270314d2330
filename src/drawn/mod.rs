//! A plan of one's own: an outline from a drawing, read as the widths of a design.
//!
//! Promised: the design's smooth line goes through the drawn widths at each station that is set, and how far
//! the two outlines leave each other anywhere is measured on both. Not promised: corners. The line is as fair
//! as that of a design with widths in its file, so a drawn corner is eased.

mod bring;
mod follow;
mod sides;

pub use bring::{PLAN_FILE, PLAN_OUTLINE, design};

use crate::finding::Code;

/// Every code of this room.
pub const CODES: &[Code] = &[PLAN_FILE, PLAN_OUTLINE];
