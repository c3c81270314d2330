//! How well a program's own surface lies on the relief: the program is carved into a block without end, in its
//! own coordinates, and a map from these to the setup's frame is judged at places all over the pieces.

use super::cells::BoardCells;
use super::form::CuttingForm;
use super::ground::{Belongs, KeptGround, NO_PIECE};
use super::replay::{RehearsalOrder, each_feed};
use super::stage::StagedSetup;
use super::timber::{MotionTool, Timber};
use crate::cutting::PassKind;
use glam::{DAffine3, DVec2, DVec3, DVec4};
use std::collections::BTreeMap;
use std::io;

/// Cells of a program's own surface: about so many, and no side of one less than so much in the wood, when it
/// is looked at coarsely and closely.
const CELLS: [f64; 2] = [300_000.0, 3_000_000.0];
const CELL_MM: [f64; 2] = [0.5, 0.2];

/// Cut deeper than this on such cells is too deep, in mm.
const DEEP_MM: [f64; 2] = [0.4, 0.15];

/// Places of a piece that are compared.
const SAMPLES: usize = 6000;

/// A ball of so many cells covers what lies between the passes of a path that is looked at coarsely.
const COVERING: f64 = 1.5;

/// Wood that is no lower than its face by this is not cut, in mm.
const FACE_MM: f64 = 0.02;

/// Differences over this count as this, in mm.
pub(super) const FAR_MM: f64 = 3.0;

/// What a place that the program never comes to counts.
pub(super) const UNTOUCHED_MM: f64 = 2.0;

/// So much of a piece must be cut for a program to be compared with it.
pub(super) const TOUCHED: f64 = 0.4;

/// So little may be too deep, and so few squares may stand behind, for a program to lie on the relief.
pub(super) const TOO_DEEP: f64 = 0.03;
pub(super) const BEHIND: f64 = 0.15;

/// Side of a square of the piece, in mm; with fewer places in it than this it is the edge of one.
const SQUARE_MM: f64 = 5.0;
const SQUARE_LEAST: u32 = 4;

/// A square in which no place is nearer to the surface than this, over what is left on purpose, stands behind.
const BEHIND_MM: f64 = 0.3;

/// Where the relief is steeper than this a height says little: such places are not compared.
const STEEP: f64 = 2.0;

/// A path may lie higher on a slope by what this much to the side makes, in mm: its own tolerance, its steps, and
/// what the cutter can't reach.
const ASIDE_MM: f64 = 0.5;

/// A place of a relief.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sample {
    pub(super) place: DVec3,
    /// How much the relief rises there along X and along Y, in mm for each mm.
    pub(super) grade: DVec2,
    /// How much it may be off by its slope, on coarse and on close cells.
    pub(super) slack: [f64; 2],
    square: (i32, i32),
}

impl Sample {
    /// How steep the relief is there, in mm for each mm.
    pub(super) fn slope(&self) -> f64 {
        self.grade.length()
    }

    /// How it rises along X and along Y whichever way, and then which way.
    pub(super) fn rises(&self) -> DVec4 {
        DVec4::new(self.grade.x.abs(), self.grade.y.abs(), self.grade.x, self.grade.y)
    }
}

/// Places of each piece.
pub(super) type Sampled = Vec<Vec<Sample>>;

/// What a program leaves on purpose.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct LeftOnPurpose {
    /// Beside the surface, at the least.
    pub(super) leaves: f64,
    /// So much more between the steps of its layers.
    pub(super) steps: f64,
}

impl LeftOnPurpose {
    /// Of a program by its cutters: nothing when one of them finishes.
    pub(super) fn by(stage: &StagedSetup, cutters: &[usize]) -> LeftOnPurpose {
        let names: Vec<&str> =
            cutters.iter().filter_map(|i| Some(stage.cutters.get(*i)?.name.as_str())).collect();
        let passes = stage.pieces.iter().flat_map(|piece| &piece.passes);
        let own = passes.filter(|pass| names.contains(&pass.cutter.as_str()));
        let finishes = own.clone().any(|pass| pass.kind == PassKind::Finish.key())
            || names.contains(&stage.finish.as_str());
        let before = own.filter(|pass| pass.leaves > 0.0 && !finishes);
        let most = |most: LeftOnPurpose, pass: &super::stage::StagePass| LeftOnPurpose {
            leaves: most.leaves.max(pass.leaves),
            steps: most.steps.max(pass.depth.unwrap_or(0.0)),
        };
        before.fold(LeftOnPurpose { leaves: 0.0, steps: 0.0 }, most)
    }
}

/// How well the cuts lie on the relief, over the pieces that the program carves.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Fits {
    /// Differences, in mm.
    pub(super) cost: f64,
    /// Share of the touched places that are cut too deep, and the deepest.
    pub(super) too_deep: f64,
    pub(super) deepest: f64,
    /// Share of the places that are touched.
    pub(super) touched: f64,
    /// Share of the touched squares in which no cut comes down to the surface, and the most that stands there.
    pub(super) behind: f64,
    pub(super) stands: f64,
}

