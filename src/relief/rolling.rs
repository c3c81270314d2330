//! A ball rolled over heights on a grid: the grey-scale closing.
//!
//! Promised: what is left is nowhere lower than the heights. Not promised: a ball's place between
//! two cells; it stands on cells only, which leaves a little too much on steep places.
//!
//! Both passes work on eight cells of a row at a time, only where something is wanted of them, and
//! pass over those offsets under the ball that can't win: the highest of the cells that they meet,
//! less the ball's least height there, is no higher than what is found already.
//!
//! `check::reach` closes large smooth sides, by their slopes; docs/why/two-closings.md has why not here.

use glam::DVec2;

/// Cells of a row that are worked out together.
const TILE: usize = 8;

/// A ball's lower half on cells, over its tip.
pub(super) struct Ball {
    radius: f64,
    cell: f64,
    /// For each row of offsets from the middle on, how high the ball is over its tip, in mm, from
    /// the middle column on, as far as the ball goes.
    rows: Vec<Vec<f64>>,
}

/// A place that is a radius off but for rounding is under the ball, as the check of reach has it: with
/// a radius of a whole number of cells it would else hang on the last digit whether one is.
const ROUNDING: f64 = 1e-12;

impl Ball {
    pub(super) fn new(radius: f64, cell: f64) -> Ball {
        let steps = (radius / cell * (1.0 + ROUNDING)).floor().max(0.0) as usize;
        let row = |y: usize| {
            let square = (0..=steps).map(|x| (x * x + y * y) as f64);
            square.map_while(|square| rise(radius, cell, square)).collect()
        };
        Ball { radius, cell, rows: (0..=steps).map(row).collect() }
    }

    fn steps(&self) -> usize {
        self.rows.len() - 1
    }
}

/// How high a ball is over its tip at a place, by the square of how many cells it is off; none beside
/// the ball.
fn rise(radius: f64, cell: f64, square: f64) -> Option<f64> {
    let left = radius * radius - cell * cell * square;
    // Of a square twice as much, and a little more, so that no row of a ball is empty.
    (left >= -3.0 * ROUNDING * radius * radius).then(|| radius - left.max(0.0).sqrt())
}

/// Heights of the ball's tip over the cells, at its lowest there.
#[derive(Clone)]
pub(super) struct Tips<'a> {
    ball: &'a Ball,
    wide: usize,
    mm: Vec<f64>,
}

impl Tips<'_> {
    /// Of a ball on heights, in mm; only as far as what is left is wanted of some cells.
    pub(super) fn over<'a>(
        ball: &'a Ball,
        heights: &[f64],
        wide: usize,
        wanted: &[bool],
    ) -> Tips<'a> {
        let tiles = WantedTiles::of(wanted, wide).round(ball);
        Tips { ball, wide, mm: PaddedHeights::new(heights, wide, ball).swept(ball, &tiles) }
    }

    /// The same with a level ground besides: the cells that are marked, all at one height.
    pub(super) fn with_level(mut self, on: &[bool], height: f64) -> Self {
        let (wide, tall) = (self.wide, on.len() / self.wide.max(1));
        for index in (0..on.len()).filter(|index| on[*index]) {
            self.mm[index] = self.mm[index].max(height - self.ball.rows[0][0]);
            let (column, row) = (index % wide, index / wide);
            // The nearest marked cell to one beside them is always one at their border.
            let inner = (column == 0 || on[index - 1])
                && (column + 1 == wide || on[index + 1])
                && (row == 0 || on[index - wide])
                && (row + 1 == tall || on[index + wide]);
            if inner {
                continue;
            }
            let steps = self.ball.steps();
            for other in row.saturating_sub(steps)..=(row + steps).min(tall - 1) {
                let rises = &self.ball.rows[row.abs_diff(other)];
                let out = rises.len() - 1;
                for beside in column.saturating_sub(out)..=(column + out).min(wide - 1) {
                    let tip = &mut self.mm[other * wide + beside];
                    *tip = tip.max(height - rises[column.abs_diff(beside)]);
                }
            }
        }
        self
    }

    /// The same with a sharp edge besides that the ball rests on: places between the cells, in
    /// cells, with their heights.
    pub(super) fn with_crest(mut self, crest: &[(DVec2, f64)]) -> Self {
        let Ball { radius, cell, .. } = *self.ball;
        let (wide, tall) = (self.wide, self.mm.len() / self.wide.max(1));
        for (at, z) in crest {
            let reach = radius / cell * (1.0 + ROUNDING);
            let from = (*at - reach).ceil().max(DVec2::ZERO);
            let to = (*at + reach).floor().min(DVec2::new(wide as f64 - 1.0, tall as f64 - 1.0));
            if to.x < from.x || to.y < from.y {
                continue;
            }
            for row in from.y as usize..=to.y as usize {
                for column in from.x as usize..=to.x as usize {
                    let off = DVec2::new(column as f64, row as f64) - *at;
                    if let Some(rise) = rise(radius, cell, off.length_squared()) {
                        let tip = &mut self.mm[row * wide + column];
                        *tip = tip.max(z - rise);
                    }
                }
            }
        }
        self
    }

    /// What the ball leaves: the lowest that it covers, of those cells of which it is wanted.
    pub(super) fn left(mut self, wanted: &[bool]) -> Vec<f64> {
        // An erosion is the dilation of the heights turned upside down.
        self.mm.iter_mut().for_each(|tip| *tip = -*tip);
        let tiles = WantedTiles::of(wanted, self.wide);
        let mut left = PaddedHeights::new(&self.mm, self.wide, self.ball).swept(self.ball, &tiles);
        left.iter_mut().for_each(|left| *left = -*left);
        left
    }
}

