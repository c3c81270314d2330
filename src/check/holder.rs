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
        frame, to a hold-down or to the piece with its tabs; or, when the pins' holes are bored, to \
        the board or the bed. It is taken as a cone from its nose, over the cutter's stick-out, to \
        its greatest diameter ([holder], or the cutter's own holder), and the room is measured \
        upright. Every pass of the order of work is looked at with its own cutter: roughing, \
        clearing the skirt, finishing, cleaning up, slots, edge and holes, wherever the cutter's \
        centre may go, with the tip at its lowest there: on the finished surface, in slots and \
        holes as deep as they are cut. Let the cutter stick out further (measured with it chucked; a longer cutter bends \
        more, so cut lighter), take a slimmer holder, plane the board thinner, or move the \
        hold-downs. The rule doesn't see dust shoes, stops and spacers on the bed, the spindle \
        above the holder, nor wood that a roughing pass has yet to clear at a higher level.",
};

/// The cutter goes deeper than it has cutting edges.
pub const FLUTE_TOO_SHORT: Code = Code {
    name: "flute-too-short",
    explain: "At the deepest place the cutter is further under the stock's face than its cutting \
        edges are long. Where the wood beside it still stands that high, the shank rubs and burns, \
        and chips can't get out. It does no harm where the wood round it has been cleared to at \
        least the shank's width before. Take a cutter with longer edges, plane the board thinner, \
        or clear the skirt with the roughing cutter first. The rule doesn't know how the path \
        program clears the stock, so it is a caution.",
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
        says.push(format!("{name}: flutes {}, stick-out {}", cutter.flute, cutter.stick_out));
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
                    "\"{}\" has {} of cutting edge and goes {depth} under the stock's face",
                    cutter.name, cutter.flute
                ),
                "Clear a wide skirt round the piece first, take a longer cutter, or plane the \
                 board thinner.",
            )
            .at(Source::Shop, at.shop.key_of(cutter, "flute")),
        );
    }
}
