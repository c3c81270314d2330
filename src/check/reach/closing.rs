//! What a cutter leaves of a surface of heights: the grey-scale closing with its own form.
//!
//! The tip may go down until the tool touches (a dilation of the surface by the tool), and what it
//! leaves is the lower hull of all its places (an erosion). Source: J. Serra, Image Analysis and
//! Mathematical Morphology (1982), closing by a structuring function.
//!
//! Promised: cell by cell the same heights as trying every cell under the tool at every place,
//! but for the rounding of 32-bit floats (about 2 nm at 20 mm). Beside the surface (cells of
//! [`NOTHING`], and outside the grid) the tool may go down without end.
//! Not promised: the surface between the cells.
//!
//! Most of the trying is needless: over a small block of places the surface is nearly a plane, the
//! tool touches a plane in one cell, and other cells can only win by as much as the surface bulges
//! out of that plane. Each tile of 8 × 8 cells has a plane that bounds it from above; cells under
//! the tool that can't win against the touching one by these bounds are not tried.

use super::tool::{Kernel, Tool};
use crate::units::Length;
use glam::{IVec2, Vec2};
use rayon::prelude::*;

/// Cells along the side of a tile, and of a block of places that are worked out together.
const TILE: usize = 8;
/// From a tile's middle to the middles of its outermost cells.
const HALF: f32 = 0.5 * (TILE as f32 - 1.0);
/// The height of a cell that has no surface, in mm: far below every surface.
pub const NOTHING: f32 = -1e9;
/// Heights over this are of a surface.
const SOMETHING: f32 = -1e8;
/// A tile whose cells leave its plane by more than this, in mm, is bounded by its highest cell.
const ROUGH: f32 = 0.25;
/// Rounding of the bounds must not lose a cell, in mm.
const SLACK: f32 = 1e-6;

/// Heights on a grid, row by row, in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Heights {
    /// Cells along X.
    pub columns: usize,
    /// Cells along Y.
    pub rows: usize,
    /// Distance from cell to cell.
    pub cell: Length,
    /// `columns` · `rows` heights, in mm.
    pub mm: Vec<f32>,
}

/// What a tool leaves of a surface, seen from above: nowhere lower than the surface. Cells without
/// a surface stay so.
pub fn closing(surface: &Heights, tool: Tool) -> Heights {
    let kernel = Kernel::new(tool, surface.cell);
    let field = Field::around(surface, &kernel);
    // An erosion is the dilation of the heights turned upside down.
    let mut tips = Field::new(field.columns, field.rows, &kernel);
    let (room, wide) = (tips.room, tips.wide);
    tips.cells[..room * wide].fill(NOTHING);
    let end = (room + tips.rows) * wide;
    tips.cells[end..].fill(NOTHING);
    let places = |_, _| true;
    field.dilated(&kernel, places, wide, room, &mut tips.cells[room * wide..end]);
    let mut mm = vec![0.0; surface.columns * surface.rows];
    let tiles = field.tiles();
    let across = wide / TILE;
    let surfaced = |x: usize, y: usize| tiles[y / TILE * across + x / TILE].middle > SOMETHING;
    tips.dilated(&kernel, surfaced, surface.columns, 0, &mut mm);
    for (left, z) in mm.iter_mut().zip(&surface.mm) {
        *left = if *z > SOMETHING { *left } else { NOTHING };
    }
    Heights { mm, ..*surface }
}

/// A grid with room round it for the tool, in whole tiles.
struct Field {
    /// Cells of room on each side.
    room: usize,
    wide: usize,
    high: usize,
    columns: usize,
    rows: usize,
    cells: Vec<f32>,
}

/// An upper bound of a tile: a plane, by its height in the middle, that no cell stands over.
#[derive(Clone, Copy)]
struct Tile {
    middle: f32,
    slope: Vec2,
}

impl Field {
    fn new(columns: usize, rows: usize, kernel: &Kernel) -> Field {
        let room = kernel.reach.next_multiple_of(TILE).max(TILE);
        let wide = columns.next_multiple_of(TILE) + 2 * room;
        let high = rows.next_multiple_of(TILE) + 2 * room;
        Field { room, wide, high, columns, rows, cells: vec![0.0; wide * high] }
    }

    fn around(surface: &Heights, kernel: &Kernel) -> Field {
        let Heights { columns, rows, .. } = *surface;
        let mut field = Field::new(columns, rows, kernel);
        let (room, wide) = (field.room, field.wide);
        field.cells.par_chunks_mut(wide).enumerate().with_min_len(64).for_each(|(y, to)| {
            let row = y.checked_sub(room).filter(|y| *y < rows);
            let from = row.and_then(|y| surface.mm.get(y * columns..(y + 1) * columns));
            match from {
                Some(from) => {
                    to[..room].fill(NOTHING);
                    to[room..room + columns].copy_from_slice(from);
                    to[room + columns..].fill(NOTHING);
                }
                None => to.fill(NOTHING),
            }
        });
        field
    }

