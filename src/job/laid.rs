//! Where the pieces of a set lie on the board.

use super::order::Order;
use super::parts::{CHORD, Piece};
use crate::bed;
use crate::finding::{Code, Finding, Findings, Source};
use crate::fit::layout::{self, Ask, Effort, Layout};
use crate::fit::{self, Footprint};
use std::collections::BTreeMap;

/// A piece of a set has no place on the board.
pub const SET_NOT_PLACED: Code = Code {
    name: "set-not-placed",
    explain: "The board does not hold the whole set. Each piece needs its skirt, the shop's margin \
        to the board's edge and to the next skirt, sound wood under its body, and the grain within \
        its design's lean; pins and hold-downs need room besides. The message says which pieces \
        have no place. `treenwright fit` shows the part of the set that this board holds, and \
        spreads a set over several boards. Leave a piece out, take a larger board, finish with a \
        smaller ball (a narrower skirt), or allow more lean. The search goes from many starts but \
        not from all, so a very tight set may still have a place that it did not find.",
};

/// A place for each piece. A single piece that finds none clear of flaws is laid in the board's
/// middle, with a caution; a set that doesn't find them all is a fault.
pub(super) fn laid(order: &Order, pieces: &[Piece], out: &mut Findings) -> Option<Layout> {
    let Order { board, shop, .. } = order;
    let footprints: Vec<layout::Piece> = pieces
        .iter()
        .map(|piece| layout::Piece {
            sound: piece.outlines.body.clone(),
            whole: piece.outlines.limit.area.clone(),
            lean: piece.design.lean,
        })
        .collect();
    let frame = shop.limits.margin;
    let layout = order.layout.clone().unwrap_or_else(|| {
        let room = |board: &_, skirts: &[Vec<_>]| bed::has_room(board, shop, skirts);
        let ask = Ask { frame, together: order.together, effort: Effort::Best, room: &room };
        layout::lay(board, &footprints, &ask)
    });
    if layout.placed() == pieces.len() {
        return Some(layout);
    }
    if let [piece] = &footprints[..] {
        let footprint = Footprint {
            sound: piece.sound.to_polyline(CHORD),
            whole: piece.whole.to_polyline(CHORD),
        };
        let place = fit::place(board, &footprint, frame, out);
        return Some(Layout { places: vec![Some(place)], ..layout });
    }
    let named = |wanted: bool| {
        let mut names: BTreeMap<&str, usize> = BTreeMap::new();
        for (piece, place) in pieces.iter().zip(&layout.places) {
            if place.is_some() == wanted {
                *names.entry(&piece.design.name).or_default() += 1;
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
    out.push(
        Finding::fault(
            SET_NOT_PLACED,
            format!("the board holds {held}; there is no place for {}", named(false)),
            "Leave them out, take a larger board, or let `treenwright fit` spread the set over \
             several boards.",
        )
        .at(Source::Board, "board.width"),
    );
    None
}
