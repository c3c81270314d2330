//! What stands behind when all programs are done: all of it too high, or a piece, or a part of one.

use super::codes::{INTO_CLAMP, NOT_FINISHED, ONLY_SAID};
use super::figures::RehearsalFigures;
use super::ground::KeptGround;
use super::slips::{NO_PROGRAM, Slip, Slips};
use super::stage::StagedSetup;
use super::standing::{LITTLE, PieceProgress};
use super::timber::Timber;
use crate::finding::{Code, Severity};
use crate::program::RULE_BROKEN;
use crate::units::plain;
use std::collections::BTreeSet;

/// Wood that stands this much over the surface stands too high after finishing, and this much over what is left on
/// purpose after roughing, in mm: there more may be left than the packet has.
pub(super) const HIGH_MM: f64 = 0.1;
pub(super) const HIGH_ROUGH_MM: f64 = 1.0;

/// Whether next to nothing of what is carved comes down to where it should: all of it stands too high.
pub(super) fn stands_high(timber: &Timber, ground: &KeptGround, most: f64) -> bool {
    let face = timber.top.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let carved = ground.of_body().filter(|index| timber.top[*index] < face);
    let (mut all, mut down) = (0usize, 0usize);
    for index in carved {
        all += 1;
        let over = f64::from(timber.top[index] - ground.relief[index]);
        down += usize::from(over <= most);
    }
    all > 0 && (down as f64) < DOWN * all as f64
}

/// So little of what is carved is down when a zero is too high.
const DOWN: f64 = 0.02;

/// More of a piece than this stands higher than its layers leave when some of them are missing (on good programs it is
/// none).
const LAYERS_MISSING: f64 = 0.02;

/// Says what is not finished where the rest is further: what all programs leave alike is what they are for. `cut` has
/// the cutters that cut wood in each program.
pub(super) fn unfinished(
    stage: &StagedSetup,
    figures: &RehearsalFigures,
    cut: &[BTreeSet<usize>],
    out: &mut Slips,
) {
    // What explains the rest explains this, too.
    let causes: Vec<Code> = super::codes::in_order()
        .take_while(|code| *code != INTO_CLAMP)
        .filter(|code| *code != RULE_BROKEN && !ONLY_SAID.contains(code))
        .collect();
    if (0..cut.len()).any(|program| out.has(program, &causes)) {
        return;
    }
    // A finishing cutter that has no other pass has begun to finish where it cut.
    let finishes_alone = stage
        .finisher()
        .is_some_and(|index| stage.passes_of(index).all(|pass| pass.depth.is_none()));
    let begun = figures.pieces.iter().any(|(_, of)| of.progress() != PieceProgress::Untouched);
    let farthest = figures.pieces.iter().any(|(_, of)| of.progress() == PieceProgress::Finished);
    // What is missing is of the last program that should have taken it.
    let last = |own: &dyn Fn(&usize) -> bool| {
        cut.iter().rposition(|cutters| cutters.iter().any(own)).unwrap_or(NO_PROGRAM)
    };
    let finisher = last(&|cutter| Some(*cutter) == stage.finisher());
    let rougher = last(&|cutter| stage.roughs(*cutter));
    for (piece, (_, of)) in stage.pieces.iter().zip(&figures.pieces) {
        let most = of.most;
        let name = &piece.name;
        let percent = |share: f64| plain((100.0 * share).clamp(1.0, 99.0), 0);
        let (program, says) = match of.progress() {
            PieceProgress::Untouched if begun => (
                NO_PROGRAM,
                format!("nothing of {name} is carved, up to {most:.1} mm of wood stand on it"),
            ),
            PieceProgress::Roughed | PieceProgress::Partly
                if !of.finished && of.high > LAYERS_MISSING =>
            {
                let leaves = stage.left_for_finishing().unwrap_or(0.0);
                let says = format!(
                    "{} % of {name} is not roughed to its depth: up to {most:.1} mm of wood stand there, and \
                     roughing should leave {leaves:.1} mm at most",
                    percent(of.high)
                );
                (rougher, says)
            }
            PieceProgress::Roughed if farthest || (of.finished && finishes_alone) => (
                finisher,
                format!(
                    "{name} is roughed and not finished, up to {most:.1} mm of wood stand on it"
                ),
            ),
            PieceProgress::Partly => {
                let standing = percent(of.standing);
                let uncut = match of.uncut > LITTLE {
                    true => format!(" and {} % is not cut at all", percent(of.uncut)),
                    false => String::new(),
                };
                let says = format!(
                    "{standing} % of {name} is not finished{uncut}, up to {most:.1} mm of wood stand there"
                );
                (if of.finished { finisher } else { rougher }, says)
            }
            _ => continue,
        };
        let help = "Give all programs of the setup in their order; look at their boundaries, and \
                    whether one was cut short.";
        let slip = Slip {
            amount: most,
            ..Slip::new(NOT_FINISHED, Severity::Caution, (program, 0), says, help)
        };
        out.add(name, slip);
    }
}
