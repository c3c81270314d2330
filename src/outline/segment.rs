//! One straight line or one arc, and what can be asked of it.
//!
//! An arc is kept as its chord and its bulge (tangent of a quarter of its included angle, positive
//! counter-clockwise), so that a nearly straight arc loses no precision to a far-away centre.

use glam::DVec2;

/// A straight line or an arc between two points. All lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// Where it starts.
    pub from: DVec2,
    /// Where it ends.
    pub to: DVec2,
    /// Tangent of a quarter of the included angle; 0 for a straight line.
    pub bulge: f64,
}

impl Segment {
    /// The included angle in radians, positive counter-clockwise, 0 for a line.
    pub fn sweep(&self) -> f64 {
        4.0 * self.bulge.atan()
    }

    /// Centre of the arc; none for a straight line.
    pub fn centre(&self) -> Option<DVec2> {
        if self.bulge == 0.0 {
            return None;
        }
        let chord = self.to - self.from;
        let reach = (1.0 - self.bulge * self.bulge) / (4.0 * self.bulge);
        Some((self.from + self.to) * 0.5 + chord.perp() * reach)
    }

    /// Radius of the arc in mm; infinite for a straight line.
    pub fn radius(&self) -> f64 {
        let b = self.bulge.abs();
        if b == 0.0 {
            return f64::INFINITY;
        }
        self.from.distance(self.to) * (1.0 + b * b) / (4.0 * b)
    }

    /// Length along the segment in mm.
    pub fn length(&self) -> f64 {
        let chord = self.from.distance(self.to);
        let half = self.sweep() * 0.5;
        // half / sin(half) without the division of two small numbers
        if half.abs() < 1e-4 {
            chord * (1.0 + half * half / 6.0)
        } else {
            chord * half / half.sin()
        }
    }

    /// The point at a fraction of its length, 0 to 1.
    pub fn point_at(&self, fraction: f64) -> DVec2 {
        let chord = self.to - self.from;
        let half = self.sweep() * 0.5;
        if half.abs() < 1e-9 {
            return self.from + chord * fraction;
        }
        let part = half * fraction;
        let turned = DVec2::from_angle(part - half).rotate(chord);
        self.from + turned * (part.sin() / half.sin())
    }

    /// Direction of travel at the start; unit length, zero for a segment without length.
    pub fn start_direction(&self) -> DVec2 {
        DVec2::from_angle(-self.sweep() * 0.5).rotate((self.to - self.from).normalize_or_zero())
    }

    /// Direction of travel at the end; unit length, zero for a segment without length.
    pub fn end_direction(&self) -> DVec2 {
        DVec2::from_angle(self.sweep() * 0.5).rotate((self.to - self.from).normalize_or_zero())
    }

    /// The segment's point nearest to `point`.
    pub fn closest(&self, point: DVec2) -> DVec2 {
        let Some(centre) = self.centre() else {
            let chord = self.to - self.from;
            let square = chord.length_squared();
            let along = if square > 0.0 {
                ((point - self.from).dot(chord) / square).clamp(0.0, 1.0)
            } else {
                0.0
            };
            return self.from + chord * along;
        };
        let out = (point - centre).normalize_or_zero();
        if out != DVec2::ZERO && self.faces(centre, out) {
            return centre + out * self.radius();
        }
        if point.distance_squared(self.from) <= point.distance_squared(self.to) {
            self.from
        } else {
            self.to
        }
    }

    /// Distance from `point` in mm.
    pub fn distance(&self, point: DVec2) -> f64 {
        self.closest(point).distance(point)
    }

    /// Whether the direction `out` from the centre meets the arc.
    pub(super) fn faces(&self, centre: DVec2, out: DVec2) -> bool {
        let side = self.bulge.signum();
        let after_start = (self.from - centre).perp_dot(out) * side >= 0.0;
        let before_end = out.perp_dot(self.to - centre) * side >= 0.0;
        if self.bulge.abs() <= 1.0 { after_start && before_end } else { after_start || before_end }
    }

