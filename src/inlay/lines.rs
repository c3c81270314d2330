//! Pieces of lines joined end to end.

use glam::DVec2;
use std::collections::{BTreeMap, BTreeSet};

/// Ends nearer than this in mm are one.
const SAME_MM: f64 = 1e-6;

/// A line in one piece; closed, its first corner is not repeated.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct ArtLine {
    pub(super) corners: Vec<DVec2>,
    pub(super) closed: bool,
}

/// Corners with more between them, so that no two follow each other further apart than `step` mm.
pub(super) fn stepped(corners: &[DVec2], closed: bool, step: f64) -> Vec<DVec2> {
    let next = corners.iter().skip(1).chain(corners.first().filter(|_| closed));
    let parts = corners.iter().zip(next).flat_map(|(a, b)| {
        let parts = (a.distance(*b) / step).ceil().max(1.0);
        (0..parts as u32).map(move |k| a.lerp(*b, f64::from(k) / parts))
    });
    parts.chain(corners.last().copied().filter(|_| !closed)).collect()
}

/// Lines from fork to fork, end or closed.
pub(super) fn joined(pieces: &[[DVec2; 2]]) -> Vec<ArtLine> {
    let key = |p: DVec2| {
        let p = (p / SAME_MM).round();
        (p.x as i64, p.y as i64)
    };
    let pieces: Vec<_> = pieces.iter().filter(|[a, b]| key(*a) != key(*b)).collect();
    let mut at: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    for (index, ends) in pieces.iter().enumerate() {
        ends.iter().for_each(|end| at.entry(key(*end)).or_default().push(index));
    }
    let mut free: BTreeSet<usize> = (0..pieces.len()).collect();
    let mut lines = Vec::new();
    let forks = at.iter().filter(|(_, own)| own.len() != 2).map(|(end, _)| *end);
    let starts: Vec<(usize, (i64, i64))> =
        forks.flat_map(|end| at[&end].iter().map(move |piece| (*piece, end))).collect();
    let rest = (0..pieces.len()).map(|piece| (piece, key(pieces[piece][0])));
    for (piece, from) in starts.into_iter().chain(rest.collect::<Vec<_>>()) {
        if !free.contains(&piece) {
            continue;
        }
        let (mut piece, mut end) = (piece, from);
        let start = if key(pieces[piece][0]) == from { pieces[piece][0] } else { pieces[piece][1] };
        let mut corners = vec![start];
        loop {
            free.remove(&piece);
            let [a, b] = *pieces[piece];
            let to = if key(a) == end { b } else { a };
            corners.push(to);
            end = key(to);
            let next = at.get(&end).filter(|own| own.len() == 2).into_iter().flatten();
            match next.copied().find(|other| free.contains(other)) {
                Some(next) => piece = next,
                None => break,
            }
        }
        let closed = end == from && corners.len() > 3;
        if closed {
            corners.pop();
        }
        lines.push(ArtLine { corners, closed });
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_loop_and_a_fork_are_told_apart() {
        let p = |x: f64, y: f64| DVec2::new(x, y);
        let square = [
            [p(0.0, 0.0), p(1.0, 0.0)],
            [p(1.0, 1.0), p(1.0, 0.0)],
            [p(1.0, 1.0), p(0.0, 1.0)],
            [p(0.0, 0.0), p(0.0, 1.0)],
        ];
        let fork = [
            [p(5.0, 5.0), p(6.0, 5.0)],
            [p(5.0, 5.0), p(5.0, 6.0)],
            [p(5.0, 6.0), p(5.0, 7.0)],
            [p(4.0, 5.0), p(5.0, 5.0)],
        ];
        let lines = joined(&[&square[..], &fork[..]].concat());
        let mut told: Vec<(usize, bool)> =
            lines.iter().map(|l| (l.corners.len(), l.closed)).collect();
        told.sort_unstable();
        assert_eq!(told, [(2, false), (2, false), (3, false), (4, true)]);
    }
}
