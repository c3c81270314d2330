//! Passes of a setup that no program ran, and a first side that was turned before it was finished.

use super::codes::{CUTTER_NOT_SAID, FINISH_IN_SOLID, ONLY_SAID, PASS_MISSING, SIDE_BEHIND};
use super::fit::{BEHIND, Free, LeftOnPurpose, TOUCHED, sampled_of_the_other};
use super::replay::RehearsalOrder;
use super::running::Running;
use super::slips::{NO_PROGRAM, Slip};
use crate::cutting::PassKind;
use crate::finding::Severity;
use crate::relief::Face;
use crate::units::plain;
use glam::DAffine3;

/// Which passes come before finishing.
const BEFORE: [PassKind; 3] = [PassKind::Pins, PassKind::Rough, PassKind::Clear];

/// A pass that no program ran: its kind, if it is known, and in words.
type NotRun = (Option<PassKind>, String);

/// The passes that no program ran, each once.
fn not_run(order: &RehearsalOrder<'_>, run: &Running<'_>) -> Vec<NotRun> {
    let stage = order.stage;
    let mut all: Vec<NotRun> = Vec::new();
    let mut add = |kind: Option<PassKind>, key: &str, cutter: &str| {
        let says = format!("{} ({cutter})", kind.map_or(key, |kind| kind.work()));
        if !all.iter().any(|(_, own)| *own == says) {
            all.push((kind, says));
        }
    };
    if let Some(bore) = stage.bore.as_ref().filter(|_| run.bored_in.is_none()) {
        add(Some(PassKind::Pins), "", &bore.cutter);
    }
    let known = [
        PassKind::Rough,
        PassKind::Clear,
        PassKind::Finish,
        PassKind::CleanUp,
        PassKind::Slots,
        PassKind::Openings,
        PassKind::Edge,
    ];
    for (number, piece) in stage.pieces.iter().enumerate() {
        for (index, pass) in piece.passes.iter().enumerate() {
            if !run.sequence.has_run(number, index) {
                let kind = known.into_iter().find(|kind| kind.key() == pass.kind);
                add(kind, &pass.kind, &pass.cutter);
            }
        }
    }
    all
}

/// Says which passes before finishing no program ran, and keeps the names of all for the figures.
pub(super) fn judge(order: &RehearsalOrder<'_>, run: &mut Running<'_>) {
    let missing = not_run(order, run);
    run.figures.not_run = missing.iter().map(|(_, says)| says.clone()).collect();
    let finishes = order.stage.finisher().is_some_and(|finisher| run.cut().contains(&finisher));
    // What runs elsewhere, or not at all, could be the pass.
    let unsure: Vec<_> = [&[CUTTER_NOT_SAID][..], crate::program::CODES]
        .concat()
        .into_iter()
        .filter(|code| !ONLY_SAID.contains(code))
        .collect();
    let unsure = (0..order.programs).any(|program| {
        run.slips.has(program, &unsure) || run.slips.of(program).any(Slip::is_cause)
    });
    if !finishes || order.wood.is_some() || unsure {
        return;
    }
    let before = missing.iter().filter(|(kind, _)| kind.is_some_and(|kind| BEFORE.contains(&kind)));
    let solid = (0..order.programs).find(|program| run.slips.has(*program, &[FINISH_IN_SOLID]));
    // Solid wood under the finishing cutter is what a roughing pass should have taken: told with that.
    let told = |kind: &Option<PassKind>| solid.is_some() && *kind != Some(PassKind::Pins);
    let names = |of_solid: bool| -> Vec<&str> {
        let own = before.clone().filter(|(kind, _)| told(kind) == of_solid);
        own.map(|(_, says)| says.as_str()).collect()
    };
    if let Some(program) = solid
        && let names = names(true)
        && !names.is_empty()
    {
        let says = format!("; no program ran: {}", names.join(", "));
        run.slips.amend(program, FINISH_IN_SOLID, |slip| slip.says += &says);
    }
    let names = names(false);
    if !names.is_empty() {
        let mut says = format!("it is finished, and no program ran: {}", names.join(", "));
        if before.clone().any(|(kind, _)| !told(kind) && *kind != Some(PassKind::Pins)) {
            says += "; another may have cut its wood";
        }
        let help = "Give all programs of the setup in their order, or the wood that they left with --from.";
        run.slips.add("", Slip::new(PASS_MISSING, Severity::Caution, (NO_PROGRAM, 0), says, help));
    }
}

/// Says of setup 2 that the side of setup 1 was not finished before the board was turned.
pub(super) fn first_side(order: &RehearsalOrder<'_>, run: &mut Running<'_>) {
    let stage = order.stage;
    let Some(wood) = order.wood.as_ref().filter(|_| stage.face == Face::Bottom) else { return };
    let samples = sampled_of_the_other(order, &wood.cells, &run.ground);
    let first = wood.turned(stage.end_for_end, stage.kept_sum());
    if first
        .top
        .iter()
        .zip(&first.floor)
        .all(|(top, floor)| (top - floor - first.top[0] + first.floor[0]).abs() < 0.01)
    {
        // Nothing at all was cut: the pins tell of that.
        return;
    }
    let face = stage.stock[0] + stage.stock[1];
    let free = Free::of_wood(first, face - stage.stock[1]);
    let fits = free.fits(&samples, DAffine3::IDENTITY, LeftOnPurpose { leaves: 0.0, steps: 0.0 });
    let untouched = fits.touched < TOUCHED;
    if !untouched && fits.behind < BEHIND {
        return;
    }
    let says = if untouched {
        "the top is not carved in the wood that this begins with".to_owned()
    } else {
        format!(
            "the top is not finished in the wood that this begins with: on {} % of it no cut is down to the surface, \
             and up to {} mm of wood stand there",
            plain((100.0 * fits.behind).clamp(1.0, 99.0), 0),
            plain(fits.stands, 1)
        )
    };
    let help = "Finish setup 1 before the board is turned; rehearse all its programs, and --keep that wood.";
    run.slips.add("", Slip::new(SIDE_BEHIND, Severity::Caution, (NO_PROGRAM, 0), says, help));
}
