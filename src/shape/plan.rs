//! The plan: half-widths along the utensil, and the outline as a chain of smooth curves.
//!
//! From the handle's end: the two quarters of its closing, the handle's spline, an ogee through the
//! neck to the widest place, and a superellipse to the tip.

pub(crate) use super::end::polar;
use super::end::{EndCurve, HandleSize};
use super::middle::MiddleLine;
use super::spline::{Eased, dying, ease, ease_slope};
use super::spread::Spread;
use crate::params::{Design, EndShape, Station};
use glam::DVec2;
use std::sync::Arc;

/// Where the neck's ogee has its steepest place: greater moves it towards the handle and makes
/// the shoulders fuller. Chosen by eye on drawings of serving spoons.
const SHOULDER_BOWL: f64 = 0.65;
/// The same for a blade, whose shoulders slope more.
const SHOULDER_BLADE: f64 = 0.1;

/// Most bend, in units of the ogee's own rise and length, with which it arrives at the widest
/// place: it rises all the way up to 20, and this leaves it fair.
const MOST_BEND: f64 = 12.0;

/// Exponents of a round end, an ellipse's, and of a blunt one. The latter by eye.
const ROUND_END: f64 = 2.0;
const BLUNT_END: f64 = 3.5;

/// How much sooner the shoulder comes down than a plain ease: it leaves a long, hollow sweep. By eye.
const EARLY: f64 = 0.3;

/// Where the neck runs out into the head, as shares of the head's length.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Runs {
    /// Where the middle line lies level.
    pub(crate) rest: f64,
    /// Where the handle's top has run out.
    pub(crate) shoulder: f64,
    /// Where its underside has.
    pub(crate) keel: f64,
}

/// A curve in the plan, from parameter 0 to 1, in mm.
pub type PlanCurve = Arc<dyn Fn(f64) -> DVec2 + Send + Sync>;

/// Exponents and places of the plan, in mm along X.
#[derive(Clone, Debug)]
pub(crate) struct Plan {
    /// Whole length.
    pub(crate) length: f64,
    /// Where the rounding of the handle's end has died out: station 0 %.
    pub(crate) end: f64,
    /// Where the head begins: station 100 %.
    pub(crate) neck: f64,
    /// Where the middle line lies level, and the last line across that is all of one skin.
    pub(crate) rest: f64,
    /// Where the handle's top has run out into the head.
    pub(crate) shoulder: f64,
    /// Where its underside has.
    pub(crate) keel: f64,
    /// The widest place.
    pub(crate) widest: f64,
    /// Half of the greatest width.
    pub(crate) half_width: f64,
    /// Exponent of the front.
    pub(crate) fullness: f64,
    /// How the handle's end closes.
    pub(crate) closing: EndCurve,
    /// Exponent of the handle's section along it.
    section: Eased,
    /// Offset of the middle line to the left.
    pub(crate) sway: MiddleLine,
    handle: HandleSize,
    ogee: Ogee,
    /// How many times wider than the plain head it is, if the design has an outline of its own.
    spread: Option<Spread>,
}

/// How a handle's end of that shape closes, whose section there has that exponent.
pub(super) fn closing(shape: Option<EndShape>, section: f64) -> EndCurve {
    match shape {
        None => EndCurve::Power(section),
        Some(EndShape::Round) => EndCurve::Power(ROUND_END),
        Some(EndShape::Blunt) => EndCurve::Power(BLUNT_END),
        Some(EndShape::Pointed) => EndCurve::Point,
    }
}

/// Which side of the middle line: +1 left, −1 right.
pub(crate) type SideSign = f64;

