//! Least distance between two paths of lines and arcs and where it is, exact but for rounding.

use super::{ArcPath, Segment};
use glam::DVec2;

/// The nearest pair so far: a place on each of two segments.
struct NearestPair {
    ends: [DVec2; 2],
    square: f64,
}

impl NearestPair {
    fn take(&mut self, here: DVec2, there: DVec2) {
        let square = here.distance_squared(there);
        if square < self.square {
            *self = NearestPair { ends: [here, there], square };
        }
    }
}

impl Segment {
    /// A place on this segment and one on another that are as near to each other as any two are,
    /// in mm; the same place twice where they cross or touch.
    ///
    /// The nearest points of two lines or arcs are ends, or both stand square to what joins them.
    /// For two arcs that is the line through their centres, for an arc and a line the centre's
    /// foot on the line; two lines that don't cross are nearest at an end.
    pub fn nearest(&self, other: &Segment) -> [DVec2; 2] {
        let mut best = NearestPair { ends: [self.from, other.from], square: f64::INFINITY };
        for end in [other.from, other.to] {
            best.take(self.closest(end), end);
        }
        for end in [self.from, self.to] {
            best.take(end, other.closest(end));
        }
        match (self.centre(), other.centre()) {
            (Some(a), Some(b)) => {
                let (ra, rb) = (self.radius(), other.radius());
                let between = b - a;
                let apart = between.length();
                let way = between.normalize_or_zero();
                // Where the circles cross, if they do.
                let along = (apart * apart + ra * ra - rb * rb) / (2.0 * apart);
                let half = ra * ra - along * along;
                if apart > 0.0 && half >= 0.0 {
                    for side in [half.sqrt(), -half.sqrt()] {
                        let p = a + way * along + way.perp() * side;
                        if self.runs_through(a, p) && other.runs_through(b, p) {
                            return [p, p];
                        }
                    }
                }
                for p in [a + way * ra, a - way * ra] {
                    if self.runs_through(a, p) {
                        best.take(p, other.closest(p));
                    }
                }
            }
            (Some(centre), None) => {
                if let Some([arc, line]) = arc_to_line(self, centre, other) {
                    best.take(arc, line);
                }
            }
            (None, Some(centre)) => {
                if let Some([arc, line]) = arc_to_line(other, centre, self) {
                    best.take(line, arc);
                }
            }
            (None, None) => {
                let (a, b, c, d) = (self.from, self.to, other.from, other.to);
                let side = |a: DVec2, b: DVec2, p: DVec2| (b - a).perp_dot(p - a);
                let (from, to) = (side(c, d, a), side(c, d, b));
                if side(a, b, c) * side(a, b, d) < 0.0 && from * to < 0.0 {
                    return [a.lerp(b, from / (from - to)); 2];
                }
            }
        }
        best.ends
    }

    fn runs_through(&self, centre: DVec2, p: DVec2) -> bool {
        self.faces(centre, (p - centre).normalize_or_zero())
    }
}

/// Where an arc and a line cross, or their places square to each other; none where there are no
/// such places.
fn arc_to_line(arc: &Segment, centre: DVec2, line: &Segment) -> Option<[DVec2; 2]> {
    let chord = line.to - line.from;
    let square = chord.length_squared();
    if square == 0.0 {
        return None;
    }
    let share = (centre - line.from).dot(chord) / square;
    let foot = line.from + chord * share;
    let radius = arc.radius();
    let off = foot.distance(centre);
    if off <= radius {
        let half = (radius * radius - off * off).sqrt() / square.sqrt();
        for t in [share - half, share + half] {
            let p = line.from + chord * t;
            if (0.0..=1.0).contains(&t) && arc.runs_through(centre, p) {
                return Some([p, p]);
            }
        }
    }
    (0.0..=1.0).contains(&share).then(|| [arc.closest(foot), foot])
}

impl ArcPath {
    /// A place on each of two paths' lines that are as near to each other as any two are, in mm;
    /// the same place twice where they cross or touch, none when one path has no segment. A path
    /// wholly inside a closed one is as far from it as their lines are.
    pub fn nearest(&self, other: &ArcPath) -> Option<[DVec2; 2]> {
        let boxed = |path: &ArcPath| -> Vec<(Segment, (DVec2, DVec2))> {
            path.segments().map(|segment| (segment, segment.bounds())).collect()
        };
        let (ours, theirs) = (boxed(self), boxed(other));
        let mut best: Option<([DVec2; 2], f64)> = None;
        for (one, (low, high)) in &ours {
            for (two, (from, to)) in &theirs {
                let off = (*from - *high).max(*low - *to).max(DVec2::ZERO).length_squared();
                if best.is_none_or(|(_, least)| off < least) {
                    let ends = one.nearest(two);
                    let square = ends[0].distance_squared(ends[1]);
                    if best.is_none_or(|(_, least)| square < least) {
                        best = Some((ends, square));
                    }
                }
            }
        }
        best.map(|(ends, _)| ends)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;
    use proptest::prelude::*;

    fn circle(x: f64, y: f64, radius: f64) -> ArcPath {
        ArcPath::circle(DVec2::new(x, y), Length::mm(radius))
    }

    #[test]
    fn circles_and_squares_by_hand() {
        let gap = |a: &ArcPath, b: &ArcPath| {
            a.nearest(b).map_or(f64::INFINITY, |[here, there]| here.distance(there))
        };
        assert!((gap(&circle(0., 0., 2.), &circle(6., 8., 3.)) - 5.0).abs() < 1e-12);
        assert!((gap(&circle(0., 0., 9.), &circle(1., 0., 3.)) - 5.0).abs() < 1e-12, "inside");
        assert_eq!(gap(&circle(0., 0., 2.), &circle(3., 0., 2.)), 0.0);
        let square = ArcPath::polygon(
            [(5., -1.), (7., -1.), (7., 1.), (5., 1.)].map(|(x, y)| DVec2::new(x, y)),
        );
        assert!((gap(&square, &circle(0., 0.3, 2.)) - 3.0).abs() < 1e-12);
        assert_eq!(gap(&square, &circle(0., 0., 5.5)), 0.0);
        assert_eq!(gap(&ArcPath::polygon([]), &square), f64::INFINITY);
    }

    fn segment() -> impl Strategy<Value = Segment> {
        let point = || (-50.0..50.0_f64, -50.0..50.0_f64).prop_map(|(x, y)| DVec2::new(x, y));
        (point(), point(), prop_oneof![Just(0.0), -3.0..3.0_f64])
            .prop_map(|(from, to, bulge)| Segment { from, to, bulge })
    }

    proptest! {
        /// Points sampled on both: none pair is nearer than the gap, and the nearest is not much
        /// farther.
        #[test]
        fn it_is_the_least_of_many_points(a in segment(), b in segment()) {
            const COUNT: u32 = 400;
            let on = |s: &Segment| -> Vec<DVec2> {
                (0..=COUNT).map(|i| s.point_at(f64::from(i) / f64::from(COUNT))).collect()
            };
            let [on_a, on_b] = a.nearest(&b);
            prop_assert!(a.distance(on_a) < 1e-9 && b.distance(on_b) < 1e-9);
            let gap = on_a.distance(on_b);
            let (pa, pb) = (on(&a), on(&b));
            let near = pa
                .iter()
                .flat_map(|p| pb.iter().map(move |q| p.distance(*q)))
                .fold(f64::INFINITY, f64::min);
            let step = (a.length() + b.length()) / f64::from(COUNT);
            prop_assert!(gap <= near + 1e-9, "{gap} {near}");
            prop_assert!(gap >= near - step, "{gap} {near} {step}");
        }
    }
}
