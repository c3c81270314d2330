//! Distances between polygons that also say how deep an overlap is, so that a search knows the
//! way out of it.

use crate::fit::flaw;
use crate::params::{Flaw, FlawShape};
use glam::DVec2;
use std::cell::Cell;

/// A closed polygon with its box, or an open chain. In mm.
#[derive(Clone, Debug)]
pub(super) struct Outline {
    pub(super) corners: Vec<DVec2>,
    closed: bool,
    low: DVec2,
    high: DVec2,
    /// Least and greatest corner of each run of edges, which are passed over together.
    runs: Vec<(DVec2, DVec2)>,
}

/// Edges to a run.
const RUN: usize = 8;
/// How deep outlines lie in each other that cross without a corner of one in the other, in mm.
const CROSSED: f64 = 1e-3;

impl Outline {
    pub(super) fn closed(corners: Vec<DVec2>) -> Outline {
        Outline::new(corners, true)
    }

    pub(super) fn new(corners: Vec<DVec2>, closed: bool) -> Outline {
        let mut low = DVec2::splat(f64::INFINITY);
        let mut high = DVec2::splat(f64::NEG_INFINITY);
        for corner in &corners {
            low = low.min(*corner);
            high = high.max(*corner);
        }
        let run = |(at, run): (usize, &[DVec2])| {
            let next = (at + 1) * RUN;
            // The run's last edge ends where the next run begins, and the last one's in the first.
            let end = corners.get(next).or(corners.first().filter(|_| closed));
            let all = run.iter().chain(end);
            all.fold((run[0], run[0]), |(low, high), p| (low.min(*p), high.max(*p)))
        };
        let runs = corners.chunks(RUN).enumerate().map(run).collect();
        Outline { corners, closed, low, high, runs }
    }

    pub(super) fn bounds(&self) -> (DVec2, DVec2) {
        (self.low, self.high)
    }

    /// How far its farthest corner lies from where it lay before.
    pub(super) fn moved(&self, before: &Outline) -> f64 {
        let ways = self.corners.iter().zip(&before.corners);
        ways.map(|(now, before)| now.distance_squared(*before)).fold(0.0, f64::max).sqrt()
    }

    fn edges(&self) -> impl Iterator<Item = (DVec2, DVec2)> + '_ {
        flaw::edges(&self.corners, self.closed)
    }

    /// The edges of those runs whose boxes are asked for.
    fn near<'a>(
        &'a self,
        of: impl Fn((DVec2, DVec2)) -> bool + 'a,
    ) -> impl Iterator<Item = (DVec2, DVec2)> + 'a {
        let count = self.corners.len();
        let edges = if self.closed || count < 2 { count } else { count - 1 };
        let runs = self.runs.iter().enumerate().filter(move |(_, run)| of(**run));
        runs.flat_map(move |(run, _)| run * RUN..edges.min((run + 1) * RUN))
            .map(move |i| (self.corners[i], self.corners[(i + 1) % count]))
    }

    fn holds(&self, p: DVec2) -> bool {
        let off = p.cmplt(self.low).any() || p.cmpgt(self.high).any();
        self.closed && !off && flaw::inside(&self.corners, p)
    }

    /// Distance of a point from the line itself.
    pub(super) fn distance(&self, p: DVec2) -> f64 {
        self.edges().map(|(a, b)| to_edge(p, a, b)).fold(f64::INFINITY, f64::min).sqrt()
    }
}

/// Square of the distance of a point from an edge.
fn to_edge(p: DVec2, a: DVec2, b: DVec2) -> f64 {
    let way = b - a;
    let t = (p - a).dot(way) / way.length_squared().max(f64::MIN_POSITIVE);
    p.distance_squared(a + way * t.clamp(0.0, 1.0))
}

/// Least and greatest corner of an edge.
fn bounds((a, b): &(DVec2, DVec2)) -> (DVec2, DVec2) {
    (a.min(*b), a.max(*b))
}

/// Square of the distance of two boxes.
fn boxes(a: (DVec2, DVec2), b: (DVec2, DVec2)) -> f64 {
    (b.0 - a.1).max(a.0 - b.1).max(DVec2::ZERO).length_squared()
}

