//! Outlines kept from turning just at a body's rim.
//!
//! Where an outline crosses the rim the cut takes a point of its own. A corner of the outline that falls
//! on the rim as well, as one of a rounded tip's many can, would leave slivers between the two: such
//! corners are left out, so that a straight line crosses the rim.

use super::part::{AT_CORNER, NEAR};
use super::ring::Ring;
use glam::DVec2;

/// Nearer to the rim than this, in mm, no corner stays: the reach in which it takes in the mesh's own.
const CLEAR: f64 = AT_CORNER * NEAR;
/// Longer than this, in mm, no stretch of an outline is straightened: the chord of a tip's bend leaves it by a
/// hundredth of that.
const LONGEST: f64 = 1.2;
/// Of a side, how finely the place is looked for from which on it is clear.
const LOOKS: u32 = 40;
/// Nearer to a corner than this, in mm, that corner itself does.
const SAME: f64 = 0.05;

/// A closed outline without corners near the rim. Corners that can't be helped, where the outline runs along
/// the rim, stay.
pub(super) fn of_rim(outline: &[DVec2], rim: &Ring) -> Vec<DVec2> {
    let is_near = |p: &DVec2| rim.place_near(*p, CLEAR).is_some();
    let count = outline.len();
    let near: Vec<bool> = outline.iter().map(is_near).collect();
    let Some(first) = near.iter().position(|near| !near) else { return outline.to_vec() };
    let at = |index: usize| outline[index % count];
    // From a corner near the rim along a side to one that isn't: where it is clear of the rim, if not there.
    let leaves = |near: DVec2, clear: DVec2| {
        (1..LOOKS)
            .map(|look| near.lerp(clear, f64::from(look) / f64::from(LOOKS)))
            .find(|p| !is_near(p))
            .filter(|p| p.distance(clear) > SAME)
    };
    let mut kept = vec![at(first)];
    let mut index = first + 1;
    while index < first + count {
        let run = (index..first + count).take_while(|k| near[k % count]).count();
        if run == 0 {
            kept.push(at(index));
            index += 1;
            continue;
        }
        let (before, after) = (index - 1, index + run);
        let ends = [leaves(at(index), at(before)), leaves(at(after - 1), at(after))];
        let [from, to] = [ends[0].unwrap_or(at(before)), ends[1].unwrap_or(at(after))];
        if from.distance(to) > LONGEST {
            kept.extend((index..after).map(at));
        } else {
            kept.extend(ends.into_iter().flatten());
        }
        index = after;
    }
    kept
}