    /// An upper bound for each tile.
    fn tiles(&self) -> Vec<Tile> {
        let across = self.wide / TILE;
        let none = Tile { middle: NOTHING, slope: Vec2::ZERO };
        let mut tiles = vec![none; across * self.high / TILE];
        tiles.par_chunks_mut(across).enumerate().with_min_len(8).for_each(|(ty, tiles)| {
            let rows: [&[f32]; TILE] = std::array::from_fn(|y| {
                let at = (ty * TILE + y) * self.wide;
                &self.cells[at..at + self.wide]
            });
            for (tx, tile) in tiles.iter_mut().enumerate() {
                *tile = Tile::over(&rows, tx * TILE);
            }
        });
        tiles
    }

    /// At each place the highest of all cells under the tool, less the tool's height over its tip
    /// there, turned upside down: into rows of `wide` cells, with room on their left, and nothing
    /// beside them. Blocks that are not wanted get nothing, too, and so do places that meet nothing.
    fn dilated(
        &self,
        kernel: &Kernel,
        wanted: impl Fn(usize, usize) -> bool + Sync,
        wide: usize,
        left: usize,
        to: &mut [f32],
    ) {
        let tiles = self.tiles();
        let search = Search::new(self, &tiles, kernel);
        let room = self.room;
        to.par_chunks_mut(TILE * wide).enumerate().with_min_len(2).for_each_init(
            Vec::new,
            |runs, (band, to)| {
                for row in to.chunks_exact_mut(wide) {
                    row[..left].fill(NOTHING);
                    row[left + self.columns..].fill(NOTHING);
                }
                for x in (0..self.columns).step_by(TILE) {
                    let (column, row) = (x + room, band * TILE + room);
                    let found =
                        if wanted(column, row) { search.block(column, row, runs) } else { NONE };
                    let at = left + x;
                    let count = TILE.min(self.columns - x);
                    for (row, found) in to.chunks_exact_mut(wide).zip(&found) {
                        if count == TILE {
                            row[at..at + TILE].copy_from_slice(&found.map(turned));
                        } else {
                            for (to, found) in row[at..at + count].iter_mut().zip(found) {
                                *to = turned(*found);
                            }
                        }
                    }
                }
            },
        );
    }
}

/// A block of places that meet nothing.
const NONE: [[f32; TILE]; TILE] = [[NOTHING; TILE]; TILE];

/// A height turned upside down; nothing stays nothing.
#[inline(always)]
fn turned(height: f32) -> f32 {
    if height > SOMETHING { -height } else { NOTHING }
}

/// Eight cells of a row.
#[inline(always)]
fn eight(row: &[f32], at: usize) -> [f32; TILE] {
    std::array::from_fn(|i| row[at..at + TILE][i])
}

/// The middles of a tile's cells, from its own middle.
const PLACES: [f32; TILE] = [-3.5, -2.5, -1.5, -0.5, 0.5, 1.5, 2.5, 3.5];

impl Tile {
    #[inline(always)]
    fn over(rows: &[&[f32]; TILE], at: usize) -> Tile {
        let mut sums = [0.0_f32; TILE];
        let mut lean = [0.0_f32; TILE];
        let mut most = [f32::NEG_INFINITY; TILE];
        let cells: [[f32; TILE]; TILE] = std::array::from_fn(|y| eight(rows[y], at));
        for (row, place) in cells.iter().zip(PLACES) {
            for i in 0..TILE {
                sums[i] += row[i];
                lean[i] += row[i] * place;
                most[i] = max(row[i], most[i]);
            }
        }
        let all = |values: [f32; TILE]| values.iter().sum::<f32>();
        let highest = most.into_iter().fold(f32::NEG_INFINITY, max);
        // The plane of least squares; 8 · the sum of the squared places is 336.
        let mean = all(sums) / 64.0;
        let slope = Vec2::new(all(std::array::from_fn(|i| sums[i] * PLACES[i])), all(lean)) / 336.0;
        let plane: [f32; TILE] = std::array::from_fn(|i| slope.x * PLACES[i]);
        let mut over = [f32::NEG_INFINITY; TILE];
        for (row, place) in cells.iter().zip(PLACES) {
            let level = slope.y * place;
            for i in 0..TILE {
                over[i] = max(row[i] - plane[i] - level, over[i]);
            }
        }
        let over = over.into_iter().fold(f32::NEG_INFINITY, max);
        if over - mean < ROUGH {
            Tile { middle: over, slope }
        } else {
            Tile { middle: highest, slope: Vec2::ZERO }
        }
    }
}

/// The greater, without the care for NaN that would cost a second comparison.
#[inline(always)]
fn max(a: f32, b: f32) -> f32 {
    if a > b { a } else { b }
}

/// Neighbouring offsets in one row under the tool, and the cell that a block's first place meets
/// with the first of them.
#[derive(Clone, Copy, PartialEq)]
struct Run {
    first: usize,
    dy: i32,
    from: i32,
    to: i32,
}

