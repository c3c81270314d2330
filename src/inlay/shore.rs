//! The art's outline on the face, and how deep a vee may go inside it.
//!
//! With h the face and 1/t the steepness of the vee's flank, the deepest that its tip may go at p without
//! cutting outside the art is G(p) = max over q outside of h(q) - |p - q| / t. As long as the face is less
//! steep than the flank the greatest is on the outline itself, so only that is searched: cell by cell
//! outward from p, until no farther place can be greater.
//!
//! Promised: G of the outline's chords, on each of which the face is taken as straight. Not promised:
//! anything where the face is as steep as the flank.

use super::lines::stepped;
use glam::DVec2;

/// A foot nearer to a chord's end, in mm², is on it.
const END: f64 = 1e-20;
/// Side of a cell, in mm: a few chords each.
const CELL_MM: f64 = 0.5;

/// A place on the outline, and what it says of a point: the height to which it lets a vee down, or from
/// which a plug's flank rises.
#[derive(Clone, Copy, Debug)]
pub(super) struct Foot {
    pub(super) height: f64,
    pub(super) at: DVec2,
}

/// Dense corners of the art's loops on the face, what is art on the left.
#[derive(Clone, Debug)]
pub(super) struct Shore {
    pub(super) points: Vec<DVec2>,
    pub(super) heights: Vec<f64>,
    /// The next corner of the same loop, and the one before.
    pub(super) next: Vec<u32>,
    before: Vec<u32>,
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
}

impl Shore {
    /// Loops on a face, in chords no longer than `step` mm.
    pub(super) fn new(
        loops: &[Vec<DVec2>],
        step: f64,
        slope: f64,
        face: &dyn Fn(DVec2) -> f64,
    ) -> Shore {
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
        let size = if points.is_empty() { DVec2::ZERO } else { (high - low) / CELL_MM };
        let mut shore = Shore {
            highest: heights.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            lowest: heights.iter().copied().fold(f64::INFINITY, f64::min),
            points,
            heights,
            next,
            before,
            slope,
            low: if size == DVec2::ZERO { DVec2::ZERO } else { low },
            columns: size.x as i32 + 1,
            rows: size.y as i32 + 1,
            starts: Vec::new(),
            members: Vec::new(),
            ends: Vec::new(),
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
        (self.starts, self.members) = (starts, members);
    }

    /// What the chord from a corner says of a point: its greatest for `way` -1, its least for `way` 1.
    fn chord(&self, from: usize, p: DVec2, way: f64) -> Foot {
        let to = self.next[from] as usize;
        let (a, b) = (self.points[from], self.points[to]);
        let (z, rise) = (self.heights[from], self.heights[to] - self.heights[from]);
        let length = a.distance(b);
        let along = (b - a) / length;
        let (w, k) = (p - a, rise / length);
        let (level, off) = (w.dot(along), w.perp_dot(along).abs());
        // Where the face rises along the chord, the place that counts lies further up, or down.
        let lean = self.slope * self.slope - k * k;
        let shift = if lean > 0.0 { off * k / lean.sqrt() } else { k.signum() * f64::INFINITY };
        let s = (level - way * shift).clamp(0.0, length);
        let at = a + along * s;
        Foot { height: z + k * s + way * self.slope * at.distance(p), at }
    }

    /// The best of all chords.
    fn best(&self, p: DVec2, way: f64) -> Foot {
        let mut found = Foot { height: way * f64::INFINITY, at: p };
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
            let can = bound + way * self.slope * least;
            if (way < 0.0 && can <= found.height) || (way > 0.0 && can >= found.height) {
                break;
            }
            let rows = (row - ring).max(0)..=(row + ring).min(self.rows - 1);
            for y in rows {
                let edge = (y - row).abs() == ring;
                let step = if edge { 1 } else { (2 * ring).max(1) };
                let mut x = column - ring;
                while x <= column + ring {
                    if (0..self.columns).contains(&x) {
                        self.look(x, y, p, way, &mut found);
                    }
                    x += step;
                }
            }
        }
        found
    }

    /// Takes a cell's best, if it is better.
    fn look(&self, x: i32, y: i32, p: DVec2, way: f64, found: &mut Foot) {
        let cell = (y * self.columns + x) as usize;
        let corner = self.low + DVec2::new(f64::from(x), f64::from(y)) * CELL_MM;
        let far = p.distance(p.clamp(corner, corner + CELL_MM));
        let [low, high] = self.ends[cell];
        let can = (if way < 0.0 { high } else { low }) + way * self.slope * far;
        if (can - found.height) * way >= 0.0 {
            return;
        }
        for at in &self.members[self.starts[cell] as usize..self.starts[cell + 1] as usize] {
            let foot = self.chord(*at as usize, p, way);
            if (foot.height - found.height) * way < 0.0 {
                *found = foot;
            }
        }
    }

    /// G: how deep the tip may go at a point inside the art.
    pub(super) fn below(&self, p: DVec2) -> f64 {
        self.best(p, -1.0).height
    }

    /// Where a flank of that steepness, going up and outward from the art's outline, passes a point
    /// outside it.
    pub(super) fn above(&self, p: DVec2) -> f64 {
        self.best(p, 1.0).height
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
