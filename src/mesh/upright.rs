//! Where upright lines meet a mesh, for tests: triangle by triangle, apart from [`super::Heights`].

use super::Mesh;
use glam::DVec2;

impl Mesh {
    /// Heights at which an upright line meets the mesh, in mm, from below.
    pub(crate) fn met_by(&self, p: DVec2) -> Vec<f64> {
        self.met_among(0..self.triangles.len(), p)
    }

    /// The same of some triangles only.
    pub(crate) fn met_among(&self, some: impl IntoIterator<Item = usize>, p: DVec2) -> Vec<f64> {
        let mut heights: Vec<f64> =
            some.into_iter().filter_map(|triangle| self.met_in(triangle, p)).collect();
        heights.sort_by(f64::total_cmp);
        heights
    }

    fn met_in(&self, triangle: usize, p: DVec2) -> Option<f64> {
        let [a, b, c] = self.triangles[triangle].map(|i| self.points[i as usize]);
        let (u, v) = ((b - a).truncate(), (c - a).truncate());
        let area = u.perp_dot(v);
        let w = p - a.truncate();
        let (s, t) = (w.perp_dot(v) / area, u.perp_dot(w) / area);
        (area != 0.0 && s >= 0.0 && t >= 0.0 && s + t < 1.0)
            .then_some(a.z + s * (b.z - a.z) + t * (c.z - a.z))
    }
}
