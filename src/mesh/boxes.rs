//! A tree of boxes over a mesh's triangles, to find those that are near each other.
//!
//! Promised: every pair whose boxes meet is given, once.

use glam::DVec3;
use rayon::prelude::*;

/// Triangles to a leaf: as many as are compared at once.
const LEAF: usize = 16;
/// A part of the tree that is looked at by itself holds two to the power of this many leaves.
const PART: usize = 4;

/// A box along the axes. In 32-bit floats, which hold the points exactly.
#[derive(Clone, Copy)]
pub(super) struct Bounds {
    low: [f32; 3],
    high: [f32; 3],
}

impl Bounds {
    /// Round nothing: it meets no box, and adds nothing to one.
    const NONE: Bounds = Bounds { low: [f32::INFINITY; 3], high: [f32::NEG_INFINITY; 3] };

    /// Round three corners.
    pub(super) fn round(corners: [DVec3; 3]) -> Bounds {
        let [a, b, c] = corners;
        let single = |p: DVec3| p.to_array().map(|v| v as f32);
        Bounds { low: single(a.min(b).min(c)), high: single(a.max(b).max(c)) }
    }

    /// Without a branch: whether boxes meet can't be foretold.
    fn meets(&self, other: &Bounds) -> bool {
        (0..3).fold(true, |meets, k| {
            meets & (self.low[k] <= other.high[k]) & (other.low[k] <= self.high[k])
        })
    }

    fn with(&self, other: &Bounds) -> Bounds {
        Bounds {
            low: std::array::from_fn(|k| self.low[k].min(other.low[k])),
            high: std::array::from_fn(|k| self.high[k].max(other.high[k])),
        }
    }
}

/// The boxes of a leaf's triangles, axis by axis, so that one is compared with all in one go.
struct Leaf {
    low: [[f32; LEAF]; 3],
    high: [[f32; LEAF]; 3],
}

impl Leaf {
    fn of(boxes: &[Bounds]) -> Leaf {
        let one = |j: usize| boxes.get(j).unwrap_or(&Bounds::NONE);
        Leaf {
            low: std::array::from_fn(|k| std::array::from_fn(|j| one(j).low[k])),
            high: std::array::from_fn(|k| std::array::from_fn(|j| one(j).high[k])),
        }
    }

    /// Which of the boxes meet one, a bit for each.
    #[inline(always)]
    fn met(&self, one: &Bounds) -> u32 {
        let mut met = [true; LEAF];
        for k in 0..3 {
            let (low, high) = (one.low[k], one.high[k]);
            for (j, met) in met.iter_mut().enumerate() {
                *met &= (self.low[k][j] <= high) & (low <= self.high[k][j]);
            }
        }
        met.into_iter().enumerate().fold(0, |bits, (j, met)| bits | u32::from(met) << j)
    }

    fn at(&self, i: usize) -> Bounds {
        Bounds { low: self.low.map(|low| low[i]), high: self.high.map(|high| high[i]) }
    }
}

/// A tree of boxes over triangles in the order of a Z-curve (G. M. Morton, 1966), so that
/// neighbours in the order are neighbours in space.
pub(super) struct Tree {
    /// Triangles in that order.
    order: Vec<u32>,
    leaves: Vec<Leaf>,
    /// Boxes of the leaves, then of two leaves each, and so on up to one.
    levels: Vec<Vec<Bounds>>,
    /// Whether a node holds a triangle that is asked for, by level.
    asked: Vec<Vec<bool>>,
}

