//! Places by the square of the plan that they lie in, to find what is near one.

use glam::DVec2;
use std::collections::BTreeMap;

/// What lies in the plan, by squares.
pub(super) struct Squares<T> {
    side: f64,
    members: BTreeMap<(i64, i64), Vec<T>>,
}

impl<T: Copy> Squares<T> {
    /// With squares of that side, in mm.
    pub(super) fn new(side: f64) -> Squares<T> {
        Squares { side, members: BTreeMap::new() }
    }

    fn square(&self, p: DVec2) -> (i64, i64) {
        let at = (p / self.side).floor();
        (at.x as i64, at.y as i64)
    }

    pub(super) fn put(&mut self, p: DVec2, what: T) {
        let square = self.square(p);
        self.members.entry(square).or_default().push(what);
    }

    /// What lies in the square of a place and in the ones round it: all that is no further than a side.
    pub(super) fn round(&self, p: DVec2) -> impl Iterator<Item = T> + '_ {
        let (x, y) = self.square(p);
        self.among((x - 1, y - 1), (x + 1, y + 1))
    }

    /// What lies in the squares that a box touches.
    pub(super) fn within(&self, low: DVec2, high: DVec2) -> impl Iterator<Item = T> + '_ {
        self.among(self.square(low), self.square(high))
    }

    fn among(&self, low: (i64, i64), high: (i64, i64)) -> impl Iterator<Item = T> + '_ {
        let all = (low.0..=high.0).flat_map(move |x| (low.1..=high.1).map(move |y| (x, y)));
        all.filter_map(|at| self.members.get(&at)).flatten().copied()
    }
}
