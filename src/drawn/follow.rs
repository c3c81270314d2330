//! Stations by which a design's smooth outline follows a drawn one.

use super::sides::DrawnSides;
use crate::params::{Design, EndShape, Head, Station, outline_places, widest_room};
use crate::shape::Body;
use crate::units::Length;
use glam::DVec2;
use std::f64::consts::FRAC_PI_2;

/// Once the outlines leave each other by no more than this, in mm, no more stations are set: it is less than a
/// router of this class repeats, and few stations make a fair line.
const NEAR: f64 = 0.03;
/// Most stations that are set beyond the first.
const MOST: usize = 36;
/// Least distance between two stations of the handle, as a share of it, and of the head's middle.
const APART: f64 = 0.04;
/// Where the rounding of an end begins, each side of it runs no steeper than this: else it has begun before. By eye.
const LEVEL_END: f64 = 0.12;
/// Least handle that is left beside the rounding of its end, in mm.
const SHORTEST: f64 = 20.0;
/// Widths of a head that differ by less than this, in mm, are the same: a straight side has no widest place.
const LEVEL: f64 = 0.02;

/// The design that follows a drawing, by how much the two outlines leave each other at most, and where, in mm.
pub(super) struct Followed {
    pub(super) design: Design,
    pub(super) off: f64,
    pub(super) at: f64,
}

/// Why none does.
pub(super) enum NoFit {
    /// The head's widest place lies outside of what can be.
    Widest { at: f64, least: f64, most: f64 },
    /// No end of the handle fits.
    Neck,
}

/// A list of stations that may grow.
#[derive(Clone, Copy, PartialEq)]
enum Stations {
    Width,
    Sway,
}

/// Follows it. `leaves`: whether the middle leaves the drawing's axis.
pub(super) fn follow(asked: &Design, sides: &DrawnSides, leaves: bool) -> Result<Followed, NoFit> {
    let mut design = asked.clone();
    let (length, head) = (design.length.as_mm(), design.head.length().as_mm());
    let neck = length - head;
    let widest = widest(&design, sides, [neck, head])?;
    let full = fullness(sides, [neck + widest * head, length], &design.head);
    let width = sides.width(neck + widest * head);
    match &mut design.head {
        Head::Bowl(bowl) => (bowl.width, bowl.widest, bowl.fullness) = (width, widest, full),
        Head::Blade(blade) => (blade.width, blade.widest, blade.fullness) = (width, widest, full),
    }
    end(&mut design, sides, neck)?;
    let mut work = Following { sides, design, neck, head, length };
    for at in [0.0, 1.0] {
        work.put(Stations::Width, false, at);
    }
    if leaves {
        for at in [0.0, 0.5, 1.0] {
            work.put(Stations::Sway, false, at);
        }
        for at in [0.5, 1.0] {
            work.put(Stations::Sway, true, at);
        }
    }
    let mut best: Option<Followed> = None;
    for _ in 0..MOST {
        let off = work.off();
        let (most, at) =
            off.iter().fold((0.0, 0.0), |best, one| if one.0 > best.0 { *one } else { best });
        if best.as_ref().is_none_or(|best| most < best.off) {
            best = Some(Followed { design: work.design.clone(), off: most, at });
        }
        if most <= NEAR || !work.grow(off, leaves) {
            break;
        }
    }
    best.ok_or(NoFit::Neck)
}

/// Where the head is widest, as a share of its length: of a straight side's places the one nearest to the usual.
fn widest(design: &Design, sides: &DrawnSides, [neck, head]: [f64; 2]) -> Result<f64, NoFit> {
    const LOOKS: u32 = 1000;
    let [least, most] = widest_room(&design.head);
    let usual = design.head.widest();
    let looks: Vec<(f64, f64)> = (1..LOOKS)
        .map(|i| f64::from(i) / f64::from(LOOKS))
        .map(|at| (at, sides.width(neck + at * head).as_mm()))
        .collect();
    let top = looks.iter().fold((0.0, 0.0), |best, one| if one.1 > best.1 { *one } else { best });
    let level =
        looks.iter().filter(|(at, wide)| *wide >= top.1 - LEVEL && (least..=most).contains(at));
    // In the middle of what is level, so that neither side of it falls away sooner.
    let level: Vec<f64> = level.map(|(at, _)| *at).collect();
    let (Some(first), Some(last)) = (level.first(), level.last()) else {
        return Err(NoFit::Widest { at: top.0, least, most });
    };
    let long = last - first > 0.1;
    Ok(if long { usual.clamp(*first, *last) } else { 0.5 * (first + last) })
}

