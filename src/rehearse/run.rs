//! The rehearsal as a whole: programs in, slips, wood and figures out.

use super::again::settle;
use super::behind::{HIGH_MM, HIGH_ROUGH_MM, stands_high};
use super::causes::{bring_together, tie_shifts};
use super::cells::{BoardCells, CELLS_MOST};
use super::figures::RehearsalFigures;
use super::ground::KeptGround;
use super::judged::{judge, judge_together};
use super::other_cutter;
use super::remedy::Remedy;
use super::replay::{CutterNumbers, RehearsalOrder};
use super::running::{Running, run};
use super::slips::Slip;
use super::stage::StagedSetup;
use super::timber::Timber;
use super::watch::astray;
use super::{steps, zero};
use crate::finding::Code;
use glam::DVec2;
use std::collections::BTreeSet;
use std::io;

/// What came of it.
#[derive(Clone, Debug)]
pub struct Rehearsal {
    /// Slips, the most harmful first.
    pub slips: Vec<Slip>,
    /// The wood.
    pub timber: Timber,
    /// What must stay.
    pub ground: KeptGround,
    /// Figures.
    pub figures: RehearsalFigures,
    /// Whether it began with wood that was kept, and not with the uncut board.
    pub from_kept: bool,
    /// The programs' names.
    pub names: Vec<String>,
    /// The tools that they name, none for one that names none.
    pub tools: BTreeSet<Option<u32>>,
}

/// The cells of a stage; none when there would be too many.
pub fn board_cells(stage: &StagedSetup, cell: f64) -> Option<BoardCells> {
    let counts = stage.size / cell;
    (counts.x * counts.y <= CELLS_MOST).then(|| BoardCells::over(DVec2::ZERO, stage.size, cell))
}

/// Cutters by the shop's own numbers.
pub fn shop_numbers(stage: &StagedSetup) -> CutterNumbers {
    let numbered = stage.cutters.iter().enumerate();
    numbered.filter_map(|(index, cutter)| Some((Some(cutter.number?), index))).collect()
}

/// Rehearses.
///
/// # Errors
/// When a program can't be read.
pub fn rehearse(order: &RehearsalOrder<'_>) -> io::Result<Rehearsal> {
    let stage = order.stage;
    let plain = vec![Remedy::NONE; order.programs];
    let mut run = run(order, &plain)?;
    let finished = judge(order, &mut run);
    let most = if finished { HIGH_MM } else { stage.leaves() + HIGH_ROUGH_MM };
    let high = stands_high(&run.timber, &run.ground, most);
    let known: Vec<Code> =
        super::codes::CODES.iter().copied().filter(|code| astray(*code)).collect();
    let (mut named, mut lie) = (Vec::new(), Vec::new());
    for program in 0..order.programs {
        let steps = steps::explain(order, program, &run.tallies, &mut run.slips)?;
        if steps.is_none() && (high || run.slips.has(program, &known)) {
            let own = (program, &run.manners[program]);
            let cells = run.timber.cells;
            let (cause, lies) =
                zero::explain(order, own, (&run.ground, &cells), high, &mut run.slips)?;
            named.extend(cause);
            if lies {
                lie.push(program);
            }
        }
        named.extend(steps);
    }
    tie_shifts(order.programs, &mut named, &mut run.slips);
    for (program, manners) in run.manners.iter().enumerate() {
        named.extend(other_cutter::by_manner(stage, program, manners, &mut run.slips));
    }
    let told = bring_together(order, named, &lie, &mut run.slips)?;
    judge_together(order, &mut run);
    settle(order, told, &mut run.slips)?;
    let Running { timber, ground, slips, figures, tools, .. } = run;
    let (from_kept, names) = (order.wood.is_some(), order.names.to_vec());
    Ok(Rehearsal { slips: slips.sorted(), timber, ground, figures, from_kept, names, tools })
}
