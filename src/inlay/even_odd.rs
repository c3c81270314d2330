//! Outlines that cross, touch or lie in each other, put right: what is inside an odd number of them, as
//! loops that do not cross.

use crate::outline::ArcPath;
use glam::DVec2;
use spade::handles::FixedVertexHandle;
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};
use std::collections::BTreeSet;

/// A loop that encloses less, in mm², is a trace of two outlines that touch.
const LEAST_MM2: f64 = 1e-3;
/// Corners nearer than this in mm are one, where outlines cross.
const SAME_MM: f64 = 1e-3;

/// Whether a point is inside an odd number of loops.
pub(super) fn odd(loops: &[Vec<DVec2>]) -> impl Fn(DVec2) -> bool + use<> {
    let each: Vec<_> =
        loops.iter().map(|ring| ArcPath::polygon(ring.iter().copied()).inside()).collect();
    move |p| each.iter().filter(|inside| inside(p)).count() % 2 == 1
}

/// The loops that bound what is inside an odd number of those given: what is art lies on the left of
/// each. None when they can't be told apart.
pub(super) fn bounds(loops: &[Vec<DVec2>]) -> Option<Vec<Vec<DVec2>>> {
    let mut plan = ConstrainedDelaunayTriangulation::<Point2<f64>>::new();
    for ring in loops {
        let mut corners: Vec<FixedVertexHandle> = Vec::with_capacity(ring.len());
        for p in ring {
            corners.push(plan.insert(Point2::new(p.x, p.y)).ok()?);
        }
        for (from, to) in corners.iter().zip(corners.iter().cycle().skip(1)) {
            if from != to {
                plan.add_constraint_and_split(*from, *to, |p| p);
            }
        }
    }
    let inside = odd(loops);
    let art: Vec<bool> = plan
        .all_faces()
        .map(|face| {
            face.as_inner().is_some_and(|face| {
                let p = face.center();
                inside(DVec2::new(p.x, p.y))
            })
        })
        .collect();
    let mut open: BTreeSet<usize> = plan
        .directed_edges()
        .filter(|edge| art[edge.face().fix().index()] && !art[edge.rev().face().fix().index()])
        .map(|edge| edge.fix().index())
        .collect();
    let mut all = Vec::new();
    let edges: Vec<_> = plan.directed_edges().map(|edge| edge.fix()).collect();
    while let Some(first) = open.pop_first() {
        let mut ring = Vec::new();
        let mut at = first;
        loop {
            let edge = plan.directed_edge(*edges.get(at)?);
            let from = edge.from().position();
            ring.push(DVec2::new(from.x, from.y));
            // Where two parts touch, the loop stays with its own: the next edge clockwise from the
            // way that it came.
            let mut next = edge.rev().cw();
            let mut tries = plan.num_directed_edges();
            while next.fix().index() != first && !open.contains(&next.fix().index()) {
                next = next.cw();
                tries = tries.checked_sub(1)?;
            }
            at = next.fix().index();
            if at == first {
                break;
            }
            open.remove(&at);
        }
        all.push(tidy(ring));
    }
    let area = |ring: &Vec<DVec2>| ArcPath::polygon(ring.iter().copied()).signed_area().abs();
    all.retain(|ring| ring.len() > 2 && area(ring) > LEAST_MM2);
    Some(all)
}

/// Without corners that fall on the one before.
fn tidy(ring: Vec<DVec2>) -> Vec<DVec2> {
    let mut kept: Vec<DVec2> = Vec::with_capacity(ring.len());
    for p in ring {
        if kept.last().is_none_or(|last| last.distance(p) > SAME_MM) {
            kept.push(p);
        }
    }
    while let [first, .., last] = kept[..] {
        if first.distance(last) > SAME_MM {
            break;
        }
        kept.pop();
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64, side: f64) -> Vec<DVec2> {
        [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]
            .map(|(u, v)| DVec2::new(x + side * u, y + side * v))
            .to_vec()
    }

    fn areas(loops: &[Vec<DVec2>]) -> Vec<f64> {
        let found = bounds(loops).expect("squares");
        let area = |ring: &Vec<DVec2>| ArcPath::polygon(ring.iter().copied()).signed_area();
        let mut areas: Vec<f64> = found.iter().map(area).collect();
        areas.sort_by(f64::total_cmp);
        areas
    }

    #[test]
    fn a_square_in_a_square_in_a_square_is_a_frame_with_an_island() {
        let mut way_round = square(1.0, 1.0, 8.0);
        way_round.reverse();
        assert_eq!(
            areas(&[square(0.0, 0.0, 10.0), way_round, square(4.0, 4.0, 2.0)]),
            [-64.0, 4.0, 100.0]
        );
    }

    #[test]
    fn what_two_squares_share_is_a_hole_and_a_bow_is_two_parts() {
        // The shared square touches both outer loops at two corners.
        let two = areas(&[square(0.0, 0.0, 10.0), square(6.0, 6.0, 10.0)]);
        assert_eq!(two.iter().sum::<f64>(), 200.0 - 2.0 * 16.0);
        assert_eq!(two, [84.0, 84.0]);
        let bow = [(0.0, 0.0), (4.0, 4.0), (4.0, 0.0), (0.0, 4.0)].map(DVec2::from).to_vec();
        assert_eq!(areas(&[bow]), [4.0, 4.0]);
        // Two beside each other that share a side are one.
        assert_eq!(areas(&[square(0.0, 0.0, 3.0), square(3.0, 0.0, 3.0)]), [18.0]);
    }
}