impl Plan {
    /// The plan of a design. `widest` is the share of the head's length at which it is widest.
    pub(crate) fn new(design: &Design, runs: Runs, widest: f64, fullness: f64) -> Plan {
        let length = design.length.as_mm();
        let end = design.handle.end.as_mm();
        let head = design.head.length().as_mm();
        let neck = length - head;
        let half_width = design.head.width().as_mm() / 2.0;
        let [rest, shoulder, keel, widest] =
            [runs.rest, runs.shoulder, runs.keel, widest].map(|share| neck + share * head);
        let knob = design.handle.knob.as_ref().map(|knob| {
            let (width, long) = (knob.width_of(&design.handle), knob.runs_out(&design.handle));
            [0.5 * width.as_mm(), long.as_mm()]
        });
        let handle = HandleSize::new(&stations(&design.handle.width, end, neck, 0.5), knob, end);
        let squares = design.handle.section.places();
        let section: Vec<(f64, f64)> =
            squares.map(|(at, square)| (end + at * (neck - end), square)).collect();
        let section = Eased::through(&section);
        let closing = closing(design.handle.end_shape, section.value(end));
        let full = match design.head {
            crate::params::Head::Bowl(_) => SHOULDER_BOWL,
            crate::params::Head::Blade(_) => SHOULDER_BLADE,
        };
        let front_bend = mean_bend(half_width, length - widest, fullness);
        let ogee = Ogee::new(neck, widest, handle.jet(neck), half_width, front_bend, full);
        let sway = MiddleLine::through(
            &stations(&design.handle.sway, end, neck, 1.0),
            &stations(design.head.sway(), neck, length, 1.0),
            [end, neck, rest],
        );
        let mut plan = Plan {
            length,
            end,
            neck,
            rest,
            shoulder,
            keel,
            widest,
            half_width,
            fullness,
            closing,
            section,
            sway,
            handle,
            ogee,
            spread: None,
        };
        let own = stations(design.head.outline(), neck, length, 0.5);
        plan.spread = Spread::through(&own, |x| plan.plain_half(x), [neck, widest]);
        plan
    }

    /// Exponent of the handle's section at a place along it.
    pub(crate) fn section(&self, x: f64) -> f64 {
        self.section.value(x)
    }

    /// How many times as wide as the plain handle its knob is, if it has one.
    pub(crate) fn knob(&self) -> Option<f64> {
        self.handle.swells()
    }

    /// Whether the head has an outline or a middle of its own, so that its two sides may differ.
    pub(crate) fn is_own(&self) -> bool {
        self.spread.is_some() || self.sway.goes_on()
    }

    /// The same design with the plain outline of its `width`, `fullness` and `widest`.
    pub(crate) fn plain(&self) -> Plan {
        let sway = MiddleLine::new(&[], self.neck, self.rest);
        Plan { spread: None, sway, ..self.clone() }
    }

    /// How many times wider than the plain head it is at a place, and the slope of that.
    pub(crate) fn spread(&self, x: f64) -> [f64; 2] {
        self.spread.as_ref().filter(|_| x > self.neck).map_or([1.0, 0.0], |spread| spread.jet(x))
    }

    /// Places along a head with an outline of its own: how many times wider than the plain one it is,
    /// and the slope that this gives to each side.
    pub(crate) fn spreads(&self) -> Vec<[f64; 3]> {
        let Some(spread) = &self.spread else { return Vec::new() };
        let looks = spread.looks(self.neck, self.length).into_iter();
        looks
            .map(|x| (x, spread.jet(x)))
            .map(|(x, [s, g])| [x, s, g * self.plain_half(x)])
            .collect()
    }

    /// How far the handle's top has come down to the head's: 0 at the neck, 1 where the shoulder has
    /// run out.
    pub(crate) fn come_down(&self, x: f64) -> f64 {
        let t = ((x - self.neck) / (self.shoulder - self.neck)).clamp(0.0, 1.0);
        ease((1.0 + EARLY) * t / (1.0 + EARLY * t))
    }

    /// The same for its underside.
    pub(crate) fn come_up(&self, x: f64) -> f64 {
        ease((x - self.neck) / (self.keel - self.neck))
    }

    /// Half of the width without the rounding of the handle's end and without the front's
    /// closing: never zero.
    pub(crate) fn half_open(&self, x: f64) -> f64 {
        self.plain_open(x) * self.spread(x)[0]
    }

    /// The same without an outline of its own.
    fn plain_open(&self, x: f64) -> f64 {
        if x <= self.neck {
            self.handle.value(x)
        } else if x < self.widest {
            self.ogee.jet(x)[0]
        } else {
            self.half_width
        }
    }

