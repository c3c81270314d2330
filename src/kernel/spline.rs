//! Interpolating B-splines: clamped, evenly spaced knots, collocated at the Greville abscissae.
//!
//! Promised: an interpolant passes through its samples to rounding and is reversed exactly by
//! reversing its control points. Not promised: a bound on the error between samples; the caller
//! measures it at [`SplineFit::between`].

use glam::DVec3;

/// Degree of the splines where there are enough control points. Odd degrees collocate well at the
/// Greville abscissae, and 5 keeps curvature's slope continuous, so that reflections stay fair.
pub(super) const DEGREE: usize = 5;

/// The basis functions that differ from zero at a place: the first one's index, their values and
/// their slopes. Only the first `degree + 1` entries count.
#[derive(Clone, Copy, Debug)]
pub(super) struct Basis {
    pub first: usize,
    pub value: [f64; DEGREE + 1],
    pub slope: [f64; DEGREE + 1],
}

/// A clamped knot vector from 0 to 1 with evenly spaced inner knots.
#[derive(Clone, Debug)]
pub(super) struct Knots {
    pub degree: usize,
    pub count: usize,
    pub knots: Vec<f64>,
}

impl Knots {
    /// For `count` control points, at least 2.
    pub fn even(count: usize) -> Knots {
        let count = count.max(2);
        let degree = DEGREE.min(count - 1);
        let spans = count - degree;
        let knots = (0..count + degree + 1)
            .map(|k| k.saturating_sub(degree).min(spans) as f64 / spans as f64)
            .collect();
        Knots { degree, count, knots }
    }

    /// Number of stretches between different knots.
    pub fn spans(&self) -> usize {
        self.count - self.degree
    }

    /// Mean of the knots that a basis function's inside spans (T. Greville, "On the
    /// normalisation of the B-splines ...", 1967).
    fn greville(&self, i: usize) -> f64 {
        self.knots[i + 1..=i + self.degree].iter().sum::<f64>() / self.degree as f64
    }

    /// Values and slopes by the Cox-de Boor recurrence (L. Piegl, W. Tiller, "The NURBS Book",
    /// A2.2 and equation 2.7).
    pub fn basis(&self, t: f64) -> Basis {
        let p = self.degree;
        let span = ((t * self.spans() as f64) as usize).min(self.spans() - 1) + p;
        let mut value = [0.0; DEGREE + 1];
        let mut slope = [0.0; DEGREE + 1];
        value[0] = 1.0;
        for j in 1..=p {
            if j == p {
                // value holds degree p - 1, for functions span - p + 1 ..= span
                for r in 0..p {
                    let width = self.knots[span + r + 1] - self.knots[span + r + 1 - p];
                    let term = p as f64 * value[r] / width;
                    slope[r] -= term;
                    slope[r + 1] += term;
                }
            }
            let mut carried = 0.0;
            for (r, entry) in value[..j].iter_mut().enumerate() {
                let right = self.knots[span + r + 1];
                let left = self.knots[span + r + 1 - j];
                let part = *entry / (right - left);
                *entry = carried + (right - t) * part;
                carried = (t - left) * part;
            }
            value[j] = carried;
        }
        Basis { first: span - p, value, slope }
    }
}

/// A factored collocation problem for one number of control points.
#[derive(Clone, Debug)]
pub(super) struct SplineFit {
    pub knots: Knots,
    /// Where the interpolant meets its samples.
    pub sites: Vec<f64>,
    /// The places half-way between, where the error is measured.
    pub between: Vec<(f64, Basis)>,
    /// LU factors, row by row, without pivoting: the matrix is totally positive, so elimination
    /// is stable without it (C. de Boor, A. Pinkus, Numerische Mathematik 27, 1977).
    factors: Vec<f64>,
}

impl SplineFit {
    /// For `count` control points, at least 2.
    pub fn new(count: usize) -> SplineFit {
        let knots = Knots::even(count);
        let n = knots.count;
        let sites: Vec<f64> =
            (0..n).map(|i| if i + 1 == n { 1.0 } else { knots.greville(i) }).collect();
        let mut factors = vec![0.0; n * n];
        for (i, &t) in sites.iter().enumerate() {
            let basis = knots.basis(t);
            for k in 0..=knots.degree {
                factors[i * n + basis.first + k] = basis.value[k];
            }
        }
        for k in 0..n {
            for i in k + 1..n.min(k + 1 + knots.degree) {
                let ratio = factors[i * n + k] / factors[k * n + k];
                factors[i * n + k] = ratio;
                if ratio != 0.0 {
                    for j in k + 1..n.min(k + 1 + knots.degree) {
                        factors[i * n + j] -= ratio * factors[k * n + j];
                    }
                }
            }
        }
        let between = sites
            .windows(2)
            .map(|pair| (pair[0] + pair[1]) / 2.0)
            .map(|t| (t, knots.basis(t)))
            .collect();
        SplineFit { knots, sites, between, factors }
    }

