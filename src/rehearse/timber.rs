//! The board's wood while it is carved: cells of heights between a floor and a top.

use super::cells::BoardCells;
use super::form::CuttingForm;
use super::ground::{Belongs, KINDS, KeptGround};
use super::stroke::{Stroke, strokes};
use crate::program::Motion;
use rayon::prelude::*;

/// Rows that one task carves.
const BAND: usize = 24;

/// A cut thinner than this is the rounding of figures.
const NOTHING_MM: f32 = 0.02;

/// The wood.
#[derive(Clone, Debug, PartialEq)]
pub struct Timber {
    /// Its cells.
    pub cells: BoardCells,
    /// Its upper face.
    pub top: Vec<f32>,
    /// Its lower face, as what came before left it.
    pub floor: Vec<f32>,
}

/// The tool of a motion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MotionTool {
    /// The cutter's form.
    pub form: CuttingForm,
    /// What holds it, and how high over the tip; none when it can't come near wood.
    pub holder: Option<(CuttingForm, f64)>,
    /// A cut is deep over this.
    pub deep: f32,
}

/// What a motion did to the wood.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bite {
    /// Sum of what was taken off cells, in mm.
    pub sum: f32,
    /// Cells that were cut.
    pub cells: u32,
    /// The deepest that was taken off a cell, and where.
    pub deepest: (f32, u32),
    /// Cells that were cut deeper than the pass.
    pub deep: u32,
    /// By what the cell belongs to: how far below the least, and where.
    pub below: [(f32, u32); KINDS],
    /// How far the holder went into wood, and where.
    pub holder: (f32, u32),
}

impl Bite {
    /// Whether it cut wood.
    pub fn cuts(&self) -> bool {
        self.deepest.0 > NOTHING_MM
    }

    fn join(&mut self, other: &Bite) {
        let worse = |a: &mut (f32, u32), b: (f32, u32)| {
            if b.0 > a.0 {
                *a = b;
            }
        };
        self.sum += other.sum;
        self.cells += other.cells;
        self.deep += other.deep;
        worse(&mut self.deepest, other.deepest);
        worse(&mut self.holder, other.holder);
        for (mine, theirs) in self.below.iter_mut().zip(other.below) {
            worse(mine, theirs);
        }
    }
}

impl Timber {
    /// A flat board.
    pub fn flat(cells: BoardCells, top: f64, floor: f64) -> Timber {
        let all = cells.count();
        Timber { cells, top: vec![top as f32; all], floor: vec![floor as f32; all] }
    }

    /// The same board turned over, about its length or end for end.
    #[must_use]
    pub fn turned(&self, end_for_end: bool, sum: f32) -> Timber {
        let BoardCells { columns, rows, .. } = self.cells;
        let other = |index: usize| {
            let (x, y) = (index % columns, index / columns);
            if end_for_end { y * columns + columns - 1 - x } else { (rows - 1 - y) * columns + x }
        };
        let map = |from: &[f32]| (0..from.len()).map(|index| sum - from[other(index)]).collect();
        Timber { cells: self.cells, top: map(&self.floor), floor: map(&self.top) }
    }

    /// Carves a lot of motions in their order, both cores at once, and says what each did.
    pub fn carve(&mut self, lot: &[(Motion, MotionTool)], ground: &KeptGround) -> Vec<Bite> {
        let cells = self.cells;
        let bands = cells.rows.div_ceil(BAND);
        // Each stroke with whether it cuts or is the holder's.
        let parts: Vec<Vec<(Stroke, bool)>> = lot
            .par_chunks(4096)
            .enumerate()
            .map(|(chunk, motions)| {
                let mut own = Vec::with_capacity(motions.len());
                for (index, (motion, tool)) in motions.iter().enumerate() {
                    let number = (chunk * 4096 + index) as u32;
                    strokes(number, motion, 0.0, &mut |stroke| own.push((stroke, true)));
                    if let Some((_, up)) = tool.holder {
                        strokes(number, motion, up, &mut |stroke| own.push((stroke, false)));
                    }
                }
                own
            })
            .collect();
        let mut bins: Vec<Vec<&(Stroke, bool)>> = vec![Vec::new(); bands];
        for part in parts.iter().flatten() {
            let tool = &lot[part.0.motion as usize].1;
            let radius =
                if part.1 { tool.form.radius } else { tool.holder.map_or(0.0, |h| h.0.radius) };
            let rows = part.0.rows(&cells, radius);
            if !rows.is_empty() {
                for bin in &mut bins[rows.start / BAND..=(rows.end - 1) / BAND] {
                    bin.push(part);
                }
            }
        }
        let done: Vec<Vec<(u32, Bite)>> = self
            .top
            .par_chunks_mut(BAND * cells.columns)
            .zip(&bins)
            .enumerate()
            .with_max_len(1)
            .map(|(band, (top, bin))| {
                let begin = band * BAND;
                let rows = begin..(begin + BAND).min(cells.rows);
                let mut bites: Vec<(u32, Bite)> = Vec::new();
                for (stroke, cuts) in bin {
                    let tool = &lot[stroke.motion as usize].1;
                    let mut bite = Bite::default();
                    if *cuts {
                        stroke.pass(&cells, &tool.form, rows.clone(), top, |at, index, height| {
                            cut(
                                at,
                                height as f32,
                                index,
                                tool.deep,
                                &self.floor,
                                ground,
                                &mut bite,
                            );
                        });
                    } else if let Some((holder, _)) = &tool.holder {
                        stroke.pass(&cells, holder, rows.clone(), top, |at, index, height| {
                            let into = *at - height as f32;
                            if into > bite.holder.0 && *at > self.floor[index] {
                                bite.holder = (into, index as u32);
                            }
                        });
                    }
                    if bite != Bite::default() {
                        match bites.last_mut() {
                            Some((motion, last)) if *motion == stroke.motion => last.join(&bite),
                            _ => bites.push((stroke.motion, bite)),
                        }
                    }
                }
                bites
            })
            .collect();
        let mut bites = vec![Bite::default(); lot.len()];
        for (motion, bite) in done.iter().flatten() {
            bites[*motion as usize].join(bite);
        }
        bites
    }
}

#[inline]
fn cut(
    top: &mut f32,
    height: f32,
    index: usize,
    deep: f32,
    floor: &[f32],
    ground: &KeptGround,
    bite: &mut Bite,
) {
    let old = *top;
    if height >= old {
        return;
    }
    *top = height;
    let under = floor[index];
    let off = old - height.max(under);
    if off > 0.0 {
        bite.sum += off;
        bite.cells += 1;
        if off > bite.deepest.0 {
            bite.deepest = (off, index as u32);
        }
        if off > deep {
            bite.deep += 1;
        }
    }
    let kind = ground.belongs[index];
    // A dowel stands whether there is wood over it or not; the rest only where, and as deep as, there is wood.
    let low = if kind == Belongs::Dowel { height } else { height.max(under) };
    let below = ground.least[index] - low;
    if below > 0.0 && (off > 0.0 || kind == Belongs::Dowel) {
        let worst = &mut bite.below[kind as usize];
        if below > worst.0 {
            *worst = (below, index as u32);
        }
    }
}
