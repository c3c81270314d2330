//! A hollow that is deepest elsewhere than where the bowl is widest.

/// Least of the hollow's form where it is deepest: nearer to its ends it would fall like a pit, and the back would
/// have a chin or a heel. By eye, on side views.
const LEAST_DEEP: f64 = 0.83;
/// The share of each half of the bowl in which the shift comes, and goes again: between, it grows evenly. The
/// more evenly, the further the deepest place can lie from the widest without the order of places being lost.
const COMES: f64 = 0.25;

/// A hollow that is deepest elsewhere than where the bowl is widest: along its middle, hollow and back are
/// drawn along, so that both are as full as before, and none of it lies beyond their ends. Across, each keeps
/// its own width and form.
#[derive(Clone, Copy, Debug)]
pub(super) struct HollowLean {
    /// Where it is deepest, and where the bowl is widest.
    pub(super) deepest: f64,
    widest: f64,
    /// Where the hollow begins and ends.
    hollow: [f64; 2],
    /// The same of the back: towards the side on which the deepest place lies it has the whole head, so that it
    /// comes down more gently than the hollow.
    whole: [f64; 2],
    /// What the back's form is at the deepest place before it is drawn along.
    pub(super) back: f64,
}

impl HollowLean {
    /// Of a hollow that is deepest at a place along the utensil, given its ends and those of the head, and of a
    /// back whose form is `back` there.
    pub(super) fn new(
        [deepest, widest]: [f64; 2],
        hollow: [f64; 2],
        head: [f64; 2],
        back: f64,
    ) -> HollowLean {
        let whole = match deepest < widest {
            true => [head[0], hollow[1]],
            false => [hollow[0], head[1]],
        };
        HollowLean { deepest, widest, hollow, whole, back }
    }

    /// The place whose depth, but for the lean, the hollow has at a place along the utensil: the widest one at
    /// the deepest, and each its own at the hollow's ends and beyond. Their order stays, and two derivatives are
    /// steady.
    pub(super) fn hollow_from(&self, x: f64) -> f64 {
        self.from(x, self.hollow)
    }

    /// The same of the back.
    pub(super) fn back_from(&self, x: f64) -> f64 {
        self.from(x, self.whole)
    }

    fn from(&self, x: f64, ends: [f64; 2]) -> f64 {
        let end = if x < self.deepest { ends[0] } else { ends[1] };
        x + (self.widest - self.deepest) * eased_line((x - end) / (self.deepest - end))
    }
}

/// From 0 to 1 in a line whose ends are eased to level ones: its slope comes and goes by a cubic step.
fn eased_line(t: f64) -> f64 {
    let t = t.clamp(0.0, 1.0);
    if t > 0.5 {
        return 1.0 - eased_line(1.0 - t);
    }
    // The step's integral, 3 s² - 2 s³ from 0 to s, over the whole line's.
    let s = (t / COMES).min(1.0);
    let begun = COMES * s * s * s * (1.0 - 0.5 * s);
    (begun + (t - COMES).max(0.0)) / (1.0 - COMES)
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

#[cfg(test)]
mod tests {
    use super::*;

    /// From the ends of one half of a bowl as long as any to those of the other.
    #[test]
    fn places_keep_their_order_and_ends() {
        for (deepest, widest) in [(40.0, 66.0), (71.0, 42.0), (40.0, 50.0), (50.0, 50.0)] {
            let lean = HollowLean::new([deepest, widest], [27.0, 96.0], [0.0, 100.0], 1.0);
            for end in [0.0, 27.0, 96.0, 100.0] {
                assert_eq!(lean.hollow_from(end), end);
            }
            assert!((lean.hollow_from(deepest) - widest).abs() < 1e-12);
            let places: Vec<f64> =
                (0..=10_000).map(|i| lean.hollow_from(f64::from(i) * 0.01)).collect();
            assert!(places.windows(2).all(|pair| pair[0] < pair[1]), "{deepest} {widest}");
            // Neither slope nor bend makes a step.
            let bends: Vec<f64> =
                places.windows(3).map(|p| (p[2] - 2.0 * p[1] + p[0]) / 1e-4).collect();
            assert!(bends.windows(2).all(|pair| (pair[1] - pair[0]).abs() < 0.1));
        }
    }
}
