//! The art's outline on the face, and how deep a vee may go inside it.
//!
//! With h the face and 1/t the steepness of the vee's flank, the deepest that its tip may go at p without
//! cutting outside the art is G(p) = max over q outside of h(q) - |p - q| / t. As long as the face is less
//! steep than the flank the greatest is on the outline itself, so only that is searched. The plan round the
//! art lies in cells; the first time that a place of a cell is asked for, the chords are found that can be
//! the best anywhere in it, cell by cell outward until no farther chord can be, and from then on only these
//! few are tried.
//!
//! Promised: G of the outline's chords, on each of which the face is taken as straight. Not promised:
//! anything where the face is as steep as the flank.

use super::far::FarMap;
use super::lines::stepped;
use glam::DVec2;
use std::sync::OnceLock;

/// A foot nearer to a chord's end, in mm², is on it.
const END: f64 = 1e-20;
/// Side of a cell of chords, in mm: a few chords each.
const CELL_MM: f64 = 0.5;
/// Side of a cell that remembers its chords, in mm: about as long as a chord.
const POOL_MM: f64 = 0.25;
/// They reach so far round the art, in mm: as far as the flanks of a plug do.
const ROUND_MM: f64 = 10.0;
/// And are this many at most, so that art of metres takes no more memory than a hand's.
const MOST_POOLS: f64 = 1e6;
/// A chord this steep, beside the flank, counts at its upper end only.
const STEEP: f64 = 1e9;

/// A place on the outline, and what it says of a point: the height to which it lets a vee down, or from
/// which a plug's flank rises.
#[derive(Clone, Copy, Debug)]
pub(super) struct Foot {
    pub(super) height: f64,
    pub(super) at: DVec2,
}

/// A piece of the outline along which the face is straight.
#[derive(Clone, Copy, Debug)]
struct Chord {
    from: DVec2,
    along: DVec2,
    length: f64,
    z: f64,
    /// Rise of the face along it.
    rise: f64,
    /// How steep a flank stands across it, and how much further on along it the place lies that counts.
    across: f64,
    lean: f64,
}

impl Chord {
    fn new([a, b]: [DVec2; 2], [z, other]: [f64; 2], slope: f64) -> Chord {
        let length = a.distance(b);
        let rise = (other - z) / length;
        let room = slope * slope - rise * rise;
        let across = room.max(0.0).sqrt();
        let lean = if room > 0.0 { rise / across } else { rise.signum() * STEEP };
        Chord { from: a, along: (b - a) / length, length, z, rise, across, lean }
    }

    /// The greatest that it says of a point for `way` -1, the least for `way` 1, and how far along it the
    /// place is that says so.
    fn best(&self, p: DVec2, way: f64, slope: f64) -> (f64, f64) {
        let w = p - self.from;
        let (level, off) = (w.dot(self.along), w.perp_dot(self.along).abs());
        let s = level - way * self.lean * off;
        if s >= 0.0 && s <= self.length {
            return (self.z + self.rise * level + way * self.across * off, s);
        }
        let s = if s < 0.0 { 0.0 } else { self.length };
        let far = ((level - s) * (level - s) + off * off).sqrt();
        (self.z + self.rise * s + way * slope * far, s)
    }
}

/// The chords that can be the best in a cell, the best of its middle first, with what they say there.
type Pool = Box<[(f64, u32)]>;

/// Dense corners of the art's loops on the face, what is art on the left.
#[derive(Debug)]
pub struct Shore {
    pub(super) points: Vec<DVec2>,
    pub(super) heights: Vec<f64>,
    /// The next corner of the same loop, and the one before.
    pub(super) next: Vec<u32>,
    before: Vec<u32>,
    chords: Vec<Chord>,
    /// 1 / t.
    pub(super) slope: f64,
    highest: f64,
    lowest: f64,
    low: DVec2,
    columns: i32,
    rows: i32,
    /// Where each cell's chords begin in `members`.
    starts: Vec<u32>,
    members: Vec<u32>,
    /// Of each cell the lowest and the highest end of its chords.
    ends: Vec<[f64; 2]>,
    far: FarMap,
    pool_low: DVec2,
    pool_side: f64,
    pool_columns: i32,
    pool_rows: i32,
    /// For below and for above.
    pools: [Vec<OnceLock<Pool>>; 2],
}

