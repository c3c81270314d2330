//! The true curve that arcs are fitted to: pieces joined end to end, sampled as finely as they
//! bend, with directions taken from the pieces themselves.

use crate::shape::PlanCurve;
use glam::DVec2;

/// Pieces joined by more than this angle meet in a corner; less counts as smooth and the
/// direction there is the mean of the two. 0.1 degree over a millimetre is under two
/// thousandths of a millimetre: far under what any router shows (common practice, no source).
const CORNER: f64 = 0.1 * std::f64::consts::PI / 180.0;

/// Length in mm over which a direction is measured: short against any bend, long against
/// rounding.
const PROBE: f64 = 0.01;

/// Steps between samples are no longer than this, in mm, so that a run of almost no curvature
/// still gets enough of them.
const LONGEST_STEP: f64 = 4.0;

/// Samples nearer to each other than this, in mm, count as one. It also bounds the shortest arc.
pub(super) const SHORTEST_STEP: f64 = 2e-3;

/// A sample of the curve.
#[derive(Clone, Copy, Debug)]
pub(super) struct Knot {
    /// Number of the piece plus the parameter in it.
    pub u: f64,
    /// Where, in mm.
    pub point: DVec2,
}

/// A smooth stretch from corner to corner, or the whole loop if there is none.
pub(super) struct Run {
    /// At least two.
    pub knots: Vec<Knot>,
    /// Direction in which it leaves its first knot.
    pub first: DVec2,
    /// Direction in which it arrives at its last knot.
    pub last: DVec2,
}

/// The pieces that have any length.
pub(super) struct Trace<'a> {
    pieces: Vec<&'a PlanCurve>,
}

