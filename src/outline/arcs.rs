//! Fits tangent arcs to a closed curve.
//!
//! Promised: the path is closed and counter-clockwise, its arcs are tangent to each other except
//! at the curve's own corners, no arc is longer than half a circle or without length, and the
//! error is measured on finer samples than the fit used, both ways. Not promised: the fewest arcs
//! possible. The longest pair of arcs that still fits is taken, time after time, which is within
//! a few per cent of the fewest.

use super::segment::Segment;
use super::trace::{Knot, Run, SHORTEST_STEP, Trace};
use super::{ArcPath, ArcVertex};
use crate::shape::PlanCurve;
use crate::units::Length;
use glam::DVec2;

/// Arcs may leave the true curve by this much: a tenth of what a router of this class repeats
/// (common practice, no source).
pub const ARC_FIT: Length = Length::mm(0.005);

/// Finest tolerance that is honoured; below it rounding in the pieces' own formulae would show.
const FINEST: f64 = 1e-5;

/// An arc that leaves its chord by less than this, in mm, is written as a straight line. A
/// hundred times finer than the finest fit a router could show.
const STRAIGHT: f64 = 1e-5;

/// Arcs of a pair stay under this bulge (about 124 degrees), so that a pair never folds over.
const MOST_BULGE: f64 = 0.6;

/// Each step between samples is measured at so many places.
const FINER: usize = 2;

/// A fitted path and how well it fits.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// The arcs. Empty if the curve has no length or gives points that are not finite.
    pub path: ArcPath,
    /// Greatest distance between curve and path, measured both ways; infinite for an empty path.
    pub error: Length,
}

/// A stretch of path and the samples that it stands for.
#[derive(Clone, Copy, Debug)]
struct ArcFit {
    segment: Segment,
    from: usize,
    to: usize,
}

/// Fits a closed path of lines and tangent arcs to pieces that are joined end to end into a
/// counter-clockwise loop, each smooth over its parameter 0 to 1, within `tolerance`.
///
/// A loop that runs clockwise is turned round. If the tolerance can't be kept (a kinked piece,
/// say), the best found is returned: look at the error.
pub fn fit(pieces: &[PlanCurve], tolerance: Length) -> Fitted {
    let tolerance = if tolerance.as_mm() > FINEST { tolerance.as_mm() } else { FINEST };
    let mut best = nothing();
    let Some(trace) = Trace::new(pieces) else {
        return best;
    };
    let Some(runs) = trace.runs(tolerance.clamp(1e-3, 0.02)) else {
        return best;
    };
    let mut vertices = Vec::new();
    let mut error: f64 = 0.0;
    for run in runs {
        let (fits, off) = fit_run(&trace, run, tolerance);
        error = error.max(off);
        let corners = fits.iter().map(|f| &f.segment);
        vertices.extend(corners.map(|s| ArcVertex { point: s.from, bulge: s.bulge }));
    }
    if error.is_finite() {
        best = Fitted { path: ArcPath { vertices, closed: true }, error: Length::mm(error) };
    }
    if best.path.signed_area() < 0.0 {
        best.path = best.path.reversed();
    }
    best
}

fn nothing() -> Fitted {
    Fitted {
        path: ArcPath { vertices: Vec::new(), closed: true },
        error: Length::mm(f64::INFINITY),
    }
}

/// Fits one run and measures the fit; where samples were too far apart to see the error, they
/// are put closer and the fit is done again.
fn fit_run(trace: &Trace, mut run: Run, tolerance: f64) -> (Vec<ArcFit>, f64) {
    // Samples miss the very peak of the error; a small reserve usually makes the first try good.
    let mut aim = 0.95 * tolerance;
    let mut best = (Vec::new(), f64::INFINITY);
    for _ in 0..8 {
        let fits = tidy(span(trace, &run, aim));
        let dense = densely(trace, &run.knots);
        let errors = measure(&dense, &fits);
        let error = errors.iter().copied().fold(0.0, f64::max);
        if error < best.1 {
            best = (fits.clone(), error);
        }
        if error <= tolerance {
            break;
        }
        let bad: Vec<&ArcFit> =
            fits.iter().zip(&errors).filter(|(_, e)| **e > tolerance).map(|(f, _)| f).collect();
        if bad.iter().any(|fit| fit.to - fit.from > 16) {
            aim *= 0.85;
        }
        let within = |i: usize| bad.iter().any(|fit| (fit.from..=fit.to).contains(&i));
        // a jump in a piece has nothing between its two sides
        let apart = |i: usize| {
            let gap = |j: usize| dense[i].point.distance(dense[j].point);
            gap(i - 1).min(gap(i + 1)) > SHORTEST_STEP
        };
        let keep = |i: usize| i.is_multiple_of(FINER) || (within(i / FINER) && apart(i));
        run.knots = (0..dense.len()).filter(|&i| keep(i)).map(|i| dense[i]).collect();
    }
    best
}

