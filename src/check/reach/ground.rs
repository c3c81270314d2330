//! The surface that a setup carves, as heights on a grid.

use super::{Heights, NOTHING, Tool};
use crate::relief::Face;
use crate::shape::Body;
use crate::units::Length;
use glam::DVec2;
use rayon::prelude::*;

/// A side of the body as heights, seen as it lies in its setup: the higher, the nearer to the
/// spindle.
#[derive(Clone, Debug, PartialEq)]
pub struct Ground {
    /// The heights; [`NOTHING`] where the body is not. How deep the tool goes beside the upright rim
    /// wall changes nothing on the body.
    pub heights: Heights,
    /// Middle of the first cell in the design frame, in mm. Rows run along the design's Y, whichever
    /// side it is.
    pub origin: DVec2,
}

/// Heights of the exact surface in the middles of cells, with room for the tool all round.
pub fn surface(body: &Body, face: Face, tool: Tool, cell: Length) -> Ground {
    let step = cell.as_mm();
    let room = 2.0 * tool.radius().as_mm() + step;
    let (low, high) = extent(body);
    let origin = low - room;
    let size = (high + room - origin) / step;
    let (columns, rows) = (size.x.ceil() as usize + 1, size.y.ceil() as usize + 1);
    let spans: Vec<[f64; 2]> = (0..columns)
        .map(|column| body.across(Length::mm(origin.x + column as f64 * step)))
        .collect();
    let lines: Vec<Vec<f32>> = (0..rows)
        .into_par_iter()
        .map(|row| {
            let y = origin.y + row as f64 * step;
            let height = |(column, span): (usize, &[f64; 2])| {
                if y < span[0] || y > span[1] {
                    return NOTHING;
                }
                let p = DVec2::new(origin.x + column as f64 * step, y);
                match face {
                    Face::Top => body.top(p) as f32,
                    Face::Bottom => -body.bottom(p) as f32,
                }
            };
            spans.iter().enumerate().map(height).collect()
        })
        .collect();
    let mm = lines.concat();
    Ground { heights: Heights { columns, rows, cell, mm }, origin }
}

/// Corners of a box that holds the outline, in mm.
fn extent(body: &Body) -> (DVec2, DVec2) {
    /// Steps that no bulge of a sway can hide between.
    const STEPS: u32 = 400;
    let length = body.length();
    let spans = (0..=STEPS).map(|step| body.across(length * (f64::from(step) / f64::from(STEPS))));
    let (low, high) = spans
        .fold((0.0_f64, 0.0_f64), |(low, high), [right, left]| (low.min(right), high.max(left)));
    (DVec2::new(0.0, low), DVec2::new(length.as_mm(), high))
}
