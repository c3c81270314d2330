//! Bounds of the closing: what a tile of cells can't rise over, and which cells under the tool can't
//! win against the one in which it touches.

use super::closing::{NOTHING, SOMETHING, eight, max};
use super::tool::Kernel;
use glam::{IVec2, Vec2};

/// Cells along the side of a tile, and of a block of places that are worked out together.
pub(super) const TILE: usize = 8;
/// From a tile's middle to the middles of its outermost cells.
const HALF: f32 = 0.5 * (TILE as f32 - 1.0);
/// A tile whose cells leave its surface by more than this, in mm, is bounded by its highest cell.
const ROUGH: f32 = 0.25;

/// The middles of a tile's cells, from its own middle.
const PLACES: [f32; TILE] = [-3.5, -2.5, -1.5, -0.5, 0.5, 1.5, 2.5, 3.5];
/// Their squares, less the mean of them.
const BOWS: [f32; TILE] = [7.0, 1.0, -3.0, -5.0, -5.0, -3.0, 1.0, 7.0];
const MEAN_SQUARE: f32 = 5.25;

/// A surface of second order, in mm and cells: level + slope · u + bow · u² + twist · u.x · u.y.
#[derive(Clone, Copy)]
pub(super) struct Tile {
    pub(super) level: f32,
    pub(super) slope: Vec2,
    bow: Vec2,
    twist: f32,
}

impl Tile {
    /// All at one height.
    pub(super) const fn flat(level: f32) -> Tile {
        Tile { level, slope: Vec2::ZERO, bow: Vec2::ZERO, twist: 0.0 }
    }

    /// The surface of least squares, raised so that no cell stands over it. Eight rows of cells,
    /// from a column on.
    #[inline(always)]
    pub(super) fn over(rows: &[&[f32]; TILE], at: usize) -> Tile {
        let cells: [[f32; TILE]; TILE] = std::array::from_fn(|y| eight(rows[y], at));
        let mut most = [f32::NEG_INFINITY; TILE];
        for row in &cells {
            for i in 0..TILE {
                most[i] = max(row[i], most[i]);
            }
        }
        let highest = most.into_iter().fold(f32::NEG_INFINITY, max);
        if highest < SOMETHING {
            return Tile::flat(NOTHING);
        }
        let mut sums = [0.0_f32; TILE];
        let mut lean = [0.0_f32; TILE];
        let mut bow = [0.0_f32; TILE];
        for y in 0..TILE {
            for i in 0..TILE {
                let cell = cells[y][i];
                sums[i] += cell;
                lean[i] += cell * PLACES[y];
                bow[i] += cell * BOWS[y];
            }
        }
        let all = |values: [f32; TILE]| values.iter().sum::<f32>();
        let by = |values: &[f32; TILE], with: &[f32; TILE]| {
            all(std::array::from_fn(|i| values[i] * with[i]))
        };
        // Sums over the tile of the squares of what each is measured with: u² 336, bow² 1344,
        // (u.x · u.y)² 1764.
        let mean = all(sums) / 64.0;
        if mean < SOMETHING {
            return Tile::over_some(&cells).unwrap_or(Tile::flat(highest));
        }
        let slope = Vec2::new(by(&sums, &PLACES), all(lean)) / 336.0;
        let bent = Vec2::new(by(&sums, &BOWS), all(bow)) / 1344.0;
        let twist = by(&lean, &PLACES) / 1764.0;
        let level = mean - MEAN_SQUARE * (bent.x + bent.y);
        let along: [f32; TILE] =
            std::array::from_fn(|i| PLACES[i] * (slope.x + bent.x * PLACES[i]) + level);
        let tilt: [f32; TILE] = std::array::from_fn(|i| twist * PLACES[i]);
        let mut over = [f32::NEG_INFINITY; TILE];
        for y in 0..TILE {
            let down = PLACES[y] * (slope.y + bent.y * PLACES[y]);
            for i in 0..TILE {
                let rest = cells[y][i] - along[i] - tilt[i] * PLACES[y] - down;
                over[i] = max(rest, over[i]);
            }
        }
        let over = over.into_iter().fold(f32::NEG_INFINITY, max);
        if over < ROUGH {
            Tile { level: level + over, slope, bow: bent, twist }
        } else {
            Tile::flat(highest)
        }
    }

    /// A plane over those cells that are there, of a tile at the rim.
    fn over_some(cells: &[[f32; TILE]; TILE]) -> Option<Tile> {
        let mut there = [(0.0, Vec2::ZERO); TILE * TILE];
        let mut count = 0;
        for (row, y) in cells.iter().zip(PLACES) {
            for (cell, x) in row.iter().zip(PLACES) {
                if *cell > SOMETHING {
                    there[count] = (*cell, Vec2::new(x, y));
                    count += 1;
                }
            }
        }
        let there = &there[..count];
        let share = 1.0 / count as f32;
        let middle = there.iter().map(|(_, p)| *p).sum::<Vec2>() * share;
        let mean = there.iter().map(|(z, _)| *z).sum::<f32>() * share;
        let (mut square, mut both, mut rise) = (Vec2::ZERO, 0.0, Vec2::ZERO);
        for (z, p) in there {
            let away = *p - middle;
            square += away * away;
            both += away.x * away.y;
            rise += away * (z - mean);
        }
        let whole = square.x * square.y - both * both;
        // A single row of cells has no slope across itself.
        if whole < 1.0 {
            return None;
        }
        let slope =
            Vec2::new(rise.x * square.y - rise.y * both, rise.y * square.x - rise.x * both) / whole;
        let over = there.iter().map(|(z, p)| z - slope.dot(*p));
        let level = over.fold(f32::NEG_INFINITY, max);
        Some(Tile { level, slope, bow: Vec2::ZERO, twist: 0.0 })
    }

