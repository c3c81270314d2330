//! A map of the cusps between the finishing passes: white keeps to the shop's limit whichever way
//! the passes run, the darker, the higher they can be.
//!
//! High cusps stand on strips along the edge that are narrower than a pattern can be drawn. So each
//! place is as dark as the highest cusp within a millimetre of it.

use super::ExportError;
use super::face_map::{COUNT, FaceMap};
use crate::check::Cusps;
use crate::check::reach::{HeightGrid, NOTHING};
use crate::units::{Length, Unit};

/// How far a cusp darkens the map: a strip as wide, on both sides of a line, is as wide as a pattern
/// takes to repeat.
pub const AROUND: Length = Length::mm(1.0);

/// Greatest heights of the steps, in mm: the shop's limit, and twice, four and eight times as much,
/// which is about as high as a ball leaves them on the steepest places of a handle.
pub fn steps(limit: Length) -> [f32; COUNT] {
    [1.0, 2.0, 4.0, 8.0, f64::INFINITY].map(|times| (times * limit.as_mm()) as f32)
}

/// The map as a PNG.
///
/// # Errors
/// When the picture can't be encoded; a fault of the tool.
pub fn png(cusps: &Cusps, unit: Unit) -> Result<Vec<u8>, ExportError> {
    let steps = steps(cusps.limit);
    let values = &highest_around(&cusps.high, steps[0]);
    FaceMap { face: cusps.face, values, steps, unit }.png()
}

/// In each cell the greatest value within [`AROUND`], as far as it is over `least`; cells without a
/// value stay so.
fn highest_around(values: &HeightGrid, least: f32) -> HeightGrid {
    let HeightGrid { columns, rows, cell, mm } = values;
    let wide = AROUND.as_mm() / cell.as_mm();
    let reach = wide as usize;
    let widths: Vec<usize> = (0..=reach)
        .map(|away| (wide * wide - (away * away) as f64).max(0.0).sqrt() as usize)
        .collect();
    let mut around = mm.clone();
    for (index, high) in mm.iter().enumerate().filter(|(_, high)| **high >= least) {
        let (row, column) = (index / columns, index % columns);
        for other in row.saturating_sub(reach)..(row + reach + 1).min(*rows) {
            let width = widths[row.abs_diff(other)];
            let (from, to) = (column.saturating_sub(width), (column + width + 1).min(*columns));
            for value in &mut around[other * columns + from..other * columns + to] {
                if *value > NOTHING && *value < *high {
                    *value = *high;
                }
            }
        }
    }
    HeightGrid { mm: around, ..values.clone() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_high_cusp_darkens_a_disc_round_it_and_nothing_beside_the_body() {
        let (columns, rows) = (31, 21);
        let mut mm = vec![0.0; columns * rows];
        mm[10 * columns + 15] = 0.5;
        // No body to the right of column 17, and one place at the very corner of the grid.
        for row in 0..rows {
            mm[row * columns + 18..(row + 1) * columns].fill(NOTHING);
        }
        mm[0] = 0.3;
        let values = HeightGrid { columns, rows, cell: Length::mm(0.2), mm };
        let found = highest_around(&values, 0.1);
        for (index, value) in found.mm.iter().enumerate() {
            let (column, row) = (index % columns, index / columns);
            let from = |x: f64, y: f64| 0.2 * (column as f64 - x).hypot(row as f64 - y);
            let expected = match (column, from(15.0, 10.0), from(0.0, 0.0)) {
                (18.., ..) => NOTHING,
                (_, near, _) if near < 1.0 + 1e-9 => 0.5,
                (_, _, near) if near < 1.0 + 1e-9 => 0.3,
                _ => 0.0,
            };
            assert_eq!(*value, expected, "{column} {row}");
        }
    }
}
