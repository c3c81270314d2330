//! Smooth curves through stations: the cubic spline of least bending, and quintic joins.

/// A natural cubic spline: twice continuously differentiable, straight beyond its ends.
///
/// Source: the standard tridiagonal system for the second derivatives (any numerics text).
#[derive(Clone, Debug)]
pub(crate) struct Spline {
    x: Vec<f64>,
    y: Vec<f64>,
    /// Second derivatives at the knots; 0 at both ends.
    bend: Vec<f64>,
}

impl Spline {
    /// Through the points, whose x must rise strictly. No point: zero everywhere. One: constant.
    pub(crate) fn natural(points: &[(f64, f64)]) -> Spline {
        let (x, y): (Vec<f64>, Vec<f64>) = points.iter().copied().unzip();
        let bend = natural_bends(&x, &y);
        Spline { x, y, bend }
    }

    /// The piece that holds `at`: index of its right knot.
    fn piece(&self, at: f64) -> usize {
        self.x.partition_point(|knot| *knot <= at).clamp(1, self.x.len() - 1)
    }

    /// Value, slope and second derivative.
    pub(crate) fn jet(&self, at: f64) -> [f64; 3] {
        match self.x.len() {
            0 => return [0.0; 3],
            1 => return [self.y[0], 0.0, 0.0],
            _ => {}
        }
        let inside = at.clamp(self.x[0], self.x[self.x.len() - 1]);
        let i = self.piece(inside);
        let h = self.x[i] - self.x[i - 1];
        let (a, b) = ((self.x[i] - inside) / h, (inside - self.x[i - 1]) / h);
        let (left, right) = (self.bend[i - 1], self.bend[i]);
        let value = a * self.y[i - 1]
            + b * self.y[i]
            + ((a * a * a - a) * left + (b * b * b - b) * right) * h * h / 6.0;
        let slope = (self.y[i] - self.y[i - 1]) / h
            + ((3.0 * b * b - 1.0) * right - (3.0 * a * a - 1.0) * left) * h / 6.0;
        if inside == at {
            [value, slope, a * left + b * right]
        } else {
            [value + slope * (at - inside), slope, 0.0]
        }
    }

    /// Value.
    pub(crate) fn value(&self, at: f64) -> f64 {
        self.jet(at)[0]
    }

    /// Places between `from` and `to` at which to look for its steepest and its least, closer where
    /// its stations are.
    pub(crate) fn looks(&self, from: f64, to: f64) -> Vec<f64> {
        const PARTS: u32 = 12;
        let inner = self.x.iter().copied().filter(|x| *x > from && *x < to);
        let marks: Vec<f64> = [from].into_iter().chain(inner).chain([to]).collect();
        let part =
            |pair: &[f64], i: u32| pair[0] + (pair[1] - pair[0]) * f64::from(i) / f64::from(PARTS);
        marks.windows(2).flat_map(|pair| (0..=PARTS).map(move |i| part(pair, i))).collect()
    }
}

/// A size along the handle: the natural spline of its logarithm, so that it stays positive however
/// the stations lie, and swells and thins by shares rather than by amounts.
#[derive(Clone, Debug)]
pub(crate) struct Swell(Spline);

impl Swell {
    /// Through the points, whose x must rise strictly and whose sizes must be positive.
    pub(crate) fn through(points: &[(f64, f64)]) -> Swell {
        let logs: Vec<(f64, f64)> = points.iter().map(|(x, size)| (*x, size.ln())).collect();
        Swell(Spline::natural(&logs))
    }

    /// Value, slope and second derivative.
    pub(crate) fn jet(&self, at: f64) -> [f64; 3] {
        let [log, slope, bend] = self.0.jet(at);
        let value = log.exp();
        [value, value * slope, value * (bend + slope * slope)]
    }

    /// Value.
    pub(crate) fn value(&self, at: f64) -> f64 {
        self.0.value(at).exp()
    }

    /// As of a [`Spline`].
    pub(crate) fn looks(&self, from: f64, to: f64) -> Vec<f64> {
        self.0.looks(from, to)
    }
}