    /// Turns samples at the sites into control points, in place; the samples are every `stride`th
    /// of `values` from `start` on.
    pub fn solve(&self, values: &mut [DVec3], start: usize, stride: usize) {
        let (n, p) = (self.knots.count, self.knots.degree);
        let at = |i: usize| start + i * stride;
        for i in 0..n {
            let mut sum = values[at(i)];
            for j in i.saturating_sub(p)..i {
                sum -= self.factors[i * n + j] * values[at(j)];
            }
            values[at(i)] = sum;
        }
        for i in (0..n).rev() {
            let mut sum = values[at(i)];
            for j in i + 1..n.min(i + 1 + p) {
                sum -= self.factors[i * n + j] * values[at(j)];
            }
            values[at(i)] = sum / self.factors[i * n + i];
        }
    }
}

/// Places from 0 to 1 and their weights: a Gauss-Legendre rule in each of a clamped vector's
/// `spans` (M. Abramowitz, I. Stegun, table 25.4).
///
/// A lone span may be a wide arc or bulge and gets eight points. Where there are more, each spans
/// so little of the shape that four points (exact to degree 7) leave less than a thousandth of a
/// millionth, at a quarter of the time over a surface.
pub(super) fn gauss(spans: usize) -> Vec<(f64, f64)> {
    const FOUR: [(f64, f64); 2] = [
        (0.339_981_043_584_856_3, 0.652_145_154_862_546_1),
        (0.861_136_311_594_052_6, 0.347_854_845_137_453_8),
    ];
    const EIGHT: [(f64, f64); 4] = [
        (0.183_434_642_495_649_8, 0.362_683_783_378_362),
        (0.525_532_409_916_329, 0.313_706_645_877_887_3),
        (0.796_666_477_413_626_7, 0.222_381_034_453_374_5),
        (0.960_289_856_497_536_3, 0.101_228_536_290_376_3),
    ];
    let half: &[(f64, f64)] = if spans > 1 { &FOUR } else { &EIGHT };
    let width = 1.0 / spans as f64;
    (0..spans)
        .flat_map(|span| half.iter().flat_map(move |&(x, w)| [(span, -x, w), (span, x, w)]))
        .map(|(span, x, w)| (width * (span as f64 + 0.5 + x / 2.0), width * w / 2.0))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quintic_is_reproduced_with_its_slope() {
        let f = |t: f64| 1.0 + t * (2.0 - t * (3.0 + t * (1.0 - t * (4.0 - t))));
        let slope = |t: f64| 2.0 - 6.0 * t - 3.0 * t * t + 16.0 * t.powi(3) - 5.0 * t.powi(4);
        for count in [6, 7, 12, 31] {
            let fit = SplineFit::new(count);
            let mut points: Vec<DVec3> =
                fit.sites.iter().map(|&t| DVec3::new(f(t), t, 0.0)).collect();
            fit.solve(&mut points, 0, 1);
            for k in 0..=100 {
                let t = f64::from(k) / 100.0;
                let basis = fit.knots.basis(t);
                let mut at = DVec3::ZERO;
                let mut along = DVec3::ZERO;
                for j in 0..=fit.knots.degree {
                    at += basis.value[j] * points[basis.first + j];
                    along += basis.slope[j] * points[basis.first + j];
                }
                assert!((at.x - f(t)).abs() < 1e-12, "{count} at {t}: {}", at.x - f(t));
                assert!((along.x - slope(t)).abs() < 1e-10, "{count} at {t}");
                assert!((at.y - t).abs() < 1e-13);
            }
        }
    }

    #[test]
    fn the_gauss_rules_integrate_what_they_promise() {
        for (spans, degree) in [(1, 15), (3, 7)] {
            let sum: f64 = gauss(spans).iter().map(|(x, w)| w * x.powi(degree)).sum();
            assert!((sum * f64::from(degree + 1) - 1.0).abs() < 1e-14, "{spans}: {sum}");
        }
    }
}
