//! How far the pieces of a layout lie from each other, from the board's edge and from its flaws, as
//! dimensions on the board.

use super::paper::Paper;
use super::scene::{BoardView, Lying};
use crate::drawing::ink::{Ink, Line};
use crate::fit::layout::{Clear, Neighbour, clearances};
use crate::outline::ArcPath;
use crate::units::{Length, Unit, plain};
use glam::DVec2;

/// A flaw farther off than this has no dimension: it limits nothing, and there may be many.
const NEAR_MM: f64 = 60.0;

/// A line shorter than this on paper has no room for arrows at both ends; in mm.
const SHORT: f64 = 5.6;

/// The clearances that are drawn: each piece's to the edge, to its nearest piece and to its nearest
/// flaw, unless that is far off; and of each two neighbours once.
pub(super) fn shown(scene: &BoardView<'_>) -> Vec<Clear> {
    let laid: Vec<[ArcPath; 2]> = scene
        .pieces
        .iter()
        .map(|Lying { piece, placement, .. }| {
            let outlines = [&piece.outlines.body, &piece.outlines.limit.area];
            outlines.map(|path| path.transformed(placement.affine()))
        })
        .collect();
    let all = clearances(&scene.job.board, &laid, scene.job.shop.limits.margin);
    let wanted = |clear: &Clear| {
        let nearest = |piece: usize, like: fn(Neighbour) -> bool| {
            let of =
                |c: &&Clear| like(c.to) && (c.piece == piece || c.to == Neighbour::Piece(piece));
            all.iter().filter(of).min_by(|a, b| a.gap.as_mm().total_cmp(&b.gap.as_mm()))
        };
        match clear.to {
            Neighbour::Edge => true,
            Neighbour::Flaw(_) => {
                clear.gap.as_mm() < NEAR_MM
                    && nearest(clear.piece, |to| matches!(to, Neighbour::Flaw(_))) == Some(clear)
            }
            Neighbour::Piece(other) => [clear.piece, other]
                .into_iter()
                .any(|i| nearest(i, |to| matches!(to, Neighbour::Piece(_))) == Some(clear)),
        }
    };
    all.iter().filter(|clear| clear.gap.as_mm() > 0.0 && wanted(clear)).copied().collect()
}

/// Draws them, each with its figure in the shop's unit. `on_board` leads from the board's plan to the paper.
pub(super) fn draw(
    ink: &mut Ink,
    all: &[Clear],
    paper: &Paper,
    on_board: &dyn Fn(DVec2) -> DVec2,
    (whole, unit): (DVec2, Unit),
) {
    for clear in all {
        let [a, b] = clear.ends.map(on_board);
        let way = (b - a).normalize_or_zero();
        ink.lines(Line::Thin, &[a, b], false);
        ink.keep_clear([a, b]);
        if clear.gap.as_mm() * paper.scale > SHORT {
            ink.arrow(a, -way);
            ink.arrow(b, way);
        } else {
            // From outside, as where there is no room between.
            for (end, way) in [(a, way), (b, -way)] {
                ink.arrow(end, way);
                ink.lines(Line::Thin, &[end, end - way * 4.5], false);
            }
        }
    }
    for clear in all {
        let [a, b] = clear.ends.map(on_board);
        ink.label((a + b) / 2.0, 0.3, whole, &bare(clear.gap, unit));
    }
}

/// A distance that the head of the drawing gives the unit of.
fn bare(length: Length, unit: Unit) -> String {
    plain(length.as_unit(unit), if unit == Unit::Inch { 2 } else { 1 })
}