/// Which tiles something is wanted of.
struct WantedTiles {
    across: usize,
    wanted: Vec<bool>,
}

impl WantedTiles {
    fn of(cells: &[bool], wide: usize) -> WantedTiles {
        let rows = cells.chunks(wide.max(1));
        let wanted = rows.flat_map(|row| row.chunks(TILE).map(|tile| tile.contains(&true)));
        WantedTiles { across: wide.div_ceil(TILE), wanted: wanted.collect() }
    }

    /// These, and all within the ball's reach of them.
    fn round(&self, ball: &Ball) -> WantedTiles {
        let (across, out) = (self.across, ball.steps().div_ceil(TILE));
        let tall = self.wanted.len() / across.max(1);
        let mut beside = vec![false; self.wanted.len()];
        let mut wanted = beside.clone();
        for index in (0..self.wanted.len()).filter(|index| self.wanted[*index]) {
            let (column, row) = (index % across, index / across);
            let to = row * across + (column + out).min(across - 1);
            beside[row * across + column.saturating_sub(out)..=to].fill(true);
        }
        for row in 0..tall {
            let from = row.saturating_sub(ball.steps());
            for other in from..=(row + ball.steps()).min(tall - 1) {
                for column in 0..across {
                    wanted[row * across + column] |= beside[other * across + column];
                }
            }
        }
        WantedTiles { across, wanted }
    }
}

/// Heights with room for the ball all round, where nothing is.
struct PaddedHeights {
    wide: usize,
    tall: usize,
    /// Cells of room at each end of a row, and rows of room before the first and after the last.
    room: usize,
    over: usize,
    /// Cells of a row with its room.
    stride: usize,
    cells: Vec<f64>,
    /// The highest of each eight cells, and of all that a ball meets in the row round them.
    most: Vec<f64>,
    met: Vec<f64>,
}

impl PaddedHeights {
    fn new(heights: &[f64], wide: usize, ball: &Ball) -> PaddedHeights {
        let tall = heights.len() / wide.max(1);
        let over = ball.steps();
        let room = over.next_multiple_of(TILE);
        // One tile more, so that each has a neighbour.
        let stride = wide.next_multiple_of(TILE) + 2 * room + TILE;
        let mut cells = vec![f64::NEG_INFINITY; stride * (tall + 2 * over)];
        let rows = heights.chunks_exact(wide.max(1));
        for (row, to) in rows.zip(cells.chunks_exact_mut(stride).skip(over)) {
            to[room..room + wide].copy_from_slice(row);
        }
        let highest = |cells: &[f64]| cells.iter().copied().fold(f64::NEG_INFINITY, max);
        let most: Vec<f64> = cells.chunks_exact(TILE).map(highest).collect();
        let (blocks, out) = (stride / TILE, room / TILE);
        let met = most.chunks_exact(blocks).flat_map(|row| {
            (0..blocks).map(move |at| {
                let to = (at + out).min(blocks - 1);
                row[at.saturating_sub(out)..=to].iter().copied().fold(f64::NEG_INFINITY, max)
            })
        });
        let met = met.collect();
        PaddedHeights { wide, tall, room, over, stride, cells, most, met }
    }

