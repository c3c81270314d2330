//! A terrain closed to a solid, below it or above it.

use super::terrain::Terrain;
use crate::mesh::Mesh;
use crate::mesh::flat::fill_loops;

/// On which side of a terrain the solid is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum WoodSide {
    /// The terrain is its top.
    Below,
    /// The terrain is its underside.
    Above,
}

/// The solid between a terrain and a level; none when the border crosses itself.
pub(super) fn solid(terrain: &Terrain, level: f64, under: WoodSide) -> Option<Mesh> {
    let ring: Vec<_> =
        terrain.border.iter().map(|at| terrain.points[*at as usize].truncate()).collect();
    let lid = fill_loops(std::slice::from_ref(&ring))?;
    let first = terrain.points.len() as u32;
    let mut points = terrain.points.clone();
    points.extend(ring.iter().map(|p| p.extend(level)));
    // As for a solid below; the one above is turned inside out.
    let mut triangles = terrain.triangles.clone();
    triangles.extend(lid.into_iter().map(|[a, b, c]| [first + a, first + c, first + b]));
    let count = ring.len() as u32;
    for (at, corner) in (0..count).zip(&terrain.border) {
        let next = (at + 1) % count;
        let (low, low_next, high_next) = (first + at, first + next, terrain.border[next as usize]);
        triangles.extend([[low, low_next, high_next], [low, high_next, *corner]]);
    }
    if under == WoodSide::Above {
        triangles.iter_mut().for_each(|triangle| triangle.swap(1, 2));
    }
    Some(Mesh { points, triangles })
}
