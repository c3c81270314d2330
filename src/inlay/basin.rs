//! A recess with upright walls, to be filled with resin: as far as its cutter goes into the art, with the
//! cutter's own round corners, and a floor that follows the face.

use super::bed_of_art::{BedOfArt, FACE};
use super::solid::{WoodSide, solid};
use super::terrain::{Terrain, terrain};
use super::valley::Lies;
use crate::mesh::Mesh;
use crate::outline::{ArcPath, hull::hull, offset::offset};
use crate::units::Length;
use glam::DVec2;
use std::collections::{BTreeMap, BTreeSet};

/// The dam stands so far round the art, and is so wide, in mm (no source).
const DAM_MM: [f64; 2] = [2.0, 6.0];
/// A layer of resin is no thicker, in mm: many makers' sheets allow about this (common practice, no source).
const LAYER_MM: f64 = 3.0;

/// What is poured into a recess.
#[derive(Clone, Debug)]
pub struct Poured {
    /// What the recess holds up to the face, in mm³.
    pub volume_mm3: f64,
    /// In how many layers.
    pub layers: u32,
    /// The dam's inner and outer edge, in the design frame.
    pub dam: Vec<ArcPath>,
}

impl Poured {
    /// Of a recess of that depth and area round corners of the plan.
    pub(super) fn new(volume_mm3: f64, depth: Length, corners: &[DVec2]) -> Poured {
        let art = ArcPath::polygon(hull(corners));
        let dam = DAM_MM.iter().flat_map(|by| offset(&art, Length::mm(*by))).collect();
        Poured { volume_mm3, layers: (depth.as_mm() / LAYER_MM).ceil().max(1.0) as u32, dam }
    }
}

/// Where the centre of a cutter of that radius may go inside loops that have what is art on their left.
pub(super) fn centres(loops: &[Vec<DVec2>], radius: Length) -> Vec<ArcPath> {
    let paths = loops.iter().map(|ring| ArcPath::polygon(ring.iter().copied()));
    // Inward from an outer loop, outward from an island's.
    paths
        .flat_map(|path| offset(&path, if path.signed_area() > 0.0 { -radius } else { radius }))
        .collect()
}

/// What the cutter then touches, as loops with what is art on the left.
pub(super) fn touched(centres: &[ArcPath], radius: Length) -> Vec<Vec<DVec2>> {
    let grown = centres
        .iter()
        .flat_map(|path| offset(path, if path.signed_area() > 0.0 { radius } else { -radius }));
    grown.map(|path| path.to_polyline(Length::mm(0.002))).filter(|ring| ring.len() > 2).collect()
}

/// The solid of the recess down to a level, and what it holds in mm³.
pub(super) fn basin(
    bed: &BedOfArt<'_>,
    outline: &ArcPath,
    level: f64,
    round: f64,
) -> Option<(Mesh, f64)> {
    let border = bed.border(round, Some(outline))?;
    let height = |p: DVec2, _: Lies| (bed.face)(p);
    let made = terrain(&bed.ground(&border, &height), &[], [FACE; 2])?;
    let (sunk, volume) = sunk(&made, bed);
    Some((solid(&sunk, level, WoodSide::Below)?, volume))
}

/// The face with all that is art let down by the depth, and walls between.
fn sunk(face: &Terrain, bed: &BedOfArt<'_>) -> (Terrain, f64) {
    let depth = bed.asked.depth;
    let mut points = face.points.clone();
    let mut down: BTreeMap<u32, u32> = BTreeMap::new();
    let mut triangles = Vec::with_capacity(face.triangles.len());
    let mut floor: BTreeSet<[u32; 2]> = BTreeSet::new();
    let mut volume = 0.0;
    for (triangle, lies) in face.triangles.iter().zip(&face.lies) {
        if *lies != Lies::In {
            triangles.push(*triangle);
            continue;
        }
        volume += depth * face.area(triangle);
        triangles.push(triangle.map(|at| {
            *down.entry(at).or_insert_with(|| {
                let p = face.points[at as usize];
                points.push(p.with_z(p.z - depth));
                points.len() as u32 - 1
            })
        }));
        let [a, b, c] = *triangle;
        floor.extend([[a, b], [b, c], [c, a]]);
    }
    for [a, b] in floor.iter().copied().filter(|[a, b]| !floor.contains(&[*b, *a])) {
        if let (Some(low_a), Some(low_b)) = (down.get(&a), down.get(&b)) {
            triangles.extend([[*low_a, b, *low_b], [*low_a, a, b]]);
        }
    }
    (Terrain { points, triangles, lies: Vec::new(), border: face.border.clone() }, volume)
}