    /// Least and greatest corner of the box that just holds the segment.
    pub fn bounds(&self) -> (DVec2, DVec2) {
        let mut low = self.from.min(self.to);
        let mut high = self.from.max(self.to);
        if let Some(centre) = self.centre() {
            for out in [DVec2::X, DVec2::Y, DVec2::NEG_X, DVec2::NEG_Y] {
                if self.faces(centre, out) {
                    let extreme = centre + out * self.radius();
                    low = low.min(extreme);
                    high = high.max(extreme);
                }
            }
        }
        (low, high)
    }

    /// Where the segment meets the line across at this x (in mm), as heights y in mm.
    pub fn meets_x(&self, x: f64) -> impl Iterator<Item = f64> {
        let [a, b] = self.meets(x, DVec2::X);
        a.into_iter().chain(b).map(|p| p.y)
    }

    /// Where the segment meets the line along at this y (in mm), as places x in mm.
    pub fn meets_y(&self, y: f64) -> impl Iterator<Item = f64> {
        let [a, b] = self.meets(y, DVec2::Y);
        a.into_iter().chain(b).map(|p| p.x)
    }

    /// Where the segment meets the line `p . normal = level`; `normal` is X or Y.
    fn meets(&self, level: f64, normal: DVec2) -> [Option<DVec2>; 2] {
        let (start, end) = (self.from.dot(normal) - level, self.to.dot(normal) - level);
        let Some(centre) = self.centre() else {
            if (start > 0.0) == (end > 0.0) || start == end {
                return [(start == 0.0).then_some(self.from), (end == 0.0).then_some(self.to)];
            }
            return [Some(self.from.lerp(self.to, start / (start - end))), None];
        };
        let radius = self.radius();
        let off = level - centre.dot(normal);
        let half = (radius * radius - off * off).max(-1.0);
        if half < 0.0 {
            return [None, None];
        }
        let [a, b] = [half.sqrt(), -half.sqrt()].map(|along| {
            let out = normal * off + normal.perp() * along;
            self.faces(centre, out).then_some(centre + out)
        });
        [a, b]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// DXF Reference, LWPOLYLINE: bulge = tan(included angle / 4); 45, 90 and 180 degrees give
    /// 0.198912367, 0.414213562 and 1.
    #[test]
    fn bulge_is_the_tangent_of_a_quarter_of_the_angle() {
        for (degrees, bulge) in [(45.0_f64, 0.198_912_367), (90.0, 0.414_213_562), (180.0, 1.0)] {
            let angle = degrees.to_radians();
            let arc = Segment {
                from: DVec2::new(10.0, 0.0),
                to: DVec2::from_angle(angle) * 10.0,
                bulge: (angle / 4.0).tan(),
            };
            assert!((arc.bulge - bulge).abs() < 1e-9);
            assert!(arc.centre().unwrap().length() < 1e-9);
            assert!((arc.radius() - 10.0).abs() < 1e-9);
            assert!((arc.length() - 10.0 * angle).abs() < 1e-9);
            assert!(arc.start_direction().distance(DVec2::Y) < 1e-12);
            let middle = arc.point_at(0.5);
            assert!(middle.distance(DVec2::from_angle(angle / 2.0) * 10.0) < 1e-9);
        }
    }

    #[test]
    fn the_nearest_point_is_on_the_arc_or_at_an_end() {
        let arc = Segment { from: DVec2::new(5.0, 0.0), to: DVec2::new(-5.0, 0.0), bulge: 1.0 };
        assert!(arc.closest(DVec2::new(3.0, 4.0) * 7.0).distance(DVec2::new(3.0, 4.0)) < 1e-12);
        assert_eq!(arc.closest(DVec2::new(9.0, -1.0)), arc.from);
        let (low, high) = arc.bounds();
        assert!(low.distance(DVec2::new(-5.0, 0.0)) < 1e-12);
        assert!(high.distance(DVec2::new(5.0, 5.0)) < 1e-12);
        assert!((arc.meets_x(3.0).next().unwrap() - 4.0).abs() < 1e-12);
        assert_eq!(arc.meets_y(-1.0).count(), 0);
    }
}