/// Distance of two outlines; negative by how deep a corner of one lies in the other, or by a
/// hair when they cross without one. Infinite when they are farther apart than `within`.
pub(super) fn gap(one: &Outline, other: &Outline, within: f64) -> f64 {
    // So that lines which cross are seen, however little is asked for.
    let within = within.max(CROSSED);
    let farthest = within * within;
    let least = Cell::new(farthest);
    let far = |a: (DVec2, DVec2), b: (DVec2, DVec2)| boxes(a, b) >= least.get();
    let mut cross = false;
    for (a, b) in one.near(|run| !far(run, other.bounds())) {
        let edge = bounds(&(a, b));
        if far(edge, other.bounds()) {
            continue;
        }
        for (c, d) in other.near(|run| !far(edge, run)) {
            if far(edge, bounds(&(c, d))) {
                continue;
            }
            let side = |a: DVec2, b: DVec2, p: DVec2| (b - a).perp_dot(p - a);
            if side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0 {
                cross = true;
                least.set(0.0);
            } else {
                let ends = to_edge(c, a, b).min(to_edge(d, a, b));
                least.set(least.get().min(ends).min(to_edge(a, c, d)).min(to_edge(b, c, d)));
            }
        }
    }
    let least = least.get();
    let deep = |from: &Outline, into: &Outline| {
        let held = from.corners.iter().filter(|p| into.holds(**p));
        held.map(|p| into.distance(*p)).fold(f64::NEG_INFINITY, f64::max)
    };
    // Lines that neither cross nor touch lie apart, or one wholly in the other: then any corner
    // tells which.
    let first =
        |from: &Outline, into: &Outline| from.corners.first().is_some_and(|p| into.holds(*p));
    let apart = !cross && least > 0.0 && !first(one, other) && !first(other, one);
    let depth = if apart || boxes(one.bounds(), other.bounds()) > 0.0 {
        f64::NEG_INFINITY
    } else {
        deep(one, other).max(deep(other, one))
    };
    if depth > f64::NEG_INFINITY {
        -depth
    } else if cross {
        -CROSSED
    } else if least < farthest {
        least.sqrt()
    } else {
        f64::INFINITY
    }
}

/// A flaw as something to keep away from.
#[derive(Clone, Debug)]
pub(super) struct Obstacle {
    outline: Outline,
    /// Of a round one, round its only point.
    radius: f64,
}

impl Obstacle {
    pub(super) fn of(flaw: &Flaw) -> Obstacle {
        match &flaw.shape {
            FlawShape::Circle { centre, radius } => {
                Obstacle { outline: Outline::new(vec![*centre], false), radius: radius.as_mm() }
            }
            FlawShape::Polygon(corners) => {
                Obstacle { outline: Outline::closed(corners.clone()), radius: 0.0 }
            }
            FlawShape::Line(points) => {
                Obstacle { outline: Outline::new(points.clone(), false), radius: 0.0 }
            }
        }
    }

    /// Distance from an outline; negative when they overlap, infinite when it is more than `within`.
    pub(super) fn gap(&self, outline: &Outline, within: f64) -> f64 {
        gap(&self.outline, outline, within + self.radius) - self.radius
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64, half: f64) -> Outline {
        let corner = |a: f64, b: f64| DVec2::new(x + a * half, y + b * half);
        Outline::closed(vec![corner(-1., -1.), corner(1., -1.), corner(1., 1.), corner(-1., 1.)])
    }

    #[test]
    fn squares_apart_touching_and_one_in_the_other() {
        let gap = |one: &Outline, other: &Outline| gap(one, other, f64::INFINITY);
        assert!((gap(&square(0., 0., 1.), &square(5., 0., 1.)) - 3.0).abs() < 1e-12);
        let corner_to_corner = gap(&square(0., 0., 1.), &square(5., 6., 1.));
        assert!((corner_to_corner - 5.0).abs() < 1e-12, "3, 4, 5: {corner_to_corner}");
        assert!((gap(&square(0., 0., 1.), &square(0.5, 0.2, 4.)) + 3.3).abs() < 1.0);
        assert!(gap(&square(0., 0., 1.), &square(1.5, 0.5, 1.)) < 0.0);
        let cross = Outline::closed(vec![
            DVec2::new(-9., -0.1),
            DVec2::new(9., -0.1),
            DVec2::new(9., 0.1),
            DVec2::new(-9., 0.1),
        ]);
        assert!(gap(&square(0., 0., 1.), &cross) < 0.0, "crossing without a corner inside");
    }

    #[test]
    fn what_is_far_is_not_measured_and_what_is_near_the_same_as_ever() {
        let (near, far) = (square(0., 0., 1.), square(5., 6., 1.));
        assert_eq!(gap(&near, &far, 5.1), gap(&near, &far, f64::INFINITY));
        assert_eq!(gap(&near, &far, 4.9), f64::INFINITY);
        // One that holds the other is told however near it was looked for.
        assert!(gap(&near, &square(0., 0., 4.), -1.0) < -2.9);
        assert!(gap(&near, &square(1.5, 0.5, 1.), -1.0) < 0.0);
    }
}
