//! The clearances of a layout, each with the two places between which it is measured.
//!
//! Promised: measured between the outlines' own lines and arcs, exact but for rounding.

use super::ask::FLAW_CLEAR;
use crate::outline::ArcPath;
use crate::params::{Board, FlawShape};
use crate::units::Length;
use glam::DVec2;

/// An overlap, of whatever depth, where only the sign counts; in mm.
pub(super) const OVERLAP: f64 = -1.0;

/// What a piece is clear of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Neighbour {
    /// The board's edge, where it is nearest.
    Edge,
    /// The board's flaw of that number, from 0.
    Flaw(usize),
    /// The piece of that number, from 0, one of those before it.
    Piece(usize),
}

/// How far a piece is from something on the board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clear {
    /// The piece's number, from 0.
    pub piece: usize,
    /// What it is clear of.
    pub to: Neighbour,
    /// The nearest places, on the piece and on the other, in mm on the board.
    pub ends: [DVec2; 2],
    /// How far apart they are: skirt to skirt or edge, body to flaw. Negative where they overlap.
    pub gap: Length,
    /// How far apart they must be.
    pub must: Length,
}

impl Clear {
    /// What there is more than must be; negative where there is less.
    pub fn spare(&self) -> Length {
        self.gap - self.must
    }
}

/// All clearances of pieces that lie on a board: of each to the edge and to every flaw, and of
/// every two. A piece is its body's outline and its skirt's edge, closed, on the board; `frame` is
/// the least wood round a skirt.
pub fn clearances(board: &Board, pieces: &[[ArcPath; 2]], frame: Length) -> Vec<Clear> {
    let mut all = Vec::new();
    for (piece, [sound, whole]) in pieces.iter().enumerate() {
        let Some(edge) = to_edge(board, whole) else { continue };
        let mut add = |to, (ends, gap): ([DVec2; 2], f64), must| {
            all.push(Clear { piece, to, ends, gap: Length::mm(gap), must });
        };
        add(Neighbour::Edge, edge, frame);
        for (number, flaw) in board.flaws.iter().enumerate() {
            if let Some(found) = to_flaw(sound, &flaw.shape) {
                add(Neighbour::Flaw(number), found, FLAW_CLEAR);
            }
        }
        for (number, [_, other]) in pieces[..piece].iter().enumerate() {
            if let Some(found) = apart(whole, other) {
                add(Neighbour::Piece(number), found, frame);
            }
        }
    }
    all
}

/// From a skirt to the nearest of the board's four edges.
fn to_edge(board: &Board, whole: &ArcPath) -> Option<([DVec2; 2], f64)> {
    let size = board.size();
    let (low, high) = whole.bounds()?;
    let corners = [DVec2::ZERO, DVec2::new(size.x, 0.0), size, DVec2::new(0.0, size.y)];
    let gaps = [low.y, size.x - high.x, size.y - high.y, low.x];
    let (side, gap) = gaps.into_iter().enumerate().min_by(|a, b| a.1.total_cmp(&b.1))?;
    let edge = [corners[side], corners[(side + 1) % 4]];
    let edge = ArcPath { closed: false, ..ArcPath::polygon(edge) };
    Some((whole.nearest(&edge)?, gap))
}

/// Between two closed paths.
fn apart(one: &ArcPath, other: &ArcPath) -> Option<([DVec2; 2], f64)> {
    let holds = |a: &ArcPath, b: &ArcPath| b.vertices.first().is_some_and(|v| a.contains(v.point));
    let ends = one.nearest(other)?;
    let gap = ends[0].distance(ends[1]);
    let overlap = gap <= 0.0 || holds(one, other) || holds(other, one);
    Some((ends, if overlap { OVERLAP } else { gap }))
}

