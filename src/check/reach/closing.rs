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
//! Most of the trying is needless. Where the surface rises less from one cell to the next than the
//! tool does, the tool meets it no higher in the second than in the first; where it rises more, no
//! higher in the first. Bounds of the surface's rises, tile by tile, so leave a few cells under the
//! tool for a whole block of places. A rim has no such bound: its cells are few, and each of them
//! raises the places round it by itself.
//!
//! Feet of tabs are closed in `relief`, by another way; docs/why/two-closings.md has why not here.

use super::field::{GONE, Heightfield, NEVER, TILE, max};
use super::kernel::Kernel;
use super::search::{CellRun, block, spread};
use super::tool::Tool;
use crate::units::Length;
use rayon::prelude::*;
use std::sync::Mutex;

/// The height of a cell that has no surface, in mm: far below every surface.
pub const NOTHING: f32 = -1e9;
/// Heights over this are of a surface.
const SOMETHING: f32 = -1e8;

/// Heights on a grid, row by row, in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct HeightGrid {
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
/// Worked out in bands of rows, each with its neighbours' rows within reach.
pub fn closing(surface: &HeightGrid, tool: Tool) -> HeightGrid {
    let kernel = Kernel::new(tool, surface.cell);
    // Every cell is written; zeros cost nothing until then.
    let mut mm = vec![0.0; surface.mm.len()];
    if surface.columns == 0 {
        return HeightGrid { mm, ..*surface };
    }
    // A cell's neighbours are looked at, too.
    let room = (kernel.reach + 1).next_multiple_of(TILE);
    let threads = rayon::current_num_threads();
    // Small bands stay in a core's own memory; their edges, done twice, are a third of a pass.
    let bands = surface.rows.div_ceil(6 * room).next_multiple_of(threads).max(1);
    let band = surface.rows.div_ceil(bands).next_multiple_of(TILE);
    // A thread takes what another band was worked out in, so that its memory is fresh but once.
    let spare: Mutex<Vec<Scratch>> = Mutex::new(Vec::new());
    mm.par_chunks_mut(band * surface.columns).enumerate().with_max_len(1).for_each(
        |(index, to)| {
            let used = spare.lock().ok().and_then(|mut spare| spare.pop());
            let mut scratch = used.unwrap_or_else(|| Scratch::new(surface.columns, room));
            scratch.close(surface, &kernel, index * band, to);
            if let Ok(mut spare) = spare.lock() {
                spare.push(scratch);
            }
        },
    );
    HeightGrid { mm, ..*surface }
}

/// What a thread works a band out in.
struct Scratch {
    surface: Heightfield,
    /// The lowest that the tip may go, turned upside down once it is known.
    tips: Heightfield,
    left: Heightfield,
    runs: Vec<CellRun>,
}

impl Scratch {
    fn new(columns: usize, room: usize) -> Scratch {
        let field = || Heightfield::new(columns, room);
        Scratch { surface: field(), tips: field(), left: field(), runs: Vec::new() }
    }

    /// Closes the rows of a band, from `first` on, into their place.
    fn close(&mut self, surface: &HeightGrid, kernel: &Kernel, first: usize, to: &mut [f32]) {
        let Scratch { surface: own, tips, left, runs } = self;
        let (room, columns) = (own.room, surface.columns);
        let count = to.len() / columns;
        let rows = count.next_multiple_of(TILE);
        // The tips' rows begin a room before the band, the surface's another one before them.
        take(own, surface, first, rows + 4 * room);
        dilate(own, tips, rows + 2 * room, columns, kernel, runs, |_, _| true);
        // An erosion is the dilation of the heights turned upside down.
        for (y, row) in tips.cells.chunks_exact_mut(tips.wide).enumerate() {
            // The tool stands on the grid only.
            let on = (first + y).checked_sub(room).is_some_and(|y| y < surface.rows);
            let (before, row) = row.split_at_mut(room);
            let (row, after) = row.split_at_mut(if on { columns } else { 0 });
            before.fill(GONE);
            after.fill(GONE);
            for tip in row {
                *tip = if *tip > NEVER { -*tip } else { GONE };
            }
        }
        tips.bound();
        let wanted = |x, y| own.any(x, y + 2 * room);
        dilate(tips, left, rows, columns, kernel, runs, wanted);
        for (y, to) in to.chunks_exact_mut(columns).enumerate() {
            let row = |field: &Heightfield, y: usize| {
                y * field.wide + room..y * field.wide + room + columns
            };
            let surface = &own.cells[row(own, y + 2 * room)];
            let left = &left.cells[row(left, y)];
            for ((to, surface), left) in to.iter_mut().zip(surface).zip(left) {
                let z = max(-*left, *surface);
                *to = if z > NEVER { z } else { NOTHING };
            }
        }
    }
}

/// Takes rows of a surface, from two rooms before `first` on, which may lie before its first.
fn take(field: &mut Heightfield, surface: &HeightGrid, first: usize, rows: usize) {
    field.rows(rows);
    let (room, columns) = (field.room, surface.columns);
    for (y, to) in field.cells.chunks_exact_mut(field.wide).enumerate() {
        let row = (first + y).checked_sub(2 * room).filter(|row| *row < surface.rows);
        let from = row.map_or(&[][..], |row| &surface.mm[row * columns..(row + 1) * columns]);
        let (before, to) = to.split_at_mut(room);
        let (to, after) = to.split_at_mut(from.len());
        before.fill(GONE);
        after.fill(GONE);
        for (to, from) in to.iter_mut().zip(from) {
            *to = if *from > SOMETHING { *from } else { GONE };
        }
    }
    field.bound();
}

/// For `rows` of places, which begin a room after the field's own, the highest that the tool meets;
/// [`NEVER`] where it meets nothing. Tiles that are not wanted may be left out.
fn dilate(
    from: &Heightfield,
    to: &mut Heightfield,
    rows: usize,
    columns: usize,
    kernel: &Kernel,
    runs: &mut Vec<CellRun>,
    wanted: impl Fn(usize, usize) -> bool,
) {
    let (room, wide) = (from.room, from.wide);
    to.fill(rows, NEVER);
    for y in (0..rows).step_by(TILE) {
        for x in (room..room + columns).step_by(TILE) {
            if !wanted(x, y) {
                continue;
            }
            let Some(found) = block(from, kernel, x, y + room, runs) else { continue };
            for (row, found) in found.iter().enumerate() {
                let at = (y + row) * wide + x;
                to.cells[at..at + TILE].copy_from_slice(found);
            }
        }
    }
    from.rims(|x, y, height| {
        spread(kernel, &mut to.cells, wide, x, y as isize - room as isize, height);
    });
}

#[cfg(test)]
mod tests;
