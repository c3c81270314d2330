//! A mesh as a graphics card takes it: corners with their normals, each once.
//!
//! Promised: the same edges are sharp as in the shaded pictures; corners that share a point and a
//! normal are one. Not promised: more of a normal than a 127th.

use super::Sitter;
use crate::mesh::Mesh;
use glam::DVec3;

/// Corners and triangles.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PictureMesh {
    /// Places of the corners, in mm.
    pub places: Vec<[f32; 3]>,
    /// Their normals, 127 long, with a fourth figure so that each takes four bytes.
    pub normals: Vec<[i8; 4]>,
    /// Three corners each.
    pub triangles: Vec<[u32; 3]>,
}

/// Where the search for a point's corners ends.
const NONE: u32 = u32::MAX;

impl PictureMesh {
    /// Of a mesh.
    pub fn of(mesh: &Mesh) -> PictureMesh {
        let sitter = Sitter::new(mesh);
        let mut facets = PictureMesh::default();
        // Of each point its newest corner, and of each corner the one before it at its point.
        let (mut newest, mut before) = (vec![NONE; mesh.points.len()], Vec::new());
        for (points, normals) in sitter.triangles.iter().zip(&sitter.normals) {
            let corner = [0, 1, 2].map(|k| {
                let (point, normal) = (points[k], short(normals[k]));
                let mut at = newest[point as usize];
                while at != NONE && facets.normals[at as usize] != normal {
                    at = before[at as usize];
                }
                if at == NONE {
                    at = facets.places.len() as u32;
                    let place = mesh.points[point as usize];
                    facets.places.push(place.as_vec3().to_array());
                    facets.normals.push(normal);
                    before.push(newest[point as usize]);
                    newest[point as usize] = at;
                }
                at
            });
            facets.triangles.push(corner);
        }
        facets
    }
}

fn short(normal: DVec3) -> [i8; 4] {
    let [x, y, z] = normal.to_array().map(|part| (part * 127.0).round() as i8);
    [x, y, z, 0]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cube_has_three_corners_at_each_point_and_a_flat_square_one() {
        let point = |i: u32| DVec3::new(f64::from(i & 1), f64::from(i >> 1 & 1), f64::from(i >> 2));
        let points: Vec<DVec3> = (0..8).map(point).collect();
        let sides =
            [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
        let two = |[a, b, c, d]: [u32; 4]| [[a, b, c], [a, c, d]];
        let triangles: Vec<[u32; 3]> = sides.into_iter().flat_map(two).collect();
        let cube = PictureMesh::of(&Mesh { points: points.clone(), triangles: triangles.clone() });
        assert_eq!((cube.places.len(), cube.triangles.len()), (24, 12));
        for (triangle, corners) in triangles.iter().zip(&cube.triangles) {
            for (point, corner) in triangle.iter().zip(corners) {
                assert_eq!(
                    cube.places[*corner as usize].map(f64::from),
                    points[*point as usize].to_array()
                );
            }
        }
        let square = PictureMesh::of(&Mesh { points, triangles: triangles[..2].to_vec() });
        assert_eq!(square.places.len(), 4);
        assert!(square.normals.iter().all(|normal| *normal == [0, 0, -127, 0]));
    }
}
