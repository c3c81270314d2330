//! The rehearsal as a whole: programs in, slips, wood and figures out.

use super::cells::{BoardCells, CELLS_MOST};
use super::clock::MotionClock;
use super::codes::{
    CUTTER_NOT_SAID, INTO_CLAMP, NOT_FINISHED, NOTHING_CUT, POSITION_NOT_SAID, WRONG_POSITION,
};
use super::figures::RehearsalFigures;
use super::ground::KeptGround;
use super::replay::{CutterNumbers, POSITIONS, RehearsalOrder, replay, zeros};
use super::slips::{Slip, Slips};
use super::stage::StagedSetup;
use super::standing::{LITTLE, PieceProgress};
use super::timber::{MotionTool, Timber};
use super::watch::{Watch, astray};
use super::zero;
use crate::finding::{Code, Severity};
use crate::program::{Action, EMPTY, LineTally, Motion, NOT_A_PROGRAM, RULE_BROKEN, UNIT_NOT_SAID};
use crate::units::plain;
use glam::DVec2;
use std::io;

/// Motions that are carved at once: enough work for all cores, and some 30 MB.
const LOT: usize = 1 << 16;

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

/// What is kept while a program runs.
struct Running<'a> {
    order: &'a RehearsalOrder<'a>,
    timber: Timber,
    ground: KeptGround,
    watch: Watch<'a>,
    clock: MotionClock,
    slips: Slips,
    figures: RehearsalFigures,
    lot: Vec<(Motion, MotionTool)>,
    /// Of each motion of the lot, its cutter.
    with: Vec<usize>,
    program: usize,
    /// The board's highest, for the holder.
    highest: f64,
    position: Option<usize>,
    before: f64,
}

/// Rehearses.
///
/// # Errors
/// When a program can't be read.
pub fn rehearse(order: &RehearsalOrder<'_>) -> io::Result<Rehearsal> {
    let stage = order.stage;
    let cells = match &order.wood {
        Some(wood) => wood.cells,
        None => BoardCells::over(DVec2::ZERO, stage.size, order.cell),
    };
    let timber = match &order.wood {
        Some(wood) => wood.clone(),
        None => Timber::flat(cells, stage.stock[0], stage.stock[1]),
    };
    let middle = move |cell: u32| cells.middle(cell as usize);
    let mut run = Running {
        order,
        ground: KeptGround::new(stage, &cells),
        watch: Watch::new(stage, cells.cell, &middle),
        clock: MotionClock::new(&stage.machine),
        slips: Slips::default(),
        figures: RehearsalFigures { lowest: stage.stock[0], ..Default::default() },
        lot: Vec::with_capacity(LOT),
        with: Vec::with_capacity(LOT),
        program: 0,
        highest: stage.stock[0],
        position: None,
        before: 0.0,
        timber,
    };
    for program in 0..order.programs {
        (run.program, run.position, run.before) = (program, None, run.figures.removed_mm3);
        run.watch.fresh();
        let mut each = |said| match said {
            Ok(action) => run.act(action),
            Err(remark) => run.slips.remark(program, remark),
        };
        let tally = replay((order.open)(program)?, zeros(stage, false), &mut each)?;
        run.flush();
        run.end(tally);
    }
    let Running { timber, ground, mut slips, mut figures, .. } = run;
    for program in 0..order.programs {
        let known: Vec<Code> =
            super::codes::CODES.iter().copied().filter(|code| astray(*code)).collect();
        if slips.has(program, &known) {
            zero::explain(order, program, &ground, &cells, &mut slips)?;
        }
    }
    figures.judge(stage, &timber, &ground);
    unfinished(stage, &figures, order.programs, &mut slips);
    let from_kept = order.wood.is_some();
    Ok(Rehearsal { slips: slips.sorted(), timber, ground, figures, from_kept })
}

