//! Upright walls between two heights over one edge of the plan.
//!
//! Promised: no triangle of a wall lies over another of it, whatever the line of its upper edge.

use super::patch::NONE;
use super::refine::Halves;
use super::trouble::Trouble;
use crate::mesh::flat::fill_loops;
use glam::{DVec2, DVec3};

/// The mesh points at one corner of the plan.
#[derive(Clone, Copy)]
pub(super) struct Levels {
    pub skin: u32,
    pub tab: u32,
    pub floor: u32,
    pub under: u32,
}

/// Sets walls.
pub(super) struct Walls<'a> {
    pub points: &'a [DVec3],
    /// Of each corner of the plan.
    pub levels: &'a [Levels],
    /// How upper edges have been split.
    pub halves: &'a Halves,
    pub faces: &'a mut Vec<[u32; 3]>,
}

impl Walls<'_> {
    /// A wall over an edge of the plan, from the points left of it, higher up, down to those on its
    /// right. None where left and right are the same.
    pub fn set(&mut self, edge: [u32; 2], left: [u32; 2], right: [u32; 2]) -> Result<(), Trouble> {
        if left.contains(&NONE) || right.contains(&NONE) {
            return Err(Trouble::SkirtEdge);
        }
        if left == right {
            return Ok(());
        }
        // Once round, counter-clockwise as seen from the right.
        let mut ring = self.halves.line(right[0], right[1]);
        ring.extend(self.between(edge[1], right[1], left[1]));
        ring.extend(self.halves.line(left[1], left[0]));
        ring.extend(self.between(edge[0], left[0], right[0]));
        ring.dedup();
        if ring.first() == ring.last() {
            ring.pop();
        }
        let at = |point: u32| self.points[point as usize];
        let from = at(right[0]).truncate();
        let upright = ring.iter().map(|point| {
            let p = at(*point);
            DVec2::new(p.truncate().distance(from), p.z)
        });
        let laid = fill_loops(&[upright.collect()]).ok_or(Trouble::SkirtEdge)?;
        self.faces.extend(laid.into_iter().map(|t| t.map(|corner| ring[corner as usize])));
        Ok(())
    }

    /// The points of one corner between two heights, from the first towards the second.
    fn between(&self, corner: u32, from: u32, to: u32) -> Vec<u32> {
        let Levels { skin, tab, floor, under } = self.levels[corner as usize];
        let height = |point: u32| self.points[point as usize].z;
        let (low, high) = (height(from).min(height(to)), height(from).max(height(to)));
        let mut between: Vec<u32> = [skin, tab, floor, under]
            .into_iter()
            .filter(|p| *p != NONE && height(*p) > low && height(*p) < high)
            .collect();
        between.sort_by(|a, b| height(*a).total_cmp(&height(*b)));
        between.dedup();
        if height(from) > height(to) {
            between.reverse();
        }
        between
    }
}