/// How square the front is: the exponent whose superellipse comes nearest.
fn fullness(sides: &DrawnSides, [widest, tip]: [f64; 2], head: &Head) -> f64 {
    const LOOKS: u32 = 60;
    let most = if matches!(head, Head::Bowl(_)) { 6.0 } else { 8.0 };
    let half = 0.5 * sides.width(widest).as_mm();
    let miss = |n: f64| -> f64 {
        let looks = (1..LOOKS).map(|i| FRAC_PI_2 * f64::from(i) / f64::from(LOOKS));
        looks
            .map(|angle| {
                let x = widest + (tip - widest) * angle.sin();
                let form = half * (1.0 - angle.sin().powf(n)).max(0.0).powf(1.0 / n);
                (form - 0.5 * sides.width(x).as_mm()).powi(2)
            })
            .sum()
    };
    let tries = (0..=120).map(|i| 2.0 + (most - 2.0) * f64::from(i) / 120.0);
    tries
        .map(|n| (n, miss(n)))
        .fold((2.0, f64::INFINITY), |best, one| if one.1 < best.1 { one } else { best })
        .0
}

/// The length and the shape of the handle's end, where the file says neither: what comes nearest.
fn end(design: &mut Design, sides: &DrawnSides, neck: f64) -> Result<(), NoFit> {
    const LENGTHS: u32 = 48;
    const LOOKS: u32 = 24;
    let asked = design.handle.end.as_mm();
    let wide = sides.width(0.1 * neck).as_mm();
    let lengths: Vec<f64> = if asked.is_finite() {
        vec![asked]
    } else {
        let each =
            (0..=LENGTHS).map(|i| wide * 0.08 * (25.0_f64).powf(f64::from(i) / f64::from(LENGTHS)));
        let each = each.filter(|long| *long > 0.2 && *long < neck - SHORTEST).collect::<Vec<_>>();
        // A handle that is too short is told as of any design.
        if each.is_empty() { vec![0.5 * neck] } else { each }
    };
    let square = design.handle.section.places().next().map_or(2.2, |(_, square)| square);
    let shapes: Vec<Option<EndShape>> = match design.handle.end_shape {
        Some(shape) => vec![Some(shape)],
        None => vec![Some(EndShape::Round), None, Some(EndShape::Blunt), Some(EndShape::Pointed)],
    };
    let mut best: Option<(f64, f64, Option<EndShape>)> = None;
    let level: Vec<f64> =
        lengths.iter().copied().filter(|long| slope(sides, *long).abs() <= LEVEL_END).collect();
    let lengths = if level.is_empty() { lengths } else { level };
    for shape in shapes {
        for long in &lengths {
            // The handle's own line goes straight on into the rounding, by shares.
            let (half, steep) = (0.5 * sides.width(*long).as_mm(), slope(sides, *long));
            let closing = crate::shape::end_closing(shape, square);
            let looks = (1..LOOKS).map(|i| FRAC_PI_2 * f64::from(i) / f64::from(LOOKS));
            let form: Vec<DVec2> = looks
                .map(|angle| {
                    let x = long * (1.0 - angle.cos());
                    let open = half * (steep * (x - long) / half).exp();
                    DVec2::new(x, open * closing(angle.cos()))
                })
                .collect();
            let miss = form.iter().map(|p| sides.off_half(*p)).fold(0.0, f64::max);
            if best.is_none_or(|(least, ..)| miss < least - 1e-3) {
                best = Some((miss, *long, shape));
            }
        }
    }
    let (_, long, shape) = best.ok_or(NoFit::Neck)?;
    (design.handle.end, design.handle.end_shape) = (Length::mm(long), shape);
    Ok(())
}

/// How each side of the handle runs apart at a place, in mm for each mm.
fn slope(sides: &DrawnSides, x: f64) -> f64 {
    let step = 0.05 * x + 0.2;
    0.5 * (sides.width(x + step) - sides.width(x - step.min(x))).as_mm() / (step + step.min(x))
}

struct Following<'a> {
    sides: &'a DrawnSides,
    design: Design,
    neck: f64,
    head: f64,
    length: f64,
}

