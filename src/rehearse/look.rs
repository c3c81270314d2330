//! Pictures of what comes out: the board, shaded, and maps of what is left and of what is gone.

use super::figures::left;
use super::ridges::promised;
use super::run::Rehearsal;
use super::stage::StagedSetup;
use super::timber::Timber;
use crate::check::reach::{HeightGrid, NOTHING};
use crate::export::{ExportError, reach_map};
use crate::mesh::Mesh;
use crate::render::{View, Wood, shaded};
use crate::units::{Length, Unit};

/// Width of the picture; its height follows the board.
pub const PICTURE_WIDE: u32 = 1600;

/// So many corners are drawn at most: finer ones are under a picture element.
const CORNERS: usize = 700_000;

/// What is less than this is white in a map, in mm.
const SHOWN_MM: f32 = 0.02;

/// Height of the picture of a board.
pub fn picture_high(stage: &StagedSetup) -> u32 {
    let share = (stage.size.y / stage.size.x).clamp(0.05, 2.0);
    // The renderer leaves a margin round the board.
    ((f64::from(PICTURE_WIDE) * share) as u32 + 40).clamp(64, 3200)
}

/// The board as it comes out, seen from above, as PNG.
pub fn picture(stage: &StagedSetup, timber: &Timber) -> Vec<u8> {
    let cells = &timber.cells;
    let step = ((cells.count() as f64 / CORNERS as f64).sqrt().ceil() as usize).max(1);
    let (columns, rows) = (cells.columns.div_ceil(step), cells.rows.div_ceil(step));
    let index = |x: usize, y: usize| y * step * cells.columns + x * step;
    let mut mesh = Mesh { points: Vec::new(), triangles: Vec::new() };
    for y in 0..rows {
        for x in 0..columns {
            let at = index(x, y);
            let z = timber.top[at].max(timber.floor[at]);
            mesh.points.push(cells.middle(at).extend(f64::from(z)));
        }
    }
    let solid = |x: usize, y: usize| timber.top[index(x, y)] > timber.floor[index(x, y)];
    for y in 1..rows {
        for x in 1..columns {
            if [(x, y), (x - 1, y), (x, y - 1), (x - 1, y - 1)].iter().all(|(x, y)| solid(*x, *y)) {
                let corner = |x: usize, y: usize| (y * columns + x) as u32;
                let [a, b, c, d] =
                    [corner(x - 1, y - 1), corner(x, y - 1), corner(x, y), corner(x - 1, y)];
                mesh.triangles.extend([[a, b, c], [a, c, d]]);
            }
        }
    }
    let size = (PICTURE_WIDE, picture_high(stage));
    shaded(&mesh, &View::Top, size, Wood::of(&stage.board[1]))
}

/// Maps of a rehearsal.
pub struct RehearsalMaps {
    /// What the finishing cutter can't but leave, as the packet's reach map has it; none when it is of a
    /// form that finishes no face.
    pub promised: Option<Vec<u8>>,
    /// What is left on the pieces.
    pub left: Vec<u8>,
    /// By how much that is more than what can't but be left; none without it, or when it is nowhere more.
    pub more: Option<Vec<u8>>,
    /// What is cut too deep; none when nothing is.
    pub below: Option<Vec<u8>>,
}

/// The maps as PNG.
///
/// # Errors
/// When a picture can't be encoded; a fault of the tool.
pub fn maps(stage: &StagedSetup, done: &Rehearsal) -> Result<RehearsalMaps, ExportError> {
    let cells = &done.timber.cells;
    let unit = if stage.inches { Unit::Inch } else { Unit::Millimetre };
    let over = left(&done.timber, &done.ground);
    let grid = |value: &dyn Fn(usize, f32) -> f32| {
        let one =
            |(index, over): (usize, &Option<f32>)| over.map_or(NOTHING, |over| value(index, over));
        HeightGrid {
            columns: cells.columns,
            rows: cells.rows,
            cell: Length::mm(cells.cell),
            mm: over.iter().enumerate().map(one).collect(),
        }
    };
    let below = |index: usize, _: f32| {
        let down = done.timber.top[index].max(done.timber.floor[index]);
        let deep = done.ground.relief[index] - down;
        if down < done.ground.least[index] { deep.max(0.0) } else { 0.0 }
    };
    let finish = stage.cutters.iter().find(|cutter| cutter.name == stage.finish);
    let least = finish
        .and_then(|cutter| cutter.form.tool())
        .map(|tool| promised(cells, &done.ground, tool));
    let shown = |value: &dyn Fn(usize, f32) -> f32| reach_map::of_heights(&grid(value), unit);
    let more = |least: &[f32], index: usize, over: f32| (over - least[index].max(0.0)).max(0.0);
    let any = |value: &dyn Fn(usize, f32) -> f32| {
        let mut all = over.iter().enumerate().filter_map(|(index, over)| Some((index, (*over)?)));
        all.any(|(index, over)| value(index, over) > SHOWN_MM)
    };
    let some = |value: &dyn Fn(usize, f32) -> f32| any(value).then(|| shown(value)).transpose();
    let more = match &least {
        Some(least) => some(&|index, over| more(least, index, over))?,
        None => None,
    };
    Ok(RehearsalMaps {
        promised: least.as_ref().map(|least| shown(&|index, _| least[index])).transpose()?,
        left: shown(&|_, over| over.max(0.0))?,
        more,
        below: some(&below)?,
    })
}
