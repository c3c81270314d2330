//! Outlines that cross, touch or lie in each other, put right, as loops that do not cross.
//!
//! Corners that are as good as in one place become one, and a side that passes a corner as near goes through
//! it: two shapes that touch along an edge share that edge, whatever was rounded on the way.

use super::squares::Squares;
use crate::outline::{self, ArcPath};
use glam::DVec2;
use spade::handles::FixedVertexHandle;
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};
use std::collections::BTreeSet;

/// A loop that encloses less, in mm², is a trace of two outlines that touch.
const LEAST_MM2: f64 = 1e-3;
/// Corners nearer than this in mm are one, and so are a corner and a side.
const SAME_MM: f64 = 1e-3;
/// Corners at most, with the places where outlines cross: twice those of the richest art.
const MOST_CORNERS: usize = 60_000;
/// Squares that corners are looked up by, in mm.
const SQUARE_MM: f64 = 0.25;

/// Whether a point is inside an odd number of loops.
pub(super) fn odd(loops: &[Vec<DVec2>]) -> impl Fn(DVec2) -> bool + use<> {
    let paths = loops.iter().map(|ring| ArcPath::polygon(ring.iter().copied()));
    outline::odd(&paths.collect::<Vec<_>>())
}

/// The corners of all loops, those that are as good as in one place only once.
struct MergedCorners {
    all: Vec<DVec2>,
    squares: Squares<usize>,
}

impl MergedCorners {
    /// The number of the corner at a place.
    fn at(&mut self, p: DVec2) -> usize {
        let known = self.squares.round(p).find(|at| self.all[*at].distance(p) < SAME_MM);
        known.unwrap_or_else(|| {
            self.all.push(p);
            self.squares.put(p, self.all.len() - 1);
            self.all.len() - 1
        })
    }

    /// From one corner to another by way of those that the side between them passes.
    fn through(&self, from: usize, to: usize) -> Vec<usize> {
        let (a, b) = (self.all[from], self.all[to]);
        let steps = (a.distance(b) / SQUARE_MM).ceil().max(1.0);
        let places = (0..=steps as u32).map(|k| a.lerp(b, f64::from(k) / steps));
        let passed = places.flat_map(|p| self.squares.round(p));
        let passed: BTreeSet<usize> = passed.filter(|at| *at != from && *at != to).collect();
        let along = passed.into_iter().filter_map(|at| {
            let p = self.all[at];
            let part = (p - a).dot(b - a) / a.distance_squared(b);
            let beside = p.distance(a.lerp(b, part)) < SAME_MM;
            (beside && part > 0.0 && part < 1.0).then_some((part, at))
        });
        let mut along: Vec<(f64, usize)> = along.collect();
        along.sort_by(|one, other| one.0.total_cmp(&other.0));
        let along = along.into_iter().map(|(_, at)| at);
        std::iter::once(from).chain(along).chain([to]).collect()
    }
}

type Regions = ConstrainedDelaunayTriangulation<Point2<f64>>;

/// Whether each face is art, by its number. Faces that no outline parts are one region, and its stoutest face
/// tells of all: the middle of a sliver lies on an outline but for rounding. A region of slivers only goes with
/// what it has the longer edge with.
fn regions(plan: &Regions, inside: &dyn Fn(DVec2) -> bool) -> Vec<bool> {
    let count = plan.num_all_faces();
    let sides = |edge: &spade::handles::UndirectedEdgeHandle<'_, _, _, _, _>| {
        let edge = edge.as_directed();
        [edge.face().fix().index(), edge.rev().face().fix().index()]
    };
    let mut near: Vec<Vec<usize>> = vec![Vec::new(); count];
    for edge in plan.undirected_edges().filter(|edge| !edge.is_constraint_edge()) {
        let [one, other] = sides(&edge);
        near[one].push(other);
        near[other].push(one);
    }
    let mut region = vec![usize::MAX; count];
    let mut regions = 0;
    for face in 0..count {
        let mut open = vec![face];
        while let Some(at) = open.pop() {
            if region[at] == usize::MAX {
                region[at] = regions;
                open.extend(&near[at]);
            }
        }
        if region[face] == regions {
            regions += 1;
        }
    }
    let mut stoutest = vec![(0.0, DVec2::ZERO); regions];
    for face in plan.inner_faces() {
        let longest =
            face.adjacent_edges().map(|edge| edge.length_2()).into_iter().fold(0.0, f64::max);
        let high = 2.0 * face.area() / longest.sqrt();
        let best = &mut stoutest[region[face.fix().index()]];
        if high > best.0 {
            let p = face.center();
            *best = (high, DVec2::new(p.x, p.y));
        }
    }
    let outer = region[plan.outer_face().fix().index()];
    let mut art: Vec<Option<bool>> = (0..regions)
        .map(|at| match stoutest[at] {
            _ if at == outer => Some(false),
            (high, p) => (high > SAME_MM).then(|| inside(p)),
        })
        .collect();
    let mut beside = vec![0.0; regions];
    for edge in plan.undirected_edges() {
        let ends = sides(&edge).map(|face| region[face]);
        for [own, other] in [ends, [ends[1], ends[0]]] {
            let way = art[other].map_or(0.0, |art| if art { 1.0 } else { -1.0 });
            beside[own] += way * edge.length_2().sqrt();
        }
    }
    for (own, beside) in art.iter_mut().zip(beside) {
        own.get_or_insert(beside > 0.0);
    }
    region.into_iter().map(|at| art[at] == Some(true)).collect()
}

