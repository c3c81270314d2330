//! How far each piece has come: what of it is down to its surface, what is roughed, what is not cut.
//!
//! A piece is looked at in squares a few millimetres wide. A square is finished when a cut in it has
//! come down to the surface, and stands when none has: passes that leave wood stay that much above it
//! everywhere, and ridges between finishing passes have their valleys. So it needs no list of what was
//! run, and knows of kept wood, too.

use super::ground::{KeptGround, inside};
use super::stage::{StagePiece, StagedSetup};
use super::timber::Timber;

/// Side of a square, in mm: wider than two passes of a finishing cutter are apart, narrower than what a
/// maker would call a place.
const SQUARE_MM: f64 = 5.0;

/// A cut has come down to the surface when it is nearer, square to it, than this share of what the passes
/// before leave: what lies between a program's own tolerance and theirs.
const DOWN: f64 = 0.7;

/// Wood that stands so much over the deepest layer and what that leaves is not of it, in mm.
const HIGH_MM: f64 = 0.5;

/// Wood that is no lower than the board's face by this is not cut, in mm.
const UNCUT_MM: f32 = 0.02;

/// Less of a piece than this is an edge or a corner, in shares of it (tried on good programs: up to 0.7 %).
pub const LITTLE: f64 = 0.02;

/// Of a piece that is roughed and not finished, the share that is not down to its surface at the least, and
/// that is not cut at the most.
const MOST: f64 = 0.5;
const EDGES: f64 = 0.1;

/// With more of the slots closed than this none was cut: a bowl or a bevel beside one opens a little of it.
pub const CLOSED: f64 = 0.75;

/// So much of a slot can be the cells at its rim, which a path just inside its limit leaves.
pub const RIM: f64 = 0.1;

/// How far a piece has come.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PieceStanding {
    /// Share of the piece on which no cut has come down to its surface.
    pub standing: f64,
    /// Share of the piece that nothing has cut.
    pub uncut: f64,
    /// Share of the piece on which wood stands higher than layers and what they leave would have it.
    pub high: f64,
    /// The most wood over it there, in mm.
    pub most: f64,
    /// Share of what is to be cut through that is still closed; none when nothing is.
    pub closed: Option<f64>,
    /// Whether the finishing cutter has cut in this rehearsal.
    pub finished: bool,
    /// Whether it is cut too deep.
    pub spoiled: bool,
}

/// What can be said of a piece in one word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PieceProgress {
    /// All of it is down to its surface.
    Finished,
    /// All of it is cut, and none is finished.
    Roughed,
    /// Nothing of it is cut.
    Untouched,
    /// Some of it is further than the rest.
    Partly,
    /// Some of it is cut too deep.
    Spoiled,
}

impl PieceStanding {
    /// Of a piece by its number. `left` is what stands over each cell of the pieces.
    pub fn of(
        stage: &StagedSetup,
        number: usize,
        timber: &Timber,
        ground: &KeptGround,
        left: &[Option<f32>],
    ) -> PieceStanding {
        let Some(piece) = stage.pieces.get(number) else { return PieceStanding::default() };
        let cells = &timber.cells;
        let (cell, through) = (cells.cell as f32, through(piece, timber));
        let wide = (SQUARE_MM / cells.cell).round().max(1.0) as usize;
        let columns = cells.columns.div_ceil(wide);
        let mut squares =
            vec![(f32::INFINITY, 0.0_f32, true, 0u32); columns * cells.rows.div_ceil(wide)];
        let face = stage.stock[0] as f32 - UNCUT_MM;
        for (index, over) in left.iter().enumerate() {
            let Some(over) = over else { continue };
            if usize::from(ground.piece[index]) != number || through[index].is_some() {
                continue;
            }
            let (x, y) = (index % cells.columns, index / cells.columns);
            let (least, most, uncut, count) = &mut squares[y / wide * columns + x / wide];
            let square = over / (slope(ground, cells.columns, index) / cell).hypot(1.0);
            (*least, *most) = (least.min(square), most.max(*over));
            *uncut &= timber.top[index] > face;
            *count += 1;
        }
        // What nothing leaves anything over is down when it is within what may be sanded.
        let leaves = if stage.leaves() > 0.0 { DOWN * stage.leaves() } else { stage.uncut };
        let layers = stage.left_for_finishing().map_or(f64::INFINITY, |most| most + HIGH_MM);
        let all: u32 = squares.iter().map(|square| square.3).sum();
        let share = |part: u32| f64::from(part) / f64::from(all.max(1));
        let stands =
            || squares.iter().filter(|square| square.3 > 0 && f64::from(square.0) > leaves);
        let closed = through.iter().flatten().filter(|closed| **closed).count();
        let cut_through = through.iter().flatten().count();
        PieceStanding {
            standing: share(stands().map(|square| square.3).sum()),
            uncut: share(stands().filter(|square| square.2).map(|square| square.3).sum()),
            high: share(
                stands().filter(|square| f64::from(square.0) > layers).map(|square| square.3).sum(),
            ),
            most: f64::from(stands().map(|square| square.1).fold(0.0, f32::max)),
            closed: (cut_through > 0).then(|| closed as f64 / cut_through as f64),
            ..PieceStanding::default()
        }
    }

    /// In one word.
    pub fn progress(&self) -> PieceProgress {
        let (all, none) = (1.0 - LITTLE, LITTLE);
        match self {
            _ if self.spoiled => PieceProgress::Spoiled,
            _ if self.standing <= none => PieceProgress::Finished,
            _ if self.uncut >= all => PieceProgress::Untouched,
            _ if self.standing >= all && self.uncut <= none => PieceProgress::Roughed,
            // Layers come down to the surface here and there, on steep flanks, and can't come to every edge.
            _ if !self.finished && self.standing >= MOST && self.uncut <= EDGES => {
                PieceProgress::Roughed
            }
            _ => PieceProgress::Partly,
        }
    }
}

/// How steep the relief is at a cell, in mm for each cell's side.
fn slope(ground: &KeptGround, columns: usize, index: usize) -> f32 {
    let [along, across] = ground.rises(columns, index).map(|rise| rise.map_or(0.0, |by| by / 2.0));
    along.hypot(across)
}

/// Of cells that a pass goes through: whether there is wood yet.
fn through(piece: &StagePiece, timber: &Timber) -> Vec<Option<bool>> {
    let mut all = vec![None; timber.top.len()];
    for (shapes, low) in piece.passes.iter().filter_map(|pass| pass.through.as_ref()) {
        for index in inside(&timber.cells, shapes) {
            let down = (*low as f32).max(timber.floor[index]) + UNCUT_MM;
            all[index] = Some(timber.top[index] > down);
        }
    }
    all
}
