//! A hollow that is deepest elsewhere than where the bowl is widest.

use super::bowl_cut::{ROUND, rounded};

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
    /// Of a hollow that is deepest at a place along the utensil. `hollow` is its form along its middle, `back`
    /// that of the back, not yet rounded, and `part` what part of the back's depth is the hollow's.
    pub(super) fn new(
        deepest: f64,
        hollow: impl Fn(f64) -> f64,
        back: impl Fn(f64) -> f64,
        part: f64,
    ) -> HollowLean {
        /// For the slope, in mm.
        const STEP: f64 = 1e-3;
        let [before, after] = [deepest - STEP, deepest + STEP];
        let slope = (hollow(after).ln() - hollow(before).ln()) / (2.0 * STEP);
        HollowLean {
            deepest,
            grows: -slope,
            hollow: hollow(deepest),
            back: [back(deepest), (back(after) - back(before)) / (2.0 * STEP)],
            part,
        }
    }

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

/// The nearest place to one, towards another, that is open enough to be deepest.
pub(super) fn could_be_deepest(opening: impl Fn(f64) -> f64, from: f64, widest: f64) -> f64 {
    let open = |x: f64| opening(x) >= LEAST_DEEP;
    if open(from) {
        return from;
    }
    let (mut shut, mut wide) = (from, widest);
    for _ in 0..40 {
        let middle = 0.5 * (shut + wide);
        if open(middle) { wide = middle } else { shut = middle }
    }
    wide
}
