//! A hollow that is deepest elsewhere than where the bowl is widest.

use super::bowl_cut::{ROUND, rounded};

/// Least of the hollow's form where it is deepest: nearer to its ends it would fall like a pit. By eye.
const LEAST_DEEP: f64 = 0.55;

/// So little is left of a form at its very ends.
const NOTHING: f64 = 1e-9;

/// A hollow that is deepest elsewhere than where the bowl is widest. Along its middle it is as deep as a
/// plain one would be at another place: the whole of it is drawn towards the neck or the tip, and stays as full.
/// The back goes with it.
#[derive(Clone, Copy, Debug)]
pub(super) struct HollowLean {
    hollow: DrawnAlong,
    back: DrawnAlong,
    /// The back's form, not rounded, where the hollow is deepest.
    pub(super) back_share: f64,
}

/// A stretch along the utensil of which one place is drawn to another, its ends stay, and all between
/// goes with it: by a fraction of two straight lines, which has no kink.
#[derive(Clone, Copy, Debug)]
struct DrawnAlong {
    ends: [f64; 2],
    times: f64,
}

impl DrawnAlong {
    fn new(ends: [f64; 2], at: f64, from: f64) -> DrawnAlong {
        let [at, from] = [at, from].map(|x| (x - ends[0]) / (ends[1] - ends[0]));
        DrawnAlong { ends, times: from * (1.0 - at) / (at * (1.0 - from)) }
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

impl HollowLean {
    /// That of a hollow between its two ends and a head between its own, drawn from where it is widest to where
    /// it is to be deepest; there the back's form is `back_share`.
    pub(super) fn new(
        hollow: [f64; 2],
        head: [f64; 2],
        [widest, deepest]: [f64; 2],
        back_share: f64,
    ) -> HollowLean {
        HollowLean {
            hollow: DrawnAlong::new(hollow, deepest, widest),
            back: DrawnAlong::new(head, deepest, widest),
            back_share,
        }
    }

    /// How many times as deep as a plain one the hollow is at a place along the utensil, whose form is that.
    pub(super) fn gains(&self, x: f64, form: impl Fn(f64) -> f64) -> f64 {
        self.hollow.gains(x, form)
    }

    /// The same of a back so round. One that only follows the hollow is deepest at the same place; a rounder
    /// one nearly so.
    pub(super) fn back_gains(&self, x: f64, round: f64, form: impl Fn(f64) -> f64) -> f64 {
        let share = self.back_share;
        self.back.gains(x, form) * rounded(share, ROUND) / rounded(share, round)
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