/// Says what is not finished where the rest is further: what all programs leave alike is what they are for.
fn unfinished(stage: &StagedSetup, figures: &RehearsalFigures, programs: usize, out: &mut Slips) {
    // What explains the rest explains this, too.
    let causes: Vec<Code> = super::codes::in_order()
        .take_while(|code| *code != INTO_CLAMP)
        .filter(|code| ![RULE_BROKEN, UNIT_NOT_SAID].contains(code))
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

impl Running<'_> {
    fn act(&mut self, action: Action) {
        match action {
            Action::Move(motion) => self.motion(motion),
            Action::Dwell(seconds) => self.figures.seconds += seconds,
            Action::Tool { .. } => {}
            Action::Position { line, index } => {
                self.position = Some(index);
                let (own, other) = (self.order.stage.word.as_deref(), POSITIONS[index.min(8)]);
                if let Some(own) = own.filter(|own| *own != other) {
                    let known = self.order.stage.positions.iter().any(|(name, _)| name == other);
                    let where_to = if known {
                        "it is rehearsed there"
                    } else {
                        "the shop has none of that name, so it is rehearsed at the setup's"
                    };
                    let says = format!(
                        "the program runs at {other}, and this setup is at {own}; {where_to}"
                    );
                    self.slip(
                        WRONG_POSITION,
                        Severity::Fault,
                        line,
                        says,
                        "Set the setup's position in the path program.",
                    );
                }
            }
        }
    }

    fn slip(
        &mut self,
        code: Code,
        severity: Severity,
        line: u32,
        says: String,
        help: &'static str,
    ) {
        let program = self.program;
        let slip = Slip {
            code,
            severity,
            program,
            line,
            worst_line: line,
            says,
            help,
            at: None,
            amount: 0.0,
            times: 1,
        };
        self.slips.add("", slip);
    }

    fn motion(&mut self, motion: Motion) {
        if self.position.is_none() {
            self.position = Some(0);
            let own = self.order.stage.word.clone();
            if let Some(own) = own.filter(|own| own != POSITIONS[0]) {
                let says = format!(
                    "the program does not say {own}, the position of this setup; it is rehearsed there"
                );
                self.slip(
                    POSITION_NOT_SAID,
                    Severity::Caution,
                    motion.line,
                    says,
                    "Have the post processor write it.",
                );
            }
        }
        let cutters = self.order.cutters;
        let named = cutters.get(&motion.tool);
        let Some(index) = named.or_else(|| cutters.get(&None)).copied() else {
            if !motion.rapid {
                let says = match motion.tool {
                    Some(number) => format!(
                        "tool {number} is none of the shop's cutters; nothing is carved with it"
                    ),
                    None => "the program names no tool; nothing is carved".to_owned(),
                };
                self.slip(
                    CUTTER_NOT_SAID,
                    Severity::Fault,
                    motion.line,
                    says,
                    "Give it with --cutter, or a number to each cutter in the shop file.",
                );
            }
            return;
        };
        let Some(mut tool) = self.watch.tool(index) else { return };
        let cutter = &self.order.stage.cutters[index];
        if motion.from.z.min(motion.to.z) + cutter.stick_out < self.highest {
            tool.holder = Some((cutter.holder, cutter.stick_out));
        }
        self.lot.push((motion, tool));
        self.with.push(index);
        if self.lot.len() >= LOT {
            self.flush();
        }
    }

    /// Carves what has come together.
    fn flush(&mut self) {
        let bites = self.timber.carve(&self.lot, &self.ground);
        let seconds = self.clock.seconds(self.lot.iter().map(|(motion, _)| motion));
        let area = self.timber.cells.cell * self.timber.cells.cell;
        let figures = &mut self.figures;
        for (((motion, _), index), (bite, seconds)) in
            self.lot.iter().zip(&self.with).zip(bites.iter().zip(seconds))
        {
            self.watch.look(self.program, *index, motion, bite, &mut self.slips);
            figures.motions += 1;
            figures.seconds += seconds;
            if !motion.rapid {
                figures.feed_seconds += seconds;
                if !bite.cuts() {
                    figures.air_seconds += seconds;
                }
            }
            figures.removed_mm3 += f64::from(bite.sum) * area;
            figures.deepest = figures.deepest.max(f64::from(bite.deepest.0));
            if bite.cuts() {
                figures.lowest = figures.lowest.min(motion.from.z.min(motion.to.z));
            }
        }
        self.lot.clear();
        self.with.clear();
    }

    /// What is known at the end of a program.
    fn end(&mut self, tally: LineTally) {
        if tally.unread > tally.worded {
            self.slips.forget(self.program);
            let says = format!(
                "the file is not a program: {} of its {} lines with anything in them can't be read",
                tally.unread,
                tally.unread + tally.worded
            );
            let help = "Give the file that the post processor wrote.";
            self.slip(NOT_A_PROGRAM, Severity::Fault, tally.unread_first, says, help);
            return;
        }
        if tally.worded == 0 {
            let says = "there is nothing in the program: the file is empty, or has comments alone";
            let help = "Write the program again in the path program.";
            self.slip(EMPTY, Severity::Fault, 0, says.to_owned(), help);
            return;
        }
        // What was not run could have cut.
        let unsure = [&[CUTTER_NOT_SAID][..], crate::program::CODES].concat();
        let unsure: Vec<Code> = unsure.into_iter().filter(|code| *code != UNIT_NOT_SAID).collect();
        if self.figures.removed_mm3 <= self.before && !self.slips.has(self.program, &unsure) {
            let says = "the program cuts no wood".to_owned();
            self.slip(
                NOTHING_CUT,
                Severity::Fault,
                0,
                says,
                "Check the zero, the unit, and that it is of this setup.",
            );
        }
    }
}
