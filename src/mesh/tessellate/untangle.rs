//! Triangles that are near enough to the surface and yet can't stay as they are.

use super::Halving;
use crate::mesh::{Mesh, crossings};

impl Halving<'_> {
    /// Triangles that pass through others: where the outline bends within a triangle, the body is
    /// thinner than the tolerance, or its edge lower, skins and wall can meet though each is near
    /// enough to its own surface.
    pub(super) fn tangled(&self) -> Vec<u32> {
        let corners = self.triangles.iter().map(|triangle| triangle.corners).collect();
        let mesh = Mesh { points: self.points.clone(), triangles: corners };
        let mut tangled = crossings(&mesh).concat();
        tangled.sort_unstable();
        tangled.dedup();
        tangled
    }
}
