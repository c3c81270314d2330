//! The middle line: its rise over the parting plane and its sway to the side.

use super::spline::{Settle, Spline};

/// One offset of the middle line along the utensil, in mm against mm: a smooth spline through the
/// handle's stations. Through stations of the head's own it goes on to the tip; without any it settles
/// to zero between the neck and the head, so that the head lies level and straight.
#[derive(Clone, Debug)]
pub(crate) struct MiddleLine {
    spline: Spline,
    settle: Option<Settle>,
    neck: f64,
    rest: f64,
}

/// Nearer than this, in mm, two stations are one.
const SAME: f64 = 1e-6;

impl MiddleLine {
    /// Through `stations` (x, offset) as far as `neck`, at rest from `rest` on.
    pub(crate) fn new(stations: &[(f64, f64)], neck: f64, rest: f64) -> MiddleLine {
        let spline = Spline::natural(stations);
        let settle = Some(Settle::new(neck, rest, spline.jet(neck)));
        MiddleLine { spline, settle, neck, rest }
    }

    /// Through stations of the handle from `end` to `neck` and on through the head's. Of two at the
    /// neck the handle's holds; a handle without any lies level.
    pub(crate) fn through(
        handle: &[(f64, f64)],
        head: &[(f64, f64)],
        [end, neck, rest]: [f64; 3],
    ) -> MiddleLine {
        if head.is_empty() {
            return MiddleLine::new(handle, neck, rest);
        }
        let mut stations = handle.to_vec();
        if handle.is_empty() {
            // Three, so that the line hardly swings between them.
            stations.extend([end, 0.5 * (end + neck), neck].map(|x| (x, 0.0)));
        }
        let from = stations.last().map_or(neck, |last| last.0);
        stations.extend(head.iter().copied().filter(|station| station.0 > from + SAME));
        MiddleLine { spline: Spline::natural(&stations), settle: None, neck, rest }
    }

    /// Whether it is the head's own, past the neck.
    pub(crate) fn goes_on(&self) -> bool {
        self.settle.is_none()
    }

    /// Its slope at a place along the head; a line that comes to rest has none there.
    pub(crate) fn slope(&self, x: f64) -> f64 {
        if self.goes_on() { self.spline.jet(x)[1] } else { 0.0 }
    }

    /// The offset at a place along the utensil.
    pub(crate) fn value(&self, x: f64) -> f64 {
        match &self.settle {
            Some(_) if x >= self.rest => 0.0,
            Some(settle) if x > self.neck => settle.value(x),
            _ => self.spline.value(x),
        }
    }

    /// Places and slopes as far as it bends, at most to `length`, closer where its stations are.
    pub(crate) fn slopes(&self, length: f64) -> Vec<(f64, f64)> {
        let to = if self.settle.is_some() { self.neck } else { length };
        let looks = self.spline.looks(0.0, to);
        looks.into_iter().map(|x| (x, self.spline.jet(x)[1])).collect()
    }
}
