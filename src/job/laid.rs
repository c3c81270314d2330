//! Where the pieces of a set lie on the board.

use super::order::Order;
use super::parts::Piece;
use crate::bed;
use crate::finding::{Code, Finding, Findings, Source};
use crate::fit::Placement;
use crate::fit::layout::{self, Ask, Effort, Layout, Why};
use crate::params::Board;
use crate::units::Length;
use std::collections::BTreeMap;

/// A piece of a set has no place on the board.
pub const SET_NOT_PLACED: Code = Code {
    name: "set-not-placed",
    explain: "The board does not hold every piece. Each needs its skirt, the shop's margin \
        to the board's edge and to the next skirt, sound wood under its body, and the grain within \
        its design's lean. The message says which pieces have no place and why the first of them \
        has none: what of length or width is missing, which flaw stands in the way, or that the \
        others leave no room. A knot in a piece tears out and moves as it dries; a check splits \
        further; a wane leaves the piece short of wood. `treenwright fit` shows the part of a set \
        that this board holds, and spreads a set over several boards. Leave a piece out, take a \
        larger board, finish with a smaller ball (a narrower skirt), or allow more lean. The \
        search goes from many starts but not from all, so a very tight board may still have a \
        place that it did not find.",
};

/// A place for each piece; a fault when one has none.
pub(super) fn laid(order: &Order, pieces: &[Piece], out: &mut Findings) -> Option<Layout> {
    let Order { board, shop, .. } = order;
    let footprints: Vec<layout::Footprint> = pieces
        .iter()
        .map(|piece| layout::Footprint {
            sound: piece.outlines.body.clone(),
            whole: piece.outlines.limit.area.clone(),
            lean: piece.design.lean,
        })
        .collect();
    let frame = shop.limits.margin;
    let room = |board: &_, skirts: &[Vec<_>]| bed::has_room(board, shop, skirts);
    let ask = Ask { frame, together: order.together, effort: Effort::Best, room: &room };
    let layout = order.layout.clone().unwrap_or_else(|| layout::lay(board, &footprints, &ask));
    if layout.placed() == pieces.len() {
        return Some(layout);
    }
    out.push(not_placed(board, pieces, &footprints, &layout.places, &ask));
    None
}

/// Says which pieces have no place, and of the first of them why.
fn not_placed(
    board: &Board,
    pieces: &[Piece],
    footprints: &[layout::Footprint],
    places: &[Option<Placement>],
    ask: &Ask<'_>,
) -> Finding {
    let named = |wanted: bool| {
        let mut names: BTreeMap<&str, usize> = BTreeMap::new();
        for (piece, place) in pieces.iter().zip(places) {
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
    let held = match (pieces.len(), named(true)) {
        (1, _) => String::new(),
        (_, held) if held.is_empty() => "the board holds no piece of the set; ".to_owned(),
        (_, held) => format!("the board holds only {held}; "),
    };
    let first = pieces.iter().zip(footprints).zip(places).find(|(_, place)| place.is_none());
    let why = match first {
        Some(((_, piece), _)) => layout::why(board, piece, ask),
        None => Why::Others,
    };
    let name = first.map_or("", |((piece, _), _)| &piece.design.name);
    let (because, help, key) = match why {
        Why::Small(needs) => small(board, name, needs, ask.frame),
        Why::Flaw(index) => {
            let kind = board.flaws.get(index).map_or("flaw", |flaw| flaw.kind.name());
            (
                format!("wherever {name} lies, it touches this {kind} or leaves the board"),
                "Take another board or a smaller design, let it lean more (utensil.lean), or take \
                 the flaw out of the board file if it may lie in the piece."
                    .to_owned(),
                board.flaw_key(index),
            )
        }
        Why::Flaws => (
            format!("wherever {name} lies, it touches a flaw or leaves the board"),
            "Take another board or a smaller design, or let it lean more (utensil.lean)."
                .to_owned(),
            board.flaw_key(0),
        ),
        Why::Others => (
            format!("there is none beside the others for {name}"),
            "Leave a piece out, take a larger board, or let `treenwright fit` spread the set over \
             several boards."
                .to_owned(),
            "board.width".to_owned(),
        ),
    };
    let message = format!("{held}there is no place for {}: {because}", named(false));
    Finding::fault(SET_NOT_PLACED, message, help).at(Source::Board, key)
}

/// What to say of a board that is too small for a piece and its frame.
fn small(
    board: &Board,
    name: &str,
    [long, wide]: [Option<Length>; 2],
    frame: Length,
) -> (String, String, String) {
    let sizes = [
        (long, board.length, "long", "longer", "board.length"),
        (wide, board.width, "wide", "wider", "board.width"),
    ];
    let needs: Vec<String> = sizes
        .iter()
        .filter_map(|(needs, has, is, ..)| Some(format!("{} {is} (it is {has})", (*needs)?)))
        .collect();
    let more: Vec<String> = sizes
        .iter()
        .filter_map(|(needs, has, _, more, _)| Some(format!("{} {more}", (*needs)? - *has)))
        .collect();
    let key = sizes.iter().find(|(needs, ..)| needs.is_some()).map_or("board.width", |s| s.4);
    (
        format!(
            "with its skirt and {frame} of wood round it {name} needs a board {}",
            needs.join(" and ")
        ),
        format!(
            "Use a board at least {}, a smaller design, a smaller finishing ball (its skirt is \
             narrower), or a smaller margin (limits.margin).",
            more.join(" and ")
        ),
        key.to_owned(),
    )
}
