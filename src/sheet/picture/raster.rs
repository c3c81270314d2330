//! Which triangle each sample shows, by a depth buffer.

use super::camera::Camera;
use super::normals;
use crate::mesh::Mesh;
use glam::DVec3;
use rayon::prelude::*;

/// Rows of samples that one task draws.
const BAND: usize = 32;

/// The triangles as the rasteriser wants them.
pub(super) struct Corners {
    seen: Vec<[DVec3; 3]>,
    points: Vec<[DVec3; 3]>,
    normals: Vec<[DVec3; 3]>,
}

/// What a sample shows.
pub(super) struct Hit {
    /// The point on the mesh, in mm.
    pub(super) point: DVec3,
    /// The smooth normal there, in the mesh's frame.
    pub(super) normal: DVec3,
}

/// The nearest triangle of each sample.
pub(super) struct Buffer {
    /// Samples in a row.
    pub(super) wide: usize,
    /// Rows.
    pub(super) high: usize,
    /// Height towards the eye in samples; minus infinity where there is paper.
    pub(super) heights: Vec<f32>,
    triangles: Vec<u32>,
}

/// A sample that shows the paper.
const NONE: u32 = u32::MAX;

impl Corners {
    /// The triangles through the camera.
    pub(super) fn new(mesh: &Mesh, triangles: &[[u32; 3]], camera: &Camera) -> Corners {
        let points: Vec<[DVec3; 3]> =
            triangles.par_iter().map(|t| t.map(|corner| mesh.points[corner as usize])).collect();
        let seen = points.par_iter().map(|t| t.map(|point| camera.projected(point))).collect();
        Corners { seen, points, normals: normals::at_corners(mesh, triangles) }
    }

    /// What the sample at (x, y) shows; none for the paper.
    pub(super) fn at(&self, buffer: &Buffer, x: usize, y: usize) -> Option<Hit> {
        let triangle = buffer.triangles[y * buffer.wide + x];
        if triangle == NONE {
            return None;
        }
        let i = triangle as usize;
        let plane = Plane::new(&self.seen[i])?;
        let [u, v, w] = plane.weights(x as f64 + 0.5, y as f64 + 0.5);
        let mix = |of: &[DVec3; 3]| of[0] * u + of[1] * v + of[2] * w;
        Some(Hit { point: mix(&self.points[i]), normal: mix(&self.normals[i]).normalize_or_zero() })
    }
}

/// A triangle in the picture: weights of its corners as linear functions of the place.
struct Plane {
    origin: DVec3,
    to_second: (f64, f64),
    to_third: (f64, f64),
    /// One over twice the area.
    per_area: f64,
}

impl Plane {
    /// None for a triangle seen edge on.
    fn new(&[a, b, c]: &[DVec3; 3]) -> Option<Plane> {
        let to_second = (b.x - a.x, b.y - a.y);
        let to_third = (c.x - a.x, c.y - a.y);
        let area = to_second.0 * to_third.1 - to_second.1 * to_third.0;
        let per_area = 1.0 / area;
        (area != 0.0 && area.is_finite() && per_area.is_finite()).then_some(Plane {
            origin: a,
            to_second,
            to_third,
            per_area,
        })
    }

    fn weights(&self, x: f64, y: f64) -> [f64; 3] {
        let (x, y) = (x - self.origin.x, y - self.origin.y);
        let v = (x * self.to_third.1 - y * self.to_third.0) * self.per_area;
        let w = (y * self.to_second.0 - x * self.to_second.1) * self.per_area;
        [1.0 - v - w, v, w]
    }
}

/// Draws all triangles. Both sides of a triangle are drawn, so that a mesh that isn't closed shows
/// its inside and not a hole.
pub(super) fn draw(corners: &Corners, (wide, high): (usize, usize)) -> Buffer {
    let bins = binned(corners, high);
    let mut heights = vec![f32::NEG_INFINITY; wide * high];
    let mut triangles = vec![NONE; wide * high];
    heights
        .par_chunks_mut(wide * BAND)
        .zip(triangles.par_chunks_mut(wide * BAND))
        .zip(bins.par_iter())
        .enumerate()
        .for_each(|(band, ((heights, triangles), bin))| {
            for &i in bin {
                draw_one(&corners.seen[i as usize], i, band * BAND, wide, heights, triangles);
            }
        });
    Buffer { wide, high, heights, triangles }
}

/// Triangles by the bands of rows that they touch.
fn binned(corners: &Corners, high: usize) -> Vec<Vec<u32>> {
    let mut bins = vec![Vec::new(); high.div_ceil(BAND)];
    let last = bins.len() - 1;
    for (i, [a, b, c]) in corners.seen.iter().enumerate() {
        let from = (a.y.min(b.y).min(c.y).max(0.0) as usize / BAND).min(last);
        let to = (a.y.max(b.y).max(c.y).max(0.0) as usize / BAND).min(last);
        for bin in &mut bins[from..=to] {
            bin.push(i as u32);
        }
    }
    bins
}

/// Draws one triangle into a band of rows that begins at `first`.
fn draw_one(
    seen: &[DVec3; 3],
    index: u32,
    first: usize,
    wide: usize,
    heights: &mut [f32],
    triangles: &mut [u32],
) {
    let Some(plane) = Plane::new(seen) else { return };
    let [a, b, c] = seen;
    let rows = heights.len() / wide;
    // A sample's middle is half a sample in; the first one at or after `low` is ceil(low - 1/2).
    let span = |low: f64, high: f64, start: usize, count: usize| {
        let from = (low - 0.5).ceil().max(start as f64) as usize;
        let to = ((high - 0.5).floor() + 1.0).clamp(0.0, (start + count) as f64) as usize;
        from..to
    };
    let ys = span(a.y.min(b.y).min(c.y), a.y.max(b.y).max(c.y), first, rows);
    let xs = span(a.x.min(b.x).min(c.x), a.x.max(b.x).max(c.x), 0, wide);
    for y in ys {
        let row = (y - first) * wide;
        for x in xs.clone() {
            let [u, v, w] = plane.weights(x as f64 + 0.5, y as f64 + 0.5);
            if u < 0.0 || v < 0.0 || w < 0.0 {
                continue;
            }
            let height = (a.z * u + b.z * v + c.z * w) as f32;
            if height > heights[row + x] {
                heights[row + x] = height;
                triangles[row + x] = index;
            }
        }
    }
}
