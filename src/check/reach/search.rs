//! For a block of places at once: the highest of what the tool meets there.
//!
//! Promised: the same as trying every cell under the tool at every place. Not promised: anything of
//! cells whose goal has been reached.

use super::closing::{Field, NOTHING, SOMETHING, eight, max};
use super::tile::{Rival, TILE, Tile};
use super::tool::Kernel;
use glam::{IVec2, Vec2};

/// Offsets of a row that are looked at together.
const ROW: usize = 32;
/// Rounding of the bounds must not lose a cell, in mm.
const SLACK: f32 = 1e-6;

/// Neighbouring offsets in one row under the tool, and the cell that a block's first place meets
/// with the first of them.
#[derive(Clone, Copy, PartialEq)]
struct Run {
    first: usize,
    dy: i32,
    from: i32,
    to: i32,
}

/// What one block after the other is worked out in.
#[derive(Default)]
pub(super) struct Trial {
    runs: Vec<Run>,
    /// First and last column with anything in each row, from the block's first.
    spans: Vec<[i32; 2]>,
}

/// Looks up under the tool what it meets.
pub(super) struct Search<'a> {
    field: &'a Field,
    kernel: &'a Kernel,
    /// Tiles on each side that the tool reaches into.
    out: usize,
}

impl<'a> Search<'a> {
    pub(super) fn new(field: &'a Field, kernel: &'a Kernel) -> Search<'a> {
        Search { field, kernel, out: field.room / TILE }
    }

    fn tile_at(&self, cell: IVec2) -> Tile {
        self.tile_near(cell, IVec2::ZERO).0
    }

    /// The tile at an offset from a cell, and how far its middle lies from that of the cell's own.
    fn tile_near(&self, cell: IVec2, offset: IVec2) -> (Tile, Vec2) {
        let across = self.field.wide / TILE;
        let at = |value: i32, count: usize| (value.max(0) as usize / TILE).min(count / TILE - 1);
        let place = |cell: IVec2| [at(cell.x, self.field.wide), at(cell.y, self.field.high)];
        let (own, near) = (place(cell), place(cell + offset));
        let away = |i: usize| (near[i] as f32 - own[i] as f32) * TILE as f32;
        (self.field.tiles[near[1] * across + near[0]], Vec2::new(away(0), away(1)))
    }

    /// At each place of a block the highest of all cells under the tool, less the tool's height
    /// over its tip there, by rows; infinite where it has come up to the `goal`, from where no more
    /// is wanted; nothing if the tool meets nothing from any of them.
    pub(super) fn block(
        &self,
        x: usize,
        y: usize,
        goal: &[[f32; TILE]; TILE],
        Trial { runs, spans }: &mut Trial,
    ) -> Option<[[f32; TILE]; TILE]> {
        if !self.meets(x, y) {
            return None;
        }
        let wide = self.field.wide;
        let middle = IVec2::new((x + TILE / 2) as i32, (y + TILE / 2) as i32);
        // Where the tool touches: from the tile below, once more from the tile there.
        let mut like = self.tile_at(middle);
        let mut touch = self.kernel.touch(like.slope);
        if touch != IVec2::ZERO {
            let (tile, away) = self.tile_near(middle, touch);
            like = tile.seen_from(-away);
            touch = self.kernel.touch(like.slope_at(touch.as_vec2()));
        }
        let first = (y * wide + x) as isize;
        let cell = |offset: IVec2| {
            (first + offset.y as isize * wide as isize + offset.x as isize) as usize
        };
        let mut found = [[NOTHING; TILE]; TILE];
        let only = Run { first: cell(touch), dy: touch.y, from: touch.x, to: touch.x };
        self.try_all(&[only], &mut found);
        if settled(&mut found, goal) {
            return Some(found);
        }
        // Heights over the likeness, moved as the tool touches it: the least of the block is what
        // any other cell has to beat.
        let least = like.seen_from(touch.as_vec2()).least_over(&found) + self.kernel.height(touch);
        let beat =
            if least > SOMETHING { least - SLACK - SLACK * like.level.abs() } else { SOMETHING };
        let most = self.most(x, y, &like);
        let whole = most.iter().flatten().copied().fold(f32::NEG_INFINITY, max);
        let rival = Rival::new(&like, touch, self.kernel);
        let spare = whole - beat;
        runs.clear();
        if spare > self.kernel.deepest() {
            // At the rim, where nothing can be told beforehand.
            self.whole(x, y, runs, spans);
        } else {
            let (low, high) = rival.within(spare);
            let mut behind = [0.0_f32; ROW];
            for dy in low.y..=high.y {
                let met = &most[(dy.signum() + 1) as usize];
                for from in (low.x..=high.x).step_by(ROW) {
                    let to = high.x.min(from + ROW as i32 - 1);
                    rival.behind(dy, from, self.kernel.row(dy, from, to), &mut behind);
                    let wins = |dx: i32| {
                        behind[(dx - from) as usize] < met[(dx.signum() + 1) as usize] - beat
                    };
                    let (mut from, mut to) = (from, to);
                    while from <= to && !wins(from) {
                        from += 1;
                    }
                    while from < to && !wins(to) {
                        to -= 1;
                    }
                    if from <= to {
                        runs.push(Run { first: cell(IVec2::new(from, dy)), dy, from, to });
                    }
                }
            }
        }
        if runs.as_slice() != [only] {
            self.try_all(runs, &mut found);
        }
        Some(found)
    }

    /// All offsets at which the block meets anything.
    fn whole(&self, x: usize, y: usize, runs: &mut Vec<Run>, spans: &mut Vec<[i32; 2]>) {
        const NONE: [i32; 2] = [i32::MAX, i32::MIN];
        let (wide, across, reach) = (self.field.wide, self.field.wide / TILE, self.kernel.reach);
        let columns = (x - reach) / TILE..=(x + TILE - 1 + reach) / TILE;
        spans.clear();
        spans.extend((y - reach..y + TILE + reach).map(|row| {
            let mut span = NONE;
            for tile in columns.clone() {
                if self.field.tiles[row / TILE * across + tile].level < SOMETHING {
                    continue;
                }
                let cells = eight(&self.field.cells, row * wide + tile * TILE);
                let from = (tile * TILE) as i32 - x as i32;
                for (i, _) in cells.iter().enumerate().filter(|(_, cell)| **cell > SOMETHING) {
                    span = [span[0].min(from + i as i32), span[1].max(from + i as i32)];
                }
            }
            span
        }));
        for (dy, rows) in (-(reach as i32)..).zip(spans.windows(TILE)) {
            let [first, last] =
                rows.iter().fold(NONE, |all, row| [all[0].min(row[0]), all[1].max(row[1])]);
            if first > last {
                continue;
            }
            let width = self.kernel.width(dy);
            let (from, to) = ((first - TILE as i32 + 1).max(-width), last.min(width));
            if from <= to {
                let at = (y * wide + x) as isize + dy as isize * wide as isize + from as isize;
                runs.push(Run { first: at as usize, dy, from, to });
            }
        }
    }

    /// Whether the tool meets anything at all from a block.
    fn meets(&self, x: usize, y: usize) -> bool {
        let across = self.field.wide / TILE;
        let out = self.out;
        let (tx, ty) = (x / TILE - out, y / TILE - out);
        (0..=2 * out).any(|row| {
            let at = (ty + row) * across + tx;
            self.field.tiles[at..=at + 2 * out].iter().any(|tile| tile.level > SOMETHING)
        })
    }

    /// The highest of what the block meets with offsets to the one side, without, and to the other
    /// side (rows: along Y), over the likeness.
    fn most(&self, x: usize, y: usize, like: &Tile) -> [[f32; 3]; 3] {
        let across = self.field.wide / TILE;
        let out = self.out;
        let (tx, ty) = (x / TILE - out, y / TILE - out);
        let start = -((TILE * out) as f32);
        // Nine groups of tiles: before, beside and after the block's own.
        let mut met = [[NOTHING; 3]; 3];
        for row in 0..=2 * out {
            let at = (ty + row) * across + tx;
            let down = start + (row * TILE) as f32;
            let to = &mut met[1 + usize::from(row > out) - usize::from(row < out)];
            for (column, tile) in self.field.tiles[at..=at + 2 * out].iter().enumerate() {
                let away = Vec2::new(start + (column * TILE) as f32, down);
                let over = tile.most_over(&like.seen_from(away));
                let to = &mut to[1 + usize::from(column > out) - usize::from(column < out)];
                *to = max(over, *to);
            }
        }
        // An offset to one side meets the tiles there and those beside the block, too.
        for row in &mut met {
            row[0] = max(row[0], row[1]);
            row[2] = max(row[2], row[1]);
        }
        let [before, beside, after] = met;
        let both = |a: [f32; 3]| std::array::from_fn(|i| max(a[i], beside[i]));
        [both(before), beside, both(after)]
    }

    /// Tries cells for all places of a block.
    fn try_all(&self, runs: &[Run], found: &mut [[f32; TILE]; TILE]) {
        const TOGETHER: usize = 4;
        let wide = self.field.wide;
        for (part, rows) in found.chunks_exact_mut(TOGETHER).enumerate() {
            let mut best: [[f32; TILE]; TOGETHER] = std::array::from_fn(|row| rows[row]);
            for run in runs {
                let heights = self.kernel.row(run.dy, run.from, run.to);
                let start = run.first + part * TOGETHER * wide;
                let end = start + 3 * wide + heights.len() + TILE;
                let Some(cells) = self.field.cells.get(start..end) else { continue };
                for (i, height) in heights.iter().enumerate() {
                    for (row, best) in best.iter_mut().enumerate() {
                        let cells = eight(cells, i + row * wide);
                        for (best, cell) in best.iter_mut().zip(cells) {
                            *best = max(*best, cell - height);
                        }
                    }
                }
            }
            for (row, best) in rows.iter_mut().zip(best) {
                *row = best;
            }
        }
    }
}

/// Marks the cells that have come up to their goal. Whether all have.
#[inline(always)]
fn settled(found: &mut [[f32; TILE]; TILE], goal: &[[f32; TILE]; TILE]) -> bool {
    let mut least = f32::INFINITY;
    for (found, goal) in found.iter_mut().zip(goal) {
        for (found, goal) in found.iter_mut().zip(goal) {
            *found = if *found >= *goal { f32::INFINITY } else { *found };
            least = if *found < least { *found } else { least };
        }
    }
    least == f32::INFINITY
}
