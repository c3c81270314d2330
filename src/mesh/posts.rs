//! Posts beside a mesh, for a picture of a piece on its tabs.
//!
//! Promised: closed bodies that stand upright. Not promised: one body; a post that reaches into
//! the mesh overlaps it, which a picture does not show. Not for a model.

use super::Mesh;
use super::flat::fill_loops;
use glam::DVec2;

/// A post that stands upright, in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Post {
    /// Closed, in the plan, counter-clockwise.
    pub outline: Vec<DVec2>,
    /// Heights of its underside and of its top.
    pub span: [f64; 2],
}

/// The mesh and posts side by side. None when a post's outline crosses itself.
pub fn with_posts(mesh: &Mesh, posts: &[Post]) -> Option<Mesh> {
    let mut whole = mesh.clone();
    for Post { outline, span: [low, high] } in posts {
        let caps = fill_loops(std::slice::from_ref(outline))?;
        let count = outline.len() as u32;
        let under = whole.points.len() as u32;
        let over = under + count;
        whole.points.extend(outline.iter().map(|p| p.extend(*low)));
        whole.points.extend(outline.iter().map(|p| p.extend(*high)));
        for [a, b, c] in caps {
            whole.triangles.push([over + a, over + b, over + c]);
            whole.triangles.push([under + a, under + c, under + b]);
        }
        for i in 0..count {
            let j = (i + 1) % count;
            whole.triangles.push([under + i, under + j, over + j]);
            whole.triangles.push([under + i, over + j, over + i]);
        }
    }
    Some(whole)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::audit;

    #[test]
    fn posts_are_sound_and_have_their_volume() {
        let square = |from: f64, to: f64| {
            [(from, from), (to, from), (to, to), (from, to)].map(DVec2::from).to_vec()
        };
        let post = |outline, span| Post { outline, span };
        let posts = [post(square(0.0, 10.0), [-1.0, 2.0]), post(square(20.0, 22.0), [0.0, 5.0])];
        let stood = with_posts(&Mesh::default(), &posts).expect("two plain squares");
        let found = audit(&stood);
        assert!(found.closed && found.pieces == 2 && found.crossing == 0);
        assert!((found.volume_mm3 - (300.0 + 20.0)).abs() < 1e-9, "{found:?}");
    }
}
