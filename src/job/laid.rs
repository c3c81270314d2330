//! Where the pieces of a set lie on the board.

use super::order::Order;
use super::parts::Piece;
use crate::bed;
use crate::check;
use crate::finding::{Code, Finding, Findings, Source};
use crate::fit::Placement;
use crate::fit::layout::{self, Ask, Effort, Layout, Why};
use crate::params::Board;
use crate::units::Length;
use std::collections::BTreeMap;

/// A piece of a set has no place on the board.
pub const SET_NOT_PLACED: Code = Code {
    name: "set-not-placed",
    explain: "The board doesn't hold every piece. Each needs its skirt, the shop's margin to the \
        board's edge and to the next skirt, sound wood under its body, and the grain within its \
        design's lean. The finding says which pieces have no place and why the first of them has \
        none: what is missing in length or width, which flaw is in the way, or that the other \
        pieces leave no room. A knot in a piece tears out and moves as it dries; a check splits \
        further; a wane leaves the piece short of wood. `treenwright fit` shows which part of a \
        set this board holds, and spreads a set over several boards. Leave a piece out, take a \
        larger board, finish with a smaller ball (a narrower skirt), or allow more lean. The \
        search starts from many places but not from all, so a very tight board may have a place \
        that it did not find.",
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
        if !layout.kept {
            out.push(
                Finding::caution(
                    layout::MATCH_NOT_KEPT,
                    format!(
                        "on this board the pieces can't lie {}; they lie as they fit best",
                        order.together.words()
                    ),
                    "Take a wider board, leave a piece out, or ask for no match.",
                )
                .at(Source::Board, "board.width"),
            );
        }
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
        Why::Small(needs) => {
            let enough = first.and_then(|((_, piece), _)| large_enough(board, piece, needs, ask));
            small(board, name, needs, (ask.frame, enough))
        }
        Why::Flaw(index) => {
            let kind = board.flaws.get(index).map_or("flaw", |flaw| flaw.kind.name());
            (
                format!("wherever {name} lies, it touches this {kind} or leaves the board"),
                "Take another board or a smaller design, or let it lean more (utensil.lean). If \
                 the flaw may be in the piece, take it out of the board file."
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
            format!("the other pieces leave no room for {name}"),
            "Leave a piece out, take a larger board, or let `treenwright fit` spread the set over \
             several boards."
                .to_owned(),
            "board.width".to_owned(),
        ),
    };
    let message = format!("{held}there is no place for {}: {because}", named(false));
    Finding::fault(SET_NOT_PLACED, message, help).at(Source::Board, key)
}

/// The size of a board with the same flaws on which the piece has a place with room for pins and
/// hold-downs: what it needs at least, in tenths of a millimetre, and as many whole ones more as it
/// takes when that is tried.
fn large_enough(
    board: &Board,
    piece: &layout::Footprint,
    needs: [Option<Length>; 2],
    ask: &Ask<'_>,
) -> Option<[Length; 2]> {
    /// Most whole millimetres more; beyond that it is the flaws that stand in the way.
    const MOST: u32 = 128;
    let ask = Ask { effort: Effort::First, ..*ask };
    let to = |step: u32| {
        let size = |needs: Option<Length>, has: Length| match needs {
            Some(least) => {
                Length::mm((10.0 * least.as_mm() - 1e-6).ceil() / 10.0 + f64::from(step - 1))
            }
            None => has,
        };
        [size(needs[0], board.length), size(needs[1], board.width)]
    };
    let does = |step: u32| {
        let [length, width] = to(step);
        let larger = Board { length, width, ..board.clone() };
        let layout = layout::lay(&larger, std::slice::from_ref(piece), &ask);
        layout.placed() == 1 && layout.roomy
    };
    check::least_step(MOST, does).map(to)
}

/// What to say of a board that is too small for a piece and its frame; `enough` is a size that does.
fn small(
    board: &Board,
    name: &str,
    [long, wide]: [Option<Length>; 2],
    (frame, enough): (Length, Option<[Length; 2]>),
) -> (String, String, String) {
    let sizes = [
        (long, board.length, "long", "longer", "board.length"),
        (wide, board.width, "wide", "wider", "board.width"),
    ];
    let needs: Vec<String> = sizes
        .iter()
        .filter_map(|(needs, has, is, ..)| Some(format!("{} {is} (it is {has})", (*needs)?)))
        .collect();
    let larger = match enough {
        Some(enough) => {
            let more = sizes.iter().zip(enough).filter(|((needs, ..), _)| needs.is_some());
            let more = more.map(|((_, has, _, more, _), size)| format!("{} {more}", size - *has));
            format!("Use a board {}", more.collect::<Vec<String>>().join(" and "))
        }
        None => "Use a larger board without these flaws".to_owned(),
    };
    let key = sizes.iter().find(|(needs, ..)| needs.is_some()).map_or("board.width", |s| s.4);
    (
        format!(
            "with its skirt and {frame} of wood round it {name} needs a board {}",
            needs.join(" and ")
        ),
        format!(
            "{larger}, a smaller design, a smaller finishing ball (its skirt is narrower), or a \
             smaller margin (limits.margin)."
        ),
        key.to_owned(),
    )
}
