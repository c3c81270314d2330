//! Rows of a grid with room round them for a tool, and what is needed to know of each tile of them
//! before any cell under the tool is tried.
//!
//! Promised: a bound of the rises from cell to cell in every tile, and every cell at a rim. Cells
//! without a surface are NaN, which loses every comparison that is asked as "is it more?": neither
//! rises nor tools have to look for them.

/// Cells along the side of a tile, and of a block of places that are worked out together.
pub(super) const TILE: usize = 8;
/// There is no surface.
pub(super) const GONE: f32 = f32::NAN;
/// Less than any height.
pub(super) const NEVER: f32 = f32::NEG_INFINITY;

/// The most that a surface rises from a cell to the next along X and along Y, and the most that it
/// falls, in mm, between cells that both have a surface. [`NEVER`] if there are none.
pub(super) type Rises = [f32; 4];

/// Rows of a grid, in whole tiles, with room on both sides for the tool.
pub(super) struct Heightfield {
    /// Cells of room on each side: more than the tool reaches.
    pub(super) room: usize,
    pub(super) wide: usize,
    pub(super) high: usize,
    pub(super) cells: Vec<f32>,
    /// What the surface does in each tile, and from the cells before it.
    tiles: Vec<Rises>,
    kinds: Vec<TileKind>,
}

/// How much of a tile has a surface.
#[derive(Clone, Copy, PartialEq, Eq)]
enum TileKind {
    Empty,
    /// Some cells have none, there or before it.
    Torn,
    Whole,
}

impl Heightfield {
    pub(super) fn new(columns: usize, room: usize) -> Heightfield {
        // A row of the tool's table may stand over its edge by less than a tile.
        let wide = columns.next_multiple_of(TILE) + 2 * room + TILE;
        Heightfield { room, wide, high: 0, cells: Vec::new(), tiles: Vec::new(), kinds: Vec::new() }
    }

    /// So many rows, to be written.
    pub(super) fn rows(&mut self, rows: usize) {
        self.high = rows;
        self.cells.resize(rows * self.wide, GONE);
    }

    /// So many rows, all as high.
    pub(super) fn fill(&mut self, rows: usize, height: f32) {
        self.rows(rows);
        self.cells.fill(height);
    }

    /// Looks at each tile.
    pub(super) fn bound(&mut self) {
        self.tiles.clear();
        self.kinds.clear();
        for y in (0..self.high).step_by(TILE) {
            for x in (0..self.wide).step_by(TILE) {
                let (rises, kind) = self.look(x, y);
                self.tiles.push(rises);
                self.kinds.push(kind);
            }
        }
    }

    #[inline(always)]
    fn look(&self, x: usize, y: usize) -> (Rises, TileKind) {
        let wide = self.wide;
        let at = y * wide + x;
        // The first tile of a row is room.
        if x == 0 || !(0..TILE).any(|row| some(&eight(&self.cells, at + row * wide))) {
            return ([NEVER; 4], TileKind::Empty);
        }
        let mut above = eight(&self.cells, if y == 0 { at } else { at - wide });
        let (mut east, mut north) = ([NEVER; TILE], [NEVER; TILE]);
        let (mut west, mut south) = ([-NEVER; TILE], [-NEVER; TILE]);
        let mut sum = [0.0_f32; TILE];
        for row in 0..TILE {
            let cells = eight(&self.cells, at + row * wide);
            let before = eight(&self.cells, at + row * wide - 1);
            for i in 0..TILE {
                let (along, across) = (cells[i] - before[i], cells[i] - above[i]);
                east[i] = max(along, east[i]);
                north[i] = max(across, north[i]);
                west[i] = min(along, west[i]);
                south[i] = min(across, south[i]);
                sum[i] += along + across;
            }
            above = cells;
        }
        // One NaN makes the sum NaN.
        let torn = sum.iter().sum::<f32>().is_nan();
        let kind = if torn { TileKind::Torn } else { TileKind::Whole };
        let most = |of: [f32; TILE]| of.into_iter().fold(NEVER, max);
        let least = |of: [f32; TILE]| of.into_iter().fold(-NEVER, min);
        ([most(east), most(north), -least(west), -least(south)], kind)
    }

    /// The most of the rises round a block of places, as many tiles out on each side; nothing if no
    /// two neighbours have a surface.
    #[inline(always)]
    pub(super) fn rises(&self, x: usize, y: usize) -> Option<Rises> {
        let (across, out) = (self.wide / TILE, self.room / TILE);
        let mut all = [NEVER; 4];
        for row in y / TILE - out..=y / TILE + out {
            let first = row * across + x / TILE - out;
            for tile in &self.tiles[first..=first + 2 * out] {
                all = std::array::from_fn(|i| max(tile[i], all[i]));
            }
        }
        (all[0] > NEVER && all[1] > NEVER).then_some(all)
    }

    /// Whether a tile has any surface.
    pub(super) fn any(&self, x: usize, y: usize) -> bool {
        self.kinds[y / TILE * (self.wide / TILE) + x / TILE] != TileKind::Empty
    }

    /// Every cell with a surface that has a neighbour without: column, row and height. The outermost
    /// rows are not looked at: no tool comes to them.
    pub(super) fn rims(&self, mut each: impl FnMut(usize, usize, f32)) {
        let (wide, across) = (self.wide, self.wide / TILE);
        for (tile, kind) in self.kinds.iter().enumerate() {
            let (tx, ty) = (tile % across, tile / across);
            // What is after a tile stands with the next ones.
            let whole = |tile: usize| self.kinds.get(tile) == Some(&TileKind::Whole);
            let inside = whole(tile) && whole(tile + 1) && whole(tile + across);
            if *kind == TileKind::Empty || inside {
                continue;
            }
            for y in (ty * TILE).max(1)..((ty + 1) * TILE).min(self.high - 1) {
                let at = y * wide + tx * TILE;
                let cells = eight(&self.cells, at);
                if !some(&cells) {
                    continue;
                }
                let around = [at - 1, at + 1, at - wide, at + wide];
                let [a, b, c, d] = around.map(|at| eight(&self.cells, at));
                for i in 0..TILE {
                    if !cells[i].is_nan() && (a[i] + b[i] + c[i] + d[i]).is_nan() {
                        each(tx * TILE + i, y, cells[i]);
                    }
                }
            }
        }
    }
}

/// Whether any of the cells has a surface.
#[inline(always)]
fn some(cells: &[f32; TILE]) -> bool {
    cells.iter().any(|z| !z.is_nan())
}

/// Eight cells of a row.
#[inline(always)]
pub(super) fn eight(row: &[f32], at: usize) -> [f32; TILE] {
    row[at..at + TILE].first_chunk().copied().unwrap_or([GONE; TILE])
}

/// The greater; the second if either is NaN.
#[inline(always)]
pub(super) fn max(a: f32, b: f32) -> f32 {
    if a > b { a } else { b }
}

/// The less; the second if either is NaN.
#[inline(always)]
fn min(a: f32, b: f32) -> f32 {
    if a < b { a } else { b }
}
