//! Upright rays through a mesh: how high its upper and lower side lie over a point of the plan.

use super::Mesh;
use glam::{DVec2, DVec3, Vec2};

/// Triangles sorted into square bins of the plan.
pub struct Heights<'a> {
    mesh: &'a Mesh,
    triangles: Vec<[u32; 3]>,
    origin: DVec2,
    /// Side of a bin, in mm.
    bin: f64,
    columns: usize,
    rows: usize,
    /// Where each bin's triangles begin in `members`.
    starts: Vec<u32>,
    members: Vec<Member>,
}

/// A triangle in a bin, with a box of the plan that holds it, from the mesh's own corner.
#[derive(Clone, Copy, Default)]
struct Member {
    triangle: u32,
    low: Vec2,
    high: Vec2,
}

/// Side of a bin, so that a few triangles are in each: as a multiple of the side of the square that
/// each would have of the whole plan, and the least and the most in mm.
const BIN: (f64, [f64; 2]) = (1.45, [0.4, 1.5]);
/// A point so near to a triangle's box, in mm, is tried: far over rounding, also of the boxes.
const NEAR: f64 = 1e-3;

impl<'a> Heights<'a> {
    /// Of those triangles of a mesh that look up or down; an upright one has no height.
    pub fn new(mesh: &'a Mesh, triangles: &[[u32; 3]]) -> Heights<'a> {
        let triangles: Vec<[u32; 3]> = triangles
            .iter()
            .copied()
            .filter(|triangle| {
                let [p, q, r] = mesh.corners(*triangle).map(DVec3::truncate);
                (q - p).perp_dot(r - p) != 0.0
            })
            .collect();
        let mut least = DVec2::splat(f64::INFINITY);
        let mut most = DVec2::splat(f64::NEG_INFINITY);
        for triangle in &triangles {
            for corner in mesh.corners(*triangle) {
                least = least.min(corner.truncate());
                most = most.max(corner.truncate());
            }
        }
        let span = if triangles.is_empty() { DVec2::ZERO } else { most - least };
        let origin = if triangles.is_empty() { DVec2::ZERO } else { least };
        let (times, [shortest, longest]) = BIN;
        let each = (span.x * span.y / triangles.len().max(1) as f64).sqrt();
        let bin = (times * each).clamp(shortest, longest);
        let columns = (span.x / bin) as usize + 1;
        let rows = (span.y / bin) as usize + 1;
        let mut heights = Heights {
            mesh,
            triangles,
            origin,
            bin,
            columns,
            rows,
            starts: vec![0; columns * rows + 1],
            members: Vec::new(),
        };
        heights.sort();
        heights
    }

    fn sort(&mut self) {
        let bins: Vec<[usize; 4]> =
            self.triangles.iter().map(|triangle| self.reach(*triangle)).collect();
        let each = |reach: &[usize; 4], f: &mut dyn FnMut(usize)| {
            for row in reach[2]..=reach[3] {
                for column in reach[0]..=reach[1] {
                    f(row * self.columns + column);
                }
            }
        };
        let mut starts = vec![0_u32; self.columns * self.rows + 1];
        for reach in &bins {
            each(reach, &mut |bin| starts[bin + 1] += 1);
        }
        for bin in 1..starts.len() {
            starts[bin] += starts[bin - 1];
        }
        let mut next = starts.clone();
        let mut members = vec![Member::default(); starts.last().copied().unwrap_or(0) as usize];
        for (index, reach) in bins.iter().enumerate() {
            let member = self.member(index);
            each(reach, &mut |bin| {
                members[next[bin] as usize] = member;
                next[bin] += 1;
            });
        }
        self.starts = starts;
        self.members = members;
    }

    fn member(&self, index: usize) -> Member {
        let [a, b, c] =
            self.mesh.corners(self.triangles[index]).map(|p| p.truncate() - self.origin);
        let (low, high) = (a.min(b).min(c) - NEAR, a.max(b).max(c) + NEAR);
        Member { triangle: index as u32, low: low.as_vec2(), high: high.as_vec2() }
    }

    /// First and last column, first and last row that a triangle touches.
    fn reach(&self, triangle: [u32; 3]) -> [usize; 4] {
        let corners = self.mesh.corners(triangle).map(|p| (p.truncate() - self.origin) / self.bin);
        let least = corners[0].min(corners[1]).min(corners[2]);
        let most = corners[0].max(corners[1]).max(corners[2]);
        let bin = |value: f64, count: usize| (value.max(0.0) as usize).min(count - 1);
        [
            bin(least.x, self.columns),
            bin(most.x, self.columns),
            bin(least.y, self.rows),
            bin(most.y, self.rows),
        ]
    }

    /// Heights at which an upright line meets the triangles, in mm, lowest and highest; nothing
    /// beside the mesh.
    pub fn at(&self, p: DVec2) -> Option<[f64; 2]> {
        let bin = (p - self.origin) / self.bin;
        if bin.x < -1e-9 || bin.y < -1e-9 {
            return None;
        }
        let (column, row) = (bin.x.max(0.0) as usize, bin.y.max(0.0) as usize);
        // A point on the far border belongs to the last bin.
        let (column, row) = (column.min(self.columns - 1), row.min(self.rows - 1));
        let bin = row * self.columns + column;
        let from = (p - self.origin).as_vec2();
        let mut found: Option<[f64; 2]> = None;
        for member in &self.members[self.starts[bin] as usize..self.starts[bin + 1] as usize] {
            let near = (from.x >= member.low.x)
                & (from.x <= member.high.x)
                & (from.y >= member.low.y)
                & (from.y <= member.high.y);
            if !near {
                continue;
            }
            if let Some(z) = self.height(self.triangles[member.triangle as usize], p) {
                found = Some(found.map_or([z, z], |[low, high]| [low.min(z), high.max(z)]));
            }
        }
        found
    }

    /// Height of a triangle over a point of the plan, by barycentric coordinates.
    fn height(&self, triangle: [u32; 3], p: DVec2) -> Option<f64> {
        /// A point on a shared edge must be found by one of its triangles, in spite of rounding.
        const SLACK: f64 = -1e-9;
        let corners = self.mesh.corners(triangle);
        let [a, b, c] = corners.map(DVec3::truncate);
        let whole = (b - a).perp_dot(c - a);
        let wa = (b - p).perp_dot(c - p) / whole;
        let wb = (c - p).perp_dot(a - p) / whole;
        let wc = 1.0 - wa - wb;
        (wa >= SLACK && wb >= SLACK && wc >= SLACK)
            .then(|| wa * corners[0].z + wb * corners[1].z + wc * corners[2].z)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ray_meets_both_sides_of_a_wedge() {
        let mesh = Mesh {
            points: vec![
                DVec3::new(0.0, 0.0, 0.0),
                DVec3::new(10.0, 0.0, 0.0),
                DVec3::new(0.0, 10.0, 0.0),
                DVec3::new(0.0, 0.0, 5.0),
            ],
            triangles: vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]],
        };
        let heights = Heights::new(&mesh, &mesh.triangles);
        let found = heights.at(DVec2::new(2.0, 4.0)).map(|h| h.map(|z| (z * 1e9).round() / 1e9));
        assert_eq!(found, Some([0.0, 2.0]));
        assert_eq!(heights.at(DVec2::new(8.0, 8.0)), None);
        assert_eq!(heights.at(DVec2::new(-3.0, 0.0)), None);
        assert_eq!(Heights::new(&mesh, &[]).at(DVec2::ZERO), None);
    }
}
