//! Triangles that are near enough to the surface and yet can't stay as they are.

use super::{Halving, Patch};
use crate::mesh::{Mesh, crossings};

impl Halving<'_> {
    /// Triangles that pass through others: where the body is thinner than the tolerance, or its
    /// edge lower, skins and wall can meet though each is near enough to its own surface.
    pub(super) fn tangled(&self) -> Vec<u32> {
        let corners = self.triangles.iter().map(|triangle| triangle.corners).collect();
        let mesh = Mesh { points: self.points.clone(), triangles: corners };
        let mut tangled = crossings(&mesh).concat();
        tangled.sort_unstable();
        tangled.dedup();
        tangled
    }

    /// Whether a skin's triangle lies upside down in the plan: it is too large for the outline's
    /// bend there, which an even skin's error does not tell.
    pub(super) fn folded(&self, triangle: u32) -> bool {
        let triangle = &self.triangles[triangle as usize];
        let [p, q, r] = triangle.corners.map(|corner| self.points[corner as usize].truncate());
        match triangle.patch {
            Patch::Top(_) => (q - p).perp_dot(r - p) <= 0.0,
            Patch::Bottom(_) => (q - p).perp_dot(r - p) >= 0.0,
            Patch::Wall(_) => false,
        }
    }
}
