//! A tree of boxes over a mesh's triangles, to find those that are near each other.
//!
//! Promised: every pair whose boxes meet is given, once.

use glam::DVec3;
use rayon::prelude::*;

/// Triangles to a leaf.
const LEAF: usize = 4;

/// A box along the axes. In 32-bit floats, which hold the points exactly.
#[derive(Clone, Copy)]
pub(super) struct Bounds {
    low: [f32; 3],
    high: [f32; 3],
}

impl Bounds {
    /// Round three corners.
    pub(super) fn round(corners: [DVec3; 3]) -> Bounds {
        let [a, b, c] = corners;
        let single = |p: DVec3| p.to_array().map(|v| v as f32);
        Bounds { low: single(a.min(b).min(c)), high: single(a.max(b).max(c)) }
    }

    fn meets(&self, other: &Bounds) -> bool {
        (0..3).all(|k| self.low[k] <= other.high[k] && other.low[k] <= self.high[k])
    }

    fn with(&self, other: &Bounds) -> Bounds {
        Bounds {
            low: std::array::from_fn(|k| self.low[k].min(other.low[k])),
            high: std::array::from_fn(|k| self.high[k].max(other.high[k])),
        }
    }
}

/// A tree of boxes over triangles in the order of a Z-curve (G. M. Morton, 1966), so that
/// neighbours in the order are neighbours in space.
pub(super) struct Tree {
    /// Triangles in that order, and their boxes.
    order: Vec<u32>,
    boxes: Vec<Bounds>,
    /// Boxes of the leaves, then of two leaves each, and so on up to one.
    levels: Vec<Vec<Bounds>>,
}

impl Tree {
    /// Over the boxes of triangles, by their index.
    pub(super) fn of(boxes: Vec<Bounds>) -> Tree {
        let whole = boxes.iter().copied().reduce(|all, one| all.with(&one));
        let Some(whole) = whole else {
            return Tree { order: Vec::new(), boxes, levels: Vec::new() };
        };
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
        let boxes: Vec<Bounds> = order.iter().map(|index| boxes[*index as usize]).collect();
        let joined = |part: &[Bounds]| part[1..].iter().fold(part[0], |all, one| all.with(one));
        let mut levels: Vec<Vec<Bounds>> = vec![boxes.chunks(LEAF).map(joined).collect()];
        while let Some(last) = levels.last().filter(|last| last.len() > 1) {
            let next = last.chunks(2).map(joined).collect();
            levels.push(next);
        }
        Tree { order, boxes, levels }
    }

    /// How many leaves there are.
    pub(super) fn leaves(&self) -> usize {
        self.levels.first().map_or(0, Vec::len)
    }

    /// All pairs of triangles whose boxes meet, one of them in this leaf, the other in it or in a
    /// later one.
    pub(super) fn meet(&self, leaf: usize, mut pair: impl FnMut(u32, u32)) {
        let within = |leaf: usize| leaf * LEAF..((leaf + 1) * LEAF).min(self.boxes.len());
        let own = &self.levels[0][leaf];
        let mut open = vec![(self.levels.len() - 1, 0)];
        while let Some((level, node)) = open.pop() {
            // The last leaf below that node.
            let last = ((node + 1) << level) - 1;
            if last < leaf || !self.levels[level][node].meets(own) {
                continue;
            }
            if level > 0 {
                let below = self.levels[level - 1].len();
                open.extend((2 * node..(2 * node + 2).min(below)).map(|child| (level - 1, child)));
                continue;
            }
            for i in within(leaf) {
                let from = if node == leaf { i + 1 } else { node * LEAF };
                for j in from..within(node).end {
                    if self.boxes[i].meets(&self.boxes[j]) {
                        pair(self.order[i], self.order[j]);
                    }
                }
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
