//! A tool on a grid: its heights over its tip, and how it rises from each cell to the next.
//!
//! Promised: the form of the tool at the cells' middles. Since a tool bends upwards everywhere,
//! its rises grow along each row; the tables of `least` and `most` are made of the rises
//! themselves, so that rounding can't set them apart. Not promised: anything between the cells.

use super::field::TILE;
use super::tool::Tool;
use crate::units::Length;

/// A tool that stands on cells.
#[derive(Clone, Debug)]
pub(super) struct Kernel {
    /// Cells from the middle to the edge, at most.
    pub(super) reach: usize,
    /// Entries of a row of each table: one for each column of offsets and one more, in whole tiles.
    pub(super) stride: usize,
    /// Heights over the tip, in mm, row by row; infinite past the edge.
    heights: Vec<f32>,
    /// The rise to each offset from the one before it in its row, in mm: without end onto the tool
    /// (negative) and past its edge. The tool is the same along Y: the table turned over has the
    /// rises from row to row.
    rises: Vec<f32>,
    /// The least and the most of the rises to a column, of as many rows on both sides of the middle
    /// as the index says.
    least: Vec<f32>,
    most: Vec<f32>,
}

impl Kernel {
    pub(super) fn new(tool: Tool, cell: Length) -> Kernel {
        let cell = cell.as_mm();
        let edge = (tool.radius().as_mm() / cell * (1.0 + 1e-12)).floor() as i32;
        let (reach, columns) = (edge as usize, 2 * edge as usize + 1);
        let stride = (columns + 1).next_multiple_of(TILE);
        let (mut heights, mut rises) = (Vec::new(), Vec::new());
        for dy in -edge..=edge {
            for dx in (-edge..).take(stride) {
                let height = |dx: i32| {
                    let away = f64::from(dx * dx + dy * dy).sqrt() * cell;
                    tool.height(away).map(|height| height as f32)
                };
                heights.push(height(dx).unwrap_or(f32::INFINITY));
                rises.push(match (height(dx - 1), height(dx)) {
                    (Some(before), Some(here)) => here - before,
                    (None, Some(_)) => f32::NEG_INFINITY,
                    (None, None) if dx <= 0 => f32::NEG_INFINITY,
                    _ => f32::INFINITY,
                });
            }
        }
        let over = |beside: usize, start: f32, of: fn(f32, f32) -> f32| {
            let rows = &rises[(reach - beside) * stride..(reach + beside + 1) * stride];
            let column = |at: usize| rows[at..].iter().step_by(stride).copied().fold(start, of);
            (0..stride).map(column).collect::<Vec<f32>>()
        };
        let least = (0..=reach).flat_map(|beside| over(beside, f32::INFINITY, f32::min)).collect();
        let most =
            (0..=reach).flat_map(|beside| over(beside, f32::NEG_INFINITY, f32::max)).collect();
        Kernel { reach, stride, heights, rises, least, most }
    }

    /// Heights over the tip in a row of offsets, counted from the tool's first; with infinite ones
    /// past the edge.
    #[inline(always)]
    pub(super) fn heights(&self, row: usize) -> &[f32] {
        &self.heights[row * self.stride..(row + 1) * self.stride]
    }

    /// Rises along a row of offsets.
    #[inline(always)]
    pub(super) fn rises(&self, row: usize) -> &[f32] {
        &self.rises[row * self.stride..(row + 1) * self.stride]
    }

    /// The least of the rises along the rows up to so far beside the middle, and the most.
    #[inline(always)]
    pub(super) fn bounds(&self, beside: usize) -> (&[f32], &[f32]) {
        let row = beside * self.stride..(beside + 1) * self.stride;
        (&self.least[row.clone()], &self.most[row])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kernel_has_the_tool_s_own_heights_and_rises() {
        // R 3 on cells of 0.6 mm: five cells; 3-4-5 gives heights of 3 - 2.4 and 3 - 1.8.
        let kernel = Kernel::new(Tool::ball(Length::mm(6.0)), Length::mm(0.6));
        assert_eq!((kernel.reach, kernel.stride), (5, 16));
        let middle = kernel.heights(5);
        for (at, known) in [(5, 0.0), (8, 0.6), (9, 1.2), (10, 3.0)] {
            assert!((middle[at] - known).abs() < 1e-6, "{at}: {}", middle[at]);
        }
        assert!(middle[11..].iter().all(|height| *height == f32::INFINITY));
        let rises = kernel.rises(5);
        assert_eq!((rises[0], rises[11]), (f32::NEG_INFINITY, f32::INFINITY));
        assert!((rises[9] - 0.6).abs() < 1e-6 && (rises[2] + 0.6).abs() < 1e-6);
    }

    #[test]
    fn rises_grow_along_a_row_and_bounds_hold_all_rows() {
        for tool in [
            Tool::ball(Length::mm(3.175)),
            Tool::flat(Length::mm(3.175)),
            Tool::bull(Length::mm(6.0), Length::mm(1.0)),
        ] {
            let kernel = Kernel::new(tool, Length::mm(0.25));
            for row in 0..=2 * kernel.reach {
                let rises = kernel.rises(row);
                assert!(rises.is_sorted(), "{tool:?}, row {row}: {rises:?}");
                let beside = row.abs_diff(kernel.reach);
                let (least, most) = kernel.bounds(beside);
                let held = rises.iter().zip(least).zip(most);
                assert!(
                    held.into_iter().all(|((rise, least), most)| least <= rise && rise <= most)
                );
            }
        }
    }
}
