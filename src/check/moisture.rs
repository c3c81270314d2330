//! How much do the sizes change from the moisture of the board now to that in use?

use super::Context;
use super::notes::Notes;
use crate::finding::{Code, Finding, Source};
use crate::fit::movement::{self, Growth};
use crate::params::species;
use crate::units::{Length, plain};

/// The piece moves more than a little until it is in use.
pub const MOVES: Code = Code {
    name: "moves",
    explain: "From the board's moisture now to its moisture in use, the width of the head changes \
        by more than the shop's limits.moves. Wood that moves this much also cups and twists, most \
        of all between the two setups. Let the board lie in the room where it will be used until \
        its moisture settles, or rough the piece out, wait, and finish it later. The change is the \
        tangential one, the greater, from the Wood Handbook (FPL-GTR-282, ch. 13): from 6 to 14 % \
        by the coefficient of dimensional change where one is printed for the wood (eq. 13-2, \
        Table 13-5), elsewhere by the shrinkage (eq. 13-3, Table 4-3). Slots change in the same \
        proportion as the wood between them. The rule doesn't know how the growth rings lie: along \
        the radius the change is about half.",
};

pub(super) fn look(at: &Context<'_>, notes: &mut Notes) -> Option<String> {
    let (now, later) = (at.board.moisture_now?, at.board.moisture_use?);
    let wood = species(&at.board.species)?;
    let change =
        |size: Length| movement::change(wood, Growth::Tangential, size.as_mm(), now, later);
    let width = change(at.design.head.width());
    notes.figure("moisture_head_width_change_mm", width);
    let mut says =
        vec![format!("{} to {} %: head {} mm", plain(now, 1), plain(later, 1), signed(width))];
    if let Some(tines) = &at.design.tines {
        let slot = change(tines.slot.width);
        notes.figure("moisture_slot_width_change_mm", slot);
        says.push(format!("slots {} mm", signed(slot)));
    }
    if width.abs() > at.shop.limits.check.moves.as_mm() {
        notes.say(
            Finding::caution(
                MOVES,
                format!(
                    "from {} % to {} % moisture the head gets {} {}",
                    plain(now, 1),
                    plain(later, 1),
                    Length::mm(width.abs()),
                    if width < 0.0 { "narrower" } else { "wider" }
                ),
                "Let the board settle in the room where it will be used, then carve it.",
            )
            .at(Source::Board, "board.moisture_now"),
        );
    }
    Some(says.join(", "))
}

fn signed(mm: f64) -> String {
    let text = plain(mm.abs(), 2);
    match text.as_str() {
        "0" => text,
        _ if mm < 0.0 => format!("\u{2212}{text}"),
        _ => format!("+{text}"),
    }
}