impl Following<'_> {
    fn list(&mut self, list: Stations, on_head: bool) -> &mut Vec<Station> {
        match (list, on_head, &mut self.design.head) {
            (Stations::Width, false, _) => &mut self.design.handle.width,
            (Stations::Sway, false, _) => &mut self.design.handle.sway,
            (Stations::Width, true, Head::Bowl(bowl)) => &mut bowl.outline,
            (Stations::Width, true, Head::Blade(blade)) => &mut blade.outline,
            (Stations::Sway, true, Head::Bowl(bowl)) => &mut bowl.sway,
            (Stations::Sway, true, Head::Blade(blade)) => &mut blade.sway,
        }
    }

    /// A station as the drawing has it; false if one is too near, or none may be there.
    fn put(&mut self, list: Stations, on_head: bool, at: f64) -> bool {
        let end = self.design.handle.end.as_mm();
        let (from, long) = if on_head { (self.neck, self.head) } else { (end, self.neck - end) };
        let widest = self.design.head.widest();
        let room = outline_places(&self.design);
        let own = on_head && list == Stations::Width;
        let apart = if own { room.apart } else { APART };
        if own {
            let [first, last] = room.within;
            if at < first || at > last || (at - widest).abs() < apart {
                return false;
            }
        }
        // A drawn tip is a point of the middle line a little before it.
        let x = (from + at * long).min(self.length - 1e-3 * self.length);
        let sways = if self.design.mirror { -1.0 } else { 1.0 };
        let size = match list {
            Stations::Width => self.sides.width(x),
            Stations::Sway => Length::mm(sways * self.sides.middle(x)),
        };
        let stations = self.list(list, on_head);
        let place = stations.partition_point(|station| station.at < at);
        let near = |index: usize| stations.get(index).is_some_and(|s| (s.at - at).abs() < apart);
        if near(place) || place.checked_sub(1).is_some_and(near) {
            return false;
        }
        stations.insert(place, Station { at, size });
        true
    }

    /// How far the two outlines leave each other, at most at each place along them, in mm.
    fn off(&self) -> Vec<(f64, f64)> {
        const PARTS: u32 = 40;
        let body = Body::new(&self.design);
        let own: Vec<DVec2> = body
            .outline()
            .iter()
            .flat_map(|curve| (0..PARTS).map(move |i| curve(f64::from(i) / f64::from(PARTS))))
            .collect();
        let flip = if self.design.mirror { -1.0 } else { 1.0 };
        let drawn: Vec<DVec2> =
            self.sides.ring.iter().map(|p| DVec2::new(p.x, flip * p.y)).collect();
        let drawn = thinned(&drawn, 0.004 * self.length);
        let mut off: Vec<(f64, f64)> = from_to(&own, &drawn);
        off.extend(from_to(&drawn, &own));
        off
    }

    /// One more station, where the outlines leave each other most and one has room.
    fn grow(&mut self, mut off: Vec<(f64, f64)>, leaves: bool) -> bool {
        off.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.total_cmp(&b.1)));
        let end = self.design.handle.end.as_mm();
        let body = Body::new(&self.design);
        for (far, x) in off {
            if far <= NEAR {
                return false;
            }
            let on_head = x > self.neck;
            let at = match on_head {
                true => (x - self.neck) / self.head,
                false => (x - end) / (self.neck - end),
            };
            if at < 0.0 {
                continue;
            }
            let [right, left] = body.across(Length::mm(x));
            let flip = if self.design.mirror { -1.0 } else { 1.0 };
            let middle = (0.5 * (left + right) - flip * self.sides.middle(x)).abs();
            let half = (0.5 * (left - right) - 0.5 * self.sides.width(x).as_mm()).abs();
            let lists = if middle > half {
                [Stations::Sway, Stations::Width]
            } else {
                [Stations::Width, Stations::Sway]
            };
            let lists = lists.into_iter().filter(|list| leaves || *list == Stations::Width);
            let at = if on_head { at } else { at.min(1.0) };
            for list in lists {
                if self.put(list, on_head, at) {
                    return true;
                }
            }
        }
        false
    }
}

/// A ring with corners added where they stand far apart, so that each stretch is looked at.
fn thinned(ring: &[DVec2], apart: f64) -> Vec<DVec2> {
    let mut kept: Vec<DVec2> = Vec::new();
    for i in 0..ring.len() {
        let [p, q] = [ring[i], ring[(i + 1) % ring.len()]];
        let near = kept.last().is_some_and(|last: &DVec2| last.distance(p) < 0.25 * apart);
        if !near {
            kept.push(p);
        }
        let parts = (p.distance(q) / apart).ceil().max(1.0) as u32;
        kept.extend((1..parts).map(|k| p.lerp(q, f64::from(k) / f64::from(parts))));
    }
    kept
}

/// For each corner of a ring how far it lies from the sides of another, and its place along.
fn from_to(ring: &[DVec2], other: &[DVec2]) -> Vec<(f64, f64)> {
    let far = |p: &DVec2| {
        let sides = (0..other.len()).map(|i| {
            let [a, b] = [other[i], other[(i + 1) % other.len()]];
            let long = a.distance_squared(b).max(1e-18);
            let t = ((*p - a).dot(b - a) / long).clamp(0.0, 1.0);
            p.distance_squared(a.lerp(b, t))
        });
        sides.fold(f64::INFINITY, f64::min).sqrt()
    };
    ring.iter().map(|p| (far(p), p.x)).collect()
}
