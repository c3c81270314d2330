//! A hollow that is deepest elsewhere than where the bowl is widest.

use super::bowl::{BowlSkins, along};
use super::bowl_cut::{ROUND, rounded};
use super::plan::Plan;

/// Least of the hollow's form where it is deepest: nearer to its ends it would fall like a pit. By eye.
const LEAST_DEEP: f64 = 0.55;

/// A hollow that is deepest elsewhere than where the bowl is widest: its depth is multiplied by a power
/// of e along the bowl, which turns level at that place.
#[derive(Clone, Copy, Debug)]
pub(super) struct HollowLean {
    /// Where it is deepest.
    deepest: f64,
    /// By how much the logarithm grows for each mm.
    grows: f64,
    /// What the hollow would be there, as a share of the most.
    pub(super) hollow: f64,
    /// The same of the back's form before it is rounded, and its slope.
    pub(super) back: [f64; 2],
    /// The part of the back's depth that is the hollow's.
    part: f64,
}

impl HollowLean {
    pub(super) fn times(&self, x: f64) -> f64 {
        (self.grows * (x - self.deepest)).exp()
    }

    /// What the depth of a back so round is multiplied by. One that only follows the hollow is deepest at the
    /// same place, and its wall stays; a rounder one nearly so.
    pub(super) fn times_back(&self, x: f64, round: f64) -> f64 {
        let [share, slope] = self.back;
        let follows = rounded(share, ROUND) * self.part;
        let grows = -slope * (1.0 + ROUND * (1.0 - 2.0 * share)) / follows;
        (1.0 + self.part * ((grows * (x - self.deepest)).exp() - 1.0)) / rounded(share, round)
    }
}

impl BowlSkins {
    /// The nearest place to a distance from the neck, towards the widest, where the hollow is open enough
    /// to be deepest.
    pub(super) fn could_be_deepest(&self, plan: &Plan, from_neck: f64) -> f64 {
        let open = |from: f64| {
            let x = plan.neck + from;
            x > self.rear && x < self.front && self.opening(plan, x) >= LEAST_DEEP
        };
        if open(from_neck) {
            return from_neck;
        }
        let (mut shut, mut wide) = (from_neck, plan.widest - plan.neck);
        for _ in 0..40 {
            let middle = 0.5 * (shut + wide);
            if open(middle) { wide = middle } else { shut = middle }
        }
        wide
    }

    /// A hollow that is deepest at a distance from the neck.
    pub(super) fn lean_to(&self, plan: &Plan, from_neck: f64) -> HollowLean {
        /// For the slope, in mm.
        const STEP: f64 = 1e-3;
        let deepest = plan.neck + from_neck;
        let hollow = |x: f64| rounded(self.opening(plan, x), ROUND);
        let slope = (hollow(deepest + STEP).ln() - hollow(deepest - STEP).ln()) / (2.0 * STEP);
        HollowLean {
            deepest,
            grows: -slope,
            hollow: hollow(deepest),
            back: [
                along(plan, deepest),
                (along(plan, deepest + STEP) - along(plan, deepest - STEP)) / (2.0 * STEP),
            ],
            part: (self.depth / self.back.depth).min(1.0),
        }
    }
}
