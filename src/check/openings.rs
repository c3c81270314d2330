//! Do the openings lie in the wood, apart from each other, and wide enough for their cutter?

use super::Context;
use super::notes::beside;
use crate::finding::{Code, Finding, Findings, Source};
use crate::outline::openings::{self, BesideOpening, OpeningWood};
use crate::units::{Length, Rounding, Unit, plain, told_apart};

/// An opening crosses the outline or another opening.
pub const OPENING_ASTRAY: Code = Code {
    name: "opening-astray",
    explain: "An opening crosses the outline of the utensil, lies outside it, or runs into another \
        opening or a fork's slot. It is cut through the wood along an outline of its own, so what lies \
        between two that meet would fall out. Move it, make it smaller, or set a pattern further \
        apart. `at` counts from the handle's end and to the left of the middle, as the drawing \
        shows.",
};

/// An opening is narrower than the cutter that must cut it.
pub const OPENING_TOO_NARROW: Code = Code {
    name: "opening-too-narrow",
    explain: "An opening can't be narrower than the cutter that cuts it, which is the one for slots \
        (work.slots in the shop file). Make the opening wider, or name a thinner cutter there. An \
        opening exactly as wide as the cutter is cut in one pass, straight down and along. The \
        rule leaves out the run-out of the spindle, which widens every opening a little.",
};

/// Little wood stands beside an opening.
pub const OPENING_CLOSE: Code = Code {
    name: "opening-close",
    explain: "Between two openings, or between an opening and the outline, less wood stands than the \
        shop's limits.tine, which holds for whatever narrow wood stands between two cuts. Such a \
        bar breaks when it is cut or at the table, soonest where it runs across the grain. Set \
        them further apart, make them smaller, or have fewer. The distance is measured in the plan; \
        the rule leaves out how thick the wood is there, and which way the grain runs. The estimate of \
        strength counts the wood that openings take away, but not that stress gathers round them.",
};

/// How the openings of a design lie: the worst first.
fn worst(at: &Context<'_>) -> Option<OpeningWood> {
    let found = openings::wood(at.outline?, at.openings, at.slots);
    found.into_iter().min_by(|a, b| a.least.as_mm().total_cmp(&b.least.as_mm()))
}

/// The table of the file that an opening of the list comes from.
fn key(at: &Context<'_>, opening: usize) -> String {
    let mut left = opening;
    for (index, asked) in at.design.opening.iter().enumerate() {
        let many = asked.many();
        if left < many {
            return format!("opening[{index}]");
        }
        left -= many;
    }
    "opening".to_owned()
}

pub(super) fn look(at: &Context<'_>, out: &mut Findings) {
    let cutter = at.shop.cutter(&at.shop.work.slots);
    for (index, opening) in at.design.opening.iter().enumerate() {
        if let Some(cutter) = cutter.filter(|cutter| opening.width < cutter.diameter) {
            out.push(
                Finding::fault(
                    OPENING_TOO_NARROW,
                    format!(
                        "the opening is {} wide, and \"{}\" cuts {} wide",
                        opening.width, cutter.name, cutter.diameter
                    ),
                    format!(
                        "Write width = \"{}\" or more, or name a thinner cutter under work.slots.",
                        cutter.diameter.written(Unit::Millimetre, Rounding::Up)
                    ),
                )
                .at(Source::Design, format!("opening[{index}].width")),
            );
        }
    }
    let Some(worst) = worst(at) else { return };
    let limit = at.shop.limits.tine;
    let finding = if worst.least <= Length::ZERO {
        let met = match worst.neighbour {
            BesideOpening::Outline => "crosses the outline of the utensil, or lies outside it",
            BesideOpening::Opening => "runs into another opening",
            BesideOpening::Slot => "runs into a slot between tines",
        };
        Finding::fault(
            OPENING_ASTRAY,
            format!("an opening {met}"),
            "Move it, make it smaller, or set the pattern further apart.",
        )
    } else if worst.least < limit {
        let [least, limit] = told_apart(worst.least, limit);
        let (next, help) = match worst.neighbour {
            BesideOpening::Outline => {
                ("the edge", "Move it away from the edge, or make it smaller.")
            }
            BesideOpening::Opening => ("another", "Set them further apart, or make them smaller."),
            BesideOpening::Slot => ("a slot", "Move it away from the slot, or make it smaller."),
        };
        Finding::caution(
            OPENING_CLOSE,
            format!(
                "between an opening and {next} {least} of wood is left at {} mm along, {}; the shop's \
                 least is {limit}",
                plain(worst.place.x, 0),
                beside(worst.place.y),
            ),
            format!("{help} If your wood bears it, lower limits.tine in the shop file."),
        )
    } else {
        return;
    };
    let finding = finding.on(worst.place, None);
    out.push(finding.at(Source::Design, key(at, worst.opening)));
}

pub(super) fn says(at: &Context<'_>) -> Option<String> {
    let worst = worst(at)?;
    let cutter = at.shop.cutter(&at.shop.work.slots)?;
    Some(format!(
        "{} cut with {}, at least {} of wood beside them",
        match at.openings.len() {
            1 => "one".to_owned(),
            many => many.to_string(),
        },
        cutter.name,
        worst.least
    ))
}
