//! Arcs: from their ends and a centre or a radius to a turn round a centre.

use glam::{DVec2, DVec3};
use std::f64::consts::TAU;

/// How much an arc's ends may differ in their distance from its centre: 0.002 mm, or 0.0002 in,
/// by NISTIR 6556, 3.5.3.
pub fn tolerance(inches: bool) -> f64 {
    if inches { 0.0002 * 25.4 } else { 0.002 }
}

/// An arc that differs by more is no arc at all: nothing is carved of it (no source; the greatest
/// that machines in use are known to let pass is near this).
const ASTRAY_MM: f64 = 0.5;

/// The most chords of one arc: those of a whole turn of 10 m in radius.
const CHORDS_MOST: f64 = 10_000.0;
/// Arcs that stand upright are carved as chords that leave them by at most this much, in mm.
const SAGITTA_MM: f64 = 0.0005;

/// An arc in its plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlaneArc {
    /// Its centre.
    pub centre: DVec2,
    /// How far round, counter-clockwise positive.
    pub angle: f64,
    /// How much the ends differ in their distance from the centre.
    pub differs: f64,
}

/// Why there is no arc.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoArc {
    /// By its radius, and the ends are one place.
    NoChord,
    /// By its radius, and the ends are further apart than twice of it.
    TooFar,
    /// The ends are not equally far from the centre.
    Astray(f64),
    /// The start is its centre.
    NoRadius,
}

/// The plane's own coordinates: two along it, one across.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ArcPlane {
    /// G17.
    Xy,
    /// G18.
    Zx,
    /// G19.
    Yz,
}

impl ArcPlane {
    /// A point into the plane's coordinates.
    pub fn of(self, p: DVec3) -> (DVec2, f64) {
        match self {
            ArcPlane::Xy => (DVec2::new(p.x, p.y), p.z),
            ArcPlane::Zx => (DVec2::new(p.z, p.x), p.y),
            ArcPlane::Yz => (DVec2::new(p.y, p.z), p.x),
        }
    }

    /// And back.
    pub fn back(self, p: DVec2, across: f64) -> DVec3 {
        match self {
            ArcPlane::Xy => DVec3::new(p.x, p.y, across),
            ArcPlane::Zx => DVec3::new(p.y, across, p.x),
            ArcPlane::Yz => DVec3::new(across, p.x, p.y),
        }
    }
}

/// By its centre.
pub fn by_centre(
    from: DVec2,
    to: DVec2,
    centre: DVec2,
    clockwise: bool,
) -> Result<PlaneArc, NoArc> {
    let (a, b) = (from - centre, to - centre);
    let (first, last) = (a.length(), b.length());
    let differs = (first - last).abs();
    if first < 1e-6 {
        return Err(NoArc::NoRadius);
    }
    // Of the smallest arcs the rounding of figures is a large share.
    if differs > ASTRAY_MM || differs > (0.1 * first).max(tolerance(false)) {
        return Err(NoArc::Astray(differs));
    }
    Ok(PlaneArc { centre, angle: turned(a, b, clockwise), differs })
}

/// By its radius; a negative one goes the long way round.
pub fn by_radius(
    from: DVec2,
    to: DVec2,
    radius: f64,
    clockwise: bool,
    tolerance: f64,
) -> Result<PlaneArc, NoArc> {
    let chord = to - from;
    let half = chord.length() / 2.0;
    if half < 1e-9 {
        return Err(NoArc::NoChord);
    }
    if half > radius.abs() + tolerance {
        return Err(NoArc::TooFar);
    }
    // Rounding may leave the ends a little further apart than a half circle is wide.
    let height = (radius * radius - half * half).max(0.0).sqrt();
    let left = (radius > 0.0) != clockwise;
    let side = if left { height } else { -height };
    let centre = from + chord / 2.0 + chord.perp() / (2.0 * half) * side;
    Ok(PlaneArc { centre, angle: turned(from - centre, to - centre, clockwise), differs: 0.0 })
}

/// From one arm round to another; all the way when they are the same.
fn turned(a: DVec2, b: DVec2, clockwise: bool) -> f64 {
    let angle = a.angle_to(b);
    // A whole turn, unless the ends are told apart by more than the rounding of a program.
    if a.distance(b) < 1e-7 {
        return if clockwise { -TAU } else { TAU };
    }
    match (clockwise, angle > 0.0) {
        (false, true) | (true, false) => angle,
        (false, false) => angle + TAU,
        (true, true) => angle - TAU,
    }
}

/// Places along an arc that stands upright, the last one its end.
pub fn chords(
    plane: ArcPlane,
    from: DVec3,
    to: DVec3,
    arc: PlaneArc,
) -> impl Iterator<Item = DVec3> {
    let ((start, low), (end, high)) = (plane.of(from), plane.of(to));
    let (first, last) = (start.distance(arc.centre), end.distance(arc.centre));
    let each = 2.0 * (1.0 - (SAGITTA_MM / first).min(1.0)).acos();
    // Only a sweep that no machine has room for takes more.
    let count = (arc.angle.abs() / each).ceil().clamp(1.0, CHORDS_MOST) as u32;
    (1..=count).map(move |i| {
        let share = f64::from(i) / f64::from(count);
        let arm = DVec2::from_angle(arc.angle * share).rotate((start - arc.centre) / first);
        let place = arc.centre + arm * (first + (last - first) * share);
        if i == count { to } else { plane.back(place, low + (high - low) * share) }
    })
}
