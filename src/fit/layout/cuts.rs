//! The saw's part: which cuts free the offcut.

use super::Layout;
use super::table::without;
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

/// Cuts for a layout with a saw of that kerf, in order; the kerf goes from the offcut, never from
/// the blank.
pub fn cuts(board: &Board, layout: &Layout, kerf: Length) -> Vec<Cut> {
    let mut blank = [DVec2::ZERO, board.size()];
    let mut cuts = Vec::new();
    for strip in &layout.offcuts {
        let [low, high] = *strip;
        let left = without(blank, *strip);
        let rip = left[1].x - left[0].x >= blank[1].x - blank[0].x;
        let saw = if rip { DVec2::new(0.0, kerf.as_mm()) } else { DVec2::new(kerf.as_mm(), 0.0) };
        let beyond = if rip { low.y > blank[0].y } else { low.x > blank[0].x };
        let inner = if beyond { low } else { high };
        let at = Length::mm(if rip { inner.y } else { inner.x });
        let offcut = high - low - saw;
        if offcut.min_element() > 0.0 {
            blank = left;
            cuts.push(Cut { rip, at, beyond, offcut: [offcut.x, offcut.y].map(Length::mm) });
        }
    }
    cuts
}
