//! Upright walls between two heights over one edge of the plan.

use super::patch::NONE;
use glam::DVec3;

/// The mesh points at one corner of the plan.
#[derive(Clone, Copy)]
pub(super) struct Levels {
    pub skin: u32,
    pub tab: u32,
    pub floor: u32,
    pub under: u32,
}

/// The points of one corner from one height to another, both included.
pub(super) fn chain(points: &[DVec3], levels: Levels, from: u32, to: u32) -> Vec<u32> {
    let height = |point: u32| points[point as usize].z;
    if from == NONE || to == NONE {
        return vec![from];
    }
    let (low, high) = (height(from).min(height(to)), height(from).max(height(to)));
    let mut between: Vec<u32> = [levels.skin, levels.tab, levels.floor, levels.under]
        .into_iter()
        .filter(|p| *p != NONE && height(*p) > low && height(*p) < high)
        .collect();
    between.sort_by(|a, b| height(*a).total_cmp(&height(*b)));
    between.dedup();
    if height(from) > height(to) {
        between.reverse();
    }
    let mut whole = vec![from];
    whole.extend(between);
    if to != from {
        whole.push(to);
    }
    whole
}

/// Triangles of an upright wall between two chains of points over the ends of an edge.
pub(super) fn zip(points: &[DVec3], a: &[u32], b: &[u32], faces: &mut Vec<[u32; 3]>) {
    let height =
        |chain: &[u32], i: usize| chain.get(i).and_then(|p| points.get(*p as usize)).map(|p| p.z);
    let down = height(a, 0) >= height(a, a.len() - 1) && height(b, 0) >= height(b, b.len() - 1);
    let (mut i, mut j) = (0, 0);
    while i + 1 < a.len() || j + 1 < b.len() {
        let on_a = match (height(a, i + 1), height(b, j + 1)) {
            (Some(next_a), Some(next_b)) => (next_a >= next_b) == down,
            (next, _) => next.is_some(),
        };
        if on_a {
            faces.push([b[j], a[i], a[i + 1]]);
            i += 1;
        } else {
            faces.push([b[j], a[i], b[j + 1]]);
            j += 1;
        }
    }
}
