//! The highest of what a tool meets: for a block of places at once, and of one cell for all places.
//!
//! Promised: the same as trying every cell under the tool at every place, but for rounding.

use super::field::{Heightfield, NEVER, Rises, TILE, eight, max};
use super::kernel::Kernel;

/// Rounding of the rises must not set two cells against each other, in mm.
const SLACK: f32 = 1e-6;

/// Neighbouring offsets in one row under the tool, counted from the tool's first, and the cell that
/// a block's first place meets with the first of them.
pub(super) struct CellRun {
    first: usize,
    row: usize,
    from: usize,
    to: usize,
}

/// At each place of a block the highest of all cells under the tool but those at a rim, less the
/// tool's height over its tip there, by rows; nothing if there are no such cells.
pub(super) fn block(
    field: &Heightfield,
    kernel: &Kernel,
    x: usize,
    y: usize,
    runs: &mut Vec<CellRun>,
) -> Option<[[f32; TILE]; TILE]> {
    let rises = field.rises(x, y)?;
    runs.clear();
    let first =
        |row: usize, from: usize| (y + row - kernel.reach) * field.wide + x + from - kernel.reach;
    winners(kernel, rises, |row, from, to| {
        runs.push(CellRun { first: first(row, from), row, from, to });
    });
    let mut found = [[NEVER; TILE]; TILE];
    try_all(field, kernel, runs, &mut found);
    Some(found)
}

/// The offsets at which a surface of such rises may stand highest, row by row: in all others its
/// neighbour in the row or in the column before, or after, stands no lower.
///
/// Of two that stand equal the one before is taken, and a step to the one after must be a true gain:
/// so there is always one that is left.
#[inline(always)]
fn winners(kernel: &Kernel, rises: Rises, mut each: impl FnMut(usize, usize, usize)) {
    let [east, north, west, south] = rises;
    let (west, south) = (-west - SLACK, -south - SLACK);
    let last = 2 * kernel.reach;
    // How far out on either side any row may have one; then which rows, no farther out than that.
    let within = |(least, most): (&[f32], &[f32]), fall: f32, rise: f32| {
        (under(most, fall).saturating_sub(1), under(least, rise).saturating_sub(1).min(last))
    };
    let (from, to) = within(kernel.bounds(kernel.reach), west, east);
    let out = kernel.reach.saturating_sub(from).max(to.saturating_sub(kernel.reach));
    let (low, high) = within(kernel.bounds(out), south, north);
    for row in low..=high {
        let along = kernel.rises(row);
        let mut from = under(along, west).saturating_sub(1);
        let mut to = under(along, east).saturating_sub(1).min(last);
        let wins = |column| wins(kernel, column, row, north, south);
        while from <= to && !wins(from) {
            from += 1;
        }
        while from < to && !wins(to) {
            to -= 1;
        }
        if from <= to {
            each(row, from, to);
        }
    }
}

/// Whether neither neighbour of an offset in its column beats it.
#[inline(always)]
fn wins(kernel: &Kernel, column: usize, row: usize, north: f32, south: f32) -> bool {
    let across = &kernel.rises(column)[row..=row + 1];
    across[0] < north && across[1] >= south
}

/// How many are under a limit.
#[inline(always)]
fn under(rises: &[f32], limit: f32) -> usize {
    let mut count = [0_u32; TILE];
    for eight in rises.chunks_exact(TILE) {
        for (count, rise) in count.iter_mut().zip(eight) {
            *count += u32::from(*rise < limit);
        }
    }
    count.iter().sum::<u32>() as usize
}

/// Tries cells for all places of a block.
#[inline(always)]
fn try_all(
    field: &Heightfield,
    kernel: &Kernel,
    runs: &[CellRun],
    found: &mut [[f32; TILE]; TILE],
) {
    /// Rows that fit into a core's registers.
    const TOGETHER: usize = 4;
    let wide = field.wide;
    for (part, rows) in found.chunks_exact_mut(TOGETHER).enumerate() {
        let mut best = [[NEVER; TILE]; TOGETHER];
        for run in runs {
            let heights = &kernel.heights(run.row)[run.from..=run.to];
            let start = run.first + part * TOGETHER * wide;
            let cells = &field.cells[start..start + 3 * wide + heights.len() + TILE];
            for (i, height) in heights.iter().enumerate() {
                for (row, best) in best.iter_mut().enumerate() {
                    let cells = eight(cells, i + row * wide);
                    *best = std::array::from_fn(|i| max(cells[i] - height, best[i]));
                }
            }
        }
        rows.copy_from_slice(&best);
    }
}

/// Raises every place from which the tool meets a cell to what it meets there. The places are rows
/// of a field; the cell's row may lie outside them.
pub(super) fn spread(
    kernel: &Kernel,
    places: &mut [f32],
    wide: usize,
    column: usize,
    row: isize,
    height: f32,
) {
    let reach = kernel.reach;
    for dy in 0..=2 * reach {
        let Ok(row) = usize::try_from(row + dy as isize - reach as isize) else { continue };
        let at = row * wide + column - reach;
        let Some(places) = places.get_mut(at..at + kernel.stride) else { break };
        let over = kernel.heights(dy).chunks_exact(TILE);
        for (places, over) in places.chunks_exact_mut(TILE).zip(over) {
            for (place, over) in places.iter_mut().zip(over) {
                *place = max(height - over, *place);
            }
        }
    }
}
