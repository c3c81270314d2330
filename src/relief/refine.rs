//! Makes a mesh finer round the tabs, where it has to follow a fillet.
//!
//! Promised: nothing opens; both triangles at an edge split it alike.

use super::upper::Built;
use glam::DVec2;

/// Splits the edges between upper points that a tab's fillets bend until none is longer than `most` in
/// the plan; `bends` tells from an edge's ends in the plan whether they do. `near` are the faces that come near a tab, in order; no other has
/// such an edge. Gives the edges that were split.
pub(super) fn refine(
    built: &mut Built<'_>,
    bends: &dyn Fn(DVec2, DVec2) -> bool,
    most: f64,
    near: Vec<u32>,
) -> Halves {
    /// Halving so often takes a spoon's length to a fifth of a millimetre.
    const ROUNDS: usize = 11;
    // A face that a round leaves whole has no edge to split, in later rounds either.
    let mut open = near;
    let mut halves = Halves::default();
    for _ in 0..ROUNDS {
        let before = halves.all.len();
        for index in &open {
            let face = built.faces[*index as usize];
            for i in 0..3 {
                let (a, b) = (face[i], face[(i + 1) % 3]);
                if !built.upper[a as usize] || !built.upper[b as usize] {
                    continue;
                }
                let (p, q) = (built.points[a as usize], built.points[b as usize]);
                let long = p.truncate().distance(q.truncate()) > most;
                if long && halves.get(a, b).is_none() && bends(p.truncate(), q.truncate()) {
                    halves.add(a, b, built.points.len() as u32);
                    built.points.push(p.midpoint(q));
                    built.upper.push(true);
                }
            }
        }
        if halves.all.len() == before {
            break;
        }
        let count = built.faces.len() as u32;
        let mut split = Vec::new();
        for index in open {
            let [a, b, c] = built.faces[index as usize];
            let half = |p: u32, q: u32| halves.get(p, q);
            let parts = match (half(a, b), half(b, c), half(c, a)) {
                (None, None, None) => continue,
                (Some(m), None, None) => vec![[a, m, c], [m, b, c]],
                (None, Some(m), None) => vec![[a, b, m], [a, m, c]],
                (None, None, Some(m)) => vec![[a, b, m], [m, b, c]],
                (Some(m), Some(n), None) => vec![[m, b, n], [a, m, n], [a, n, c]],
                (None, Some(m), Some(n)) => vec![[n, m, c], [a, b, m], [a, m, n]],
                (Some(m), None, Some(n)) => vec![[a, m, n], [m, b, c], [m, c, n]],
                (Some(m), Some(n), Some(o)) => {
                    vec![[a, m, o], [m, b, n], [n, c, o], [m, n, o]]
                }
            };
            split.push(index);
            built.faces[index as usize] = parts[0];
            built.faces.extend_from_slice(&parts[1..]);
            let kind = built.kinds[index as usize];
            built.kinds.resize(built.faces.len(), kind);
        }
        split.extend(count..built.faces.len() as u32);
        open = split;
    }
    halves
}

/// The points in the middles of edges, found by the edges' ends.
#[derive(Default)]
pub(super) struct Halves {
    /// For each point the last of those edges that have it as their end of the lower index.
    last: Vec<u32>,
    /// The other end, the point, and the edge before with the same lower end.
    all: Vec<[u32; 3]>,
}

impl Halves {
    const NONE: u32 = u32::MAX;

    fn add(&mut self, a: u32, b: u32, point: u32) {
        let end = a.min(b) as usize;
        if end >= self.last.len() {
            self.last.resize(point as usize, Self::NONE);
        }
        self.all.push([a.max(b), point, self.last[end]]);
        self.last[end] = self.all.len() as u32 - 1;
    }

    fn get(&self, a: u32, b: u32) -> Option<u32> {
        let mut at = self.last.get(a.min(b) as usize).copied().unwrap_or(Self::NONE);
        while at != Self::NONE {
            let [other, point, before] = self.all[at as usize];
            if other == a.max(b) {
                return Some(point);
            }
            at = before;
        }
        None
    }

    /// An edge as it has been split, both its ends included.
    pub(super) fn line(&self, a: u32, b: u32) -> Vec<u32> {
        let (mut line, mut open) = (vec![a], vec![b]);
        let mut from = a;
        while let Some(to) = open.pop() {
            match self.get(from, to) {
                Some(point) => open.extend([to, point]),
                None => {
                    line.push(to);
                    from = to;
                }
            }
        }
        line
    }
}
