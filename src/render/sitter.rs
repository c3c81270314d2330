//! What all views of a mesh have in common.

use super::{LetIn, normals};
use crate::mesh::Mesh;
use glam::DVec3;
use rayon::prelude::*;

/// A mesh ready to be drawn from any side: what the views of it share is worked out once.
pub struct Sitter<'a> {
    pub(super) mesh: &'a Mesh,
    /// Those that can be drawn.
    pub(super) triangles: Vec<[u32; 3]>,
    /// Of their corners.
    pub(super) normals: Vec<[DVec3; 3]>,
    /// Whether those that look away from the eye are hidden by others.
    pub(super) closed: bool,
    /// What is let into it.
    pub(super) let_in: Vec<LetIn>,
}

impl<'a> Sitter<'a> {
    /// Of a mesh.
    pub fn new(mesh: &'a Mesh) -> Sitter<'a> {
        let triangles: Vec<[u32; 3]> =
            mesh.triangles.par_iter().copied().filter(|&corners| is_sound(mesh, corners)).collect();
        let normals = normals::at_corners(mesh, &triangles);
        Sitter { mesh, triangles, normals, closed: false, let_in: Vec::new() }
    }

    /// Of a mesh that is closed: what looks away isn't drawn, since something lies before it. Of one
    /// that is not, the inside would be missing.
    pub fn closed(mesh: &'a Mesh) -> Sitter<'a> {
        Sitter { closed: true, ..Sitter::new(mesh) }
    }

    /// With what is let into its faces.
    #[must_use]
    pub fn with(self, let_in: Vec<LetIn>) -> Sitter<'a> {
        Sitter { let_in, ..self }
    }
}

/// Whether a triangle's corners exist and are finite.
fn is_sound(mesh: &Mesh, corners: [u32; 3]) -> bool {
    corners.iter().all(|&c| mesh.points.get(c as usize).is_some_and(|p: &DVec3| p.is_finite()))
}
