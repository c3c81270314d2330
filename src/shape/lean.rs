//! A hollow that is deepest elsewhere than where the bowl is widest.

use super::bowl::{BowlSkins, along};
use super::bowl_cut::{ROUND, rounded};
use super::plan::Plan;

/// Least of the hollow's form where it is deepest: nearer to its ends it would fall like a pit. By eye.
const LEAST_DEEP: f64 = 0.55;

/// So little is left of a form at its very ends.
const NOTHING: f64 = 1e-9;

/// A hollow that is deepest elsewhere than where the bowl is widest. Along its middle it is as deep as a
/// plain one would be at another place: the whole of it is drawn towards the neck or the tip, and stays as full.
/// The back goes with it.
#[derive(Clone, Copy, Debug)]
pub(super) struct HollowLean {
    hollow: Drawn,
    back: Drawn,
    /// The back's form, not rounded, where the hollow is deepest.
    pub(super) back_share: f64,
}

/// A stretch along the utensil of which one place is drawn to another, its ends stay, and all between
/// goes with it: by a fraction of two straight lines, which has no kink.
#[derive(Clone, Copy, Debug)]
struct Drawn {
    ends: [f64; 2],
    times: f64,
}

impl Drawn {
    fn new(ends: [f64; 2], at: f64, from: f64) -> Drawn {
        let [at, from] = [at, from].map(|x| (x - ends[0]) / (ends[1] - ends[0]));
        Drawn { ends, times: from * (1.0 - at) / (at * (1.0 - from)) }
    }

    /// Where what is at a place was before.
    fn before(&self, x: f64) -> f64 {
        let [from, to] = self.ends;
        let share = ((x - from) / (to - from)).clamp(0.0, 1.0);
        from + (to - from) * self.times * share / (1.0 + (self.times - 1.0) * share)
    }

    /// How many times as much of a form there is at a place as without.
    fn gains(&self, x: f64, form: impl Fn(f64) -> f64) -> f64 {
        let [here, before] = [x, self.before(x)].map(|x| rounded(form(x), ROUND));
        if here > NOTHING { before / here } else { 1.0 }
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
        let deepest = plan.neck + from_neck;
        HollowLean {
            hollow: Drawn::new([self.rear, self.front], deepest, plan.widest),
            back: Drawn::new([plan.neck, plan.length], deepest, plan.widest),
            back_share: along(plan, deepest),
        }
    }

    /// How many times as deep as a plain one a hollow that leans is at a place along the utensil.
    pub(super) fn leans_by(&self, plan: &Plan, x: f64) -> f64 {
        self.lean().map_or(1.0, |lean| lean.hollow.gains(x, |x| self.opening(plan, x)))
    }

    /// The same of its back. One that only follows the hollow is deepest at the same place; a rounder one
    /// nearly so.
    pub(super) fn back_leans_by(&self, plan: &Plan, x: f64) -> f64 {
        self.lean().map_or(1.0, |lean| {
            let share = lean.back_share;
            lean.back.gains(x, |x| along(plan, x)) * rounded(share, ROUND)
                / rounded(share, self.back.round)
        })
    }
}
