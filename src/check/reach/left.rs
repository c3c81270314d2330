//! What a cutter leaves of a side.

use super::radius::least_concave;
use super::{CrossCut, HeightGrid, NOTHING, SideGrid, Tool, closing};
use crate::relief::Face;
use crate::shape::Body;
use crate::units::Length;
use glam::{DVec2, DVec3};
use rayon::prelude::*;

/// Distance of the cells: a sixteenth of a 1/8 in ball (common practice, no source).
pub const CELL: Length = Length::mm(0.2);

/// Less than this, in mm, is not counted as left: finer than the finest grit that wood is sanded
/// with (mean grain of P220: 0.068 mm, FEPA P series / ISO 6344) takes off in a stroke.
pub(super) const COUNTS: f64 = 0.02;

/// What the finishing cutter can't reach on one side.
#[derive(Clone, Debug, PartialEq)]
pub struct Uncut {
    /// Which side.
    pub face: Face,
    /// What is left standing over the design, in mm; [`NOTHING`] beside the body.
    pub left: HeightGrid,
    /// Middle of the first cell in the design frame, in mm.
    pub origin: DVec2,
    /// Most that is left.
    pub most: Length,
    /// Where that is, in the design frame, in mm.
    pub at: DVec2,
    /// Its volume, in mm³.
    pub volume_mm3: f64,
    /// Where more than 0.02 mm is left, in mm² of the plan.
    pub area_mm2: f64,
    /// Least concave radius of this side of the design, and where that is; none if it is nowhere
    /// concave.
    pub concave: Option<(Length, DVec2)>,
}

/// What a tool leaves of one side, and how round that side is.
pub fn uncut(body: &Body, face: Face, ground: &SideGrid, tool: Tool) -> Uncut {
    Uncut { concave: least_concave(body, face, ground), ..left_by(body, face, ground, tool) }
}

/// What a tool leaves of one side.
pub(super) fn left_by(body: &Body, face: Face, ground: &SideGrid, tool: Tool) -> Uncut {
    let surface = &ground.heights;
    let (columns, cell) = (surface.columns, surface.cell.as_mm());
    let mut left = closing(surface, tool);
    let place = |index: usize| {
        ground.origin + cell * DVec2::new((index % columns) as f64, (index / columns) as f64)
    };
    left.mm.par_iter_mut().enumerate().with_min_len(4096).for_each(|(index, left)| {
        let height = surface.mm[index];
        if height <= NOTHING {
            return;
        }
        *left -= height;
        // The grid holds the tool to the cells' middles, which leaves false cusps on steep
        // places; there the tool is set on the exact normal.
        let found = f64::from(*left);
        if found > 0.25 * COUNTS && found < tool.false_cusp(slope(surface, index), cell) {
            *left = left.min(raised(body, face, ground, tool, place(index)) as f32);
        }
    });
    let counted = || left.mm.iter().enumerate().filter(|(_, left)| f64::from(**left) > COUNTS);
    let (worst, most) = left.mm.iter().enumerate().fold((0, 0.0_f32), |best, (index, left)| {
        if *left > best.1 { (index, *left) } else { best }
    });
    Uncut {
        face,
        most: Length::mm(f64::from(most)),
        at: place(worst),
        volume_mm3: counted().map(|(_, left)| f64::from(*left)).sum::<f64>() * cell * cell,
        area_mm2: counted().count() as f64 * cell * cell,
        concave: None,
        origin: ground.origin,
        left,
    }
}

/// Slope of the surface at a cell, by its neighbours: the steeper of either side; without end at
/// the rim.
fn slope(surface: &HeightGrid, index: usize) -> f64 {
    let at = |index: Option<usize>| {
        index.and_then(|index| surface.mm.get(index)).copied().filter(|z| *z > NOTHING)
    };
    let step = surface.cell.as_mm();
    let middle = at(Some(index));
    let steeper = |apart: usize| {
        let by = |other: Option<f32>| match (middle, other) {
            (Some(a), Some(b)) => (f64::from(a) - f64::from(b)).abs() / step,
            _ => f64::INFINITY,
        };
        by(at(index.checked_sub(apart))).max(by(at(Some(index + apart))))
    };
    steeper(1).hypot(steeper(surface.columns))
}

/// How far a tool that touches the surface at a place, on the exact normal, must be raised so that
/// it cuts into no cell round it, in mm.
fn raised(body: &Body, face: Face, ground: &SideGrid, tool: Tool, p: DVec2) -> f64 {
    /// Step of the differences that give the normal, in mm.
    const STEP: f64 = 1e-3;
    let height = |p: DVec2| CrossCut::of(body, face, p.x).height(p.y);
    let slope = |step: DVec2| (height(p + step) - height(p - step)) / (2.0 * STEP);
    let normal =
        DVec3::new(-slope(DVec2::X * STEP), -slope(DVec2::Y * STEP), 1.0).normalize_or_zero();
    let tip = tool.tip_touching(p.extend(height(p)), normal);
    let HeightGrid { columns, rows, cell, mm } = &ground.heights;
    let cell = cell.as_mm();
    let middle = (tip.truncate() - ground.origin) / cell;
    let reach = tool.radius().as_mm() / cell;
    let span = |middle: f64, count: usize| {
        let from = (middle - reach).ceil().max(0.0) as usize;
        from..((middle + reach).floor().max(0.0) as usize + 1).min(count)
    };
    let mut most = 0.0_f64;
    for row in span(middle.y, *rows) {
        for column in span(middle.x, *columns) {
            let away = (DVec2::new(column as f64, row as f64) - middle).length() * cell;
            if let Some(over) = tool.height(away) {
                most = most.max(f64::from(mm[row * columns + column]) - tip.z - over);
            }
        }
    }
    most
}
