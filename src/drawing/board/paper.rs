//! What of the board is drawn, and where on the paper.

use crate::drawing::piece::WIDE;
use glam::DVec2;

/// Paper left and right of the board and its hold-downs, and above them for the grain's arrow.
const MARGIN: f64 = 11.0;
pub(super) const ABOVE: f64 = 12.0;

/// No board is drawn higher than this on paper.
const HIGH: f64 = 100.0;

/// What of the board is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Shows {
    /// The wood: readings, flaws and cuts.
    Wood,
    /// The setup: what holds the board, and where zero is.
    Setup,
}

/// From the setup's plan, in mm, to the paper.
pub(super) struct Paper {
    pub(super) low: DVec2,
    pub(super) high: DVec2,
    pub(super) scale: f64,
    pub(super) left: f64,
}

impl Paper {
    pub(super) fn new(low: DVec2, high: DVec2) -> Paper {
        let size = (high - low).max(DVec2::splat(1.0));
        let scale = ((WIDE - 2.0 * MARGIN) / size.x).min(HIGH / size.y);
        Paper { low, high, scale, left: (WIDE - size.x * scale) / 2.0 }
    }

    pub(super) fn at(&self, p: DVec2) -> DVec2 {
        DVec2::new(
            self.left + (p.x - self.low.x) * self.scale,
            ABOVE + (self.high.y - p.y) * self.scale,
        )
    }
}
