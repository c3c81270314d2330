//! The blade of a turner: flat above and below, eased along its sides, with a bevel on the top
//! side that runs out to a thin front edge.

use super::plan::{Plan, Runs};
use crate::params::{Blade, FLAT_FROM};

/// Share of the blade's length, from the neck, at which the middle line lies level.
const REST: f64 = 0.36;
/// The same at which the shoulder has run out, and the keel, unless the design says. By eye.
const SHOULDER: f64 = 0.4;
const KEEL: f64 = 0.6;
/// Exponent of the easing along the sides: flat over most of the width.
const EASED: f64 = 8.0;

/// The blade's heights, in mm.
#[derive(Clone, Debug)]
pub(crate) struct BladeSkins {
    /// Where the bevel begins.
    pub(crate) bevel: f64,
    /// Half of the thickness of the flat.
    half: f64,
    front: f64,
    edge: f64,
}

/// Where shoulder and keel run out, as shares of the blade's length.
pub(super) fn runs(blade: &Blade) -> Runs {
    let most = FLAT_FROM * (1.0 - blade.bevel / blade.length);
    Runs {
        rest: REST,
        shoulder: blade.shoulder.unwrap_or(SHOULDER.min(most)),
        keel: blade.keel.unwrap_or(KEEL.min(most)),
    }
}

impl BladeSkins {
    /// The blade on its plan.
    pub(crate) fn new(blade: &Blade, edge: f64, plan: &Plan) -> BladeSkins {
        BladeSkins {
            bevel: plan.length - blade.bevel.as_mm(),
            half: 0.5 * blade.thickness.as_mm(),
            front: blade.front.as_mm(),
            edge,
        }
    }

    /// How far along the bevel: 0 at its start, 1 at the front edge.
    fn along_bevel(&self, plan: &Plan, x: f64) -> f64 {
        ((x - self.bevel) / (plan.length - self.bevel)).max(0.0)
    }

    fn side(&self, plan: &Plan, x: f64, level: f64, fade: f64) -> BladeSide {
        BladeSide {
            level,
            fade,
            most: self.half - 0.5 * self.edge,
            middle: plan.sway.value(x),
            half_open: plan.half_open(x),
        }
    }

    /// The top skin of the blade alone, at a place along the utensil.
    pub(crate) fn top(&self, plan: &Plan, x: f64) -> BladeSide {
        let t = self.along_bevel(plan, x);
        // The easing dies out over the bevel, so that the front edge is straight.
        let fade = (1.0 - t).max(0.0).powi(2);
        self.side(plan, x, self.half - (2.0 * self.half - self.front) * t, -fade)
    }

    /// The bottom skin of the blade alone, at a place along the utensil.
    pub(crate) fn bottom(&self, plan: &Plan, x: f64) -> BladeSide {
        let t = self.along_bevel(plan, x).min(1.0);
        // No slope at either end: the bottom has no line where the bevel begins.
        let fade = (1.0 - t) * (1.0 - t) * (1.0 + 2.0 * t);
        self.side(plan, x, -self.half, fade)
    }
}

/// One side of the blade, cut across at one place.
pub(crate) struct BladeSide {
    level: f64,
    fade: f64,
    /// The easing at the sides.
    most: f64,
    middle: f64,
    half_open: f64,
}

impl BladeSide {
    /// Its height.
    pub(crate) fn height(&self, y: f64) -> f64 {
        let across = (y - self.middle) / self.half_open;
        self.level + self.fade * (self.most * across.powi(2).powf(0.5 * EASED))
    }
}