    /// Where behind its widest place a plain head is widest, and how many times as wide as it is to be.
    pub(crate) fn swelling(&self) -> [f64; 2] {
        const LOOKS: u32 = 64;
        let at = |look: u32| {
            let x = self.neck + (self.widest - self.neck) * f64::from(look) / f64::from(LOOKS);
            [x, self.plain_open(x) / self.half_width]
        };
        let most = (1..LOOKS).map(at).max_by(|a, b| a[1].total_cmp(&b[1]));
        most.unwrap_or([self.widest, 1.0])
    }

    /// Places along the handle with half of its width, without the rounding of its end, and the
    /// slope of that.
    pub(crate) fn half_widths(&self) -> Vec<[f64; 3]> {
        let looks = self.handle.looks(0.0, self.neck);
        looks
            .into_iter()
            .map(|x| (x, self.handle.jet(x)))
            .map(|(x, [half, slope, _])| [x, half, slope])
            .collect()
    }

    /// Half-width and its slope between the neck and the widest place.
    pub(crate) fn ogee(&self, x: f64) -> [f64; 2] {
        let ([half, slope], [times, grows]) = (self.ogee.jet(x), self.spread(x));
        [half * times, slope * times + half * grows]
    }

    /// How far along the rounding of the handle's end: 0 where it has died out, 1 at the very end.
    pub(crate) fn toward_end(&self, x: f64) -> f64 {
        ((self.end - x) / self.end).clamp(0.0, 1.0)
    }

    /// How far along the front: 0 at the widest place, 1 at the tip.
    pub(crate) fn toward_tip(&self, x: f64) -> f64 {
        ((x - self.widest) / (self.length - self.widest)).clamp(0.0, 1.0)
    }

    /// Half of the width of the outline.
    pub(crate) fn half(&self, x: f64) -> f64 {
        self.plain_half(x) * self.spread(x)[0]
    }

    /// The same without an outline of its own.
    pub(crate) fn plain_half(&self, x: f64) -> f64 {
        let close = |share: f64, n: f64| (1.0 - share.powf(n)).max(0.0).powf(1.0 / n);
        if x < self.end {
            self.plain_open(x) * self.closing.close(self.toward_end(x))
        } else if x > self.widest {
            self.half_width * close(self.toward_tip(x), self.fullness)
        } else {
            self.plain_open(x)
        }
    }

    /// The point beside the middle line at a share of the open half-width.
    pub(crate) fn beside(&self, x: f64, share: f64) -> DVec2 {
        DVec2::new(x, self.sway.value(x) + share * self.half_open(x))
    }

    /// The outline's point at a place along the utensil.
    pub(crate) fn outline_at(&self, x: f64, side: SideSign) -> DVec2 {
        DVec2::new(x, self.sway.value(x) + side * self.half(x))
    }

    /// The outline round the handle's end, by an angle: 0 at the very end, ±π/2 where the rounding
    /// has died out (left for a positive angle).
    pub(crate) fn end_arc(&self, angle: f64) -> DVec2 {
        let [along, across] = self.closing.polar(angle);
        self.beside(self.end * (1.0 - along), across)
    }

    /// The outline round the tip, by an angle: 0 at the tip, ±π/2 at the widest place (left for a
    /// positive angle).
    pub(crate) fn front_arc(&self, angle: f64) -> DVec2 {
        let [along, across] = polar(angle, self.fullness);
        let x = self.widest + (self.length - self.widest) * along;
        DVec2::new(x, self.sway.value(x) + across * (self.half_width * self.spread(x)[0]))
    }

    /// The outline's unit normal, outward, round the tip.
    pub(crate) fn front_normal(&self, angle: f64) -> DVec2 {
        let [along, across] = polar(angle, self.fullness);
        let steep = self.fullness - 1.0;
        let front = self.length - self.widest;
        let x = self.widest + front * along;
        let [times, grows] = self.spread(x);
        // The gradient of the superellipse, in which what is across depends on x too.
        let aside = across.signum() * across.abs().powf(steep) / (self.half_width * times);
        let leans = self.sway.slope(x) + across * self.half_width * grows;
        DVec2::new(along.powf(steep) / front - aside * leans, aside).normalize()
    }

