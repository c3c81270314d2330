//! Lines of the piece, cut where they stop being seen.

use crate::outline::ArcPath;
use crate::shape::Body;
use crate::units::Length;
use glam::DVec2;

/// Chords of the drawn lines: far finer than they are wide at any scale.
const CHORD: Length = Length::mm(0.05);

/// Corners are no further apart, in mm, so that a narrow slot is not stepped over.
const STEP: f64 = 1.5;

/// A closed path as corners near each other; the first is repeated at the end.
pub(super) fn dense(path: &ArcPath) -> Vec<DVec2> {
    let corners = path.to_polyline(CHORD);
    let mut points = Vec::new();
    for (i, from) in corners.iter().enumerate() {
        let to = corners[(i + 1) % corners.len()];
        let parts = (from.distance(to) / STEP).ceil().clamp(1.0, 1e4) as u32;
        points.extend((0..parts).map(|k| from.lerp(to, f64::from(k) / f64::from(parts))));
    }
    points.extend(corners.first());
    points
}

/// The lines of a body with its slots cut: its outline without what the slots take, and the
/// slots' sides inside it.
pub(super) fn finished(outline: &ArcPath, slots: &[ArcPath]) -> Vec<Vec<DVec2>> {
    let mut runs = outside(&dense(outline), slots);
    let inside = outline.inside();
    for slot in slots {
        runs.extend(kept(&dense(slot), &inside));
    }
    runs
}

/// The parts of a line outside of all slots.
pub(super) fn outside(points: &[DVec2], slots: &[ArcPath]) -> Vec<Vec<DVec2>> {
    let slots: Vec<_> = slots.iter().map(ArcPath::inside).collect();
    kept(points, |p| !slots.iter().any(|inside| inside(p)))
}

/// The runs of a line's corners where `keep` holds, each ended where it stops to.
fn kept(points: &[DVec2], keep: impl Fn(DVec2) -> bool) -> Vec<Vec<DVec2>> {
    let mut runs: Vec<Vec<DVec2>> = Vec::new();
    let mut last: Option<(DVec2, bool)> = None;
    for &p in points {
        let now = keep(p);
        match last {
            Some((before, was)) if was != now => {
                let edge = crossing(before, p, &keep);
                match (now, runs.last_mut()) {
                    (true, _) => runs.push(vec![edge, p]),
                    (false, Some(run)) => run.push(edge),
                    (false, None) => {}
                }
            }
            Some(_) if now => {
                if let Some(run) = runs.last_mut() {
                    run.push(p);
                }
            }
            None if now => runs.push(vec![p]),
            _ => {}
        }
        last = Some((p, now));
    }
    runs
}

/// Where `keep` changes between two places, by halving.
fn crossing(from: DVec2, to: DVec2, keep: impl Fn(DVec2) -> bool) -> DVec2 {
    let first = keep(from);
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..20 {
        let middle = (low + high) / 2.0;
        if keep(from.lerp(to, middle)) == first {
            low = middle;
        } else {
            high = middle;
        }
    }
    from.lerp(to, high)
}

/// Heights of a skin along the middle line: X and Z.
pub(super) fn along(body: &Body, skin: impl Fn(&Body, DVec2) -> f64) -> Vec<DVec2> {
    const STEPS: u32 = 400;
    let length = body.length().as_mm();
    (0..=STEPS)
        .map(|step| {
            // Closer to each other at the ends, where the piece is rounded; just inside both,
            // where the skins still have a height.
            let turn = f64::from(step) / f64::from(STEPS) * std::f64::consts::PI;
            let x = (0.5 * (1.0 - turn.cos())).clamp(1e-6, 1.0 - 1e-6) * length;
            DVec2::new(x, skin(body, body.middle_at(Length::mm(x))))
        })
        .collect()
}

/// A cross-section at a place along the piece, seen towards the tip: closed, X to the right as
/// seen (so to the negative Y of the design), Z up, in mm.
pub(in crate::drawing) fn across(body: &Body, x: Length) -> Vec<DVec2> {
    const STEPS: u32 = 96;
    use crate::params::Side;
    let [left, right] = [Side::Left, Side::Right].map(|side| body.outline_at(x, side));
    let at = |step: u32| {
        // Closer to each other at the edges, where the section is steep.
        let turn = f64::from(step) / f64::from(STEPS) * std::f64::consts::PI;
        left.lerp(right, (0.5 * (1.0 - turn.cos())).clamp(1e-9, 1.0 - 1e-9))
    };
    let top = (0..=STEPS).map(|step| DVec2::new(-at(step).y, body.top(at(step))));
    let bottom = (0..=STEPS).rev().map(|step| DVec2::new(-at(step).y, body.bottom(at(step))));
    top.chain(bottom).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_cut_where_it_enters_and_leaves() {
        let outline = ArcPath::polygon([
            DVec2::new(0.0, -10.0),
            DVec2::new(50.0, -10.0),
            DVec2::new(50.0, 10.0),
            DVec2::new(0.0, 10.0),
        ]);
        let slot = ArcPath::polygon([
            DVec2::new(30.0, -2.0),
            DVec2::new(55.0, -2.0),
            DVec2::new(55.0, 2.0),
            DVec2::new(30.0, 2.0),
        ]);
        let runs = finished(&outline, &[slot]);
        let long = |run: &[DVec2]| run.windows(2).map(|w| w[0].distance(w[1])).sum::<f64>();
        // 140 round the outline less 4 at the slot's mouth, and 20 + 4 + 20 of the slot.
        let whole: f64 = runs.iter().map(|run| long(run)).sum();
        assert!((whole - (136.0 + 44.0)).abs() < 0.01, "{whole}");
    }
}