impl Fits {
    /// Whether the program as a whole lies where it should.
    pub(super) fn lies(&self) -> bool {
        self.touched > TOUCHED && !self.digs() && self.behind < BEHIND
    }

    /// Whether more than a few places are cut too deep.
    pub(super) fn digs(&self) -> bool {
        self.too_deep >= TOO_DEEP
    }
}

/// What a program is carved with.
#[derive(Clone, Debug)]
pub(super) enum CarvedBy {
    /// The cutters that it names: a model of the wrong size is cut with cutters of the right one.
    Named,
    /// The same, so much larger or smaller as its numbers are: they stand for another unit.
    Scaled,
    /// Others for some of them.
    Instead(BTreeMap<usize, CuttingForm>),
}

/// A program's own surface.
pub(super) struct Free {
    timber: Timber,
    start: f32,
    /// 0 when it is carved coarsely, 1 when closely.
    close: usize,
}

/// The program carved into a block without end over the box of its feeds. In its own coordinates the wood is
/// `scale` times smaller.
pub(super) fn carved(
    order: &RehearsalOrder<'_>,
    program: usize,
    (low, high): (DVec3, DVec3),
    scale: f64,
    by: &CarvedBy,
    close: usize,
) -> io::Result<Option<Free>> {
    let reach = order.stage.cutters.iter().map(|cutter| cutter.form.radius).fold(0.0, f64::max);
    let reach = if matches!(by, CarvedBy::Scaled) { reach / scale } else { reach };
    let (low2, high2) = (low.truncate() - reach, high.truncate() + reach);
    let size = high2 - low2;
    let cell = (size.x * size.y / CELLS[close]).sqrt().max(CELL_MM[close] / scale);
    if !cell.is_finite() || cell <= 0.0 {
        return Ok(None);
    }
    let cells = BoardCells::over(low2, high2, cell);
    if cells.count() as f64 > 8.0 * CELLS[close] {
        return Ok(None);
    }
    let start = high.z + 1.0;
    let mut timber = Timber::flat(cells, start, f64::NEG_INFINITY);
    let bare = KeptGround {
        relief: Vec::new(),
        least: vec![f32::NEG_INFINITY; cells.count()],
        belongs: vec![Belongs::Frame; cells.count()],
        piece: vec![NO_PIECE; cells.count()],
    };
    let mut lot = Vec::new();
    each_feed(order, program, DVec3::ZERO, &mut |motion, index| {
        let named = order.stage.cutters[index].form;
        let form = match by {
            // A cutter that is small beside a cell would miss most of their middles.
            CarvedBy::Named if named.radius < cell => {
                CuttingForm::bull(COVERING * cell, COVERING * cell)
            }
            CarvedBy::Named => named,
            CarvedBy::Scaled => named.scaled(1.0 / scale),
            CarvedBy::Instead(others) => others.get(&index).copied().unwrap_or(named),
        };
        lot.push((*motion, MotionTool { form, holder: None, deep: f32::INFINITY }));
        if lot.len() >= 1 << 16 {
            timber.carve(&lot, &bare);
            lot.clear();
        }
    })?;
    timber.carve(&lot, &bare);
    Ok(Some(Free { timber, start: start as f32, close }))
}

/// Places all over each piece's relief.
pub(super) fn sampled(ground: &KeptGround, cells: &BoardCells, pieces: usize) -> Sampled {
    let mut bodies: Vec<Vec<usize>> = vec![Vec::new(); pieces];
    for index in ground.of_body() {
        if let Some(body) = bodies.get_mut(usize::from(ground.piece[index])) {
            body.push(index);
        }
    }
    bodies.iter().map(|body| thinned(body, &ground.relief, cells)).collect()
}

/// The same of the other side's relief, in the other setup's frame.
pub(super) fn sampled_of_the_other(
    order: &RehearsalOrder<'_>,
    cells: &BoardCells,
    ground: &KeptGround,
) -> Sampled {
    let stage = order.stage;
    let (columns, rows) = (cells.columns, cells.rows);
    let turned = |index: usize| {
        let (x, y) = (index % columns, index / columns);
        if stage.end_for_end { y * columns + columns - 1 - x } else { (rows - 1 - y) * columns + x }
    };
    let of_piece = |(number, piece): (usize, &super::stage::StagePiece)| {
        let relief: Vec<f32> = cells.tops(&piece.other).into_iter().map(|[top, _]| top).collect();
        let own = ground.of_body().filter(|index| usize::from(ground.piece[*index]) == number);
        let body: Vec<usize> = own.map(turned).filter(|index| relief[*index].is_finite()).collect();
        thinned(&body, &relief, cells)
    };
    stage.pieces.iter().enumerate().map(of_piece).collect()
}

fn thinned(body: &[usize], relief: &[f32], cells: &BoardCells) -> Vec<Sample> {
    let stride = (body.len() / SAMPLES).max(1);
    let places = body.iter().step_by(stride).map(|index| sample(cells, relief, *index));
    places.filter(|sample| sample.slope() < STEEP).collect()
}

