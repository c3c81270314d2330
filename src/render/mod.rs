//! Shaded pictures of a mesh, for the job sheet and the gallery.
//!
//! Promised: the same mesh, view, size and wood give the same bytes; the silhouette is the mesh's
//! own, to half a sample; a mesh that is empty, or has no finite triangle, gives a blank picture.
//! Not promised: true colour of a species, or a physical light. The wood's figure is painted
//! through the solid, so that a hollow shows the rings it cuts, and is not that of any board.

mod camera;
mod facets;
mod let_in;
mod light;
mod normals;
mod picture;
mod raster;
mod sitter;
mod tones;
mod vector;
mod wood;

pub use camera::View;
pub use facets::PictureMesh;
pub use let_in::LetIn;
pub use picture::{Picture, Shown, finished, inlaid, wood_let_in};
pub use sitter::Sitter;
pub use vector::shaded_svg;
pub use wood::{Paint, Wood};

use crate::mesh::Mesh;
use camera::Camera;
use let_in::Painter;
use rayon::prelude::*;
use std::sync::LazyLock;

/// Samples along each side of a picture element: 2, so four in all. Enough to smooth an edge at
/// the sizes that a sheet prints (looked at 1, 2 and 3; 3 costs twice the time for no visible gain).
const SAMPLES: usize = 2;

/// No picture is larger than this along a side, so that its samples fit in memory.
const LARGEST: u32 = 4096;

/// Rows of picture elements that one task draws.
const BAND: usize = 16;

/// The paper: white.
const PAPER: f32 = 1.0;

/// Draws a mesh as an 8-bit RGB picture on white and returns it as PNG.
///
/// `size` is width and height in picture elements, each brought within 1 to 4096. Triangles with a
/// corner that is missing or not finite are left out.
pub fn shaded(mesh: &Mesh, view: &View, size: (u32, u32), wood: Wood) -> Vec<u8> {
    Sitter::new(mesh).shaded(view, size, wood)
}

impl Sitter<'_> {
    /// As [`shaded()`].
    pub fn shaded(&self, view: &View, size: (u32, u32), wood: Wood) -> Vec<u8> {
        let size = (size.0.clamp(1, LARGEST), size.1.clamp(1, LARGEST));
        let colours = draw(self, *view, (size.0 as usize, size.1 as usize), wood);
        png_of(&colours, size)
    }
}

/// What a picture is drawn from: the camera, the triangles, and which of them each sample shows.
struct Seen {
    samples_per_mm: f64,
    corners: raster::Corners,
    buffer: raster::Buffer,
}

impl Seen {
    /// None for a mesh without extent.
    fn new(sitter: &Sitter, view: View, (wide, high): (usize, usize)) -> Option<Seen> {
        let samples = (wide * SAMPLES, high * SAMPLES);
        let camera = Camera::fitted(sitter.mesh, &sitter.triangles, view, samples)?;
        let corners = raster::Corners::new(sitter, &camera);
        let buffer = raster::draw(&corners, samples);
        Some(Seen { samples_per_mm: camera.samples_per_mm(), corners, buffer })
    }

    fn scene(&self) -> light::Scene {
        light::Scene::new(&self.buffer, SAMPLES, self.samples_per_mm)
    }
}

/// Linear colours of the picture, row by row from the top left.
fn draw(sitter: &Sitter, view: View, (wide, high): (usize, usize), wood: Wood) -> Vec<[f32; 3]> {
    let mut colours = vec![[PAPER; 3]; wide * high];
    let Some(seen) = Seen::new(sitter, view, (wide, high)) else { return colours };
    let scene = seen.scene();
    colours.par_chunks_mut(wide * BAND).enumerate().for_each(|(band, rows)| {
        let mut painter = Painter::new(wood, &sitter.let_in);
        for (i, colour) in rows.iter_mut().enumerate() {
            let at = (i % wide, band * BAND + i / wide);
            *colour = element(&seen, &scene, &mut painter, at);
        }
    });
    colours
}