    /// The same surface with its middle moved.
    #[inline(always)]
    pub(super) fn seen_from(&self, away: Vec2) -> Tile {
        Tile { level: self.level + self.rise(away), slope: self.slope_at(away), ..*self }
    }

    /// How far a place stands over the middle.
    #[inline(always)]
    fn rise(&self, away: Vec2) -> f32 {
        away.dot(self.slope + self.bow * away) + self.twist * away.x * away.y
    }

    /// Slope at a place.
    #[inline(always)]
    pub(super) fn slope_at(&self, away: Vec2) -> Vec2 {
        let turned = Vec2::new(away.y, away.x);
        self.slope + 2.0 * self.bow * away + self.twist * turned
    }

    /// A bound of how far it rises over another one with the same middle, within the tile.
    #[inline(always)]
    pub(super) fn most_over(&self, other: &Tile) -> f32 {
        let slope = (self.slope - other.slope).abs();
        let bow = (self.bow - other.bow).max(Vec2::ZERO);
        let twist = (self.twist - other.twist).abs();
        self.level - other.level
            + HALF * (slope.x + slope.y)
            + HALF * HALF * (bow.x + bow.y + twist)
    }

    /// The least of what cells of a block stand over it.
    #[inline(always)]
    pub(super) fn least_over(&self, found: &[[f32; TILE]; TILE]) -> f32 {
        let Tile { level, slope, bow, twist } = *self;
        let along: [f32; TILE] =
            std::array::from_fn(|i| PLACES[i] * (slope.x + bow.x * PLACES[i]) + level);
        let tilt: [f32; TILE] = std::array::from_fn(|i| twist * PLACES[i]);
        let mut least = [f32::INFINITY; TILE];
        for y in 0..TILE {
            let down = PLACES[y] * (slope.y + bow.y * PLACES[y]);
            for i in 0..TILE {
                let over = found[y][i] - along[i] - tilt[i] * PLACES[y] - down;
                least[i] = if over < least[i] { over } else { least[i] };
            }
        }
        least.into_iter().fold(f32::INFINITY, |a, b| if a < b { a } else { b })
    }
}

/// What any other cell under the tool has to catch up on a likeness, from a block of places.
pub(super) struct Rival<'a> {
    kernel: &'a Kernel,
    like: &'a Tile,
    touch: Vec2,
    /// How far the tool stands over the likeness where it touches.
    at_touch: f32,
}

impl<'a> Rival<'a> {
    pub(super) fn new(like: &'a Tile, touch: IVec2, kernel: &'a Kernel) -> Rival<'a> {
        let at = touch.as_vec2();
        let at_touch = kernel.height(touch) - like.rise(at);
        Rival { kernel, like, touch: at, at_touch }
    }

    /// By how much more the tool stands over the likeness than where it touches, at offsets of one
    /// row from a column on, each at the place of the block that favours it most: places of a block
    /// do not all touch in the same cell, and the likeness changes its slope from one to the next.
    #[inline(always)]
    pub(super) fn behind(&self, dy: i32, from: i32, heights: &[f32], out: &mut [f32]) {
        let Tile { slope, bow, twist, .. } = *self.like;
        let down = dy as f32;
        let lean = slope.x + twist * down;
        let level = down * (slope.y + bow.y * down) + self.at_touch;
        let away = down - self.touch.y;
        let (turn_x, turn_y) = (HALF * twist * away, HALF * 2.0 * bow.y * away);
        let (along_x, along_y) = (HALF * 2.0 * bow.x, HALF * twist);
        for (i, (out, height)) in out.iter_mut().zip(heights).enumerate() {
            let dx = (from + i as i32) as f32;
            let away = dx - self.touch.x;
            let turns = (turn_x + along_x * away).abs() + (turn_y + along_y * away).abs();
            *out = height - dx * (lean + bow.x * dx) - level - turns;
        }
    }

    /// A box of offsets outside which all are behind by more than `spare`.
    pub(super) fn within(&self, spare: f32) -> (IVec2, IVec2) {
        let reach = IVec2::splat(self.kernel.reach as i32);
        let whole = (-reach, reach);
        let Some(radius) = self.kernel.ball() else { return whole };
        let Tile { bow, twist, .. } = *self.like;
        let cell = self.kernel.cell();
        // A half sphere bends everywhere by at least 1 / radius, the likeness at most by its
        // greater curvature: from the touching cell on, the one leaves the other by
        // steep · away + bend · away², and places of the block differ by turn · away. Per cell.
        let most = 0.5 * (bow.x + bow.y + (bow.x - bow.y).hypot(twist));
        let bend = 0.5 * cell * cell / radius - most.max(0.0);
        let under = (radius / cell).powi(2) - self.touch.length_squared();
        if bend <= 0.02 * cell * cell / radius || under <= 1.0 {
            return whole;
        }
        let steep = (self.touch * (cell / under.sqrt()) - self.like.slope_at(self.touch)).length();
        let turn = 2.0 * HALF * (bow.x.abs() + bow.y.abs() + twist.abs());
        let (gain, need) = (steep + turn, spare.max(0.0));
        let away = (gain + (gain * gain + 4.0 * bend * need).sqrt()) / (2.0 * bend) + 1e-3;
        let reach = reach.as_vec2();
        // Away from zero it is cut off towards it, so that no more than a cell too many is tried.
        let low = (self.touch - away).clamp(-reach, reach);
        let high = (self.touch + away).clamp(-reach, reach);
        (low.as_ivec2(), high.as_ivec2())
    }
}
