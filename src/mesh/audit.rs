//! The invariants of a mesh, looked at afresh: nothing here knows how the mesh was made.

use super::Mesh;
use glam::DVec3;

/// What an audit found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Audit {
    /// Every edge is shared by exactly two triangles, which run along it in opposite directions.
    pub closed: bool,
    /// Enclosed volume in mm³; negative when the mesh is inside out.
    pub volume_mm3: f64,
    /// Area in mm².
    pub area_mm2: f64,
    /// Least angle of any triangle, in degrees.
    pub least_angle_deg: f64,
    /// Whether all coordinates are finite.
    pub finite: bool,
}

impl Audit {
    /// Closed, the right way out, finite and without triangles of no area.
    pub fn sound(&self) -> bool {
        self.closed && self.finite && self.volume_mm3 > 0.0 && self.least_angle_deg > 0.0
    }
}

/// Audits a mesh.
pub fn audit(mesh: &Mesh) -> Audit {
    let mut volume = 0.0;
    let mut area = 0.0;
    let mut least = f64::INFINITY;
    for triangle in &mesh.triangles {
        let [p, q, r] = mesh.corners(*triangle);
        volume += p.dot(q.cross(r)) / 6.0;
        area += (q - p).cross(r - p).length() / 2.0;
        for (a, b, c) in [(p, q, r), (q, r, p), (r, p, q)] {
            least = least.min(angle(b - a, c - a));
        }
    }
    Audit {
        closed: closed(mesh),
        volume_mm3: volume,
        area_mm2: area,
        least_angle_deg: if mesh.triangles.is_empty() { 0.0 } else { least.to_degrees() },
        finite: mesh.points.iter().all(|point| point.is_finite()),
    }
}

/// Angle between two vectors, exact also for nearly parallel ones.
fn angle(u: DVec3, v: DVec3) -> f64 {
    u.cross(v).length().atan2(u.dot(v))
}

/// Whether each edge is run along exactly once each way.
pub fn closed(mesh: &Mesh) -> bool {
    let mut edges: Vec<u64> = Vec::with_capacity(mesh.triangles.len() * 3);
    for &[a, b, c] in &mesh.triangles {
        if a == b || b == c || c == a {
            return false;
        }
        for (from, to) in [(a, b), (b, c), (c, a)] {
            // The lowest bit tells the direction, so that the two runs of an edge sort together.
            let (low, high) = (u64::from(from.min(to)), u64::from(from.max(to)));
            edges.push((low << 33) | (high << 1) | u64::from(from > to));
        }
    }
    edges.sort_unstable();
    !edges.is_empty()
        && edges.len().is_multiple_of(2)
        && edges.chunks_exact(2).all(|pair| pair[0] & 1 == 0 && pair[1] == pair[0] + 1)
        && edges.chunks_exact(2).zip(edges.chunks_exact(2).skip(1)).all(|(p, q)| p[0] != q[0])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cube() -> Mesh {
        let points = (0..8)
            .map(|i| DVec3::new(f64::from(i & 1), f64::from(i >> 1 & 1), f64::from(i >> 2)))
            .collect();
        let triangles = vec![
            [0, 2, 1],
            [1, 2, 3],
            [4, 5, 6],
            [5, 7, 6],
            [0, 1, 4],
            [1, 5, 4],
            [2, 6, 3],
            [3, 6, 7],
            [0, 4, 2],
            [2, 4, 6],
            [1, 3, 5],
            [3, 7, 5],
        ];
        Mesh { points, triangles }
    }

    #[test]
    fn a_cube_is_sound_and_has_its_volume() {
        let found = audit(&cube());
        assert!(found.sound());
        assert!((found.volume_mm3 - 1.0).abs() < 1e-12 && (found.area_mm2 - 6.0).abs() < 1e-12);
        assert!((found.least_angle_deg - 45.0).abs() < 1e-9);
    }

    #[test]
    fn a_hole_a_flip_and_a_doubled_triangle_are_found() {
        let mut open = cube();
        open.triangles.pop();
        assert!(!audit(&open).closed);
        let mut flipped = cube();
        flipped.triangles[3].swap(0, 1);
        assert!(!audit(&flipped).closed);
        let mut doubled = cube();
        doubled.triangles.extend(cube().triangles);
        assert!(!audit(&doubled).closed);
        let mut inside_out = cube();
        inside_out.triangles.iter_mut().for_each(|t| t.swap(0, 1));
        assert!(audit(&inside_out).closed && !audit(&inside_out).sound());
    }
}