/// Covers a run with pairs of arcs, each as long as the tolerance allows.
fn span(trace: &Trace, run: &Run, tolerance: f64) -> Vec<ArcFit> {
    let knots = &run.knots;
    let end = knots.len() - 1;
    let direction = |i: usize| match i {
        0 => run.first,
        i if i == end => run.last,
        i => {
            let (before, after) = (knots[i - 1], knots[i + 1]);
            trace.direction(knots[i].u, before.point.distance(after.point) / (after.u - before.u))
        }
    };
    let mut fits = Vec::new();
    let mut at = 0;
    let mut leave = direction(0);
    let mut stride = 8;
    while at < end {
        let attempt = |to: usize| {
            let arrive = direction(to);
            let pair = biarc(knots[at].point, leave, knots[to].point, arrive)?;
            let inner = &knots[at + 1..to];
            let course = ArcPair::new(&pair);
            let near = inner.iter().all(|knot| course.off(knot.point) <= tolerance);
            near.then_some((pair, arrive))
        };
        let mut good = None;
        let mut reach = at + 1;
        let mut beyond = end + 1;
        let mut next = (at + stride).min(end);
        loop {
            match attempt(next) {
                Some(found) => {
                    good = Some(found);
                    reach = next;
                }
                None => beyond = next,
            }
            let known = if good.is_some() { reach } else { at };
            if beyond - known <= 1 {
                break;
            }
            // double until one is too far, then halve the gap
            next = if beyond > end { (2 * reach - at).min(end) } else { known.midpoint(beyond) };
        }
        stride = reach - at;
        if let Some(([first, second], arrive)) = good {
            let before = |k: &&Knot| (k.point - first.to).dot(first.end_direction()) < 0.0;
            let split = at + knots[at..reach].iter().take_while(before).count();
            fits.push(ArcFit { segment: first, from: at, to: split });
            fits.push(ArcFit { segment: second, from: split.saturating_sub(1), to: reach });
            leave = arrive;
        } else {
            let segment = Segment { from: knots[at].point, to: knots[reach].point, bulge: 0.0 };
            fits.push(ArcFit { segment, from: at, to: reach });
            leave = direction(reach);
        }
        at = reach;
    }
    fits
}

/// Two arcs from `p0` along `t0` to `p1` along `t1` that are tangent where they meet, with equal
/// lengths from each end to the crossing of its tangents (Bolton, "Biarc curves",
/// Computer-Aided Design 7(2), 1975, has the family).
fn biarc(p0: DVec2, t0: DVec2, p1: DVec2, t1: DVec2) -> Option<[Segment; 2]> {
    let across = p1 - p0;
    let square = across.length_squared();
    let along = across.dot(t0 + t1);
    let turn = 2.0 * (1.0 - t0.dot(t1)).max(0.0);
    let below = along + (along * along + turn * square).sqrt();
    let reach = square / below;
    if !(reach.is_finite() && reach > 0.0) {
        return None;
    }
    let joint = 0.5 * (p0 + p1 + (t0 - t1) * reach);
    let first = tangent_arc(p0, joint, t0, 1.0)?;
    let second = tangent_arc(joint, p1, t1, -1.0)?;
    Some([first, second])
}

/// The arc between two points that has the given direction at its start (side 1) or end (side
/// -1).
fn tangent_arc(from: DVec2, to: DVec2, direction: DVec2, side: f64) -> Option<Segment> {
    let chord = to - from;
    let length = chord.length();
    // half the included angle lies between chord and tangent; tan of its half needs no angle
    let bulge = side * direction.perp_dot(chord) / (length + direction.dot(chord));
    (length > 1e-4 && bulge.abs() <= MOST_BULGE).then_some(Segment { from, to, bulge })
}

/// A pair made ready to be asked for many points.
struct ArcPair {
    joint: DVec2,
    onward: DVec2,
    rounds: [(Segment, Option<DVec2>, f64); 2],
}

impl ArcPair {
    fn new(pair: &[Segment; 2]) -> ArcPair {
        let rounds = pair.map(|arc| (arc, arc.centre(), arc.radius()));
        ArcPair { joint: pair[0].to, onward: pair[0].end_direction(), rounds }
    }

