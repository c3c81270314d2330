//! The surface that a setup carves, as heights on a grid.

use super::{HeightGrid, NOTHING, Tool};
use crate::relief::Face;
use crate::shape::{Body, CutBottom, CutTop};
use crate::units::Length;
use glam::DVec2;
use rayon::prelude::*;

/// A side of the body as heights, seen as it lies in its setup: the higher, the nearer to the
/// spindle.
#[derive(Clone, Debug, PartialEq)]
pub struct SideGrid {
    /// The heights; [`NOTHING`] where the body is not. How deep the tool goes beside the upright rim
    /// wall changes nothing on the body.
    pub heights: HeightGrid,
    /// Middle of the first cell in the design frame, in mm. Rows run along the design's Y, whichever
    /// side it is.
    pub origin: DVec2,
}

/// Heights of the exact surface in the middles of cells, with room for the tool all round.
pub fn surface(body: &Body, face: Face, tool: Tool, cell: Length) -> SideGrid {
    let step = cell.as_mm();
    let room = 2.0 * tool.radius().as_mm() + step;
    let (low, high) = extent(body);
    let origin = low - room;
    let size = (high + room - origin) / step;
    let (columns, rows) = (size.x.ceil() as usize + 1, size.y.ceil() as usize + 1);
    // Across the body, cut by cut; then turned, so that a row runs along it.
    let lines: Vec<Vec<f32>> = (0..columns)
        .into_par_iter()
        .with_min_len(16)
        .map(|column| {
            let x = origin.x + column as f64 * step;
            let [right, left] = body.across(Length::mm(x));
            let cut = CrossCut::of(body, face, x);
            let height = |row: usize| {
                let y = origin.y + row as f64 * step;
                if y < right || y > left { NOTHING } else { cut.height(y) as f32 }
            };
            (0..rows).map(height).collect()
        })
        .collect();
    let mm = (0..rows).flat_map(|row| lines.iter().map(move |line| line[row])).collect();
    SideGrid { heights: HeightGrid { columns, rows, cell, mm }, origin }
}

/// A side of the body as it lies in its setup, cut across.
pub(in crate::check) enum CrossCut {
    Top(CutTop),
    Bottom(CutBottom),
}

impl CrossCut {
    /// At an X, in mm.
    pub(in crate::check) fn of(body: &Body, face: Face, x: f64) -> CrossCut {
        match face {
            Face::Top => CrossCut::Top(body.cut_top(x)),
            Face::Bottom => CrossCut::Bottom(body.cut_bottom(x)),
        }
    }

    /// Height at a Y, in mm.
    pub(in crate::check) fn height(&self, y: f64) -> f64 {
        match self {
            CrossCut::Top(cut) => cut.height(y),
            CrossCut::Bottom(cut) => -cut.height(y),
        }
    }
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
