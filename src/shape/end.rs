//! The handle's end: how it closes, in plan and in profile alike, and a knob that it swells to.

use super::spline::{Swell, ease, ease_slope};

/// How a handle's end closes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum EndCurve {
    /// As a superellipse of that exponent.
    Power(f64),
    /// To a point, which is eased: see [`POINT`].
    Point,
}

/// Radius of a pointed end at its very point, as a share of an ellipse's of the same length and width:
/// a sharp point would break off. By eye.
const POINT: f64 = 0.12;

impl EndCurve {
    /// Share of the width, and of the thickness, at a share of the end's length: 1 where it begins, 0 at
    /// the very end.
    pub(crate) fn close(self, share: f64) -> f64 {
        match self {
            EndCurve::Power(n) => (1.0 - share.powf(n)).max(0.0).powf(1.0 / n),
            // An arc of a parabola; its last factor eases the point.
            EndCurve::Point => {
                let square = share * share;
                ((1.0 - square) * (1.0 - (1.0 - POINT) * square)).max(0.0).sqrt()
            }
        }
    }

    /// The same as what is taken from the width, each to the power n.
    pub(crate) fn taken(self, share: f64, n: f64) -> f64 {
        if self == EndCurve::Power(n) { share.powf(n) } else { 1.0 - self.close(share).powf(n) }
    }

    /// The curve by a polar angle, as shares of the length and of the width: a regular parameter all
    /// round it, also at the very end.
    pub(crate) fn polar(self, angle: f64) -> [f64; 2] {
        match self {
            EndCurve::Power(n) => polar(angle, n),
            EndCurve::Point => {
                let (sin, cos) = angle.sin_cos();
                let (s, c) = (sin * sin, cos * cos);
                let k = 1.0 - POINT;
                // r² sin² = (1 − r² cos²)(1 − k r² cos²), solved for r².
                let b = (1.0 + k) * c + s;
                let radius = (2.0 / (b + (b * b - 4.0 * k * c * c).max(0.0).sqrt())).sqrt();
                [radius * cos, radius * sin]
            }
        }
    }
}

/// The unit superellipse |u|ⁿ + |v|ⁿ = 1 at a polar angle: a regular, smooth parameter also where
/// the curve crosses its axes.
pub(crate) fn polar(angle: f64, n: f64) -> [f64; 2] {
    let (sin, cos) = angle.sin_cos();
    let radius = (cos.abs().powf(n) + sin.abs().powf(n)).powf(-1.0 / n);
    [cos * radius, sin * radius]
}

/// A size along the handle, with what a knob at its end adds to it.
#[derive(Clone, Debug)]
pub(crate) struct HandleSize {
    line: Swell,
    knob: Option<Knob>,
}

/// A knob at the handle's end: its size, the plain handle's where the end's rounding has died out, and where
/// it runs out.
#[derive(Clone, Copy, Debug)]
struct Knob {
    size: f64,
    plain: f64,
    from: f64,
    long: f64,
}

impl HandleSize {
    /// Through the stations, and with a knob of that size up to where the end's rounding has died out, which
    /// runs out over a length from there: in between, their weighted geometric mean.
    pub(crate) fn new(stations: &[(f64, f64)], knob: Option<[f64; 2]>, from: f64) -> HandleSize {
        let line = Swell::through(stations);
        let knob = knob.map(|[size, long]| Knob { size, plain: line.value(from), from, long });
        HandleSize { line, knob }
    }

    /// Value, slope and second derivative; the last without the knob, which has run out at the neck.
    pub(crate) fn jet(&self, x: f64) -> [f64; 3] {
        let [size, slope, bend] = self.line.jet(x);
        match &self.knob {
            Some(Knob { size: knob, from, long, .. }) if x < from + long => {
                let t = (x - from) / long;
                let (out, log) = (ease(t), (knob / size).ln());
                let swollen = size * (log * (1.0 - out)).exp();
                let grows = out * slope / size - ease_slope(t) / long * log;
                [swollen, swollen * grows, bend]
            }
            _ => [size, slope, bend],
        }
    }

    /// Value.
    pub(crate) fn value(&self, x: f64) -> f64 {
        match &self.knob {
            Some(_) => self.jet(x)[0],
            None => self.line.value(x),
        }
    }

    /// Places at which to look for its steepest and its least, closer where its stations are.
    pub(crate) fn looks(&self, from: f64, to: f64) -> Vec<f64> {
        const PARTS: u32 = 40;
        let mut looks = self.line.looks(from, to);
        if let Some(knob) = &self.knob {
            let part = |i: u32| knob.from + knob.long * f64::from(i) / f64::from(PARTS);
            looks.extend((0..=PARTS).map(part));
        }
        looks
    }

    /// How many times the plain handle's the knob's size is, if there is one.
    pub(crate) fn swells(&self) -> Option<f64> {
        self.knob.map(|knob| knob.size / knob.plain)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_end_closes_to_where_its_polar_curve_lies() {
        let ends = [EndCurve::Power(2.0), EndCurve::Power(4.0), EndCurve::Point];
        for end in ends {
            for step in 0..=90 {
                let [along, across] = end.polar(f64::from(step).to_radians());
                assert!((end.close(along.min(1.0)) - across).abs() < 1e-7, "{end:?} {step}");
            }
            assert!((end.taken(0.6, 2.0) - (1.0 - end.close(0.6).powi(2))).abs() < 1e-12);
        }
    }

    /// The osculating circle of a curve that stands upright on its axis has radius half² / (2 s), in the
    /// limit.
    #[test]
    fn a_point_has_the_radius_that_it_says() {
        let (long, half) = (30.0, 9.0);
        let from_end = 1e-5;
        let across = half * EndCurve::Point.close(1.0 - from_end / long);
        let radius = across * across / (2.0 * from_end);
        assert!((radius - POINT * half * half / long).abs() < 1e-3, "{radius}");
    }

    #[test]
    fn a_knob_is_as_large_as_asked_and_then_gone() {
        let size = HandleSize::new(&[(15.0, 6.0), (200.0, 7.0)], Some([12.0, 30.0]), 15.0);
        let plain = HandleSize::new(&[(15.0, 6.0), (200.0, 7.0)], None, 15.0);
        assert!((size.value(15.0) - 12.0).abs() < 1e-12);
        assert!(size.value(30.0) < 12.0 && size.value(30.0) > plain.value(30.0));
        for x in [45.0, 46.0, 120.0, 200.0] {
            assert_eq!(size.jet(x), plain.jet(x));
        }
        let h = 1e-6;
        for x in [5.0, 20.0, 33.0, 44.0] {
            let measured = (size.value(x + h) - size.value(x - h)) / (2.0 * h);
            assert!((measured - size.jet(x)[1]).abs() < 1e-6, "at {x}");
        }
    }
}
