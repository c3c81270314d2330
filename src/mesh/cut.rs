//! Upright cuts through a mesh and posts joined to it, for what is to be looked at: slots, tabs.
//!
//! Promised: the result is closed. Not promised: the triangles' shapes along a cut or a seam; this
//! mesh is no part of a relief model.

use super::Mesh;
use glam::{DVec2, DVec3};
use manifold_rust::linalg::{Vec2, Vec3};
use manifold_rust::manifold::Manifold;
use manifold_rust::types::{Error, MeshGL64, OpType};

/// The mesh could not be cut or joined.
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
    let span = [least.z - 1.0, most.z + 1.0];
    let mut parts = vec![solid(mesh)?];
    parts.extend(outlines.iter().map(|outline| extruded(outline, span)));
    combined(&parts, OpType::Subtract)
}

/// A post that stands upright, in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Post {
    /// Closed, in the plan, counter-clockwise.
    pub outline: Vec<DVec2>,
    /// Heights of its underside and of its top.
    pub span: [f64; 2],
}

/// The mesh and posts as one.
///
/// # Errors
/// As [`cut_through`].
pub fn join(mesh: &Mesh, posts: &[Post]) -> Result<Mesh, CutFailed> {
    if posts.is_empty() {
        return Ok(mesh.clone());
    }
    let mut parts = vec![solid(mesh)?];
    parts.extend(posts.iter().map(|post| extruded(&post.outline, post.span)));
    combined(&parts, OpType::Add)
}

fn extruded(outline: &[DVec2], [low, high]: [f64; 2]) -> Manifold {
    let ring: Vec<Vec2> = outline.iter().map(|p| Vec2::new(p.x, p.y)).collect();
    let post = Manifold::extrude(&vec![ring], high - low, 0, 0.0, Vec2::new(1.0, 1.0));
    post.translate(Vec3::new(0.0, 0.0, low))
}

fn combined(parts: &[Manifold], how: OpType) -> Result<Mesh, CutFailed> {
    let left = Manifold::batch_boolean(parts, how);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::audit;

    fn square(from: f64, to: f64) -> Vec<DVec2> {
        [(from, from), (to, from), (to, to), (from, to)].map(|(x, y)| DVec2::new(x, y)).to_vec()
    }

    /// A cube of 10, from two posts that overlap.
    #[test]
    fn posts_join_into_one_closed_body_of_the_volume_by_hand() {
        let whole = extruded(&square(0.0, 10.0), [0.0, 10.0]);
        let cube = combined(&[whole], OpType::Add).expect("a cube");
        let post = Post { outline: square(5.0, 12.0), span: [2.0, 4.0] };
        let joined = join(&cube, &[post]).expect("joined");
        // 7 x 7 x 2, less the 5 x 5 x 2 that lie in the cube.
        let volume = audit(&joined).volume_mm3;
        assert!((volume - (1000.0 + 98.0 - 50.0)).abs() < 1e-9, "{volume}");
        assert!(audit(&joined).sound());
        let cut = cut_through(&joined, &[square(8.0, 9.0)]).expect("cut");
        let volume = audit(&cut).volume_mm3;
        assert!((volume - (1048.0 - 10.0)).abs() < 1e-9, "{volume}");
    }
}
