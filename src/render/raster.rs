//! Which triangle each sample shows, by a depth buffer.

use super::camera::Camera;
use super::sitter::Sitter;
use glam::{DVec3, Vec3};
use rayon::prelude::*;

/// Rows of samples that one task draws.
const BAND: usize = 32;

/// Triangles that one task sorts into bands.
const LOT: usize = 16_384;

/// How far outside a triangle, in its weights, a sample still counts as inside: the rounding of
/// the weights, so that no sample falls between two triangles that share an edge.
const EDGE: f64 = -1e-9;

/// The triangles as the rasteriser wants them.
pub(super) struct Corners {
    camera: Camera,
    seen: Vec<[DVec3; 3]>,
    /// In the picture's frame.
    normals: Vec<[Vec3; 3]>,
    closed: bool,
}

/// What a sample shows.
pub(super) struct Hit {
    /// The point on the mesh, in mm.
    pub(super) point: DVec3,
    /// The smooth normal there, in the picture's frame.
    pub(super) normal: Vec3,
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
    pub(super) fn new(sitter: &Sitter, camera: &Camera) -> Corners {
        let Sitter { mesh, triangles, normals, closed, .. } = sitter;
        let projected: Vec<DVec3> =
            mesh.points.par_iter().map(|&point| camera.projected(point)).collect();
        let seen = triangles.par_iter().map(|t| t.map(|corner| projected[corner as usize]));
        let normals = normals.par_iter().map(|t| t.map(|normal| camera.turned(normal).as_vec3()));
        Corners {
            camera: *camera,
            seen: seen.collect(),
            normals: normals.collect(),
            closed: *closed,
        }
    }

    /// What the sample at (x, y) shows; none for the paper.
    pub(super) fn at(&self, buffer: &Buffer, x: usize, y: usize) -> Option<Hit> {
        let triangle = buffer.triangles[y * buffer.wide + x];
        if triangle == NONE {
            return None;
        }
        let seen = &self.seen[triangle as usize];
        let (x, y) = (x as f64 + 0.5, y as f64 + 0.5);
        let [u, v, w] = Plane::new(seen)?.weights(x, y);
        let height = seen[0].z * u + seen[1].z * v + seen[2].z * w;
        let point = self.camera.placed(DVec3::new(x, y, height));
        Some(Hit { point, normal: self.mixed(triangle, [u, v, w]) })
    }

    /// What a square of samples shows, taken as one place. None unless each of them shows the mesh
    /// and they lie together: less than `far` apart in height, in samples, and `near` in the cosine
    /// of their normals.
    pub(super) fn together<const N: usize>(
        &self,
        buffer: &Buffer,
        (x, y): (usize, usize),
        (far, near): (f32, f32),
    ) -> Option<Hit> {
        let row = |row: usize| (y + row) * buffer.wide + x..(y + row) * buffer.wide + x + N;
        let rows = || (0..N).map(row);
        let heights = rows().flat_map(|row| &buffer.heights[row]);
        let (low, high, sum) = heights.fold(
            (f32::INFINITY, f32::NEG_INFINITY, 0.0),
            |(low, high, sum): (f32, f32, f32), &height| {
                (low.min(height), high.max(height), sum + height)
            },
        );
        if !low.is_finite() || high - low >= far {
            return None;
        }
        let (mut first, mut sum_of_normals, mut last) = (None, Vec3::ZERO, NONE);
        for (i, &triangle) in rows().flat_map(|row| &buffer.triangles[row]).enumerate() {
            // A normal changes little within a triangle so small.
            if triangle == last {
                continue;
            }
            last = triangle;
            let plane = Plane::new(&self.seen[triangle as usize])?;
            let at = ((x + i % N) as f64 + 0.5, (y + i / N) as f64 + 0.5);
            let normal = self.mixed(triangle, plane.weights(at.0, at.1));
            if normal.dot(*first.get_or_insert(normal)) <= near {
                return None;
            }
            sum_of_normals += normal;
        }
        let half = N as f64 / 2.0;
        let middle = DVec3::new(x as f64 + half, y as f64 + half, f64::from(sum) / (N * N) as f64);
        let normal = sum_of_normals.normalize_or_zero();
        Some(Hit { point: self.camera.placed(middle), normal })
    }

    fn mixed(&self, triangle: u32, weights: [f64; 3]) -> Vec3 {
        let [u, v, w] = weights.map(|weight| weight as f32);
        let [a, b, c] = self.normals[triangle as usize];
        (a * u + b * v + c * w).normalize_or_zero()
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
/// its inside and not a hole; of a closed one, only what faces the eye.
pub(super) fn draw(corners: &Corners, (wide, high): (usize, usize)) -> Buffer {
    let bins = binned(corners, high);
    let mut heights = vec![f32::NEG_INFINITY; wide * high];
    let mut triangles = vec![NONE; wide * high];
    heights
        .par_chunks_mut(wide * BAND)
        .zip(triangles.par_chunks_mut(wide * BAND))
        .enumerate()
        .for_each(|(band, (heights, triangles))| {
            for &i in bins.iter().flat_map(|lot| &lot[band]) {
                draw_one(&corners.seen[i as usize], i, band * BAND, wide, heights, triangles);
            }
        });
    Buffer { wide, high, heights, triangles }
}

/// Triangles by the bands of rows that they touch, lot after lot.
fn binned(corners: &Corners, high: usize) -> Vec<Vec<Vec<u32>>> {
    let last = high.div_ceil(BAND) - 1;
    let sorted = |(lot, triangles): (usize, &[[DVec3; 3]])| {
        let mut bins = vec![Vec::new(); last + 1];
        for (i, [a, b, c]) in triangles.iter().enumerate() {
            // Rows run down, so that what faces the eye runs clockwise.
            let away = (b.x - a.x) * (c.y - a.y) > (b.y - a.y) * (c.x - a.x);
            if corners.closed && away {
                continue;
            }
            let from = (a.y.min(b.y).min(c.y).max(0.0) as usize / BAND).min(last);
            let to = (a.y.max(b.y).max(c.y).max(0.0) as usize / BAND).min(last);
            for bin in &mut bins[from..=to] {
                bin.push((lot * LOT + i) as u32);
            }
        }
        bins
    };
    corners.seen.par_chunks(LOT).enumerate().map(sorted).collect()
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
    if xs.is_empty() {
        return;
    }
    let step = (plane.to_third.1 * plane.per_area, -plane.to_second.1 * plane.per_area);
    for y in ys {
        let row = (y - first) * wide;
        let [_, v0, w0] = plane.weights(xs.start as f64 + 0.5, y as f64 + 0.5);
        let range = row + xs.start..row + xs.end;
        let samples = heights[range.clone()].iter_mut().zip(&mut triangles[range]);
        for (i, (nearest, triangle)) in samples.enumerate() {
            let (v, w) = (v0 + step.0 * i as f64, w0 + step.1 * i as f64);
            let u = 1.0 - v - w;
            if u < EDGE || v < EDGE || w < EDGE {
                continue;
            }
            let height = (a.z * u + b.z * v + c.z * w) as f32;
            if height > *nearest {
                *nearest = height;
                *triangle = index;
            }
        }
    }
}
