//! Runs the programs of a setup, and watches what each motion does to the wood.

use super::cells::BoardCells;
use super::clock::MotionClock;
use super::codes::{
    CUTTER_NOT_SAID, CUTTER_WITHOUT_PASS, ENDS_LOW, NOTHING_CUT, ONLY_SAID, POSITION_NOT_SAID,
    WRONG_POSITION,
};
use super::figures::RehearsalFigures;
use super::ground::{KeptGround, round};
use super::manner::Manner;
use super::remedy::Remedy;
use super::replay::{POSITIONS, RehearsalOrder, replay};
use super::sequence::Sequence;
use super::slips::{Slip, Slips, runs_at};
use super::timber::{MotionTool, Timber};
use super::watch::Watch;
use crate::finding::{Code, Severity};
use crate::program::{Action, EMPTY, LineTally, Motion, NOT_A_PROGRAM, NOT_ENDED, ZERO_SHIFTED};
use glam::DVec2;
use std::collections::{BTreeMap, BTreeSet};
use std::io;

/// Motions that are carved at once: enough work for all cores, and some 30 MB.
const LOT: usize = 1 << 16;

/// A holder is wide and slow to follow: motions with one near wood are carved in smaller lots, and once it was in
/// wood so often in a program the rest of it is as wrong, and is not looked at.
const HELD_LOT: usize = 2000;
const HOLDER_MOST: u32 = 500;

/// A tip so little below the board's face is at it.
const AT_THE_FACE_MM: f64 = 0.01;

/// Wood so near to a cutter is in its way, in mm.
const BESIDE_MM: f64 = 0.5;

/// What is kept while a program runs.
pub(super) struct Running<'a> {
    order: &'a RehearsalOrder<'a>,
    pub(super) timber: Timber,
    pub(super) ground: KeptGround,
    watch: Watch<'a>,
    clock: MotionClock,
    pub(super) slips: Slips,
    pub(super) figures: RehearsalFigures,
    lot: Vec<(Motion, MotionTool)>,
    /// Of each motion of the lot, its cutter.
    with: Vec<usize>,
    program: usize,
    /// The board's highest, for the holder.
    highest: f64,
    position: Option<usize>,
    /// Of each cutter of the program, its feeds but those at the pins, and what they took off in mm³.
    each: BTreeMap<usize, (u64, f64)>,
    /// Tool numbers of the program that stand for no cutter.
    unknown: BTreeMap<Option<u32>, u32>,
    /// The last motion, with its cutter.
    last: Option<(Motion, usize)>,
    /// Whether the program has cut at the pins.
    bores: bool,
    /// Motions of the lot with a holder that comes near wood.
    held: usize,
    /// Of each cutter of the program, how often its holder was in wood.
    holders: BTreeMap<usize, u32>,
    /// Of each program, the cutters that cut wood, but at the pins; and which of them bored there.
    pub(super) cut_in: Vec<BTreeSet<usize>>,
    pub(super) bored_in: Option<usize>,
    /// The passes that the programs run.
    pub(super) sequence: Sequence,
    /// How each program uses each of its cutters.
    pub(super) manners: Vec<BTreeMap<usize, Manner>>,
    /// The tools that the programs name while they cut.
    pub(super) tools: BTreeSet<Option<u32>>,
    /// What was read of each program.
    pub(super) tallies: Vec<LineTally>,
    /// How each program is run.
    remedies: &'a [Remedy],
}

/// Runs all programs, each as its remedy has it; there is one for each of them.
///
/// # Errors
/// When a program can't be read.
pub(super) fn run<'a>(
    order: &'a RehearsalOrder<'a>,
    remedies: &'a [Remedy],
) -> io::Result<Running<'a>> {
    let stage = order.stage;
    let cells = match &order.wood {
        Some(wood) => wood.cells,
        None => BoardCells::over(DVec2::ZERO, stage.size, order.cell),
    };
    let timber = match &order.wood {
        Some(wood) => wood.clone(),
        None => Timber::flat(cells, stage.stock[0], stage.stock[1]),
    };
    let mut run = Running {
        order,
        ground: KeptGround::new(stage, &cells),
        watch: Watch::new(stage, cells),
        clock: MotionClock::new(&stage.machine),
        slips: Slips::default(),
        figures: RehearsalFigures { lowest: stage.stock[0], ..Default::default() },
        lot: Vec::with_capacity(LOT),
        with: Vec::with_capacity(LOT),
        program: 0,
        highest: stage.stock[0],
        position: None,
        each: BTreeMap::new(),
        unknown: BTreeMap::new(),
        last: None,
        bores: false,
        held: 0,
        holders: BTreeMap::new(),
        cut_in: vec![BTreeSet::new(); order.programs],
        bored_in: None,
        sequence: Sequence::default(),
        manners: vec![BTreeMap::new(); order.programs],
        tools: BTreeSet::new(),
        tallies: Vec::new(),
        remedies,
        timber,
    };
    for (program, remedy) in remedies.iter().enumerate() {
        (run.program, run.position, run.bores) = (program, None, false);
        (run.each, run.unknown) = (BTreeMap::new(), BTreeMap::new());
        run.last = None;
        run.holders.clear();
        run.watch.fresh();
        let mut each = |said| match said {
            Ok(action) => run.act(action),
            Err(remark) => run.slips.remark(program, remark),
        };
        let zeros = remedy.zeros(stage);
        let tally = replay((order.open)(program)?, zeros, remedy.over, &mut each)?;
        run.flush();
        run.end(tally);
        run.tallies.push(tally);
    }
    Ok(run)
}

