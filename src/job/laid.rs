//! Where the pieces of a set lie on the board.

use super::made::Made;
use super::{SET_NOT_PLACED, SetOrder};
use crate::bed;
use crate::finding::{Finding, Findings, Source};
use crate::fit::layout::{self, Ask, Effort, Piece};
use crate::fit::{self, Footprint, Placement};
use std::collections::BTreeMap;

/// A place for each piece. A single piece that finds none clear of flaws is laid in the board's
/// middle, with a caution; a set that doesn't find them all is a fault.
pub(super) fn laid(set: &SetOrder, pieces: &[Made]) -> (Option<Vec<Placement>>, Findings) {
    let SetOrder { board, shop, .. } = set;
    let footprints: Vec<Piece> = pieces
        .iter()
        .map(|piece| Piece {
            sound: piece.outlines.body.clone(),
            whole: piece.outlines.limit.area.clone(),
            lean: piece.order.design.lean,
        })
        .collect();
    let frame = shop.limits.margin;
    let room = |board: &_, skirts: &[Vec<_>]| bed::has_room(board, shop, skirts);
    let ask = Ask { frame, together: set.together, effort: Effort::Best, room: &room };
    let layout = layout::lay(board, &footprints, &ask);
    let mut findings = Findings::new();
    let places: Option<Vec<Placement>> = layout.places.iter().copied().collect();
    if places.is_some() {
        if !layout.kept {
            findings.push(
                Finding::caution(
                    layout::MATCH_NOT_KEPT,
                    format!(
                        "on this board the pieces can't lie {}; they lie as they fit best",
                        set.together.words()
                    ),
                    "Take a wider board, leave a piece out, or ask for no match.",
                )
                .at(Source::Board, "board.width"),
            );
        }
        return (places, findings);
    }
    if let [piece] = &footprints[..] {
        let footprint = Footprint {
            sound: piece.sound.to_polyline(super::CHORD),
            whole: piece.whole.to_polyline(super::CHORD),
        };
        let (place, said) = fit::place(board, &footprint, frame);
        findings.extend(said);
        return (Some(vec![place]), findings);
    }
    let named = |wanted: bool| {
        let mut names: BTreeMap<&str, usize> = BTreeMap::new();
        for (piece, place) in pieces.iter().zip(&layout.places) {
            if place.is_some() == wanted {
                *names.entry(&piece.order.design.name).or_default() += 1;
            }
        }
        let each = names.into_iter().map(|(name, count)| match count {
            1 => name.to_owned(),
            many => format!("{many} of {name}"),
        });
        each.collect::<Vec<_>>().join(", ")
    };
    let held = match named(true) {
        held if held.is_empty() => "no piece of the set".to_owned(),
        held => format!("only {held}"),
    };
    findings.push(
        Finding::fault(
            SET_NOT_PLACED,
            format!("the board holds {held}; there is no place for {}", named(false)),
            "Leave them out, take a larger board, or let `treenwright fit` spread the set over \
             several boards.",
        )
        .at(Source::Board, "board.width"),
    );
    (None, findings)
}
