//! What each pass of a setup sweeps: the places of the cutter's centre, with the tip at its lowest.
//!
//! The tip may go down to the relief's face wherever a pass's limit lets its centre go, and to the
//! pass's own depth where it goes through the wood.
//!
//! Promised: wherever the centre may go, a place of the sweep is no further away than its slack, and
//! the tip there is no higher than the relief's face is, within the limit, on the middles of the nine
//! cells round it and along the limit itself. A place is at most a cell's side off the limit.
//! Not promised: moves between passes.

use super::THROUGH_MM;
use super::kind::PassKind;
use super::passes::Pass;
use crate::mesh::{Heights, Mesh};
use crate::outline::ArcPath;
use crate::params::{Cutter, Holder};
use crate::relief::Face;
use crate::setup::Setup;
use crate::units::Length;
use glam::DVec2;
use rayon::prelude::*;

/// Side of a cell, in mm.
pub const CELL_MM: f64 = 1.0;

/// Half of a cell's diagonal, and a little.
const SLACK_MM: f64 = 0.72;

/// Places along a path are at most so far apart on its chords, in mm.
const STEP_MM: f64 = 0.5 * CELL_MM;

/// How far a point of a path may be from one of them.
const SLACK_ALONG_MM: f64 = 0.5 * STEP_MM + CHORD.as_mm();

/// Chords of the paths that the centre runs along.
const CHORD: Length = Length::mm(0.05);

/// What is no higher over the bed is the relief's underside, in mm; no skirt is so thin.
const UNDERSIDE_MM: f64 = 1e-6;

/// No more cells than this along a side, so that an absurd board takes no absurd time.
const CELLS_MOST: f64 = 4000.0;

/// One pass in one setup. Places on the board, heights over the bed, in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Sweep {
    /// The kind of pass.
    pub pass: PassKind,
    /// The cutter.
    pub cutter: Cutter,
    /// What holds it.
    pub holder: Holder,
    /// Places of the centre and the tip's least height there, lowest first.
    pub places: Vec<(DVec2, f64)>,
    /// How far the centre may be from the nearest of them.
    pub slack: f64,
}

/// All passes of a piece in a setup, and what they leave.
#[derive(Clone, Debug, PartialEq)]
pub struct Swept {
    /// The setup.
    pub face: Face,
    /// The passes in their order.
    pub sweeps: Vec<Sweep>,
    /// The relief's face: piece, tabs and skirt.
    pub surface: CarvedSurface,
    /// The lowest place of the relief but for its underside, over the bed: the deepest cut.
    pub lowest: Length,
}

/// A relief's face on the middles of square cells along the board's edges. In mm.
#[derive(Clone, Debug, PartialEq)]
pub struct CarvedSurface {
    /// Middle of the first cell, on the board.
    pub origin: DVec2,
    /// Cells along X.
    pub columns: usize,
    /// Heights over the bed, row by row; minus infinity beside the relief.
    pub heights: Vec<f64>,
}

impl Swept {
    /// Of a setup with its relief, in its own frame, and all passes of the piece. `holder` is that of
    /// cutters without one of their own.
    pub fn new(setup: &Setup, relief: &Mesh, passes: &[Pass], holder: Holder) -> Swept {
        let heights = Heights::new(relief, &relief.triangles);
        let bed = setup.stock_bottom.as_mm();
        let face = |p: DVec2| heights.at(setup.from_board.place(p)).map(|[_, high]| high - bed);
        let plan = relief.points.iter().map(|p| setup.from_board.place_back(p.truncate()));
        let surface = CarvedSurface::new(plan, &face);
        let own: Vec<&Pass> = passes.iter().filter(|pass| pass.face == setup.face).collect();
        let sweeps = own.into_par_iter().with_max_len(1).map(|pass| {
            let on_board = |path| setup.from_board.path_back(&setup.from_design.path(path));
            let paths: Vec<ArcPath> = pass.centre.iter().map(on_board).collect();
            let through = pass.through.map(Length::as_mm);
            let tip = |p: DVec2| through.or_else(|| face(p));
            let cell = |cell: usize| through.unwrap_or_else(|| surface.heights[cell]);
            let along = along(&paths, &tip);
            let (mut places, slack) = match pass.kind {
                // It runs along its paths and not inside them.
                PassKind::Edge => (along, SLACK_ALONG_MM),
                _ => (surface.inside(&paths, &cell, &along), SLACK_MM),
            };
            places.sort_by(|a, b| a.1.total_cmp(&b.1));
            let cutter = pass.cutter.clone();
            Sweep {
                pass: pass.kind,
                holder: cutter.holder.unwrap_or(holder),
                cutter,
                places,
                slack,
            }
        });
        let above = relief.points.iter().map(|p| p.z - bed).filter(|up| *up > UNDERSIDE_MM);
        let lowest = Length::mm(above.fold(f64::INFINITY, f64::min));
        Swept { face: setup.face, sweeps: sweeps.collect(), surface, lowest }
    }
}

impl Sweep {
    /// Holes bored through the board at places on it, with the centre up to `round` away from their
    /// middles. `holder` is that of a cutter without one of its own.
    pub fn bores(cutter: &Cutter, holder: Holder, places: &[DVec2], round: Length) -> Sweep {
        Sweep {
            pass: PassKind::Pins,
            cutter: cutter.clone(),
            holder: cutter.holder.unwrap_or(holder),
            places: places.iter().map(|p| (*p, -THROUGH_MM - cutter.point().as_mm())).collect(),
            slack: round.as_mm(),
        }
    }
}