/// The loops that bound what is `inside`, which is told apart by the loops given: what is art lies on the left
/// of each. None when they can't be told apart, or cross endlessly.
pub(super) fn bounds(
    loops: &[Vec<DVec2>],
    inside: &dyn Fn(DVec2) -> bool,
) -> Option<Vec<Vec<DVec2>>> {
    let mut corners = MergedCorners { all: Vec::new(), squares: Squares::new(SQUARE_MM) };
    let rings: Vec<Vec<usize>> =
        loops.iter().map(|ring| ring.iter().map(|p| corners.at(*p)).collect()).collect();
    let mut plan = Regions::new();
    let mut placed: Vec<FixedVertexHandle> = Vec::with_capacity(corners.all.len());
    for p in &corners.all {
        placed.push(plan.insert(Point2::new(p.x, p.y)).ok()?);
    }
    for ring in &rings {
        for (from, to) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            if plan.num_vertices() > MOST_CORNERS {
                return None;
            }
            for side in corners.through(*from, *to).windows(2) {
                if side[0] != side[1] {
                    plan.add_constraint_and_split(placed[side[0]], placed[side[1]], |p| p);
                }
            }
        }
    }
    let art = regions(&plan, inside);
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
        all.push(tidy(ring, SAME_MM));
    }
    let area = |ring: &Vec<DVec2>| ArcPath::polygon(ring.iter().copied()).signed_area().abs();
    all.retain(|ring| ring.len() > 2 && area(ring) > LEAST_MM2);
    Some(all)
}

/// Without corners that are no further than `same` mm from the one before, all round.
pub(super) fn tidy(ring: Vec<DVec2>, same: f64) -> Vec<DVec2> {
    let mut kept: Vec<DVec2> = Vec::with_capacity(ring.len());
    for p in ring {
        if kept.last().is_none_or(|last| last.distance(p) > same) {
            kept.push(p);
        }
    }
    while let [first, .., last] = kept[..] {
        if first.distance(last) > same {
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
        let found = bounds(loops, &odd(loops)).expect("squares");
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

    #[test]
    fn what_ends_on_one_line_is_not_joined_along_it() {
        // The middle of a sliver over the gap lay on the outline but for rounding, and was taken for art.
        let bars = [(0.0, 1.8), (2.2, 3.1), (3.9, 7.0)];
        for degrees in 0..90 {
            let way = DVec2::from_angle(f64::from(degrees).to_radians());
            let bar = |(from, to): (f64, f64)| {
                let corners = [(from, 0.0), (to, 0.0), (to, 7.0), (from, 7.0)];
                corners.map(|p| way.rotate(DVec2::from(p))).to_vec()
            };
            let loops = bars.map(bar);
            let found = bounds(&loops, &odd(&loops)).expect("bars");
            let corners: Vec<usize> = found.iter().map(Vec::len).collect();
            assert_eq!(corners, [4, 4, 4], "{degrees}");
        }
    }

    #[test]
    fn what_touches_but_for_rounding_is_one() {
        for off in [-1e-4, -1e-5, -1e-9, 1e-12, 1e-9, 1e-7, 1e-5, 1e-4] {
            let shifted: Vec<DVec2> =
                square(3.0 + off, 1.0, 3.0).into_iter().map(|p| p + DVec2::Y * off).collect();
            let areas = areas(&[square(0.0, 0.0, 3.0), shifted]);
            assert_eq!(areas.len(), 1, "{off}");
            assert!((areas[0] - 18.0).abs() < 3e-3, "{off}: {areas:?}");
        }
    }
}
