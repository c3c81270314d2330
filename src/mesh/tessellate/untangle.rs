//! Triangles that are near enough to the surface and yet can't stay as they are.

use super::Halving;
use crate::mesh::crossings;

impl Halving<'_> {
    /// Triangles that pass through others: where the outline bends within a triangle, the body is
    /// thinner than the tolerance, or its edge lower, skins and wall can meet though each is near
    /// enough to its own surface.
    pub(super) fn tangled(&self) -> Vec<u32> {
        let corners: Vec<[u32; 3]> = self.triangles.iter().map(|t| t.corners).collect();
        let mut tangled = crossings(&self.points, &corners).concat();
        tangled.sort_unstable();
        tangled.dedup();
        tangled
    }
}
