//! The ridges between the rows of a finishing program, beside those that the shop's own step-over leaves.
//!
//! Promised: a ridge is what stands over the lowest of its square, less what the cutter can't reach. Not promised:
//! how far the rows are apart; that is reckoned back from the ridges of a cutter with a round edge.

use super::cells::BoardCells;
use super::codes::COARSE_FINISH;
use super::figures::left;
use super::ground::KeptGround;
use super::slips::{Slip, Slips};
use super::stage::StagedSetup;
use super::timber::Timber;
use crate::check::reach::{HeightGrid, NOTHING, Tool, closing};
use crate::finding::Severity;
use crate::units::{Length, plain};
use glam::DVec2;

/// Side of a square, in mm, and the share of it that must be of the piece.
const SQUARE_MM: f64 = 5.0;
const FULL: f64 = 0.5;

/// On steeper slopes than this a height says little, in mm for each mm; on less than the second rows are as far
/// apart as in the plan.
const STEEP: f64 = 1.0;
const LEVEL: f64 = 0.3;

/// Less of a piece than this has its ridges from something else.
const SHARE: f64 = 0.2;

/// So few squares tell nothing.
const LEAST: usize = 20;

/// What a tool leaves of the relief at best, in mm, on the cells that the wood is carved on.
pub(super) fn promised(cells: &BoardCells, ground: &KeptGround, tool: Tool) -> Vec<f32> {
    let relief = &ground.relief;
    let known = relief.iter().map(|z| if z.is_nan() { NOTHING } else { *z });
    let surface = HeightGrid {
        columns: cells.columns,
        rows: cells.rows,
        cell: Length::mm(cells.cell),
        mm: known.collect(),
    };
    let reached = closing(&surface, tool).mm;
    reached.iter().zip(relief).map(|(reached, z)| reached - z).collect()
}

/// A square of the plan: the least and the most that stands in it, square to the surface, its cells, their slopes.
#[derive(Clone, Copy, Debug)]
struct RidgeSquare {
    least: f64,
    most: f64,
    count: usize,
    slopes: f64,
    highest: usize,
}

/// Says of the finishing cutter that its rows are too far apart. `program` is the last that it cut in.
pub(super) fn judge(
    stage: &StagedSetup,
    (timber, ground): (&Timber, &KeptGround),
    program: usize,
    out: &mut Slips,
) {
    let Some(finisher) = stage.finisher().and_then(|index| stage.cutters.get(index)) else {
        return;
    };
    let (Some(tool), Some(round)) = (finisher.form.tool(), finisher.form.rounding()) else {
        return;
    };
    let own = finisher.step_over.map_or(0.0, |step| step * step / (8.0 * round));
    // A path's own roughness is about what may be sanded, besides.
    let most = own + 2.0 * stage.uncut;
    let cells = &timber.cells;
    let least = promised(cells, ground, tool);
    let over = left(timber, ground);
    let down = if stage.leaves() > 0.0 { stage.leaves() / 2.0 } else { stage.uncut };
    let wide = (SQUARE_MM / cells.cell).round().max(1.0) as usize;
    let columns = cells.columns.div_ceil(wide);
    for (number, piece) in stage.pieces.iter().enumerate() {
        let mut squares: Vec<Option<RidgeSquare>> = vec![None; columns * cells.rows.div_ceil(wide)];
        for (index, over) in over.iter().enumerate() {
            let Some(over) = over.filter(|_| usize::from(ground.piece[index]) == number) else {
                continue;
            };
            let slope = slope(ground, cells, index);
            if slope.is_nan() || slope > STEEP {
                continue;
            }
            let stands = f64::from(over - least[index].max(0.0)) / slope.hypot(1.0);
            let (x, y) = (index % cells.columns, index / cells.columns);
            let fresh =
                RidgeSquare { least: stands, most: stands, count: 0, slopes: 0.0, highest: index };
            let square = squares[y / wide * columns + x / wide].get_or_insert(fresh);
            if stands > square.most {
                (square.most, square.highest) = (stands, index);
            }
            square.least = square.least.min(stands);
            (square.count, square.slopes) = (square.count + 1, square.slopes + slope);
        }
        let full = |square: &&RidgeSquare| {
            square.count as f64 > FULL * (wide * wide) as f64 && square.least < down
        };
        let finished: Vec<RidgeSquare> = squares.iter().flatten().filter(full).copied().collect();
        let ridge = |square: &RidgeSquare| (square.most - square.least).min(round);
        let coarse = finished.iter().filter(|square| ridge(square) > most).count();
        if finished.len() < LEAST || (coarse as f64) < SHARE * finished.len() as f64 {
            continue;
        }
        let level: Vec<f64> = finished
            .iter()
            .filter(|square| square.slopes < LEVEL * square.count as f64)
            .map(ridge)
            .collect();
        let heights: Vec<f64> =
            if level.len() < LEAST { finished.iter().map(ridge).collect() } else { level };
        let middle = median(heights);
        let apart = 2.0 * (2.0 * round * middle - middle * middle).max(0.0).sqrt();
        let Some(worst) = finished.iter().max_by(|a, b| ridge(a).total_cmp(&ridge(b))) else {
            continue;
        };
        let shops = finisher
            .step_over
            .map(|step| format!(", and the shop's are {} mm", plain(step, 2)))
            .unwrap_or_default();
        let says = format!(
            "the rows of {} over {} are about {} mm apart{shops}: ridges of {} mm stand between them, up to {} mm",
            finisher.name,
            piece.name,
            plain(apart, 1),
            plain(middle, 2),
            plain(ridge(worst), 1)
        );
        let help = "Set the step-over of finishing in the path program as the shop has it.";
        let slip = Slip {
            at: Some(cells.middle(worst.highest).extend(f64::from(timber.top[worst.highest]))),
            amount: middle,
            ..Slip::new(COARSE_FINISH, Severity::Caution, (program, 0), says, help)
        };
        out.add(&piece.name, slip);
    }
}

fn median(mut all: Vec<f64>) -> f64 {
    let middle = all.len() / 2;
    if all.is_empty() { 0.0 } else { *all.select_nth_unstable_by(middle, f64::total_cmp).1 }
}

/// How steep the relief is at a cell, in mm for each mm; not a number beside it.
fn slope(ground: &KeptGround, cells: &BoardCells, index: usize) -> f64 {
    let steep = |rise: Option<f32>| rise.map_or(f64::NAN, f64::from) / (2.0 * cells.cell);
    DVec2::from(ground.rises(cells.columns, index).map(steep)).length()
}
