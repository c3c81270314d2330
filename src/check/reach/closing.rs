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
//! Most of the trying is needless: round a small block of places the surface is nearly a bowl or a
//! dome of second order, the tool touches that in one cell, and other cells can only win by as much
//! as the surface bulges out of it. Each tile of 8 × 8 cells has a surface of second order that
//! bounds it from above; cells under the tool that can't win against the touching one by these
//! bounds are not tried.

use super::tile::{Rival, TILE, Tile};
use super::tool::{Kernel, Tool};
use crate::units::Length;
use glam::{IVec2, Vec2};
use rayon::prelude::*;

/// The height of a cell that has no surface, in mm: far below every surface.
pub const NOTHING: f32 = -1e9;
/// Heights over this are of a surface.
pub(super) const SOMETHING: f32 = -1e8;
/// Offsets of a row that are looked at together.
const ROW: usize = 32;
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
///
/// Worked out in bands of rows that fit into a core's own memory, each with its neighbours' rows
/// within reach.
pub fn closing(surface: &Heights, tool: Tool) -> Heights {
    let kernel = Kernel::new(tool, surface.cell);
    let room = kernel.reach.next_multiple_of(TILE).max(TILE);
    let mut mm = vec![0.0; surface.mm.len()];
    let threads = rayon::current_num_threads();
    // What is done twice, a band's edges, is a sixth of the first pass.
    let bands = surface.rows.div_ceil(12 * room).next_multiple_of(threads);
    let band = surface.rows.div_ceil(bands.max(1)).next_multiple_of(TILE).max(TILE);
    let length = (band * surface.columns).max(1);
    mm.par_chunks_mut(length).enumerate().with_max_len(1).for_each_init(
        || Scratch::new(surface.columns, room),
        |scratch, (index, to)| scratch.close(surface, &kernel, index * band, to),
    );
    Heights { mm, ..*surface }
}

/// What a thread works a band out in.
struct Scratch {
    surface: Field,
    tips: Field,
    runs: Vec<Run>,
}

impl Scratch {
    fn new(columns: usize, room: usize) -> Scratch {
        let field = || Field::new(columns, room);
        Scratch { surface: field(), tips: field(), runs: Vec::new() }
    }

    /// Closes the rows of a band, from `first` on, into their place.
    fn close(&mut self, surface: &Heights, kernel: &Kernel, first: usize, to: &mut [f32]) {
        let Scratch { surface: field, tips, runs } = self;
        let (room, columns) = (field.room, surface.columns);
        let count = to.len() / columns.max(1);
        let rows = count.next_multiple_of(TILE);
        field.take(surface, first as isize - 2 * room as isize, rows + 4 * room);
        // The tips' own rows begin a room before the band.
        tips.rows(rows + 2 * room);
        let search = Search::new(field, kernel);
        for y in (0..rows + 2 * room).step_by(TILE) {
            let band = &mut tips.cells[y * tips.wide..(y + TILE) * tips.wide];
            band.fill(NOTHING);
            // The tool stands on the grid only.
            let on =
                |row: usize| (first + y + row).checked_sub(room).is_some_and(|y| y < surface.rows);
            for x in (0..columns).step_by(TILE) {
                let Some(found) = search.block(x + room, y + room, runs) else { continue };
                let width = TILE.min(columns - x);
                let band = band.chunks_exact_mut(tips.wide).zip(&found).enumerate();
                for (_, (band, found)) in band.filter(|(row, _)| on(*row)) {
                    let at = room + x;
                    // Past the last column, in the room, nothing.
                    for (i, (to, found)) in band[at..at + TILE].iter_mut().zip(found).enumerate() {
                        *to = if i < width { turned(*found) } else { NOTHING };
                    }
                }
            }
        }
        // An erosion is the dilation of the heights turned upside down.
        tips.bound();
        let search = Search::new(tips, kernel);
        for y in (0..rows).step_by(TILE) {
            for x in (0..columns).step_by(TILE) {
                let found = match field.tile(x + room, y + 2 * room).level > SOMETHING {
                    true => search.block(x + room, y + room, runs),
                    false => None,
                };
                let width = TILE.min(columns - x);
                for row in 0..TILE.min(count - y) {
                    let at = (y + row) * columns + x;
                    let from = (y + row + 2 * room) * field.wide + x + room;
                    let on = eight(&field.cells, from);
                    let left: [f32; TILE] = match &found {
                        Some(found) => std::array::from_fn(|i| {
                            if on[i] > SOMETHING { turned(found[row][i]) } else { NOTHING }
                        }),
                        None => [NOTHING; TILE],
                    };
                    match width {
                        TILE => to[at..at + TILE].copy_from_slice(&left),
                        _ => to[at..at + width].copy_from_slice(&left[..width]),
                    }
                }
            }
        }
    }
}

