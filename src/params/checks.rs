//! What the two files may say about the checks: the shop's thresholds, the design's load and the
//! cautions that the maker has accepted.

use crate::units::Length;

/// Thresholds of the checks of carving and use. Each has a default (common practice, no source,
/// unless its field says otherwise).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CheckLimits {
    /// Most that the finishing cutter may leave for sanding.
    pub uncut: Length,
    /// Most height of a cusp between two finishing passes.
    pub cusp: Length,
    /// Least room between holder and stock.
    pub holder: Length,
    /// Least thickness of an edge that runs across the grain, just inside the rim.
    pub chip: Length,
    /// How many times stronger than its load a place must be.
    pub safety: f64,
    /// The same at a tine's root, with the concentration of stress there.
    pub root: f64,
    /// Least true thickness anywhere inside the rim.
    pub thin: Length,
    /// Least height of the upright edge.
    pub edge: Length,
    /// Least width and thickness of a tine near its tip.
    pub tip: Length,
    /// Most change of the head's width by moisture.
    pub moves: Length,
    /// Least share of the length between the two places that it rests on.
    pub rest: f64,
    /// Least and greatest diameter of a cylinder with the grip's girth.
    pub grip: [Length; 2],
    /// Longest time that a job may take, by estimate, in minutes.
    pub longest_min: f64,
}

impl Default for CheckLimits {
    fn default() -> CheckLimits {
        CheckLimits {
            uncut: Length::mm(0.1),
            cusp: Length::mm(0.02),
            holder: Length::mm(2.0),
            chip: Length::mm(2.0),
            safety: 3.0,
            root: 1.5,
            thin: Length::mm(1.5),
            edge: Length::mm(0.5),
            tip: Length::mm(2.0),
            moves: Length::mm(1.0),
            rest: 0.1,
            grip: [Length::mm(12.0), Length::mm(40.0)],
            longest_min: 480.0,
        }
    }
}

/// What the utensil is loaded with, in newtons.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// On the tip of the head, while the handle is held.
    pub tip_n: f64,
    /// On the tip of one tine.
    pub tine_n: f64,
}

impl Default for Load {
    /// Two kilograms on the tip, one on a tine: a full spoon pried against the pot's edge, a roast
    /// lifted on one tine (common practice, no source).
    fn default() -> Load {
        Load { tip_n: 20.0, tine_n: 10.0 }
    }
}

/// A caution that the maker accepts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Accept {
    /// Its code.
    pub code: String,
    /// Why it is accepted.
    pub reason: String,
}