/// A line through stations that never passes the sizes on both sides of it: twice continuously
/// differentiable, and level at its first and its last station and beyond them.
#[derive(Clone, Debug)]
pub(crate) struct Eased(Vec<[f64; 3]>);

impl Eased {
    /// Through the points, whose x must rise strictly; at least one.
    pub(crate) fn through(points: &[(f64, f64)]) -> Eased {
        let slope = |i: usize| {
            let (before, here) = (points.get(i.wrapping_sub(1)), points[i]);
            let of = |(p, q): ((f64, f64), (f64, f64))| (q.1 - p.1) / (q.0 - p.0);
            let [one, other] =
                [before.map(|p| of((*p, here))), points.get(i + 1).map(|q| of((here, *q)))]
                    .map(Option::unwrap_or_default);
            // No steeper than the gentler of the two sides: each piece then only rises or only falls.
            if one * other > 0.0 { one.signum() * one.abs().min(other.abs()) } else { 0.0 }
        };
        Eased((0..points.len()).map(|i| [points[i].0, points[i].1, slope(i)]).collect())
    }

    /// Value.
    pub(crate) fn value(&self, at: f64) -> f64 {
        let next = self.0.partition_point(|[x, ..]| *x <= at);
        let Some([to, end, leaves]) = self.0.get(next) else {
            return self.0.last().map_or(0.0, |last| last[1]);
        };
        let Some([from, start, goes]) = next.checked_sub(1).map(|before| self.0[before]) else {
            return *end;
        };
        let long = to - from;
        let t = (at - from) / long;
        start + (end - start) * ease(t) + long * (goes * dying(t)[0] - leaves * dying(1.0 - t)[0])
    }
}

/// Second derivatives of the natural spline, by the Thomas algorithm.
fn natural_bends(x: &[f64], y: &[f64]) -> Vec<f64> {
    let n = x.len();
    let mut bend = vec![0.0; n];
    if n < 3 {
        return bend;
    }
    let mut upper = vec![0.0; n];
    for i in 1..n - 1 {
        let (before, after) = (x[i] - x[i - 1], x[i + 1] - x[i]);
        let right = 6.0 * ((y[i + 1] - y[i]) / after - (y[i] - y[i - 1]) / before);
        let pivot = 2.0 * (before + after) - before * upper[i - 1];
        upper[i] = after / pivot;
        bend[i] = (right - before * bend[i - 1]) / pivot;
    }
    for i in (1..n - 1).rev() {
        bend[i] -= upper[i] * bend[i + 1];
    }
    bend
}

/// The quintic that joins a curve's value, slope and bend at `from` to rest at zero at `to`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Settle {
    from: f64,
    span: f64,
    jet: [f64; 3],
}

impl Settle {
    /// From a jet (value, slope, second derivative) at `from` to zero at `to`.
    pub(crate) fn new(from: f64, to: f64, jet: [f64; 3]) -> Settle {
        Settle { from, span: to - from, jet }
    }

    /// Value at a place between the ends; 0 beyond.
    pub(crate) fn value(&self, at: f64) -> f64 {
        let t = ((at - self.from) / self.span).clamp(0.0, 1.0);
        let rest = 1.0 - t;
        let cube = rest * rest * rest;
        // Quintic Hermite basis functions of value, slope and bend at 0 that vanish to the second
        // order at 1.
        cube * (self.jet[0] * (1.0 + 3.0 * t + 6.0 * t * t)
            + self.jet[1] * self.span * t * (1.0 + 3.0 * t)
            + self.jet[2] * self.span * self.span * 0.5 * t * t)
    }
}

/// A slope of one at 0 that has died out at 1, and its slope: the quintic Hermite function of the
/// slope.
pub(crate) fn dying(t: f64) -> [f64; 2] {
    let t = t.clamp(0.0, 1.0);
    let rest = 1.0 - t;
    [rest.powi(3) * t * (1.0 + 3.0 * t), rest * rest * (1.0 + 2.0 * t - 15.0 * t * t)]
}

