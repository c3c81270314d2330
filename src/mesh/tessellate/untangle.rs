//! Triangles that are near enough to the surface and yet can't stay as they are.

use super::Halving;
use crate::mesh::FLATTEST_MM;
use crate::mesh::audit::crossings_of;
use crate::mesh::crossing::MOST;
use glam::DVec3;

/// A triangle lower than this, in mm, is one that files may make flat: ten times what they do.
const LOW_MM: f64 = 10.0 * FLATTEST_MM;
/// How far, as a share of a triangle's height over it, an edge may leave the line that it stands
/// for: from a half on, the triangle's halves could turn over.
const MOST_BULGE: f64 = 0.5;

impl Halving<'_> {
    /// Triangles that pass through others: where the outline bends within a triangle, the body is
    /// thinner than the tolerance, or its edge lower, skins and wall can meet though each is near
    /// enough to its own surface. And those that lie flat on a bent line, as on the edge of a land
    /// that is narrower than they are long.
    /// Only triangles that are new since the last look are looked at: those that were tangled then have
    /// been halved, and no point moves.
    pub(super) fn tangled(&mut self) -> Vec<u32> {
        let corners: Vec<[u32; 3]> = self.triangles.iter().map(|t| t.corners).collect();
        let new = |index: u32| self.new.get(index as usize).is_none_or(|new| *new);
        let pairs = crossings_of(&self.points, &corners, new);
        // Of so many some may have been left out, and are still there the next time.
        let all_told = pairs.len() < MOST;
        let mut tangled = pairs.concat();
        let all = 0..self.triangles.len() as u32;
        tangled.extend(all.filter(|index| new(*index) && self.lies_flat(*index)));
        tangled.sort_unstable();
        tangled.dedup();
        self.new = vec![!all_told; self.triangles.len()];
        tangled
    }

    /// Whether a triangle is low because one of its edges stands for a bent line: halving mends that,
    /// where it would make one that is thin by itself only thinner.
    fn lies_flat(&self, index: u32) -> bool {
        let triangle = &self.triangles[index as usize];
        let [p, q, r] = triangle.corners.map(|corner| self.points[corner as usize]);
        let twice = (q - p).cross(r - p).length();
        let edges = [(q, r), (r, p), (p, q)];
        let longest = edges.iter().map(|(from, to)| from.distance(*to)).fold(0.0, f64::max);
        let bulge = |(k, (from, to)): (usize, (DVec3, DVec3))| {
            let middle = self.edges[triangle.edges[k] as usize].middle;
            (to - from).cross(middle - from).length()
        };
        // Asked for, not against, so that a NaN counts.
        let high = twice >= LOW_MM * longest;
        !high && edges.into_iter().enumerate().map(bulge).any(|bulge| bulge > MOST_BULGE * twice)
    }
}