impl Shore {
    /// Loops on a face, in chords no longer than `step` mm.
    pub fn new(loops: &[Vec<DVec2>], step: f64, slope: f64, face: &dyn Fn(DVec2) -> f64) -> Shore {
        let (mut points, mut next, mut before) = (Vec::new(), Vec::new(), Vec::new());
        for ring in loops {
            let first = points.len() as u32;
            points.extend(stepped(ring, true, step));
            let count = points.len() as u32 - first;
            next.extend((0..count).map(|k| first + (k + 1) % count));
            before.extend((0..count).map(|k| first + (k + count - 1) % count));
        }
        let heights: Vec<f64> = points.iter().map(|p| face(*p)).collect();
        let low = points.iter().copied().fold(DVec2::splat(f64::INFINITY), DVec2::min);
        let high = points.iter().copied().fold(DVec2::splat(f64::NEG_INFINITY), DVec2::max);
        let (low, high) = if points.is_empty() { (DVec2::ZERO, DVec2::ZERO) } else { (low, high) };
        let size = (high - low) / CELL_MM;
        let chord = |at: usize| {
            let to = next[at] as usize;
            Chord::new([points[at], points[to]], [heights[at], heights[to]], slope)
        };
        let chords = (0..points.len()).map(chord).collect();
        let round = high - low + 2.0 * ROUND_MM;
        let side = POOL_MM.max((round.x * round.y / MOST_POOLS).sqrt());
        let many = (round / side).ceil();
        let empty = || (0..(many.x * many.y) as usize).map(|_| OnceLock::new()).collect();
        let mut shore = Shore {
            highest: heights.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            lowest: heights.iter().copied().fold(f64::INFINITY, f64::min),
            points,
            heights,
            next,
            before,
            chords,
            slope,
            low,
            columns: size.x as i32 + 1,
            rows: size.y as i32 + 1,
            starts: Vec::new(),
            members: Vec::new(),
            ends: Vec::new(),
            far: FarMap::new(0, 0, |_, _| false),
            pool_low: low - ROUND_MM,
            pool_side: side,
            pool_columns: many.x as i32,
            pool_rows: many.y as i32,
            pools: [empty(), empty()],
        };
        shore.sort();
        shore
    }

    fn cell(&self, p: DVec2) -> (i32, i32) {
        let at = ((p - self.low) / CELL_MM).floor();
        (at.x as i32, at.y as i32)
    }