/// Rises from 0 to 1 with no slope and no bend at either end (the quintic smoothstep).
pub(crate) fn ease(t: f64) -> f64 {
    let t = t.clamp(0.0, 1.0);
    t * t * t * (10.0 - t * (15.0 - 6.0 * t))
}

/// Slope of [`ease`].
pub(crate) fn ease_slope(t: f64) -> f64 {
    if (0.0..=1.0).contains(&t) { 30.0 * t * t * (1.0 - t) * (1.0 - t) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_spline_passes_its_stations_and_is_smooth_between() {
        let spline = Spline::natural(&[(0.0, 12.0), (110.0, 7.5), (200.0, 7.0)]);
        for (x, y) in [(0.0, 12.0), (110.0, 7.5), (200.0, 7.0)] {
            assert!((spline.value(x) - y).abs() < 1e-12);
        }
        let (before, after) = (spline.jet(110.0 - 1e-7), spline.jet(110.0 + 1e-7));
        assert!((before[1] - after[1]).abs() < 1e-8 && (before[2] - after[2]).abs() < 1e-8);
    }

    #[test]
    fn a_size_passes_its_stations_and_never_vanishes() {
        let stations = [(0.0, 15.0), (50.0, 7.0), (250.0, 4.0)];
        let swell = Swell::through(&stations);
        for (x, size) in stations {
            assert!((swell.value(x) - size).abs() < 1e-12);
        }
        assert!((-20..300).all(|x| swell.value(f64::from(x)) > 1.0));
        let (h, [_, slope, bend]) = (1e-4, swell.jet(80.0));
        let [before, here, after] = [80.0 - h, 80.0, 80.0 + h].map(|x| swell.value(x));
        assert!(((after - before) / (2.0 * h) - slope).abs() < 1e-7);
        assert!(((after - 2.0 * here + before) / (h * h) - bend).abs() < 1e-4);
    }

    #[test]
    fn an_eased_line_passes_its_stations_and_swings_past_none() {
        let stations = [(10.0, 2.0), (60.0, 2.2), (70.0, 5.0), (150.0, 3.0), (151.0, 3.0)];
        let line = Eased::through(&stations);
        for (x, size) in stations {
            assert!((line.value(x) - size).abs() < 1e-12);
        }
        for pair in stations.windows(2) {
            let [(from, a), (to, b)] = [pair[0], pair[1]];
            let looks: Vec<f64> =
                (0..=200).map(|i| line.value(from + (to - from) * f64::from(i) / 200.0)).collect();
            let way = (b - a).signum();
            assert!(looks.windows(2).all(|w| way * (w[1] - w[0]) >= -1e-12), "{from}");
        }
        let h = 1e-3;
        for x in [10.0, 60.0, 70.0, 150.0, 151.0] {
            let bend =
                |x: f64| (line.value(x + h) - 2.0 * line.value(x) + line.value(x - h)) / (h * h);
            assert!((bend(x - h) - bend(x + h)).abs() < 0.05, "at {x}");
        }
        assert_eq!([line.value(0.0), line.value(200.0)], [2.0, 3.0]);
    }

    #[test]
    fn a_spline_is_straight_beyond_its_ends() {
        let spline = Spline::natural(&[(0.0, 0.0), (1.0, 1.0), (2.0, 0.0)]);
        let [value, slope, bend] = spline.jet(3.0);
        assert_eq!(bend, 0.0);
        assert!((value - slope).abs() < 1e-12, "one past the end, from zero");
    }

    #[test]
    fn a_settling_curve_keeps_the_jet_and_comes_to_rest() {
        let settle = Settle::new(10.0, 30.0, [4.0, 0.3, -0.02]);
        let h = 1e-4;
        let at = |x: f64| settle.value(x);
        assert!((at(10.0) - 4.0).abs() < 1e-12);
        assert!(((at(10.0 + h) - at(10.0)) / h - 0.3).abs() < 1e-5);
        let bend = (at(10.0 + 2.0 * h) - 2.0 * at(10.0 + h) + at(10.0)) / (h * h);
        assert!((bend + 0.02).abs() < 1e-4);
        assert!(at(30.0 - h).abs() < 1e-10);
    }
}
