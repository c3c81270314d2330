//! What is judged when all programs are done.

use super::behind::unfinished;
use super::missing;
use super::pins;
use super::remedy::Remedy;
use super::replay::RehearsalOrder;
use super::ridges;
use super::running::{Running, run};
use super::slips::Slip;
use super::standing::PieceProgress;
use crate::relief::Face;
use std::io;

/// Judges the wood when all programs are done. Whether the finishing cutter has cut.
pub(super) fn judge(order: &RehearsalOrder<'_>, run: &mut Running<'_>) -> bool {
    let stage = order.stage;
    let finished = stage.finisher().is_some_and(|finisher| run.cut().contains(&finisher));
    run.figures.judge(stage, &run.timber, &run.ground, finished);
    let must = order.wood.is_some() && stage.face == Face::Bottom;
    pins::judge(stage, &run.timber, (must, run.bored_in.unwrap_or(0)), &mut run.slips);
    finished
}

/// Judges the programs together: their order, and what stands behind. What explains the rest must be told before.
pub(super) fn judge_together(order: &RehearsalOrder<'_>, run: &mut Running<'_>) {
    let stage = order.stage;
    let pieces = &run.figures.pieces;
    let unfinished_piece = |piece: usize| {
        let of = pieces.get(piece).map(|(_, of)| of.progress());
        matches!(of, Some(PieceProgress::Roughed | PieceProgress::Partly))
    };
    run.sequence.judge(stage, order.names, &unfinished_piece, &mut run.slips);
    missing::judge(order, run);
    missing::first_side(order, run);
    let last = stage
        .finisher()
        .and_then(|finisher| run.cut_in.iter().rposition(|cut| cut.contains(&finisher)));
    let caused = (0..order.programs).any(|program| run.slips.of(program).any(Slip::is_cause));
    if let Some(program) = last.filter(|_| !caused) {
        ridges::judge(stage, (&run.timber, &run.ground), program, &mut run.slips);
    }
    let cut = run.cut();
    let finishes = |index: &usize| Some(*index) == stage.finisher();
    if cut.iter().any(|index| finishes(index) || stage.roughs(*index)) {
        unfinished(stage, &run.figures, &run.cut_in, &mut run.slips);
    }
}

/// Runs all programs again, each put right, and judges them in the same way.
///
/// # Errors
/// When a program can't be read.
pub(super) fn judged<'a>(
    order: &'a RehearsalOrder<'a>,
    remedies: &'a [Remedy],
) -> io::Result<Running<'a>> {
    let mut run = run(order, remedies)?;
    judge(order, &mut run);
    judge_together(order, &mut run);
    Ok(run)
}
