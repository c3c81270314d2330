//! What stands behind when all programs are done: all of it too high, or a piece, or a part of one.

use super::codes::{INTO_CLAMP, NOT_FINISHED, ONLY_SAID};
use super::figures::RehearsalFigures;
use super::ground::KeptGround;
use super::slips::{Slip, Slips};
use super::stage::StagedSetup;
use super::standing::{LITTLE, PieceProgress};
use super::timber::Timber;
use crate::finding::{Code, Severity};
use crate::program::RULE_BROKEN;
use crate::units::plain;

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

/// Says what is not finished where the rest is further: what all programs leave alike is what they are for.
pub(super) fn unfinished(
    stage: &StagedSetup,
    figures: &RehearsalFigures,
    programs: usize,
    out: &mut Slips,
) {
    // What explains the rest explains this, too.
    let causes: Vec<Code> = super::codes::in_order()
        .take_while(|code| *code != INTO_CLAMP)
        .filter(|code| *code != RULE_BROKEN && !ONLY_SAID.contains(code))
        .collect();
    if (0..programs).any(|program| out.has(program, &causes)) {
        return;
    }
    let begun = figures.pieces.iter().any(|(_, of)| of.progress() != PieceProgress::Untouched);
    let farthest = figures.pieces.iter().any(|(_, of)| of.progress() == PieceProgress::Finished);
    for (piece, (_, of)) in stage.pieces.iter().zip(&figures.pieces) {
        let most = of.most;
        let percent = |share: f64| plain((100.0 * share).clamp(1.0, 99.0), 0);
        let says = match of.progress() {
            PieceProgress::Untouched if begun => {
                format!(
                    "nothing of {} is carved, up to {most:.1} mm of wood stand on it",
                    piece.name
                )
            }
            PieceProgress::Roughed if farthest => {
                format!(
                    "{} is roughed and not finished, up to {most:.1} mm of wood stand on it",
                    piece.name
                )
            }
            PieceProgress::Partly if of.uncut > LITTLE => format!(
                "{} % of {} is not finished and {} % is not cut at all, up to {most:.1} mm of wood stand there",
                percent(of.standing),
                piece.name,
                percent(of.uncut)
            ),
            PieceProgress::Partly => format!(
                "{} % of {} is not finished, up to {most:.1} mm of wood stand there",
                percent(of.standing),
                piece.name
            ),
            _ => continue,
        };
        out.add(
            &piece.name,
            Slip {
                code: NOT_FINISHED,
                severity: Severity::Caution,
                // What is missing is known when the last has ended.
                program: programs.saturating_sub(1),
                line: 0,
                worst_line: 0,
                says,
                help: "Give all programs of the setup in their order; look at their boundaries, and \
                       whether one was cut short.",
                at: None,
                amount: most,
                times: 1,
            },
        );
    }
}