    /// How far a point is off the pair, taking the arc on whose side of the joint it lies.
    fn off(&self, point: DVec2) -> f64 {
        let past = (point - self.joint).dot(self.onward) > 0.0;
        let (arc, centre, radius) = &self.rounds[usize::from(past)];
        match centre {
            Some(centre) => (point.distance(*centre) - radius).abs(),
            None => arc.distance(point),
        }
    }
}

/// Writes nearly straight arcs as lines and joins neighbours that are parts of one line or circle.
fn tidy(mut fits: Vec<ArcFit>) -> Vec<ArcFit> {
    for fit in &mut fits {
        let chord = fit.segment.from.distance(fit.segment.to);
        if 0.5 * chord * fit.segment.bulge.abs() < STRAIGHT {
            fit.segment.bulge = 0.0;
        }
    }
    let mut out: Vec<ArcFit> = Vec::with_capacity(fits.len());
    for fit in fits {
        let joint = out.last().and_then(|last| joined(&last.segment, &fit.segment));
        match (joint, out.last_mut()) {
            (Some(segment), Some(last)) => *last = ArcFit { segment, to: fit.to, ..*last },
            _ => out.push(fit),
        }
    }
    out
}

/// Two neighbours as one segment, if they are parts of one line, or of one circle and together
/// no more than half of it.
fn joined(a: &Segment, b: &Segment) -> Option<Segment> {
    let whole = Segment { from: a.from, to: b.to, bulge: 0.0 };
    match (a.centre(), b.centre()) {
        (None, None) => {
            let bend = a.start_direction().dot(b.start_direction());
            (bend > 0.0 && whole.distance(a.to) < STRAIGHT).then_some(whole)
        }
        (Some(c), Some(d)) => {
            let sweep = a.sweep() + b.sweep();
            let same = c.distance(d) < STRAIGHT && (a.radius() - b.radius()).abs() < STRAIGHT;
            let half = sweep.abs() <= std::f64::consts::PI && a.bulge * b.bulge > 0.0;
            (same && half).then_some(Segment { bulge: (sweep / 4.0).tan(), ..whole })
        }
        _ => None,
    }
}

/// The knots and places between them.
fn densely(trace: &Trace, knots: &[Knot]) -> Vec<Knot> {
    let mut dense = Vec::with_capacity(knots.len() * FINER);
    for pair in knots.windows(2) {
        dense.push(pair[0]);
        for k in 1..FINER {
            let u = pair[0].u + (pair[1].u - pair[0].u) * k as f64 / FINER as f64;
            dense.push(Knot { u, point: trace.at(u) });
        }
    }
    dense.extend(knots.last());
    dense
}

/// Greatest distance in mm between the curve and each stretch of its path, from each to the
/// other.
fn measure(dense: &[Knot], fits: &[ArcFit]) -> Vec<f64> {
    let points: Vec<DVec2> = dense.iter().map(|knot| knot.point).collect();
    let mut errors = Vec::with_capacity(fits.len());
    for (i, fit) in fits.iter().enumerate() {
        let mut worst: f64 = 0.0;
        let near = &fits[i.saturating_sub(1)..(i + 2).min(fits.len())];
        for &point in &points[fit.from * FINER..=fit.to * FINER] {
            let d = near.iter().map(|f| f.segment.distance(point)).fold(f64::INFINITY, f64::min);
            worst = worst.max(d);
        }
        let low = fit.from.saturating_sub(1) * FINER;
        let high = ((fit.to + 1) * FINER).min(points.len() - 1);
        for k in 1..8 {
            let point = fit.segment.point_at(f64::from(k) / 8.0);
            worst = worst.max(distance_to_samples(point, &points[low..=high]));
        }
        errors.push(if worst.is_nan() { f64::INFINITY } else { worst });
    }
    errors
}

/// Distance from a point to the curve through dense samples: to the circle through the nearest
/// one and its neighbours, which leaves the curve by far less than the samples' own spacing.
fn distance_to_samples(point: DVec2, samples: &[DVec2]) -> f64 {
    let mut nearest = (f64::INFINITY, 0);
    for (i, sample) in samples.iter().enumerate() {
        let d = sample.distance_squared(point);
        if d < nearest.0 {
            nearest = (d, i);
        }
    }
    let Some(last) = samples.len().checked_sub(2).filter(|&last| last > 0) else {
        return nearest.0.sqrt();
    };
    let i = nearest.1.clamp(1, last);
    let (a, b, c) = (samples[i - 1], samples[i], samples[i + 1]);
    let (first, second) = (b - a, c - b);
    let bulge = first.perp_dot(second)
        / (first.dot(second) + first.length() * second.length()).max(f64::MIN_POSITIVE);
    Segment { from: a, to: c, bulge }.distance(point).min(nearest.0.sqrt())
}

#[cfg(test)]
mod tests;
