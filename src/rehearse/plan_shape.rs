//! Closed shapes of a plan: whether a place is in one, and how far it is from the edge.

use glam::DVec2;

/// A closed polygon, with arcs as chords.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanShape {
    corners: Vec<DVec2>,
    low: DVec2,
    high: DVec2,
}

impl PlanShape {
    /// From its corners, either way round.
    pub fn closed(corners: Vec<DVec2>) -> PlanShape {
        let none = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        let (low, high) = corners.iter().fold(none, |(low, high), p| (low.min(*p), high.max(*p)));
        PlanShape { corners, low, high }
    }

    /// Its box.
    pub fn bounds(&self) -> (DVec2, DVec2) {
        (self.low, self.high)
    }

    /// Whether a place is inside.
    pub fn holds(&self, p: DVec2) -> bool {
        if p.cmplt(self.low).any() || p.cmpgt(self.high).any() {
            return false;
        }
        let mut inside = false;
        for (a, b) in self.edges() {
            if (a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x {
                inside = !inside;
            }
        }
        inside
    }

    /// How far a place is from the edge, on either side.
    pub fn edge_away(&self, p: DVec2) -> f64 {
        self.edges().map(|(a, b)| apart(p, a, b)).fold(f64::INFINITY, f64::min)
    }

    /// How far a place is from the shape; 0 inside. No more than `enough` is looked at closely.
    pub fn away(&self, p: DVec2, enough: f64) -> f64 {
        let far = (self.low - p).max(p - self.high).max(DVec2::ZERO).length();
        match () {
            () if far > enough => far,
            () if self.holds(p) => 0.0,
            () => self.edge_away(p),
        }
    }

    fn edges(&self) -> impl Iterator<Item = (DVec2, DVec2)> + '_ {
        let next = self.corners.iter().cycle().skip(1);
        self.corners.iter().copied().zip(next.copied())
    }
}

/// How far a place is from a line between two.
pub fn apart(p: DVec2, a: DVec2, b: DVec2) -> f64 {
    let (way, off) = (b - a, p - a);
    let long = way.length_squared();
    let share = if long > 0.0 { (off.dot(way) / long).clamp(0.0, 1.0) } else { 0.0 };
    (off - way * share).length()
}
