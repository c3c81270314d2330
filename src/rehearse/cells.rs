//! Square cells over a board.
//!
//! The grid lies symmetrically over the board, so that turning the board over maps cells onto cells.

use glam::{DVec2, DVec3};

/// The grid. In mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoardCells {
    /// Side of a cell.
    pub cell: f64,
    /// Cells along X.
    pub columns: usize,
    /// Cells along Y.
    pub rows: usize,
    /// Middle of the first cell.
    pub first: DVec2,
}

/// More cells than this are refused: 400 MB of heights.
pub const CELLS_MOST: f64 = 5e7;

impl BoardCells {
    /// Over a box.
    pub fn over(low: DVec2, high: DVec2, cell: f64) -> BoardCells {
        let size = (high - low).max(DVec2::splat(cell));
        let counts = (size / cell - 1e-6).ceil().max(DVec2::ONE);
        let first = low + (size - (counts - 1.0) * cell) / 2.0;
        BoardCells { cell, columns: counts.x as usize, rows: counts.y as usize, first }
    }

    /// How many.
    pub fn count(&self) -> usize {
        self.columns * self.rows
    }

    /// The middle of a cell.
    pub fn middle(&self, index: usize) -> DVec2 {
        let place = DVec2::new((index % self.columns) as f64, (index / self.columns) as f64);
        self.first + place * self.cell
    }

    /// The cell that a place is in.
    pub fn index(&self, place: DVec2) -> Option<usize> {
        let at = ((place - self.first) / self.cell).round();
        let inside =
            at.cmpge(DVec2::ZERO).all() && at.x < self.columns as f64 && at.y < self.rows as f64;
        inside.then(|| at.y as usize * self.columns + at.x as usize)
    }

    /// First and last of the counts along an axis whose middles lie between two places.
    pub fn between(
        from: f64,
        to: f64,
        first: f64,
        cell: f64,
        count: usize,
    ) -> std::ops::Range<usize> {
        let low = ((from - first) / cell).ceil().max(0.0);
        let high = ((to - first) / cell).floor();
        if high < low || low >= count as f64 {
            0..0
        } else {
            low as usize..(high as usize + 1).min(count)
        }
    }

    /// Rows between two places along Y.
    pub fn rows_between(&self, from: f64, to: f64) -> std::ops::Range<usize> {
        BoardCells::between(from, to, self.first.y, self.cell, self.rows)
    }

    /// Columns between two places along X.
    pub fn columns_between(&self, from: f64, to: f64) -> std::ops::Range<usize> {
        BoardCells::between(from, to, self.first.x, self.cell, self.columns)
    }

    /// The highest of triangles on the middles of cells, with its slope; NaN beside them.
    pub fn tops(&self, triangles: &[[DVec3; 3]]) -> Vec<[f32; 2]> {
        let mut tops = vec![[f32::NAN; 2]; self.count()];
        for [a, b, c] in triangles {
            let (u, v) = (*b - *a, *c - *a);
            let across = u.truncate().perp_dot(v.truncate());
            if across.abs() < 1e-12 {
                continue;
            }
            let normal = u.cross(v);
            let slope = DVec2::new(-normal.x, -normal.y) / normal.z;
            let (low, high) = (a.min(*b).min(*c), a.max(*b).max(*c));
            for row in self.rows_between(low.y, high.y) {
                let y = self.first.y + row as f64 * self.cell - a.y;
                for column in self.columns_between(low.x, high.x) {
                    let p = DVec2::new(self.first.x + column as f64 * self.cell - a.x, y);
                    let s = p.perp_dot(v.truncate()) / across;
                    let t = u.truncate().perp_dot(p) / across;
                    // A little over the edges, so that no cell falls between two triangles.
                    if s < -1e-9 || t < -1e-9 || s + t > 1.0 + 1e-9 {
                        continue;
                    }
                    let z = (a.z + slope.dot(p)) as f32;
                    let top = &mut tops[row * self.columns + column];
                    if top[0].is_nan() || z > top[0] {
                        *top = [z, slope.length() as f32];
                    }
                }
            }
        }
        tops
    }
}
