//! Points of the skin that lean out over a chord of the rim, set back behind it.
//!
//! The body's outline is round and its mesh cuts the corners, so where a skin is as steep as a wall
//! the next points inside the rim may stand out over it by a part of the mesh's error. Nothing
//! crosses there until a fillet lifts both: two faces over one place of the plan would then be one
//! surface.
//!
//! Promised: only points inside the rim are moved, level, by no more than a cutter's own error.

use super::upper::{Built, Kind};
use glam::{DVec2, DVec3};
use std::collections::BTreeMap;

/// A face is at least this high in the plan, in mm: more than a file's rounding after the face was
/// halved six times.
const LEAST_HEIGHT_MM: f64 = 2e-3;
/// No point is moved further than this, in mm: the mesh's error at its coarsest, and a little more.
const MOST_MM: f64 = 0.12;
/// Neighbours push each other; so many rounds settle them.
const ROUNDS: usize = 40;

/// Sets back what leans out among those faces.
pub(super) fn set_back(built: &mut Built<'_>, near: &[u32]) {
    let mut began: BTreeMap<u32, DVec2> = BTreeMap::new();
    for _ in 0..ROUNDS {
        let mut moved = false;
        for index in near.iter().map(|index| *index as usize) {
            if built.kinds[index] == Kind::Skin {
                moved |= push(built, built.faces[index], &mut began);
            }
        }
        if !moved {
            return;
        }
    }
}

/// Moves the free corners of a face that is no triangle in the plan, or the wrong way round, by the
/// shortest way to where it is one.
fn push(built: &mut Built<'_>, face: [u32; 3], began: &mut BTreeMap<u32, DVec2>) -> bool {
    let [a, b, c] = face.map(|corner| built.points[corner as usize].truncate());
    let twice = (b - a).perp_dot(c - a);
    let longest = a.distance(b).max(b.distance(c)).max(c.distance(a));
    let wanted = LEAST_HEIGHT_MM * longest;
    if twice >= wanted || longest == 0.0 {
        return false;
    }
    // How the area grows with each corner.
    let ways = [b - c, c - a, a - b].map(|side| DVec2::new(side.y, -side.x));
    let free = face.map(|corner| !built.on_rim[corner as usize]);
    let weight: f64 =
        ways.iter().zip(free).filter(|(_, free)| *free).map(|(way, _)| way.length_squared()).sum();
    if weight == 0.0 {
        return false;
    }
    let step = 1.01 * (wanted - twice) / weight;
    let mut moved = false;
    for ((corner, way), _) in face.into_iter().zip(ways).zip(free).filter(|(_, free)| *free) {
        let point: &mut DVec3 = &mut built.points[corner as usize];
        let from = *began.entry(corner).or_insert(point.truncate());
        let to = point.truncate() + step * way;
        if to.distance(from) <= MOST_MM {
            *point = to.extend(point.z);
            moved = true;
        }
    }
    moved
}
