//! Smooth normals that keep true edges sharp.

use crate::mesh::Mesh;
use glam::DVec3;
use rayon::prelude::*;

/// Cosine of the crease angle, 20°: triangles that meet at a greater angle show an edge. Facets of
/// a smooth skin meet at a few degrees, a rim wall and a steep back at 25 or more (by eye).
const CREASE_COSINE: f64 = 0.939_692_620_785_908_4;

/// A normal for each corner of each triangle: the mean of the neighbours' round that corner that
/// are within the crease angle, weighed by area. Triangles without area have none to give.
pub(super) fn at_corners(mesh: &Mesh, triangles: &[[u32; 3]]) -> Vec<[DVec3; 3]> {
    let crosses: Vec<DVec3> = triangles
        .par_iter()
        .map(|&[a, b, c]| {
            let [a, b, c] = [a, b, c].map(|corner| mesh.points[corner as usize]);
            (b - a).cross(c - a)
        })
        .collect();
    let units: Vec<DVec3> = crosses.iter().map(|cross| cross.normalize_or_zero()).collect();
    let round = Round::new(triangles, mesh.points.len());
    let corner = |triangle: usize, point: u32| {
        let own = units[triangle];
        let sum: DVec3 = round
            .triangles(point)
            .iter()
            .filter(|&&other| units[other as usize].dot(own) >= CREASE_COSINE)
            .map(|&other| crosses[other as usize])
            .sum();
        sum.try_normalize().unwrap_or(own)
    };
    triangles
        .par_iter()
        .enumerate()
        .map(|(i, points)| points.map(|point| corner(i, point)))
        .collect()
}

/// Which triangles meet at each point.
struct Round {
    starts: Vec<u32>,
    members: Vec<u32>,
}

impl Round {
    fn new(triangles: &[[u32; 3]], points: usize) -> Round {
        let mut starts = vec![0_u32; points + 1];
        for &point in triangles.iter().flatten() {
            starts[point as usize + 1] += 1;
        }
        for i in 0..points {
            starts[i + 1] += starts[i];
        }
        let mut next = starts.clone();
        let mut members = vec![0_u32; triangles.len() * 3];
        for (i, corners) in triangles.iter().enumerate() {
            for &point in corners {
                members[next[point as usize] as usize] = i as u32;
                next[point as usize] += 1;
            }
        }
        Round { starts, members }
    }

    fn triangles(&self, point: u32) -> &[u32] {
        let range = self.starts[point as usize] as usize..self.starts[point as usize + 1] as usize;
        &self.members[range]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two squares that meet along Y, the second turned down by `angle` degrees.
    fn roof(angle: f64) -> Mesh {
        let (sin, cos) = angle.to_radians().sin_cos();
        let points = vec![
            DVec3::new(-1.0, 0.0, 0.0),
            DVec3::new(0.0, 0.0, 0.0),
            DVec3::new(cos, 0.0, -sin),
            DVec3::new(-1.0, 1.0, 0.0),
            DVec3::new(0.0, 1.0, 0.0),
            DVec3::new(cos, 1.0, -sin),
        ];
        Mesh { points, triangles: vec![[0, 1, 4], [0, 4, 3], [1, 2, 5], [1, 5, 4]] }
    }

    #[test]
    fn a_gentle_bend_is_smooth_and_a_sharp_one_is_not() {
        let at_ridge = |angle| at_corners(&roof(angle), &roof(angle).triangles)[0][1];
        assert!(at_ridge(15.0).angle_between(DVec3::Z).to_degrees() > 5.0);
        assert!(at_ridge(25.0).angle_between(DVec3::Z) < 1e-6);
    }
}
