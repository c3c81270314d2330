//! A second judge of meshes, for tests: the B-rep library's own mesher and analysers.

use super::solid::Solid;
use glam::DVec3;
use truck_meshalgo::prelude::*;

/// What it finds of a mesh.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Judged {
    /// Every edge joins two triangles that run along it in opposite directions.
    pub closed: bool,
    /// Enclosed volume.
    pub volume_mm3: f64,
}

/// Judges a mesh, in mm.
pub(crate) fn judged(points: &[DVec3], triangles: &[[u32; 3]]) -> Judged {
    let positions = points.iter().map(|p| Point3::new(p.x, p.y, p.z)).collect();
    let faces = Faces::from_iter(triangles.iter().map(|t| t.map(|corner| corner as usize)));
    let attributes = StandardAttributes { positions, ..Default::default() };
    of(&PolygonMesh::new(attributes, faces))
}

fn of(mesh: &PolygonMesh) -> Judged {
    let closed = mesh.shell_condition() == truck_modeling::ShellCondition::Closed;
    Judged { closed, volume_mm3: mesh.volume() }
}

impl Solid {
    /// The library's own mesh of it, with chords within `tolerance` mm, welded.
    pub(crate) fn judged(&self, tolerance: f64) -> Judged {
        let mut mesh = self.body.triangulation(tolerance).to_polygon();
        mesh.put_together_same_attrs(TOLERANCE).remove_degenerate_faces();
        of(&mesh)
    }
}
