//! A rim land with eased edges, cut across at one place along the utensil.

use super::bowl::{BowlSkins, along};
use super::plan::Plan;
use super::spline::ease;

/// So much inside of the hollow's front, in mm, its own line still says how wide it is.
const BEFORE: f64 = 1e-3;

/// A land that falls to both its edges, the hollow's and the outline's, from a crest between them.
///
/// By a parabola over the share of the way from the one to the other. The share is found from how many times
/// larger or smaller each line would have to be to pass through the place, so that the land meets both without
/// a step.
pub(super) struct EasedLand {
    /// How much lower its edges lie than its crest.
    pub(super) fall: f64,
    n: f64,
    /// The hollow's power in its middle, its middle and its half-width.
    hollow: [f64; 3],
    /// The same of the outline.
    outline: [f64; 3],
}

impl EasedLand {
    /// How much lower than its crest it lies at a Y, between the hollow and the outline.
    pub(super) fn below(&self, y: f64) -> f64 {
        let past = |[power, middle, half]: [f64; 3]| {
            let across = ((y - middle) / half).abs().powf(self.n);
            half * ((across + 1.0 - power).max(0.0).powf(1.0 / self.n) - 1.0)
        };
        let [past, within] = [past(self.hollow), -past(self.outline)].map(|far| far.max(0.0));
        let share = past / (past + within).max(f64::MIN_POSITIVE);
        self.fall * (2.0 * share - 1.0).powi(2)
    }
}

impl BowlSkins {
    /// How much lower the land's edges lie than its crest at a place along the utensil, in mm: by as much as
    /// is asked for from the widest place on, and from there back to the hollow's rear by less and less. Nothing
    /// at the lip of a scoop.
    pub(super) fn eased(&self, plan: &Plan, x: f64) -> f64 {
        let comes = ease((x - self.rear) / (plan.widest - self.rear));
        self.round() * comes * (1.0 - self.lowered(plan, x))
    }

    /// The land there, if its edges are eased.
    pub(super) fn eased_land(&self, plan: &Plan, x: f64) -> Option<EasedLand> {
        let fall = self.eased(plan, x);
        let line = x.min(self.front - BEFORE);
        (fall > 0.0).then(|| EasedLand {
            fall,
            n: plan.fullness,
            hollow: [self.opening(plan, x), self.middle(x), self.half_width(line)],
            outline: [along(plan, x), plan.sway.value(x), plan.half_width * plan.spread(x)[0]],
        })
    }
}