fn sample(cells: &BoardCells, relief: &[f32], index: usize) -> Sample {
    let z = relief[index];
    let drop = |mm: f64| {
        let reach = (mm / cells.cell).round().max(1.0) as usize;
        let beside = [
            index.wrapping_sub(reach),
            index + reach,
            index.wrapping_sub(reach * cells.columns),
            index + reach * cells.columns,
        ];
        let lower = beside.iter().filter_map(|i| relief.get(*i)).map(|other| z - other);
        f64::from(lower.filter(|d| d.is_finite()).fold(0.0, f32::max))
    };
    let reach = (CELL_MM[0] / cells.cell).round().max(1.0) as usize;
    let at = |index: Option<usize>| index.and_then(|index| relief.get(index)).copied();
    let along = |apart: usize| {
        let (low, high) = (at(index.checked_sub(apart)), at(index.checked_add(apart)));
        let rise = low.zip(high).map_or(f64::NAN, |(low, high)| f64::from(high - low));
        rise / (2.0 * reach as f64 * cells.cell)
    };
    // Beside the relief nothing is known: as steep as can be.
    let grade = DVec2::new(along(reach), along(reach * cells.columns));
    let grade = if grade.is_nan() { DVec2::INFINITY } else { grade };
    let place = cells.middle(index).extend(f64::from(z));
    let square = (place.truncate() / SQUARE_MM).max(DVec2::ZERO).as_ivec2();
    Sample { place, grade, slack: CELL_MM.map(drop), square: (square.x, square.y) }
}

impl Free {
    /// Wood as it is, in the setup's own frame; its face is no cut.
    pub(super) fn of_wood(timber: Timber, face: f64) -> Free {
        Free { timber, start: (face - FACE_MM) as f32, close: 1 }
    }

    /// How much wood stands over a place when a map has moved the surface; none where the program never comes.
    #[inline]
    pub(super) fn over(&self, sample: &Sample, map: &DAffine3, back: &DAffine3) -> Option<f64> {
        let cells = &self.timber.cells;
        let index = cells.index(back.transform_point3(sample.place).truncate())?;
        let height = Some(self.timber.top[index]).filter(|z| *z < self.start)?;
        let there = cells.middle(index).extend(f64::from(height));
        Some(map.transform_point3(there).z - sample.place.z)
    }

    /// What a place may be off by its slope.
    pub(super) fn slack(&self, sample: &Sample) -> f64 {
        sample.slack[self.close]
    }

    /// How well a map lays the cuts on the pieces that it brings them to.
    pub(super) fn fits(&self, pieces: &Sampled, map: DAffine3, leaves: LeftOnPurpose) -> Fits {
        let back = map.inverse();
        let each: Vec<(Fits, usize)> = pieces
            .iter()
            .filter(|samples| !samples.is_empty())
            .map(|samples| (self.fits_one(samples, &map, &back, leaves), samples.len()))
            .collect();
        let best = each.iter().map(|(fit, _)| fit.touched).fold(0.0, f64::max);
        let carved = each.iter().filter(|(fit, _)| fit.touched >= TOUCHED.min(0.99 * best));
        let all = carved.clone().map(|(_, count)| *count).sum::<usize>().max(1) as f64;
        let mut whole = Fits::default();
        for (fit, count) in carved {
            let share = *count as f64 / all;
            whole.cost += share * fit.cost;
            whole.too_deep += share * fit.too_deep;
            whole.touched += share * fit.touched;
            whole.behind += share * fit.behind;
            whole.deepest = whole.deepest.max(fit.deepest);
            whole.stands = whole.stands.max(fit.stands);
        }
        whole
    }

    fn fits_one(
        &self,
        samples: &[Sample],
        map: &DAffine3,
        back: &DAffine3,
        left: LeftOnPurpose,
    ) -> Fits {
        let mut fit = Fits::default();
        let (mut deep, mut touched) = (0usize, 0usize);
        let mut squares: BTreeMap<(i32, i32), (u32, f64)> = BTreeMap::new();
        for sample in samples {
            let Some(over) = self.over(sample, map, back) else {
                fit.cost += UNTOUCHED_MM;
                continue;
            };
            touched += 1;
            let square = squares.entry(sample.square).or_insert((0, f64::INFINITY));
            *square = (square.0 + 1, square.1.min(over - ASIDE_MM * sample.slope()));
            let below = -over - self.slack(sample);
            if below > DEEP_MM[self.close] {
                deep += 1;
                fit.deepest = fit.deepest.max(-over);
            }
            let off =
                if over >= 0.0 { (over - left.leaves).max(0.0) } else { below.max(0.0) * 4.0 };
            fit.cost += off.min(FAR_MM);
        }
        let full = squares.values().filter(|(count, _)| *count >= SQUARE_LEAST);
        let most = left.leaves + left.steps + BEHIND_MM;
        let behind = full.clone().filter(|(_, least)| *least > most);
        fit.stands = behind.clone().map(|(_, least)| *least).fold(0.0, f64::max);
        fit.behind = behind.count() as f64 / full.count().max(1) as f64;
        let all = samples.len().max(1) as f64;
        fit.cost /= all;
        fit.too_deep = deep as f64 / touched.max(1) as f64;
        fit.touched = touched as f64 / all;
        fit
    }
}
