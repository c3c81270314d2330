//! A head's own outline: how many times wider than the plain one it is.

use super::spline::{Spline, ease, ease_slope};

/// A factor along the head: one at the neck and at the widest place, and at each station what makes
/// the outline as wide as it asks for. Its logarithm is a smooth spline that dies out towards the
/// neck, so that the outline leaves the neck as a plain one does.
#[derive(Clone, Debug)]
pub(crate) struct Spread {
    logs: Spline,
    neck: f64,
    /// Length over which it dies out, from the first station back to the neck.
    fades: f64,
}

impl Spread {
    /// Through stations of (x, size); `plain` is the size of the plain outline at an x. None without
    /// stations.
    pub(crate) fn through(
        stations: &[(f64, f64)],
        plain: impl Fn(f64) -> f64,
        [neck, widest]: [f64; 2],
    ) -> Option<Spread> {
        if stations.is_empty() {
            return None;
        }
        let mut knots: Vec<(f64, f64)> =
            stations.iter().map(|(x, size)| (*x, (size / plain(*x)).ln())).collect();
        let place = knots.partition_point(|(x, _)| *x < widest);
        knots.insert(place, (widest, 0.0));
        let fades = knots[0].0 - neck;
        Some(Spread { logs: Spline::natural(&knots), neck, fades })
    }

    /// The factor and its slope at a place along the head.
    pub(crate) fn jet(&self, x: f64) -> [f64; 2] {
        let [log, slope, _] = self.logs.jet(x);
        let t = (x - self.neck) / self.fades;
        let (there, grows) = (ease(t), ease_slope(t) / self.fades);
        let factor = (there * log).exp();
        [factor, factor * (grows * log + there * slope)]
    }

    /// Places at which to look for its steepest, from one to another.
    pub(crate) fn looks(&self, from: f64, to: f64) -> Vec<f64> {
        self.logs.looks(from, to)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_one_at_the_neck_and_the_widest_place_and_passes_its_stations() {
        let plain = |x: f64| 20.0 + 0.1 * (x - 200.0);
        let stations = [(230.0, 30.0), (285.0, 20.0)];
        let spread = Spread::through(&stations, plain, [200.0, 255.0]).expect("it has stations");
        assert_eq!(spread.jet(200.0), [1.0, 0.0]);
        assert!((spread.jet(255.0)[0] - 1.0).abs() < 1e-12);
        for (x, size) in stations {
            assert!((spread.jet(x)[0] * plain(x) - size).abs() < 1e-12);
        }
        let h = 1e-6;
        for x in [205.0, 222.0, 230.0, 255.0, 270.0, 298.0] {
            let measured = (spread.jet(x + h)[0] - spread.jet(x - h)[0]) / (2.0 * h);
            assert!((measured - spread.jet(x)[1]).abs() < 1e-7, "at {x}");
        }
    }
}
