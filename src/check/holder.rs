//! Are the cutting edges long enough for the deepest cut? Whether the holder stays off everything is
//! looked at by `clearance`.

use super::Context;
use super::clearance::Around;
use super::notes::Notes;
use crate::cutting::PassKind;
use crate::cutting::passes::clearing_cutter;
use crate::cutting::sweep::Sweep;
use crate::finding::{Code, Finding, Source};
use crate::params::Cutter;
use crate::units::Length;

/// The cutter goes deeper than it has cutting edges.
pub const FLUTE_TOO_SHORT: Code = Code {
    name: "flute-too-short",
    explain: "At its deepest place the cutter is further below the top of the stock than its \
        cutting edges are long. Where the wood beside it still stands that high, the shank rubs \
        and burns, and chips can't get out. It does no harm where the wood round it has already \
        been cleared to at least the width of the shank. Of a pin's hole it never is. Take a cutter with longer cutting edges, \
        plane the board thinner, or clear the skirt with the roughing cutter first. The rule \
        doesn't know how your path program clears the stock, so this is only a caution.",
};

pub(super) fn look(at: &Context<'_>, around: &Around<'_>, notes: &mut Notes) -> Option<String> {
    // A body that stands out of its stock has no depth under its face; `too-tall` says so.
    if at.stock.spare < Length::ZERO {
        return None;
    }
    let (work, deepest) = (&at.shop.work, around.deepest);
    notes.figure("cut_deepest_mm", deepest.as_mm());
    let mut says = vec![format!("deepest cut {deepest}")];
    let mut jobs = vec![
        (work.rough.as_str(), deepest, Depth::Open),
        (work.finish.as_str(), deepest, Depth::Open),
    ];
    jobs.extend(clearing_cutter(at.shop).map(|c| (c.name.as_str(), deepest, Depth::Open)));
    let slots = at.under_slots.map(|under| at.stock.height - under);
    jobs.extend(slots.map(|depth| (work.slots.as_str(), depth, Depth::Open)));
    // A sweep's lowest places come first.
    let depth = |sweep: &Sweep| Some(at.stock.height - Length::mm(sweep.places.first()?.1));
    let sweeps = around.swept.iter().flat_map(|swept| &swept.sweeps);
    let openings = sweeps.filter(|sweep| sweep.pass == PassKind::Openings);
    jobs.extend(openings.filter_map(|s| Some((s.cutter.name.as_str(), depth(s)?, Depth::Open))));
    jobs.extend(around.bores.and_then(|s| Some((s.cutter.name.as_str(), depth(s)?, Depth::Hole))));
    let mut seen: Vec<&str> = Vec::new();
    for (name, ..) in &jobs {
        let Some(cutter) = at.shop.cutter(name) else { continue };
        if seen.contains(name) {
            continue;
        }
        seen.push(name);
        says.push(format!(
            "{name}: cutting edges {}, stick-out {}",
            cutter.flute, cutter.stick_out
        ));
        let own = jobs.iter().filter(|(other, ..)| other == name);
        let deepest = own.max_by(|a, b| a.1.as_mm().total_cmp(&b.1.as_mm()));
        if let Some((_, depth, how)) = deepest {
            judge(at, cutter, *depth, *how, notes);
        }
    }
    Some(says.join("; "))
}

/// Whether the wood beside a deep cut may have been cleared before.
#[derive(Clone, Copy, Debug)]
enum Depth {
    Open,
    Hole,
}

fn judge(at: &Context<'_>, cutter: &Cutter, depth: Length, how: Depth, notes: &mut Notes) {
    if cutter.flute >= depth {
        return;
    }
    let Cutter { name, flute, .. } = cutter;
    // As it is told, in tenths of a millimetre, long enough.
    let enough = Length::mm((10.0 * depth.as_mm()).ceil() / 10.0);
    let (cuts, help) = match how {
        Depth::Open => (
            format!("cuts {depth} below the top of the stock"),
            // No more can be planed off than the piece leaves over.
            format!(
                "Take a cutter whose cutting edges are {enough} long or longer{}. It does no harm where \
                 roughing has cleared the wood beside it.",
                if depth - *flute <= at.stock.spare { ", or plane the board thinner" } else { "" }
            ),
        ),
        Depth::Hole => (
            format!("bores the pins' holes {depth} deep"),
            format!(
                "Take one whose cutting edges are {enough} long or longer, or bore the holes on a drill press."
            ),
        ),
    };
    let message = format!("\"{name}\" has cutting edges {flute} long but {cuts}");
    let finding = Finding::caution(FLUTE_TOO_SHORT, message, help);
    notes.say(finding.at(Source::Shop, at.shop.key_of(cutter, "flute")));
}
