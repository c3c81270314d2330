//! The blade of a turner or a spreader: flat above and below, or falling away to one side, eased along
//! its sides, with a bevel on the top side that runs out to a thin front edge.

use super::plan::{Plan, Runs};
use crate::params::{BLADE_EASED, Blade, Design, FLAT_FROM, THIN_AT};

/// Share of the blade's length, from the neck, at which the middle line lies level.
const REST: f64 = 0.36;
/// The same at which the shoulder has run out, and the keel, unless the design says. By eye.
const SHOULDER: f64 = 0.4;
const KEEL: f64 = 0.6;

/// The blade's heights, in mm.
#[derive(Clone, Debug)]
pub(crate) struct BladeSkins {
    /// Where the bevel begins.
    pub(crate) bevel: f64,
    /// Half of the thickness of the flat, in its middle.
    half: f64,
    /// How much it grows from the middle to the left side, without the easing.
    leans: f64,
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
    /// The blade of a design on its plan.
    pub(crate) fn new(blade: &Blade, design: &Design, plan: &Plan) -> BladeSkins {
        let (half, edge) = (0.5 * blade.thickness.as_mm(), design.edge.as_mm());
        let leans = blade.thin.map_or(0.0, |thin| {
            let eased = THIN_AT.powf(BLADE_EASED);
            // With its easing it is as thin as asked.
            let there = (0.5 * thin.as_mm() - 0.5 * edge * eased) / (1.0 - eased);
            (there - half) / THIN_AT * if design.mirror { -1.0 } else { 1.0 }
        });
        BladeSkins {
            bevel: plan.length - blade.bevel.as_mm(),
            half,
            leans,
            front: blade.front.as_mm(),
            edge,
        }
    }

    /// Whether one side is stouter than the other.
    pub(crate) fn leans(&self) -> bool {
        self.leans != 0.0
    }

    /// How far along the bevel: 0 at its start, 1 at the front edge.
    fn along_bevel(&self, plan: &Plan, x: f64) -> f64 {
        ((x - self.bevel) / (plan.length - self.bevel)).max(0.0)
    }

    fn side(&self, plan: &Plan, x: f64, bevel: Option<f64>, fade: f64) -> BladeSide {
        BladeSide {
            half: self.half,
            leans: self.leans,
            front: self.front,
            edge: self.edge,
            bevel,
            fade,
            middle: plan.sway.value(x),
            half_open: plan.half_open(x),
            // Along a round front a stout side would else stand up like a wall.
            eased: match self.leans() {
                true => plan.half(x).max(f64::MIN_POSITIVE),
                false => plan.half_open(x),
            },
        }
    }

    /// The top skin of the blade alone, at a place along the utensil.
    pub(crate) fn top(&self, plan: &Plan, x: f64) -> BladeSide {
        let t = self.along_bevel(plan, x);
        // The easing dies out over the bevel, so that the front edge is straight.
        self.side(plan, x, Some(t), -(1.0 - t).max(0.0).powi(2))
    }

    /// The bottom skin of the blade alone, at a place along the utensil.
    pub(crate) fn bottom(&self, plan: &Plan, x: f64) -> BladeSide {
        let t = self.along_bevel(plan, x).min(1.0);
        // No slope at either end: the bottom has no line where the bevel begins.
        let fade = (1.0 - t) * (1.0 - t) * (1.0 + 2.0 * t);
        self.side(plan, x, None, fade)
    }
}

/// One side of the blade, cut across at one place.
pub(crate) struct BladeSide {
    half: f64,
    leans: f64,
    front: f64,
    edge: f64,
    /// How far along the bevel, of the top.
    bevel: Option<f64>,
    /// How much there is of the easing.
    fade: f64,
    middle: f64,
    half_open: f64,
    /// Half of the width over which the sides are eased.
    eased: f64,
}

impl BladeSide {
    /// Its height.
    pub(crate) fn height(&self, y: f64) -> f64 {
        let off = y - self.middle;
        let half = self.half + self.leans * (off / self.half_open);
        let level = match self.bevel {
            Some(t) => half - (2.0 * half - self.front) * t,
            None => -half,
        };
        let most = half - 0.5 * self.edge;
        // On the outline it is 1, and at a round front's very tip, where there is no width, rounding must not say more.
        let across = (off / self.eased).clamp(-1.0, 1.0);
        level + self.fade * (most * across.powi(2).powf(0.5 * BLADE_EASED))
    }
}
