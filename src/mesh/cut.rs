//! Upright cuts through a mesh, for the finished view: slots.
//!
//! Promised: the result is closed. Not promised: the triangles' shapes along a cut; this mesh is
//! to be looked at, and no part of a relief model.

use super::Mesh;
use glam::{DVec2, DVec3};
use manifold_rust::linalg::{Vec2, Vec3};
use manifold_rust::manifold::Manifold;
use manifold_rust::types::{Error, MeshGL64, OpType};

/// The mesh could not be cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CutFailed;

/// The mesh without what stands over the outlines: closed polygons in the plan, counter-clockwise,
/// in mm, that do not overlap each other.
///
/// # Errors
/// When the mesh is not closed, or the library that cuts it gives an error or nothing back.
pub fn cut_through(mesh: &Mesh, outlines: &[Vec<DVec2>]) -> Result<Mesh, CutFailed> {
    if outlines.is_empty() {
        return Ok(mesh.clone());
    }
    let [least, most] = mesh.bounds();
    // Past the body above and below, so that no face of a cut lies in one of the body's.
    let (low, height) = (least.z - 1.0, most.z - least.z + 2.0);
    let mut parts = vec![solid(mesh)?];
    for outline in outlines {
        let ring: Vec<Vec2> = outline.iter().map(|p| Vec2::new(p.x, p.y)).collect();
        let post = Manifold::extrude(&vec![ring], height, 0, 0.0, Vec2::new(1.0, 1.0));
        parts.push(post.translate(Vec3::new(0.0, 0.0, low)));
    }
    let left = Manifold::batch_boolean(&parts, OpType::Subtract);
    if left.status() != Error::NoError || left.is_empty() {
        return Err(CutFailed);
    }
    let found = left.get_mesh_gl64(-1);
    let width = found.num_prop as usize;
    let points = found.vert_properties.chunks_exact(width).map(|p| DVec3::new(p[0], p[1], p[2]));
    let corner = |index: u64| u32::try_from(index).map_err(|_| CutFailed);
    let triangles = found
        .tri_verts
        .chunks_exact(3)
        .map(|t| Ok([corner(t[0])?, corner(t[1])?, corner(t[2])?]))
        .collect::<Result<_, _>>()?;
    Ok(Mesh { points: points.collect(), triangles })
}

fn solid(mesh: &Mesh) -> Result<Manifold, CutFailed> {
    let given = MeshGL64 {
        num_prop: 3,
        vert_properties: mesh.points.iter().flat_map(|p| p.to_array()).collect(),
        tri_verts: mesh.triangles.iter().flatten().map(|index| u64::from(*index)).collect(),
        ..MeshGL64::default()
    };
    let solid = Manifold::from_mesh_gl64(&given);
    if solid.status() == Error::NoError { Ok(solid) } else { Err(CutFailed) }
}