/// From a body to a flaw.
fn to_flaw(sound: &ArcPath, flaw: &FlawShape) -> Option<([DVec2; 2], f64)> {
    match flaw {
        FlawShape::Circle { centre, radius } => {
            let near = sound
                .segments()
                .map(|segment| segment.closest(*centre))
                .min_by(|a, b| a.distance(*centre).total_cmp(&b.distance(*centre)))?;
            let way = (near - *centre).normalize_or_zero();
            let gap = if sound.contains(*centre) {
                OVERLAP
            } else {
                near.distance(*centre) - radius.as_mm()
            };
            Some(([near, *centre + way * radius.as_mm()], gap))
        }
        FlawShape::Polygon(corners) => apart(sound, &ArcPath::polygon(corners.iter().copied())),
        FlawShape::Line(points) => {
            let line = ArcPath { closed: false, ..ArcPath::polygon(points.iter().copied()) };
            let ends = sound.nearest(&line)?;
            let starts_inside = points.first().is_some_and(|p| sound.contains(*p));
            Some((ends, if starts_inside { OVERLAP } else { ends[0].distance(ends[1]) }))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{board, knot};
    use super::*;

    /// By hand: a disc of 10 in a skirt of 12, its middle at (50, 30) on a board of 200 by 100.
    #[test]
    fn a_disc_and_its_neighbours_by_hand() {
        let disc = |x: f64, y: f64| {
            [10.0, 12.0].map(|radius| ArcPath::circle(DVec2::new(x, y), Length::mm(radius)))
        };
        let board = board(200.0, 100.0, vec![knot(80.0, 70.0, 5.0)]);
        let pieces = [disc(50.0, 30.0), disc(110.0, 50.0)];
        let all = clearances(&board, &pieces, Length::mm(4.0));
        assert_eq!(all.len(), 5);
        let of = |piece, to| *all.iter().find(|c| c.piece == piece && c.to == to).unwrap();
        let edge = of(0, Neighbour::Edge);
        assert!(
            (edge.gap.as_mm() - 18.0).abs() < 1e-9 && (edge.spare().as_mm() - 14.0).abs() < 1e-9
        );
        assert!(edge.ends[0].distance(DVec2::new(50.0, 18.0)) < 1e-6, "{edge:?}");
        assert!(edge.ends[1].distance(DVec2::new(50.0, 0.0)) < 1e-6, "{edge:?}");
        // 30 and 40 to the knot's middle: 50, less 10 and 5.
        let knot = of(0, Neighbour::Flaw(0));
        assert!((knot.gap.as_mm() - 35.0).abs() < 1e-9, "{knot:?}");
        assert!(knot.ends[0].distance(DVec2::new(56.0, 38.0)) < 1e-6, "{knot:?}");
        assert!(knot.ends[1].distance(DVec2::new(77.0, 66.0)) < 1e-6, "{knot:?}");
        let pair = of(1, Neighbour::Piece(0));
        assert!((pair.gap.as_mm() - (60.0_f64.hypot(20.0) - 24.0)).abs() < 1e-9, "{pair:?}");
        assert!(of(1, Neighbour::Flaw(0)).must == FLAW_CLEAR);
    }

    #[test]
    fn what_overlaps_is_less_than_nothing() {
        let square = |from: f64, to: f64| {
            let corners = [(from, from), (to, from), (to, to), (from, to)];
            let path = ArcPath::polygon(corners.map(|(x, y)| DVec2::new(x, y)));
            [path.clone(), path]
        };
        let board = board(100.0, 100.0, vec![knot(50.0, 50.0, 3.0)]);
        let all = clearances(&board, &[square(20.0, 80.0), square(40.0, 60.0)], Length::ZERO);
        let negative = all.iter().filter(|clear| clear.gap.as_mm() < 0.0).count();
        assert_eq!(negative, 3, "the knot in both, and one in the other: {all:?}");
        let beyond = clearances(&board, &[square(20.0, 130.0)], Length::ZERO);
        assert!((beyond[0].gap.as_mm() + 30.0).abs() < 1e-9, "{beyond:?}");
    }
}
