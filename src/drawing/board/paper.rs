//! What of the board is drawn, and where on the paper.

use crate::drawing::piece::WIDE;
use glam::DVec2;

/// Paper left and right of the board and its hold-downs, and above them for the grain's arrow.
const MARGIN: f64 = 11.0;
pub(super) const ABOVE: f64 = 12.0;

/// No board is drawn higher than this on paper; in a setup it shares the page with its tables.
const HIGH: f64 = 100.0;
const SETUP_HIGH: f64 = 58.0;

/// Paper on the right of a setup for the board's width.
const BESIDE: f64 = 18.0;

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
    pub(super) above: f64,
}

impl Paper {
    pub(super) fn new(low: DVec2, high: DVec2, shows: Shows) -> Paper {
        let size = (high - low).max(DVec2::splat(1.0));
        // A setup needs room on the right for the board's width.
        let (beside, most, above) = match shows {
            Shows::Wood => (0.0, HIGH, ABOVE),
            Shows::Setup => (BESIDE, SETUP_HIGH, 2.0),
        };
        let room = WIDE - 2.0 * MARGIN - beside;
        let scale = (room / size.x).min(most / size.y);
        Paper { low, high, scale, left: MARGIN + (room - size.x * scale) / 2.0, above }
    }

    pub(super) fn at(&self, p: DVec2) -> DVec2 {
        DVec2::new(
            self.left + (p.x - self.low.x) * self.scale,
            self.above + (self.high.y - p.y) * self.scale,
        )
    }
}