impl CarvedSurface {
    /// On cells over all those places of a plan.
    fn new(
        plan: impl Iterator<Item = DVec2>,
        face: &(dyn Fn(DVec2) -> Option<f64> + Sync),
    ) -> CarvedSurface {
        let none = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        let (low, high) = plan.fold(none, |(low, high), p| (low.min(p), high.max(p)));
        let origin = low - CELL_MM;
        let counts = ((high + CELL_MM - origin) / CELL_MM).ceil();
        // Without any place there are no counts either.
        let [columns, rows] = [counts.x, counts.y].map(|count| match count.is_finite() {
            true => count.clamp(1.0, CELLS_MOST) as usize + 1,
            false => 0,
        });
        let bare = CarvedSurface { origin, columns, heights: Vec::new() };
        let heights = (0..rows * columns)
            .into_par_iter()
            .with_min_len(1024)
            .map(|cell| face(bare.place(cell)).unwrap_or(f64::NEG_INFINITY))
            .collect();
        CarvedSurface { heights, ..bare }
    }

    /// Middle of a cell, by its number.
    fn place(&self, cell: usize) -> DVec2 {
        self.middle((cell % self.columns) as isize, (cell / self.columns) as isize)
    }

    /// Middle of the cell in a column and a row, on the board.
    pub fn middle(&self, column: isize, row: isize) -> DVec2 {
        self.origin + CELL_MM * DVec2::new(column as f64, row as f64)
    }

    /// Column and row of the cell that a place is in or, outside, would be in.
    pub fn cell_of(&self, p: DVec2) -> [isize; 2] {
        let at = ((p - self.origin) / CELL_MM).round();
        [at.x as isize, at.y as isize]
    }

    /// Of each cell and its eight neighbours the greatest height.
    pub fn greatest_round(&self) -> Vec<f64> {
        self.of_neighbours(&self.heights, f64::max)
    }

    fn rows(&self) -> usize {
        self.heights.len() / self.columns.max(1)
    }

    fn of_neighbours(&self, values: &[f64], pick: fn(f64, f64) -> f64) -> Vec<f64> {
        let (columns, rows) = (self.columns, self.rows());
        let three = |values: &[f64], cell: usize, at: usize, count: usize, step: usize| {
            let mut value = values[cell];
            if at > 0 {
                value = pick(value, values[cell - step]);
            }
            if at + 1 < count {
                value = pick(value, values[cell + step]);
            }
            value
        };
        let cells = 0..values.len();
        let level: Vec<f64> =
            cells.clone().map(|cell| three(values, cell, cell % columns, columns, 1)).collect();
        cells.map(|cell| three(&level, cell, cell / columns, rows, columns)).collect()
    }

    /// Cells that paths enclose any of, each with the least height of it and its neighbours as far as
    /// they lie inside; `along` are places of the paths themselves, which count for their cells.
    fn inside(
        &self,
        paths: &[ArcPath],
        height: &(dyn Fn(usize) -> f64 + Sync),
        along: &[(DVec2, f64)],
    ) -> Vec<(DVec2, f64)> {
        let tests: Vec<_> = paths.iter().map(ArcPath::inside).collect();
        let mut inside: Vec<f64> = (0..self.heights.len())
            .into_par_iter()
            .with_min_len(1024)
            .map(|cell| {
                let p = self.place(cell);
                let tip =
                    if tests.iter().any(|inside| inside(p)) { height(cell) } else { f64::NAN };
                if tip.is_finite() { tip } else { f64::INFINITY }
            })
            .collect();
        // Cells that a path runs through count too, although their middles may lie outside; a strip
        // narrower than a cell may have no other.
        let mut beside = vec![false; inside.len()];
        for (p, tip) in along {
            let [column, row] = self.cell_of(*p);
            if let Some(cell) = self.cell(column, row) {
                inside[cell] = inside[cell].min(*tip);
            }
            for (column, row) in
                (-1..2).flat_map(|dx| (-1..2).map(move |dy| (column + dx, row + dy)))
            {
                let near = p.distance(self.middle(column, row)) <= SLACK_MM + SLACK_ALONG_MM;
                if let Some(cell) = self.cell(column, row).filter(|_| near) {
                    beside[cell] = true;
                }
            }
        }
        let least = self.of_neighbours(&inside, f64::min);
        let some =
            |cell: usize| (inside[cell].is_finite() || beside[cell]) && least[cell].is_finite();
        let cells = (0..least.len()).filter(|cell| some(*cell));
        cells.map(|cell| (self.place(cell), least[cell])).collect()
    }

    /// The number of the cell in a column and a row; none outside.
    pub fn cell(&self, column: isize, row: isize) -> Option<usize> {
        let [column, row] = [column, row].map(|at| usize::try_from(at).ok());
        let cell = row? * self.columns + column.filter(|column| *column < self.columns)?;
        (cell < self.heights.len()).then_some(cell)
    }
}

/// Places along paths, a step apart at most.
fn along(paths: &[ArcPath], tip: &(dyn Fn(DVec2) -> Option<f64> + Sync)) -> Vec<(DVec2, f64)> {
    let mut places = Vec::new();
    for path in paths {
        let chain = path.to_polyline(CHORD);
        for (a, b) in chain.iter().zip(chain.iter().cycle().skip(1)) {
            let steps = (a.distance(*b) / STEP_MM).ceil().clamp(1.0, CELLS_MOST) as u32;
            for step in 0..steps {
                let p = a.lerp(*b, f64::from(step) / f64::from(steps));
                places.extend(tip(p).map(|tip| (p, tip)));
            }
        }
    }
    places
}

#[cfg(test)]
mod tests;