struct Search<'a> {
    field: &'a Field,
    tiles: &'a [Tile],
    kernel: &'a Kernel,
    /// Tiles on each side that the tool reaches into.
    out: usize,
}

impl<'a> Search<'a> {
    fn new(field: &'a Field, tiles: &'a [Tile], kernel: &'a Kernel) -> Search<'a> {
        Search { field, tiles, kernel, out: field.room / TILE }
    }

    fn tile_at(&self, cell: IVec2) -> Tile {
        let across = self.field.wide / TILE;
        let at = |value: i32, count: usize| (value.max(0) as usize / TILE).min(count / TILE - 1);
        self.tiles[at(cell.y, self.field.high) * across + at(cell.x, self.field.wide)]
    }

    /// The tips' heights over a block of places, by rows.
    fn block(&self, x: usize, y: usize, runs: &mut Vec<Run>) -> [[f32; TILE]; TILE] {
        if !self.meets(x, y) {
            return NONE;
        }
        let wide = self.field.wide;
        let middle = IVec2::new((x + TILE / 2) as i32, (y + TILE / 2) as i32);
        // The slope where the tool touches: from the slope below, once more from there.
        let mut slope = self.tile_at(middle).slope;
        let mut touch = IVec2::ZERO;
        if slope != Vec2::ZERO {
            touch = self.kernel.touch(slope);
        }
        if touch != IVec2::ZERO {
            slope = self.tile_at(middle + touch).slope;
            touch = self.kernel.touch(slope);
        }
        let first = (y * wide + x) as isize;
        let cell = |offset: IVec2| {
            (first + offset.y as isize * wide as isize + offset.x as isize) as usize
        };
        let mut found = [[NOTHING; TILE]; TILE];
        let only = Run { first: cell(touch), dy: touch.y, from: touch.x, to: touch.x };
        self.try_all(&[only], &mut found);
        // Heights over the plane of that slope through the block's middle: the least of the block
        // is what any other cell has to beat.
        let plane: [f32; TILE] = std::array::from_fn(|i| slope.x * PLACES[i]);
        let mut least = [f32::INFINITY; TILE];
        for (row, place) in found.iter().zip(PLACES) {
            let level = slope.y * place;
            for i in 0..TILE {
                let over = row[i] - plane[i] - level;
                least[i] = if over < least[i] { over } else { least[i] };
            }
        }
        let least = least.into_iter().fold(f32::INFINITY, |a, b| if a < b { a } else { b });
        let beat = if least > SOMETHING { least - SLACK - SLACK * least.abs() } else { SOMETHING };
        let most = self.most(x, y, slope);
        let whole = most.iter().flatten().copied().fold(f32::NEG_INFINITY, max);
        let (low, high) = self.kernel.within(slope, whole - beat);
        runs.clear();
        for dy in low.y..=high.y {
            let met = &most[(dy.signum() + 1) as usize];
            let down = slope.y * dy as f32;
            let sides =
                [(low.x, high.x.min(-1)), (low.x.max(0), high.x.min(0)), (low.x.max(1), high.x)];
            for ((mut from, mut to), met) in sides.into_iter().zip(met) {
                let spare = met - beat + down;
                let wins = |dx: i32| {
                    self.kernel.height(IVec2::new(dx, dy)) - slope.x * (dx as f32) < spare
                };
                // Within a row, a tool's height over a plane falls and rises once.
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
        if runs.as_slice() != [only] {
            self.try_all(runs, &mut found);
        }
        found
    }

    /// Whether the tool meets anything at all from a block.
    fn meets(&self, x: usize, y: usize) -> bool {
        let across = self.field.wide / TILE;
        let out = self.out;
        let (tx, ty) = (x / TILE - out, y / TILE - out);
        (0..=2 * out).any(|row| {
            let at = (ty + row) * across + tx;
            self.tiles[at..=at + 2 * out].iter().any(|tile| tile.middle > SOMETHING)
        })
    }

    /// The highest of what the block meets with offsets to the one side, without, and to the other
    /// side (rows: along Y), over the plane of that slope through the block's middle.
    fn most(&self, x: usize, y: usize, slope: Vec2) -> [[f32; 3]; 3] {
        let across = self.field.wide / TILE;
        let out = self.out;
        let (tx, ty) = (x / TILE - out, y / TILE - out);
        let start = -((TILE * out) as f32);
        // Nine groups of tiles: before, beside and after the block's own.
        let mut met = [[NOTHING; 3]; 3];
        for row in 0..=2 * out {
            let at = (ty + row) * across + tx;
            let down = slope.y * (start + (row * TILE) as f32);
            let to = &mut met[1 + usize::from(row > out) - usize::from(row < out)];
            for (column, tile) in self.tiles[at..=at + 2 * out].iter().enumerate() {
                let lean = (tile.slope - slope).abs();
                let level = down + slope.x * (start + (column * TILE) as f32);
                let over = tile.middle + HALF * (lean.x + lean.y) - level;
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

#[cfg(test)]
mod tests;