    fn sort(&mut self) {
        let reach = |at: usize| {
            let (a, b) = (self.points[at], self.points[self.next[at] as usize]);
            let ((x0, y0), (x1, y1)) = (self.cell(a.min(b)), self.cell(a.max(b)));
            let (right, far) = (self.columns - 1, self.rows - 1);
            (y0.clamp(0, far)..=y1.clamp(0, far))
                .flat_map(move |y| (x0.clamp(0, right)..=x1.clamp(0, right)).map(move |x| (x, y)))
        };
        let cells = (self.columns * self.rows) as usize;
        let mut starts = vec![0_u32; cells + 1];
        for at in 0..self.points.len() {
            reach(at).for_each(|(x, y)| starts[(y * self.columns + x) as usize + 1] += 1);
        }
        for cell in 1..starts.len() {
            starts[cell] += starts[cell - 1];
        }
        let mut members = vec![0; starts[cells] as usize];
        let mut free = starts.clone();
        for at in 0..self.points.len() {
            for (x, y) in reach(at) {
                let slot = &mut free[(y * self.columns + x) as usize];
                members[*slot as usize] = at as u32;
                *slot += 1;
            }
        }
        let of_cell = |cell: usize| {
            let own = &members[starts[cell] as usize..starts[cell + 1] as usize];
            let own = own.iter().flat_map(|at| [*at as usize, self.next[*at as usize] as usize]);
            own.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], at| {
                [low.min(self.heights[at]), high.max(self.heights[at])]
            })
        };
        self.ends = (0..cells).map(of_cell).collect();
        let has = |x: i32, y: i32| {
            let cell = (y * self.columns + x) as usize;
            starts[cell] < starts[cell + 1]
        };
        self.far = FarMap::new(self.columns, self.rows, has);
        (self.starts, self.members) = (starts, members);
    }

    /// What the chord from a corner says of a point: its greatest for `way` -1, its least for `way` 1.
    fn chord(&self, from: usize, p: DVec2, way: f64) -> Foot {
        let (height, s) = self.chords[from].best(p, way, self.slope);
        Foot { height, at: self.foot(from, s) }
    }

    /// So far along a chord; its end is the very corner.
    fn foot(&self, from: usize, s: f64) -> DVec2 {
        let chord = &self.chords[from];
        match s {
            s if s >= chord.length => self.points[self.next[from] as usize],
            s => chord.from + chord.along * s,
        }
    }

    /// The best of all chords.
    fn best(&self, p: DVec2, way: f64) -> f64 {
        let at = (p - self.pool_low) / self.pool_side;
        let (x, y) = (at.x.floor(), at.y.floor());
        let (wide, high) = (f64::from(self.pool_columns), f64::from(self.pool_rows));
        if !(x >= 0.0 && y >= 0.0 && x < wide && y < high) {
            let mut found = way * f64::INFINITY;
            self.around(p, way, 0.0, &mut found, &mut |_, _| {});
            return found;
        }
        let cell = y as usize * self.pool_columns as usize + x as usize;
        let middle = self.pool_low + (DVec2::new(x, y) + 0.5) * self.pool_side;
        let pool = self.pools[usize::from(way > 0.0)][cell].get_or_init(|| self.pool(middle, way));
        let reach = way * self.slope * p.distance(middle);
        let mut found = way * f64::INFINITY;
        for (there, chord) in pool {
            // No chord says more of two places than a flank between them would.
            if (there - reach - found) * way >= 0.0 {
                break;
            }
            let (height, _) = self.chords[*chord as usize].best(p, way, self.slope);
            if (height - found) * way < 0.0 {
                found = height;
            }
        }
        found
    }

    /// The chords that can be the best within a cell of that middle.
    fn pool(&self, middle: DVec2, way: f64) -> Pool {
        let across = self.pool_side * std::f64::consts::SQRT_2;
        let slack = self.slope * across + 1e-9;
        let (mut found, mut all) = (way * f64::INFINITY, Vec::new());
        self.around(middle, way, slack, &mut found, &mut |height, chord| all.push((height, chord)));
        all.retain(|(height, _)| (height - found) * way <= slack);
        all.sort_by(|a, b| (a.0 * way).total_cmp(&(b.0 * way)).then(a.1.cmp(&b.1)));
        all.dedup_by_key(|one| one.1);
        all.into_boxed_slice()
    }

    /// Looks at all chords that say as much as the best but for `slack`, and maybe at others.
    fn around(
        &self,
        p: DVec2,
        way: f64,
        slack: f64,
        found: &mut f64,
        each: &mut dyn FnMut(f64, u32),
    ) {
        let (column, row) = self.cell(p);
        let bound = if way < 0.0 { self.highest } else { self.lowest };
        // From outside the first ring that meets the cells.
        let beyond = [-column, column - self.columns + 1, -row, row - self.rows + 1];
        let nearest = beyond.into_iter().fold(0, i32::max);
        let farthest =
            [column.abs(), (column - self.columns).abs(), row.abs(), (row - self.rows).abs()];
        let farthest = farthest.into_iter().fold(0, i32::max);
        for ring in nearest..=farthest {
            let least = f64::from((ring - 1).max(0)) * CELL_MM;
            if (bound + way * self.slope * least - *found) * way > slack {
                break;
            }
            let rows = (row - ring).max(0)..=(row + ring).min(self.rows - 1);
            for y in rows {
                let edge = (y - row).abs() == ring;
                let step = if edge { 1 } else { (2 * ring).max(1) };
                let mut x = column - ring;
                while x <= column + ring {
                    if (0..self.columns).contains(&x) {
                        self.look((x, y), (p, way, slack), found, each);
                    }
                    x += step;
                }
            }
        }
    }

    /// Looks at a cell's chords, if they can say as much.
    fn look(
        &self,
        (x, y): (i32, i32),
        (p, way, slack): (DVec2, f64, f64),
        found: &mut f64,
        each: &mut dyn FnMut(f64, u32),
    ) {
        let cell = (y * self.columns + x) as usize;
        let corner = self.low + DVec2::new(f64::from(x), f64::from(y)) * CELL_MM;
        let far = p.distance(p.clamp(corner, corner + CELL_MM));
        let [low, high] = self.ends[cell];
        let can = (if way < 0.0 { high } else { low }) + way * self.slope * far;
        if (can - *found) * way > slack {
            return;
        }
        for at in &self.members[self.starts[cell] as usize..self.starts[cell + 1] as usize] {
            let (height, _) = self.chords[*at as usize].best(p, way, self.slope);
            each(height, *at);
            if (height - *found) * way < 0.0 {
                *found = height;
            }
        }
    }

    /// G: how deep the tip may go at a point inside the art.
    pub fn below(&self, p: DVec2) -> f64 {
        self.best(p, -1.0)
    }

    /// Where a flank of that steepness, going up and outward from the art's outline, passes a point
    /// outside it.
    pub(super) fn above(&self, p: DVec2) -> f64 {
        self.best(p, 1.0)
    }

    /// The same up to a height; over it, how high it is at least.
    pub(super) fn above_up_to(&self, p: DVec2, most: f64) -> f64 {
        let far = f64::from(self.far.between(self.cell(p))) * CELL_MM;
        let least = self.lowest + self.slope * far;
        if least > most { least } else { self.above(p) }
    }

    /// The best near a corner: along its loop from there as long as it gets better. `way` as above.
    pub(super) fn near(&self, corner: usize, p: DVec2, way: f64) -> Foot {
        let better = |one: &Foot, other: &Foot| (one.height - other.height) * way < 0.0;
        let (mut at, mut found) = (corner, self.chord(corner, p, way));
        let behind = self.before[corner] as usize;
        let other = self.chord(behind, p, way);
        if better(&other, &found) {
            (at, found) = (behind, other);
        }
        // On to the next chord only over the end that they share: else a step would lead from one side
        // of a corner to the other.
        for _ in 0..self.points.len() {
            let (next, before) = (self.next[at] as usize, self.before[at] as usize);
            let on = match found.at {
                end if end.distance_squared(self.points[next]) < END => next,
                start if start.distance_squared(self.points[at]) < END => before,
                _ => break,
            };
            let other = self.chord(on, p, way);
            if !better(&other, &found) {
                break;
            }
            (at, found) = (on, other);
        }
        found
    }

    /// How far the outline turns at a corner, to the left, in radians.
    pub(super) fn turn(&self, corner: usize) -> f64 {
        let [a, b, c] = [self.before[corner] as usize, corner, self.next[corner] as usize]
            .map(|at| self.points[at]);
        (b - a).angle_to(c - b)
    }
}
