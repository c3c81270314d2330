//! An outline in the plan, and places on it.

use glam::DVec2;

/// A place on an outline: the whole part of `u` is the side, the rest how far along it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct At {
    /// Which outline.
    pub ring: usize,
    /// Where, from 0 to the number of its sides.
    pub u: f64,
}

/// A closed outline of straight sides.
pub(super) struct Ring {
    pub corners: Vec<DVec2>,
    low: DVec2,
    high: DVec2,
}

impl Ring {
    pub fn new(corners: &[DVec2]) -> Ring {
        let low = corners.iter().fold(DVec2::INFINITY, |low, p| low.min(*p));
        let high = corners.iter().fold(DVec2::NEG_INFINITY, |high, p| high.max(*p));
        Ring { corners: corners.to_vec(), low, high }
    }

    /// How many sides, and corners.
    pub fn count(&self) -> usize {
        self.corners.len()
    }

    /// The side before another.
    pub fn before(&self, side: usize) -> usize {
        (side + self.count() - 1) % self.count()
    }

    /// The ends of a side.
    pub fn side(&self, side: usize) -> [DVec2; 2] {
        [self.corners[side], self.corners[(side + 1) % self.count()]]
    }

    /// Whether a place lies on a side, ends included.
    pub fn touches(&self, u: f64, side: usize) -> bool {
        let from = side as f64;
        (from..=from + 1.0).contains(&u) || (u == 0.0 && side + 1 == self.count())
    }

    /// Whether a box comes nearer to the outline's own box than a margin.
    pub fn meets_box(&self, low: DVec2, high: DVec2, margin: f64) -> bool {
        let margin = DVec2::splat(margin);
        low.cmple(self.high + margin).all() && high.cmpge(self.low - margin).all()
    }

    /// The nearest corner within reach.
    pub fn corner_near(&self, p: DVec2, reach: f64) -> Option<usize> {
        let nearest = self
            .corners
            .iter()
            .map(|corner| corner.distance_squared(p))
            .enumerate()
            .min_by(|a, b| a.1.total_cmp(&b.1))?;
        (nearest.1 <= reach * reach).then_some(nearest.0)
    }

    /// The nearest place on a side within reach.
    pub fn place_near(&self, p: DVec2, reach: f64) -> Option<f64> {
        let mut best = (reach, None);
        for side in 0..self.count() {
            let [a, b] = self.side(side);
            if !boxes_meet([a, b], [p, p], reach) {
                continue;
            }
            let along = b - a;
            let t = ((p - a).dot(along) / along.length_squared()).clamp(0.0, 1.0);
            let off = (a + along * t).distance(p);
            if off <= best.0 {
                best = (off, Some(side as f64 + t));
            }
        }
        best.1
    }

    /// Places where a line from p to q crosses sides: the share of the line, and the place. Sides
    /// on which an end of the line is known to lie are left out.
    pub fn crossings(
        &self,
        [p, q]: [DVec2; 2],
        known: impl Fn(usize) -> bool,
    ) -> impl Iterator<Item = (f64, f64)> {
        (0..self.count()).filter_map(move |side| {
            let [a, b] = self.side(side);
            if !boxes_meet([a, b], [p, q], 0.0) || known(side) {
                return None;
            }
            let (from, to) = ((b - a).perp_dot(p - a), (b - a).perp_dot(q - a));
            let (start, end) = ((q - p).perp_dot(a - p), (q - p).perp_dot(b - p));
            let crosses = (from > 0.0) != (to > 0.0) && (start > 0.0) != (end > 0.0);
            crosses.then(|| (from / (from - to), side as f64 + start / (start - end)))
        })
    }

    /// The point of a place.
    pub fn at(&self, u: f64) -> DVec2 {
        let side = (u as usize).min(self.count() - 1);
        let [a, b] = self.side(side);
        a.lerp(b, u - side as f64)
    }

    /// Whether a point lies inside (even-odd rule).
    pub fn holds(&self, p: DVec2) -> bool {
        if !self.meets_box(p, p, 0.0) {
            return false;
        }
        (0..self.count())
            .filter(|side| {
                let [a, b] = self.side(*side);
                (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)
            })
            .count()
            % 2
            == 1
    }
}

/// Whether the boxes of two lines come nearer to each other than a margin.
fn boxes_meet([a, b]: [DVec2; 2], [p, q]: [DVec2; 2], margin: f64) -> bool {
    let margin = DVec2::splat(margin);
    let (low, high) = (a.min(b) - margin, a.max(b) + margin);
    p.min(q).cmple(high).all() && p.max(q).cmpge(low).all()
}
