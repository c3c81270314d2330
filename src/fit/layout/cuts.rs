//! The saw's part: which cuts free the offcut.

use super::Layout;
use crate::params::Board;
use crate::units::Length;
use glam::DVec2;

/// One saw cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// Along the grain; else across.
    pub rip: bool,
    /// Where the blank's new edge is, from the board's start or its near edge.
    pub at: Length,
    /// Whether the part beyond the cut comes off; else the part before it.
    pub beyond: bool,
    /// What comes off, when the kerf is gone: length and width.
    pub offcut: [Length; 2],
}

/// Cuts for a layout with a saw of that kerf; the kerf goes from the offcut, never from the blank.
pub fn cuts(board: &Board, layout: &Layout, kerf: Length) -> Vec<Cut> {
    let size = DVec2::new(board.length.as_mm(), board.width.as_mm());
    let Some([low, high]) = layout.offcut else { return Vec::new() };
    let rip = high.x - low.x >= size.x;
    let beyond = if rip { low.y > 0.0 } else { low.x > 0.0 };
    let inner = if beyond { low } else { high };
    let left = high
        - low
        - if rip { DVec2::new(0.0, kerf.as_mm()) } else { DVec2::new(kerf.as_mm(), 0.0) };
    if left.min_element() <= 0.0 {
        return Vec::new();
    }
    let at = Length::mm(if rip { inner.y } else { inner.x });
    vec![Cut { rip, at, beyond, offcut: [Length::mm(left.x), Length::mm(left.y)] }]
}