    /// The outline's unit normal, outward, at a place between neck and widest place.
    pub(crate) fn ogee_normal(&self, x: f64, side: SideSign) -> DVec2 {
        let [_, slope] = self.ogee(x);
        DVec2::new(-slope - side * self.sway.slope(x), side).normalize()
    }
}

/// Stations as pairs (x, size · factor) between two places along X.
pub(crate) fn stations(list: &[Station], from: f64, to: f64, factor: f64) -> Vec<(f64, f64)> {
    list.iter()
        .map(|station| (from + station.at * (to - from), station.size.as_mm() * factor))
        .collect()
}

/// Second derivative of the front's half-width near the widest place: the mean over its first
/// quarter, exact for an ellipse; a superellipse's own value at the very place is zero.
fn mean_bend(half_width: f64, length: f64, n: f64) -> f64 {
    const NEAR: f64 = 0.25;
    -half_width * 2.0 * (NEAR.powf(n) / n) / (NEAR * length).powi(2)
}

/// The curve from the handle's width through the neck to the widest place: it keeps the handle's
/// slope at the neck, and arrives level, with the bend of the front.
#[derive(Clone, Copy, Debug)]
struct Ogee {
    neck: f64,
    span: f64,
    start: [f64; 3],
    gain: f64,
    bend: f64,
    shoulder: f64,
}

impl Ogee {
    fn new(
        neck: f64,
        widest: f64,
        start: [f64; 3],
        half_width: f64,
        front_bend: f64,
        shoulder: f64,
    ) -> Ogee {
        let span = widest - neck;
        let gain = half_width - start[0];
        // The warp's slope at its far end is 1 / (1 + shoulder).
        let bend = front_bend * span * span * (1.0 + shoulder).powi(2) / gain;
        // A short, blunt front asks for more than the ogee can give and still rise all the way.
        let bend = bend.max(-MOST_BEND);
        Ogee { neck, span, start, gain, bend, shoulder }
    }

    /// Half-width and slope.
    fn jet(&self, x: f64) -> [f64; 2] {
        let t = ((x - self.neck) / self.span).clamp(0.0, 1.0);
        let k = self.shoulder;
        let (warp, warp_slope) = ((1.0 + k) * t / (1.0 + k * t), (1.0 + k) / (1.0 + k * t).powi(2));
        let rest = 1.0 - warp;
        let value = ease(warp) + self.bend * 0.5 * warp.powi(3) * rest * rest;
        let slope =
            ease_slope(warp) + self.bend * 0.5 * warp * warp * rest * (3.0 * rest - 2.0 * warp);
        // The handle's own lean dies out over a length in which it can't take more than a fifth of the neck's width.
        let [width, lean, _] = self.start;
        let length = self.span.min(1.5 * width / lean.abs().max(1e-9));
        let [away, away_slope] = dying((x - self.neck) / length);
        [
            width + self.gain * value + lean * length * away,
            self.gain * slope * warp_slope / self.span + lean * away_slope,
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_polar_superellipse_satisfies_its_equation() {
        for n in [2.0, 2.3, 4.0] {
            for step in 0..=40 {
                let [u, v] = polar(f64::from(step) * 0.1, n);
                assert!((u.abs().powf(n) + v.abs().powf(n) - 1.0).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn the_ogee_has_the_slope_that_it_says() {
        let ogee = Ogee::new(200.0, 250.0, [7.0, -0.05, 0.0], 33.0, -0.02, 0.75);
        // Blunt: 6 mm of front on 15 mm of half-width.
        let blunt = Ogee::new(80.0, 124.0, [4.0, 0.0, 0.0], 15.0, -0.42, 0.1);
        let widths: Vec<f64> = (0..=44).map(|i| blunt.jet(80.0 + f64::from(i))[0]).collect();
        assert!(widths.windows(2).all(|w| w[1] >= w[0]), "{widths:?}");
        for x in [200.0, 205.0, 217.0, 231.0, 249.0] {
            let h = 1e-6;
            let measured = (ogee.jet(x + h)[0] - ogee.jet((x - h).max(200.0))[0])
                / (x + h - (x - h).max(200.0));
            assert!((measured - ogee.jet(x)[1]).abs() < 1e-5, "at {x}");
        }
        assert!((ogee.jet(250.0)[0] - 33.0).abs() < 1e-12);
    }
}