/// Rows of a grid, in whole tiles, with room on both sides for the tool.
struct Field {
    /// Cells of room on each side.
    room: usize,
    wide: usize,
    high: usize,
    cells: Vec<f32>,
    /// An upper bound for each tile.
    tiles: Vec<Tile>,
}

impl Field {
    fn new(columns: usize, room: usize) -> Field {
        let wide = columns.next_multiple_of(TILE) + 2 * room;
        Field { room, wide, high: 0, cells: Vec::new(), tiles: Vec::new() }
    }

    /// Room for so many rows.
    fn rows(&mut self, rows: usize) {
        self.high = rows;
        self.cells.resize(rows * self.wide, NOTHING);
    }

    /// Takes rows of a surface, from one on that may lie before the first.
    fn take(&mut self, surface: &Heights, first: isize, rows: usize) {
        self.rows(rows);
        let (room, columns) = (self.room, surface.columns);
        for (y, to) in self.cells.chunks_exact_mut(self.wide).enumerate() {
            let row =
                (first + y as isize).try_into().ok().filter(|row: &usize| *row < surface.rows);
            let from = row.and_then(|row| surface.mm.get(row * columns..(row + 1) * columns));
            match from {
                Some(from) => {
                    to[..room].fill(NOTHING);
                    to[room..room + columns].copy_from_slice(from);
                    to[room + columns..].fill(NOTHING);
                }
                None => to.fill(NOTHING),
            }
        }
        self.bound();
    }

    /// Bounds each tile.
    fn bound(&mut self) {
        self.tiles.clear();
        for rows in self.cells.chunks_exact(TILE * self.wide) {
            let rows: [&[f32]; TILE] =
                std::array::from_fn(|y| &rows[y * self.wide..(y + 1) * self.wide]);
            self.tiles.extend((0..self.wide).step_by(TILE).map(|x| Tile::over(&rows, x)));
        }
    }

    /// The tile that holds a cell.
    fn tile(&self, x: usize, y: usize) -> Tile {
        self.tiles[y / TILE * (self.wide / TILE) + x / TILE]
    }
}

/// A height turned upside down; nothing stays nothing.
#[inline(always)]
fn turned(height: f32) -> f32 {
    if height > SOMETHING { -height } else { NOTHING }
}

/// Eight cells of a row.
#[inline(always)]
pub(super) fn eight(row: &[f32], at: usize) -> [f32; TILE] {
    std::array::from_fn(|i| row[at..at + TILE][i])
}

/// The greater, without the care for NaN that would cost a second comparison.
#[inline(always)]
pub(super) fn max(a: f32, b: f32) -> f32 {
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
    kernel: &'a Kernel,
    /// Tiles on each side that the tool reaches into.
    out: usize,
}

impl<'a> Search<'a> {
    fn new(field: &'a Field, kernel: &'a Kernel) -> Search<'a> {
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
    /// over its tip there, by rows; nothing if the tool meets nothing from any of them.
    fn block(&self, x: usize, y: usize, runs: &mut Vec<Run>) -> Option<[[f32; TILE]; TILE]> {
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
            self.whole(cell(IVec2::ZERO), &most, runs);
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

    /// All cells under the tool on those sides where there is anything.
    fn whole(&self, first: usize, most: &[[f32; 3]; 3], runs: &mut Vec<Run>) {
        let reach = self.kernel.reach as i32;
        for dy in -reach..=reach {
            let met = most[(dy.signum() + 1) as usize].map(|most| most > SOMETHING);
            let width = self.kernel.width(dy);
            let (from, to) = match met {
                [_, true, _] => (if met[0] { -width } else { 0 }, if met[2] { width } else { 0 }),
                [true, false, true] => (-width, width),
                [true, false, false] => (-width, -1),
                [false, false, true] => (1, width),
                [false, false, false] => continue,
            };
            if from <= to {
                let row = first as isize + dy as isize * self.field.wide as isize + from as isize;
                runs.push(Run { first: row as usize, dy, from, to });
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

#[cfg(test)]
mod tests;