/// What to do about tools that are not known.
const HOW_TO_NUMBER: &str = "Give each for this run, as in --cutter \"2=ball 1/8\"; or give the cutters their `number` \
                             in the shop file, and build the packet again.";

impl Running<'_> {
    /// The cutters that cut wood, but at the pins.
    pub(super) fn cut(&self) -> BTreeSet<usize> {
        self.cut_in.iter().flatten().copied().collect()
    }

    fn act(&mut self, action: Action) {
        match action {
            Action::Move(motion) => self.motion(motion),
            Action::Dwell(seconds) => self.figures.seconds += seconds,
            Action::Tool { .. } => {}
            Action::Position { line, index } => {
                self.position = Some(index);
                let (own, other) = (self.order.stage.word.as_deref(), POSITIONS[index.min(8)]);
                let settled = self.remedies[self.program].own_position;
                if let Some(own) = own.filter(|own| *own != other && !settled) {
                    let known = self.order.stage.positions.iter().any(|(name, _)| name == other);
                    let where_to = if known {
                        "it is carved where that lies on the bed"
                    } else {
                        "the shop has none of that name, so it is carved at the setup's"
                    };
                    let says = format!(
                        "the program {}, and this setup is at {own}; {where_to}",
                        runs_at(other)
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
        let slip = Slip::new(code, severity, (program, line), says, help);
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
        if self.tools.last() != Some(&motion.tool) {
            self.tools.insert(motion.tool);
        }
        let named = cutters.get(&motion.tool);
        let Some(index) = named.or_else(|| cutters.get(&None)).copied() else {
            if !motion.rapid {
                self.unknown.entry(motion.tool).or_insert(motion.line);
            }
            return;
        };
        let remedy = &self.remedies[self.program];
        let (index, motion) = (remedy.cutter(index), remedy.motion(motion));
        let Some(mut tool) = self.watch.tool(index) else { return };
        let cutter = &self.order.stage.cutters[index];
        let low = motion.from.z.min(motion.to.z);
        let told = self.holders.get(&index).is_some_and(|times| *times >= HOLDER_MOST);
        if low + cutter.stick_out < self.highest && !told {
            tool.holder = Some((cutter.holder, cutter.stick_out));
            self.held += 1;
        }
        self.last = Some((motion, index));
        self.lot.push((motion, tool));
        self.with.push(index);
        if self.lot.len() >= LOT || self.held >= HELD_LOT {
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
            self.watch.look(self.program, *index, motion, (bite, &self.ground), &mut self.slips);
            if bite.holder.0 > 0.0 {
                *self.holders.entry(*index).or_default() += 1;
            }
            figures.motions += 1;
            figures.seconds += seconds;
            if !motion.rapid {
                figures.feed_seconds += seconds;
                if !bite.cuts() {
                    figures.air_seconds += seconds;
                }
                let stage = self.order.stage;
                let bores =
                    stage.at_a_pin(motion.from.truncate()) && stage.at_a_pin(motion.to.truncate());
                if bores && bite.cuts() {
                    self.bores = true;
                    self.bored_in.get_or_insert(self.program);
                }
                if !bores {
                    let manner = self.manners[self.program].entry(*index).or_default();
                    if bite.cuts() {
                        self.sequence.add(stage, self.program, *index, motion);
                    }
                    manner.add(motion, bite.cuts(), stage.stock[0] - AT_THE_FACE_MM);
                    let (feeds, off) = self.each.entry(*index).or_default();
                    (*feeds, *off) = (*feeds + 1, *off + f64::from(bite.sum) * area);
                }
            }
            figures.removed_mm3 += f64::from(bite.sum) * area;
            let (deepest, cell) = bite.deepest;
            if f64::from(deepest) > figures.deepest {
                let place = self.timber.cells.middle(cell as usize).extend(motion.to.z);
                figures.deepest = f64::from(deepest);
                figures.deepest_at = Some((self.program, motion.line, place));
            }
            if bite.cuts() {
                figures.lowest = figures.lowest.min(motion.from.z.min(motion.to.z));
            }
        }
        self.lot.clear();
        self.with.clear();
        self.held = 0;
        let cut = self.each.iter().filter(|(_, (_, off))| *off > 0.0).map(|(index, _)| *index);
        self.cut_in[self.program].extend(cut);
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
        if !tally.stopped {
            let says = "the program has no end: no M2, M30 or M5 stands after its last motion";
            let help = "Was it cut short? Write it again, and compare the size of the file.";
            self.slip(NOT_ENDED, Severity::Caution, 0, says.to_owned(), help);
        }
        if tally.stopped {
            self.ends_low();
        }
        if let Some(line) = tally.shifted {
            self.left_shifted(line);
        }
        self.not_known();
        self.watch.finished_in_solid(self.program, &mut self.slips);
        self.nothing_cut();
    }

    /// Says that the program ends with its cutter down, beside wood or in it.
    fn ends_low(&mut self) {
        let Some((motion, index)) = self.last else { return };
        let cutter = &self.order.stage.cutters[index];
        let mut around =
            round(&self.timber.cells, motion.to.truncate(), cutter.form.radius + BESIDE_MM);
        let tops = &self.timber.top;
        let low = |cell: usize| {
            tops[cell] > self.timber.floor[cell]
                && f64::from(tops[cell]) > motion.to.z + AT_THE_FACE_MM
        };
        if !around.any(low) {
            return;
        }
        let says = format!(
            "the program ends with {} down in the wood, at Z {:.1} mm",
            cutter.name, motion.to.z
        );
        let help = "Have the path program lift the cutter before it ends.";
        let slip = Slip::new(ENDS_LOW, Severity::Caution, (self.program, motion.line), says, help);
        self.slips.add("", Slip { at: Some(motion.to), ..slip });
    }

    /// Says that a shift of the zero is still in force at the end.
    fn left_shifted(&mut self, line: u32) {
        let next = self.order.names.get(self.program + 1);
        let after = next.map(|name| format!(", so {name} begins with it on most machines"));
        self.slips.amend(self.program, ZERO_SHIFTED, |slip| {
            if slip.line == line {
                slip.says += "; it is still in force at the end";
                slip.says += after.as_deref().unwrap_or_default();
                if after.is_some() {
                    slip.severity = Severity::Fault;
                }
            }
        });
    }

    /// Says which tools stand for no cutter, all at once.
    fn not_known(&mut self) {
        let Some(line) = self.unknown.values().min().copied() else { return };
        let numbers: Vec<u32> = self.unknown.keys().copied().flatten().collect();
        let (says, help) = match &numbers[..] {
            [] => (
                "the program names no tool; nothing is carved".to_owned(),
                "Give its cutter as in --cutter \"ball 1/8\", and have the post processor write T and M6.",
            ),
            [one] => (
                format!("tool {one} is none of the shop's cutters; nothing is carved with it"),
                HOW_TO_NUMBER,
            ),
            all => {
                let all: Vec<String> = all.iter().map(u32::to_string).collect();
                let says = format!(
                    "tools {} are none of the shop's cutters; nothing is carved with them",
                    all.join(", ")
                );
                (says, HOW_TO_NUMBER)
            }
        };
        self.slip(CUTTER_NOT_SAID, Severity::Fault, line, says, help);
    }

    /// Says what cuts nothing: the program, or one of its cutters. The holes of pins don't count.
    fn nothing_cut(&mut self) {
        // What was not run could have cut.
        let unsure = [&[CUTTER_NOT_SAID][..], crate::program::CODES].concat();
        let unsure: Vec<Code> =
            unsure.into_iter().filter(|code| !ONLY_SAID.contains(code)).collect();
        if self.slips.has(self.program, &unsure) {
            return;
        }
        let help = "Check the zero, the unit, and that it is of this setup. Or was it run already?";
        let idle: Vec<usize> =
            self.each.iter().filter(|(_, (_, off))| *off <= 0.0).map(|(index, _)| *index).collect();
        if idle.len() == self.each.len() {
            // What only bores pins is as it is meant to be.
            if !self.each.is_empty() || !self.bores {
                let says = "the program cuts no wood".to_owned();
                self.slip(NOTHING_CUT, Severity::Fault, 0, says, help);
            }
            return;
        }
        let told: Vec<String> = self
            .slips
            .keys(self.program, &[CUTTER_WITHOUT_PASS])
            .into_iter()
            .map(str::to_owned)
            .collect();
        for index in idle {
            let name = self.order.stage.cutters[index].name.clone();
            if told.contains(&name) {
                continue;
            }
            let says = format!("nothing is cut with {name} in this program");
            let slip = Slip::new(NOTHING_CUT, Severity::Caution, (self.program, 0), says, help);
            self.slips.add(&name, slip);
        }
    }
}