    /// For each cell the highest of what the ball covers there, less the ball's height over its
    /// tip.
    fn swept(&self, ball: &Ball, tiles: &WantedTiles) -> Vec<f64> {
        let mut out = vec![f64::NEG_INFINITY; self.wide * self.tall];
        for (index, _) in tiles.wanted.iter().enumerate().filter(|(_, wanted)| **wanted) {
            let (row, column) = (index / tiles.across, index % tiles.across * TILE);
            let found = self.tile(ball, column, row);
            let width = TILE.min(self.wide - column);
            let at = row * self.wide + column;
            out[at..at + width].copy_from_slice(&found[..width]);
        }
        out
    }

    fn tile(&self, ball: &Ball, column: usize, row: usize) -> [f64; TILE] {
        let (blocks, block) = (self.stride / TILE, (self.room + column) / TILE);
        let mut best = [f64::NEG_INFINITY; TILE];
        let own = (self.over + row) * self.stride + self.room + column;
        raise(&mut best, &self.cells[own..], ball.rows[0][0]);
        let mut least = lowest(&best);
        let both = |dy: usize| [dy as isize, -(dy as isize)].into_iter().take(1 + dy.min(1));
        for dy in (0..ball.rows.len()).flat_map(both) {
            let rises = &ball.rows[dy.unsigned_abs()];
            let line = (self.over + row).wrapping_add_signed(dy);
            if self.met[line * blocks + block] - rises[0] <= least {
                continue;
            }
            let out = rises.len() as isize - 1;
            let steps = (self.room / TILE) as isize;
            for step in -steps..=steps {
                let first = step * TILE as isize;
                let (from, to) = (first.max(-out), (first + TILE as isize - 1).min(out));
                if from > to {
                    continue;
                }
                let near = if from > 0 { from } else { (-to).max(0) };
                let at = line * blocks + block.wrapping_add_signed(step);
                let bound = max(self.most[at], self.most[at + 1]) - rises[near as usize];
                if bound <= least {
                    continue;
                }
                for dx in from..=to {
                    let start = line * self.stride + self.room + column;
                    let cells = &self.cells[start.wrapping_add_signed(dx)..];
                    raise(&mut best, cells, rises[dx.unsigned_abs()]);
                }
                least = lowest(&best);
            }
        }
        best
    }
}

#[inline(always)]
fn raise(best: &mut [f64; TILE], cells: &[f64], rise: f64) {
    for (best, cell) in best.iter_mut().zip(&cells[..TILE]) {
        *best = max(*best, cell - rise);
    }
}

#[inline(always)]
fn lowest(best: &[f64; TILE]) -> f64 {
    best.iter().copied().fold(f64::INFINITY, |a, b| if a < b { a } else { b })
}

