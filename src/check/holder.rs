//! Are the cutting edges long enough for the deepest cut? Whether the holder stays off everything is
//! looked at by `clearance`.

use super::Context;
use super::notes::Notes;
use crate::cutting::passes::clearing_cutter;
use crate::finding::{Code, Finding, Source};
use crate::params::Cutter;
use crate::units::Length;

/// The holder would run into something.
pub const HOLDER_HITS: Code = Code {
    name: "holder-hits",
    explain: "Somewhere in a pass the holder comes nearer than the shop's limits.holder to the \
        frame, to a hold-down or to the piece with its tabs. When the pin holes are bored, the \
        board and the bed count as well. Let the cutter stick out further, take a slimmer holder, \
        plane the board thinner, or move the hold-downs. Measure the stick-out with the cutter \
        chucked; a cutter that sticks out further bends more, so cut lighter. The holder is taken \
        as a cone from its nose, over the cutter's stick-out, to its greatest diameter ([holder], \
        or the cutter's own holder), and the room is measured upright. Every pass in the order of \
        work is checked with its own cutter, wherever the cutter's centre may go, with the tip as \
        low as it gets there. The rule leaves out dust shoes, stops and spacers on the bed, the \
        spindle above the holder, and wood that a roughing pass has yet to clear higher up.",
};

/// The cutter goes deeper than it has cutting edges.
pub const FLUTE_TOO_SHORT: Code = Code {
    name: "flute-too-short",
    explain: "At its deepest place the cutter is further below the top of the stock than its \
        cutting edges are long. Where the wood beside it still stands that high, the shank rubs \
        and burns, and chips can't get out. It does no harm where the wood round it has already \
        been cleared to at least the width of the shank. Take a cutter with longer cutting edges, \
        plane the board thinner, or clear the skirt with the roughing cutter first. The rule \
        doesn't know how your path program clears the stock, so this is only a caution.",
};

/// `deepest` is how far a tip goes under the stock's face at most, in both setups.
pub(super) fn look(at: &Context<'_>, deepest: Length, notes: &mut Notes) -> Option<String> {
    // A body that stands out of its stock has no depth under its face; `too-tall` says so.
    if at.stock.spare < Length::ZERO {
        return None;
    }
    let work = &at.shop.work;
    notes.figure("cut_deepest_mm", deepest.as_mm());
    let mut says = vec![format!("deepest cut {deepest}")];
    let mut jobs = vec![(&work.rough, deepest), (&work.finish, deepest)];
    jobs.extend(clearing_cutter(at.shop).map(|cutter| (&cutter.name, deepest)));
    jobs.extend(at.under_slots.map(|under| (&work.slots, at.stock.height - under)));
    let mut seen: Vec<&str> = Vec::new();
    for (name, depth) in jobs {
        let Some(cutter) = at.shop.cutter(name) else { continue };
        if seen.contains(&name.as_str()) {
            continue;
        }
        seen.push(name);
        says.push(format!(
            "{name}: cutting edges {}, stick-out {}",
            cutter.flute, cutter.stick_out
        ));
        judge(at, cutter, depth, notes);
    }
    Some(says.join("; "))
}

fn judge(at: &Context<'_>, cutter: &Cutter, depth: Length, notes: &mut Notes) {
    if cutter.flute < depth {
        notes.say(
            Finding::caution(
                FLUTE_TOO_SHORT,
                format!(
                    "\"{}\" has cutting edges {} long but cuts {depth} below the top of the stock",
                    cutter.name, cutter.flute
                ),
                "Clear a wide skirt round the piece first, take a longer cutter, or plane the \
                 board thinner.",
            )
            .at(Source::Shop, at.shop.key_of(cutter, "flute")),
        );
    }
}
