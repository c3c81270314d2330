//! Outlines kept from turning just at a body's rim.
//!
//! Where an outline crosses the rim the cut takes a point of its own. A corner of the outline that falls
//! on the rim as well, as one of a rounded tip's many can, would leave slivers between the two: such a
//! corner is cut off, so that a straight line crosses the rim.

use super::part::{AT_CORNER, NEAR};
use glam::DVec2;

/// Nearer to the rim than this, in mm, no corner stays: the reach in which it takes in the mesh's own.
const CLEAR: f64 = AT_CORNER * NEAR;
/// How far from the corner its sides may be left, in mm, looked for in steps. One of both is always short, so
/// that a corner of 20 degrees moves by 0.05 mm at most.
const LONGEST: f64 = 0.4;
const STEP: f64 = 0.04;
/// And at most this share of a side, so that something is left of it when both its ends are cut off.
const OF_SIDE: f64 = 0.45;

/// A closed outline without corners near the rim, which is given by its points, closed. A corner that can't
/// be helped, where the outline runs along the rim, stays.
pub(super) fn of_rim(outline: &[DVec2], rim: &[DVec2]) -> Vec<DVec2> {
    let sides = || rim.iter().zip(rim.iter().cycle().skip(1));
    let near = |p: &DVec2| sides().any(|(a, b)| off(*p, [*a, *b]) < CLEAR);
    let count = outline.len();
    let corner = |at: usize| {
        let here = outline[at];
        if !near(&here) {
            return vec![here];
        }
        let left = |other: DVec2| {
            let long = here.distance(other);
            (1..)
                .map(|step| f64::from(step) * STEP)
                .take_while(|away| *away <= LONGEST.min(OF_SIDE * long))
                .map(|away| here.lerp(other, away / long))
                .find(|p| !near(p))
        };
        let ends = [outline[(at + count - 1) % count], outline[(at + 1) % count]].map(left);
        let [Some(before), Some(after)] = ends else { return vec![here] };
        vec![before, after]
    };
    (0..count).flat_map(corner).collect()
}

/// How far a point is from a line between two.
fn off(p: DVec2, [a, b]: [DVec2; 2]) -> f64 {
    let along = b - a;
    let share = ((p - a).dot(along) / along.length_squared()).clamp(0.0, 1.0);
    (a + along * share).distance(p)
}