impl Tree {
    /// Over the boxes of triangles, by their index; only pairs of which one triangle at least is asked
    /// for are given.
    pub(super) fn of(boxes: &[Bounds], asked: impl Fn(u32) -> bool) -> Tree {
        let whole = boxes.iter().fold(Bounds::NONE, |all, one| all.with(one));
        let longest =
            (0..3).fold(f32::MIN_POSITIVE, |most, k| most.max(whole.high[k] - whole.low[k]));
        let mut keys: Vec<u64> = boxes
            .par_iter()
            .with_min_len(4096)
            .enumerate()
            .map(|(index, one)| {
                let place = std::array::from_fn(|k| {
                    let middle = 0.5 * (one.low[k] + one.high[k]) - whole.low[k];
                    (middle / longest * 1023.0) as u64
                });
                (woven(place) << 32) | index as u64
            })
            .collect();
        keys.par_sort_unstable();
        let order: Vec<u32> = keys.into_iter().map(|key| key as u32).collect();
        let joined = |part: &[Bounds]| part.iter().fold(Bounds::NONE, |all, one| all.with(one));
        let (leaves, bottom) = order
            .chunks(LEAF)
            .map(|part| {
                let mut own = [Bounds::NONE; LEAF];
                for (own, index) in own.iter_mut().zip(part) {
                    *own = boxes[*index as usize];
                }
                (Leaf::of(&own), joined(&own))
            })
            .unzip();
        let mut levels: Vec<Vec<Bounds>> = vec![bottom];
        while let Some(last) = levels.last().filter(|last| last.len() > 1) {
            let next = last.chunks(2).map(joined).collect();
            levels.push(next);
        }
        let any = |part: &[bool]| part.iter().any(|asked| *asked);
        let bottom =
            order.chunks(LEAF).map(|part| part.iter().any(|index| asked(*index))).collect();
        let mut asked: Vec<Vec<bool>> = vec![bottom];
        while let Some(last) = asked.last().filter(|last| last.len() > 1) {
            let next = last.chunks(2).map(any).collect();
            asked.push(next);
        }
        Tree { order, leaves, levels, asked }
    }

    /// The level whose nodes are the parts.
    fn top(&self) -> usize {
        PART.min(self.levels.len() - 1)
    }

    /// How many parts there are, which can be looked at one beside the other.
    pub(super) fn parts(&self) -> usize {
        self.levels[self.top()].len()
    }

    /// All pairs of triangles whose boxes meet, one of them in this part, the other in it or in a
    /// later one; with some beside them of which neither is asked for.
    pub(super) fn meet(&self, part: usize, mut pair: impl FnMut(u32, u32)) {
        for other in part..self.parts() {
            self.between((self.top(), part, other), &mut pair);
        }
    }

    /// The same for two nodes of a level, the second not before the first.
    fn between(&self, (level, one, other): (usize, usize, usize), pair: &mut impl FnMut(u32, u32)) {
        let (nodes, asked) = (&self.levels[level], &self.asked[level]);
        if !(asked[one] || asked[other]) || !nodes[one].meets(&nodes[other]) {
            return;
        }
        let Some(below) = level.checked_sub(1) else {
            return self.leaves((one, other), pair);
        };
        let halves = |node: usize| 2 * node..(2 * node + 2).min(self.levels[below].len());
        for i in halves(one) {
            for j in halves(other).filter(|j| i <= *j) {
                self.between((below, i, j), pair);
            }
        }
    }

    /// The same for two leaves.
    fn leaves(&self, (one, other): (usize, usize), pair: &mut impl FnMut(u32, u32)) {
        let triangle = |leaf: usize, i: usize| self.order[leaf * LEAF + i];
        // Those of the one that meet something of the other at all.
        let mut near = self.leaves[one].met(&self.levels[0][other]);
        while near != 0 {
            let i = near.trailing_zeros() as usize;
            near &= near - 1;
            let mut met = self.leaves[other].met(&self.leaves[one].at(i));
            if one == other {
                met &= u32::MAX << (i + 1);
            }
            while met != 0 {
                pair(triangle(one, i), triangle(other, met.trailing_zeros() as usize));
                met &= met - 1;
            }
        }
    }
}

/// Three numbers of ten bits, their bits one after the other in turn.
fn woven(place: [u64; 3]) -> u64 {
    let spread = |v: u64| {
        let v = (v | (v << 16)) & 0x0300_00ff;
        let v = (v | (v << 8)) & 0x0300_f00f;
        let v = (v | (v << 4)) & 0x030c_30c3;
        (v | (v << 2)) & 0x0924_9249
    };
    spread(place[0]) | (spread(place[1]) << 1) | (spread(place[2]) << 2)
}