impl<'a> Trace<'a> {
    /// Keeps the pieces that have any length. None if there are none, or if a piece gives
    /// anything but finite points.
    pub fn new(pieces: &'a [PlanCurve]) -> Option<Trace<'a>> {
        let mut kept = Vec::with_capacity(pieces.len());
        for piece in pieces {
            let start = piece(0.0);
            let mut reach: f64 = 0.0;
            for i in 0..=8 {
                let point = piece(f64::from(i) / 8.0);
                if !point.is_finite() {
                    return None;
                }
                reach = reach.max(point.distance(start));
            }
            if reach > SHORTEST_STEP {
                kept.push(piece);
            }
        }
        (!kept.is_empty()).then_some(Trace { pieces: kept })
    }

    /// The point at a running parameter; goes round past the end.
    pub fn at(&self, u: f64) -> DVec2 {
        let (piece, t) = self.locate(u);
        self.pieces[piece](t)
    }

    fn locate(&self, u: f64) -> (usize, f64) {
        let whole = u.floor();
        (whole.max(0.0) as usize % self.pieces.len(), u - whole)
    }

    /// Direction of travel, unit length; the mean of both sides at a join. `speed` is about how
    /// far the point moves, in mm, per unit of the parameter.
    pub fn direction(&self, u: f64, speed: f64) -> DVec2 {
        let (piece, t) = self.locate(u);
        if t == 0.0 {
            return (self.arriving(piece) + self.leaving(piece)).normalize_or_zero();
        }
        let curve = self.pieces[piece];
        let h = (PROBE / speed).clamp(1e-9, 0.02);
        if t < h {
            one_sided(curve, t, 1.0)
        } else if t + h > 1.0 {
            one_sided(curve, t, -1.0)
        } else {
            (curve(t + h) - curve(t - h)).normalize_or_zero()
        }
    }

    fn leaving(&self, piece: usize) -> DVec2 {
        one_sided(self.pieces[piece], 0.0, 1.0)
    }

    /// Direction at the end of the piece before this one.
    fn arriving(&self, piece: usize) -> DVec2 {
        let before = (piece + self.pieces.len() - 1) % self.pieces.len();
        one_sided(self.pieces[before], 1.0, -1.0)
    }

    fn is_corner(&self, piece: usize) -> bool {
        let angle = self.arriving(piece).angle_to(self.leaving(piece));
        angle.is_nan() || angle.abs() > CORNER
    }

    /// The smooth stretches, in order, sampled so that the curve leaves the chord between two
    /// samples by about `sagitta` (mm) at most. None if a sample is not finite.
    pub fn runs(&self, sagitta: f64) -> Option<Vec<Run>> {
        let count = self.pieces.len();
        let corners: Vec<usize> = (0..count).filter(|&piece| self.is_corner(piece)).collect();
        let mut starts = corners.clone();
        if starts.is_empty() {
            starts.push(0);
        }
        let mut runs = Vec::with_capacity(starts.len());
        for (i, &start) in starts.iter().enumerate() {
            let end = starts.get(i + 1).copied().unwrap_or(starts[0] + count);
            let mut knots = vec![Knot { u: start as f64, point: self.at(start as f64) }];
            for piece in start..end {
                sample(self.pieces[piece % count], piece as f64, sagitta, &mut knots);
            }
            // the last one is where the next run starts, exactly
            let close = Knot { u: end as f64, point: self.at(end as f64) };
            while knots.len() > 1
                && knots.last().is_some_and(|k| k.point.distance(close.point) < SHORTEST_STEP)
            {
                knots.pop();
            }
            knots.push(close);
            if knots.iter().any(|knot| !knot.point.is_finite()) {
                return None;
            }
            let (first, last) = if corners.is_empty() {
                // the speed only matters inside a piece
                (self.direction(start as f64, 1.0), self.direction(start as f64, 1.0))
            } else {
                (self.leaving(start), self.arriving(end % count))
            };
            runs.push(Run { knots, first, last });
        }
        Some(runs)
    }
}

/// Appends the samples of one piece after the first.
fn sample(curve: &PlanCurve, base: f64, sagitta: f64, knots: &mut Vec<Knot>) {
    const FIRST: usize = 8;
    // Halved at most so often: 8 * 2^12 samples of a piece are more than any real one needs.
    const DEEPEST: u32 = 12;
    let mut from = (0.0, curve(0.0));
    let mut ahead = Vec::with_capacity(16);
    for i in 1..=FIRST {
        let t = i as f64 / FIRST as f64;
        ahead.push((t, curve(t), 0));
        while let Some((t, point, depth)) = ahead.pop() {
            let length = point.distance(from.1);
            let halfway = 0.5 * (from.0 + t);
            let middle = curve(halfway);
            // twice the area of the triangle over its base is its height; halves bend a quarter
            let height = (point - from.1).perp_dot(middle - from.1).abs() / length.max(1e-12);
            let (first, second) = (middle - from.1, point - middle);
            // neighbours of very different lengths hide what lies between them
            let uneven = first.length() > 3.0 * second.length() + SHORTEST_STEP
                || second.length() > 3.0 * first.length() + SHORTEST_STEP;
            let coarse = length > 2.0 * LONGEST_STEP
                || height > 4.0 * sagitta
                || uneven
                || first.dot(second) < 0.0;
            if depth < DEEPEST && coarse && length > SHORTEST_STEP {
                ahead.push((t, point, depth + 1));
                ahead.push((halfway, middle, depth + 1));
                continue;
            }
            from = (t, point);
            for (t, point) in [(halfway, middle), from] {
                if knots.last().is_none_or(|k| k.point.distance(point) >= SHORTEST_STEP) {
                    knots.push(Knot { u: base + t, point });
                }
            }
        }
    }
}

/// The parameter step that moves about `PROBE` from `t` towards `side`.
fn step(curve: &PlanCurve, t: f64, side: f64) -> f64 {
    let probe = 1e-6;
    let moved = curve(t + side * probe).distance(curve(t));
    if moved > 0.0 { (probe * PROBE / moved).clamp(1e-9, 0.02) } else { 0.02 }
}

/// Direction from one side only, by the three-point formula, so that no piece is asked for a
/// parameter outside 0 to 1.
fn one_sided(curve: &PlanCurve, t: f64, side: f64) -> DVec2 {
    let h = step(curve, t, side);
    let (here, near, far) = (curve(t), curve(t + side * h), curve(t + side * 2.0 * h));
    let slope = near * 4.0 - here * 3.0 - far;
    let chord = near - here;
    // The formula is void where the parameter stands still at the end; the chord is not.
    let useful = slope.length() > 0.1 * chord.length();
    (if useful { slope } else { chord } * side).normalize_or_zero()
}