/// Samples of one picture element that lie together on one smooth place: less than this apart in
/// height, in elements, and in the cosine of their normals. They take their colour once.
const TOGETHER: (f32, f32) = (3.0, 0.995);

/// The colour of one picture element: the mean of its samples.
fn element(
    seen: &Seen,
    scene: &light::Scene,
    painter: &mut Painter<'_>,
    (x, y): (usize, usize),
) -> [f32; 3] {
    let shade = scene.shade(x, y);
    let mut coloured = |hit: &raster::Hit| {
        let lit = shade.lit(hit.normal);
        let base = painter.colour(hit.point);
        [0, 1, 2].map(|k| base[k] * lit.diffuse[k] + lit.sheen)
    };
    let first = (x * SAMPLES, y * SAMPLES);
    let near = (TOGETHER.0 * SAMPLES as f32, TOGETHER.1);
    if let Some(hit) = seen.corners.together::<SAMPLES>(&seen.buffer, first, near) {
        return coloured(&hit);
    }
    let hits = hits(seen, (x, y));
    let covered = hits.iter().flatten().count();
    let paper = PAPER * scene.ground(x, y);
    if covered == 0 {
        return [paper; 3];
    }
    let all = (SAMPLES * SAMPLES) as f32;
    let bare = paper * (all - covered as f32);
    let colours = hits.iter().flatten().map(coloured);
    let sum = colours.fold([bare; 3], |sum, colour| [0, 1, 2].map(|k| sum[k] + colour[k]));
    sum.map(|value| value / all)
}

/// What the samples of a picture element show.
fn hits(seen: &Seen, (x, y): (usize, usize)) -> [Option<raster::Hit>; SAMPLES * SAMPLES] {
    std::array::from_fn(|i| {
        let (x, y) = (x * SAMPLES + i % SAMPLES, y * SAMPLES + i / SAMPLES);
        seen.corners.at(&seen.buffer, x, y)
    })
}

/// The picture as PNG.
fn png_of(colours: &[[f32; 3]], (wide, high): (u32, u32)) -> Vec<u8> {
    let table = &*CODED;
    let mut bytes = vec![0; colours.len() * 3];
    bytes.par_chunks_mut(3 * 4096).zip(colours.par_chunks(4096)).for_each(|(bytes, colours)| {
        for (out, colour) in bytes.chunks_exact_mut(3).zip(colours) {
            for (out, value) in out.iter_mut().zip(colour) {
                *out = table.byte(*value);
            }
        }
    });
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, wide, high);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::Fast);
    // Writing to memory at a size of at least 1 × 1 has no way to fail; were it to, the picture is
    // the part that was written.
    if let Ok(mut writer) = encoder.write_header() {
        let _ = writer.write_image_data(&bytes);
        let _ = writer.finish();
    }
    file
}

/// The one table.
static CODED: LazyLock<Coded> = LazyLock::new(Coded::new);

/// Bytes of linear values, looked up: so many steps that the steepest place of the curve, near
/// black, is a fifth of a byte from one to the next.
struct Coded(Vec<u8>);

impl Coded {
    const STEPS: usize = 16_384;

    fn new() -> Coded {
        Coded((0..=Coded::STEPS).map(|i| coded(i as f32 / Coded::STEPS as f32)).collect())
    }

    fn byte(&self, value: f32) -> u8 {
        let at = (value.clamp(0.0, 1.0) * Coded::STEPS as f32 + 0.5) as usize;
        self.0.get(at).copied().unwrap_or(u8::MAX)
    }
}

/// A linear value as a byte of the sRGB transfer curve (IEC 61966-2-1).
fn coded(value: f32) -> u8 {
    let value = value.clamp(0.0, 1.0);
    let coded =
        if value <= 0.003_130_8 { 12.92 * value } else { 1.055 * value.powf(1.0 / 2.4) - 0.055 };
    (coded * 255.0 + 0.5) as u8
}

#[cfg(test)]
mod tests;