/// The greater, without the care for NaN that would cost a second comparison.
#[inline(always)]
fn max(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ball_against_a_high_wall_leaves_its_own_quarter_circle() {
        let (cell, radius) = (0.05, 1.5);
        let wide = 161;
        let heights: Vec<f64> =
            (0..wide * wide).map(|i| if i % wide < 80 { 9.0 } else { 0.0 }).collect();
        let (ball, all) = (Ball::new(radius, cell), vec![true; wide * wide]);
        let left = Tips::over(&ball, &heights, wide, &all).left(&all);
        for column in 80..wide - 40 {
            let from_wall = cell * (column - 79) as f64;
            let off = (radius - from_wall).max(0.0);
            let exact = radius - (radius * radius - off * off).sqrt();
            let z = left[80 * wide + column];
            // The centre stands on cells: it may be a cell too far out.
            assert!(z >= exact - 1e-9 && z <= exact + 0.4, "{from_wall}: {z} {exact}");
        }
    }

    /// Cells a whole radius off are under the ball, whatever the last digits of radius and cell are.
    #[test]
    fn a_ball_of_a_whole_number_of_cells_rests_on_its_rim() {
        let mut tried = 0;
        for steps in 5..=15_i64 {
            for tenths in 1..80 {
                let radius = 0.1 * f64::from(tenths);
                let cell = radius / steps as f64;
                // Of whole numbers, so that nothing is rounded.
                let inside = |x: i64, y: i64| x * x + y * y <= steps * steps;
                let ball = Ball::new(radius, cell);
                assert_eq!(ball.rows.len() as i64, steps + 1, "{radius} {cell}");
                for (y, row) in (0..).zip(&ball.rows) {
                    let known = (0..).take_while(|x| inside(*x, y)).count();
                    assert_eq!(row.len(), known, "{radius} {cell}, row {y}");
                }
                tried += 1;
            }
        }
        assert_eq!(tried, 11 * 79);
        // A post a radius off holds the ball up by its rim, from all four sides.
        for radius in [4.4, 6.75] {
            let (cell, wide) = (radius / 14.0, 61);
            let heights: Vec<f64> =
                (0..wide * wide).map(|i| if i == 30 * wide + 30 { 20.0 } else { 0.0 }).collect();
            let ball = Ball::new(radius, cell);
            let tips = Tips::over(&ball, &heights, wide, &vec![true; wide * wide]);
            for (column, row) in [(16, 30), (44, 30), (30, 16), (30, 44)] {
                let tip = tips.mm[row * wide + column];
                assert!((tip - (20.0 - radius)).abs() < 1e-5, "{radius}: {tip}");
            }
            assert!(tips.mm[30 * wide + 15].abs() < 1e-9, "{radius}: past the ball");
        }
    }

    /// Against every cell under the ball at every place, on ground that rises and falls by leaps.
    #[test]
    fn no_cell_that_matters_is_passed_over() {
        let (wide, tall) = (61, 47);
        let heights: Vec<f64> = (0..wide * tall)
            .map(|i| {
                let (x, y) = ((i % wide) as f64, (i / wide) as f64);
                let step = if (20.0..30.0).contains(&x) { 3.0 } else { 0.0 };
                (0.2 * x).sin() * (0.3 * y).cos() + step - if y > 30.0 { 4.0 } else { 0.0 }
            })
            .collect();
        let level: Vec<bool> = (0..wide * tall).map(|i| i % wide > 40 && i / wide > 33).collect();
        let ball = Ball::new(1.3, 0.11);
        let every = |from: &[f64], x: isize, y: isize, pick: &dyn Fn(f64, f64) -> f64| {
            let mut best = f64::NEG_INFINITY;
            for row in 0..tall as isize {
                for column in 0..wide as isize {
                    let far = 0.11 * 0.11 * ((x - column).pow(2) + (y - row).pow(2)) as f64;
                    if far <= 1.3 * 1.3 {
                        let rise = 1.3 - (1.3 * 1.3 - far).sqrt();
                        best = best.max(pick(from[row as usize * wide + column as usize], rise));
                    }
                }
            }
            best
        };
        let at = |i: usize| ((i % wide) as isize, (i / wide) as isize);
        let raised: Vec<f64> =
            heights.iter().zip(&level).map(|(z, on)| if *on { 2.5 } else { *z }).collect();
        let tips: Vec<f64> = (0..wide * tall)
            .map(|i| every(&raised, at(i).0, at(i).1, &|z, rise| z - rise))
            .collect();
        let wanted: Vec<bool> = (0..wide * tall).map(|i| i % 7 == 3 && i % wide > 9).collect();
        let under = Tips::over(&ball, &heights, wide, &wanted).with_level(&level, 2.5);
        let left = under.left(&wanted);
        for i in (0..wide * tall).filter(|i| wanted[*i]) {
            let known = -every(&tips, at(i).0, at(i).1, &|tip, rise| -tip - rise);
            assert!((left[i] - known).abs() < 1e-9, "{i}: {} {known}", left[i]);
        }
    }
}
