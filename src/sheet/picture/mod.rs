//! Shaded pictures of a mesh, for the job sheet and the gallery.
//!
//! Promised: the same mesh, view, size and wood give the same bytes; the silhouette is the mesh's
//! own, to half a sample; a mesh that is empty, or has no finite triangle, gives a blank picture.
//! Not promised: true colour of a species, or a physical light. The wood's figure is painted
//! through the solid, so that a hollow shows the rings it cuts, and is not that of any board.

mod camera;
mod light;
mod normals;
mod raster;
mod wood;

pub use wood::Wood;

use crate::mesh::Mesh;
use camera::Camera;
use glam::DVec3;
use rayon::prelude::*;

/// From where the mesh is seen. All views are parallel projections.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum View {
    /// From above, the tip to the right.
    Top,
    /// From below, the tip to the right: the top view turned about X.
    Bottom,
    /// From the right side (negative Y), the tip to the right.
    Side,
    /// From above, the right and a little from the tip.
    ThreeQuarter,
}

impl View {
    /// All views.
    pub const ALL: [View; 4] = [View::Top, View::Bottom, View::Side, View::ThreeQuarter];

    /// `top`, `bottom`, `side` or `three-quarter`.
    pub const fn name(self) -> &'static str {
        match self {
            View::Top => "top",
            View::Bottom => "bottom",
            View::Side => "side",
            View::ThreeQuarter => "three-quarter",
        }
    }
}

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
    let size = (size.0.clamp(1, LARGEST), size.1.clamp(1, LARGEST));
    let colours = draw(mesh, *view, (size.0 as usize, size.1 as usize), wood);
    png_of(&colours, size)
}

/// Linear colours of the picture, row by row from the top left.
fn draw(mesh: &Mesh, view: View, (wide, high): (usize, usize), wood: Wood) -> Vec<[f32; 3]> {
    let mut colours = vec![[PAPER; 3]; wide * high];
    let triangles: Vec<[u32; 3]> =
        mesh.triangles.iter().copied().filter(|&corners| is_sound(mesh, corners)).collect();
    let Some(camera) = Camera::fitted(mesh, &triangles, view, (wide * SAMPLES, high * SAMPLES))
    else {
        return colours;
    };
    let corners = raster::Corners::new(mesh, &triangles, &camera);
    let buffer = raster::draw(&corners, (wide * SAMPLES, high * SAMPLES));
    let scene = light::Scene::new(&buffer, SAMPLES, camera.samples_per_mm());
    colours.par_chunks_mut(wide * BAND).enumerate().for_each(|(band, rows)| {
        for (i, colour) in rows.iter_mut().enumerate() {
            let (x, y) = (i % wide, band * BAND + i / wide);
            *colour = element(&scene, &corners, wood, &camera, (x, y));
        }
    });
    colours
}

/// The colour of one picture element: the mean of its samples.
fn element(
    scene: &light::Scene,
    corners: &raster::Corners,
    wood: Wood,
    camera: &Camera,
    (x, y): (usize, usize),
) -> [f32; 3] {
    let mut sum = [0.0_f32; 3];
    let paper = PAPER * scene.ground(x, y);
    let shade = scene.shade(x, y);
    for dy in 0..SAMPLES {
        for dx in 0..SAMPLES {
            let (sx, sy) = (x * SAMPLES + dx, y * SAMPLES + dy);
            let sample = match corners.at(scene.buffer, sx, sy) {
                Some(hit) => {
                    let lit = shade.lit(camera.turned(hit.normal));
                    let base = wood.colour(hit.point);
                    [0, 1, 2].map(|k| base[k] * lit.diffuse[k] + lit.sheen)
                }
                None => [paper; 3],
            };
            for k in 0..3 {
                sum[k] += sample[k];
            }
        }
    }
    sum.map(|value| value / (SAMPLES * SAMPLES) as f32)
}

/// Whether a triangle's corners exist and are finite.
fn is_sound(mesh: &Mesh, corners: [u32; 3]) -> bool {
    corners.iter().all(|&c| mesh.points.get(c as usize).is_some_and(|p: &DVec3| p.is_finite()))
}

/// The picture as PNG.
fn png_of(colours: &[[f32; 3]], (wide, high): (u32, u32)) -> Vec<u8> {
    let bytes: Vec<u8> = colours.par_iter().flat_map_iter(|c| c.map(coded)).collect();
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

/// A linear value as a byte of the sRGB transfer curve (IEC 61966-2-1).
fn coded(value: f32) -> u8 {
    let value = value.clamp(0.0, 1.0);
    let coded =
        if value <= 0.003_130_8 { 12.92 * value } else { 1.055 * value.powf(1.0 / 2.4) - 0.055 };
    (coded * 255.0 + 0.5) as u8
}

#[cfg(test)]
mod tests;
