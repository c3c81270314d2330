//! What a cutter leaves of a surface of heights: the grey-scale closing with its own form.
//!
//! The tip may go down until the tool touches (a dilation of the surface by the tool), and what it
//! leaves is the lower hull of all its places (an erosion). Source: J. Serra, Image Analysis and
//! Mathematical Morphology (1982), closing by a structuring function.
//!
//! Promised: cell by cell the same heights as trying every cell under the tool at every place,
//! but for the rounding of 32-bit floats (about 2 nm at 20 mm); nowhere lower than the surface,
//! rounding or not. Beside the surface (cells of
//! [`NOTHING`], and outside the grid) the tool may go down without end.
//! Not promised: the surface between the cells.
//!
//! Most of the trying is needless: round a small block of places the surface is nearly a bowl or a
//! dome of second order, the tool touches that in one cell, and other cells can only win by as much
//! as the surface bulges out of it. Each tile of 8 × 8 cells has a surface of second order that
//! bounds it from above; cells under the tool that can't win against the touching one by these
//! bounds are not tried. Nor is any more tried of a cell whose surface the tool has been found to
//! touch: it leaves nothing lower.

use super::search::{Search, Trial};
use super::tile::{TILE, Tile};
use super::tool::{Kernel, Tool};
use crate::units::Length;
use rayon::prelude::*;

/// The height of a cell that has no surface, in mm: far below every surface.
pub const NOTHING: f32 = -1e9;
/// Heights over this are of a surface.
pub(super) const SOMETHING: f32 = -1e8;

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
    trial: Trial,
}

impl Scratch {
    fn new(columns: usize, room: usize) -> Scratch {
        let field = || Field::new(columns, room);
        Scratch { surface: field(), tips: field(), trial: Trial::default() }
    }

    /// Closes the rows of a band, from `first` on, into their place.
    fn close(&mut self, surface: &Heights, kernel: &Kernel, first: usize, to: &mut [f32]) {
        let Scratch { surface: field, tips, trial } = self;
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
                let never = [[f32::INFINITY; TILE]; TILE];
                let found = search.block(x + room, y + room, &never, trial);
                let Some(found) = found else { continue };
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
                let at = |row: usize| (y + row + 2 * room) * field.wide + x + room;
                let surface: [[f32; TILE]; TILE] =
                    std::array::from_fn(|row| eight(&field.cells, at(row)));
                // Of cells without a surface nothing is wanted.
                let goal = surface
                    .map(|row| row.map(|z| if z > SOMETHING { -z } else { f32::NEG_INFINITY }));
                let found = match field.tile(x + room, y + 2 * room).level > SOMETHING {
                    true => search.block(x + room, y + room, &goal, trial),
                    false => None,
                };
                let width = TILE.min(columns - x);
                for row in 0..TILE.min(count - y) {
                    let at = (y + row) * columns + x;
                    let (on, goal) = (surface[row], goal[row]);
                    let left: [f32; TILE] = match &found {
                        Some(found) => std::array::from_fn(|i| match on[i] > SOMETHING {
                            true => turned(min(found[row][i], goal[i])),
                            false => NOTHING,
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
pub(super) struct Field {
    /// Cells of room on each side.
    pub(super) room: usize,
    pub(super) wide: usize,
    pub(super) high: usize,
    pub(super) cells: Vec<f32>,
    /// An upper bound for each tile.
    pub(super) tiles: Vec<Tile>,
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

/// The less, likewise.
#[inline(always)]
fn min(a: f32, b: f32) -> f32 {
    if a < b { a } else { b }
}

#[cfg(test)]
mod tests;
