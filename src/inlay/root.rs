//! Where a function that differs in sign at two ends is nothing.

use glam::DVec2;

/// Steps at most.
const STEPS: usize = 90;
/// Near enough to nothing, in mm.
const NONE_MM: f64 = 1e-8;
/// Near enough to each other, as a part of the way between the ends.
const SAME: f64 = 1e-9;

/// Where between two places a function is nothing that is positive at just one of them: by the rule of false
/// position, where an end that stays twice counts half, and by halving in each third step, which finds a
/// jump.
pub(super) fn root(at: impl Fn(DVec2) -> f64, [a, b]: [DVec2; 2], [fa, fb]: [f64; 2]) -> DVec2 {
    let (mut low, mut high) = ((0.0, fa), (1.0, fb));
    let mut moved_low = None;
    for step in 1..=STEPS {
        let part = match step % 3 {
            0 => 0.5 * (low.0 + high.0),
            _ => (low.0 * high.1 - high.0 * low.1) / (high.1 - low.1),
        };
        let p = a.lerp(b, part);
        let here = at(p);
        if here.abs() < NONE_MM || high.0 - low.0 < SAME {
            return p;
        }
        if (here > 0.0) == (fa > 0.0) {
            low = (part, here);
            if moved_low == Some(true) {
                high.1 *= 0.5;
            }
            moved_low = Some(true);
        } else {
            high = (part, here);
            if moved_low == Some(false) {
                low.1 *= 0.5;
            }
            moved_low = Some(false);
        }
    }
    a.lerp(b, 0.5 * (low.0 + high.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kink_a_jump_and_a_smooth_bend_are_found() {
        let [a, b] = [DVec2::new(1.0, 2.0), DVec2::new(3.0, 2.0)];
        let kink = |p: DVec2| (p.x - 2.7).max(0.01 * (p.x - 2.7));
        let jump = |p: DVec2| if p.x > 1.2 { 5.0 } else { -0.1 };
        let bend = |p: DVec2| 4.0 - p.x * p.x;
        for (name, at, x) in [
            ("kink", &kink as &dyn Fn(DVec2) -> f64, 2.7),
            ("jump", &jump, 1.2),
            ("bend", &bend, 2.0),
        ] {
            for [from, to] in [[a, b], [b, a]] {
                let found = root(at, [from, to], [at(from), at(to)]);
                assert!((found.x - x).abs() < 1e-6, "{name}: {found}");
            }
        }
    }
}
