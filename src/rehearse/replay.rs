//! Runs all programs of a setup, in lots of motions.

use super::stage::StagedSetup;
use super::timber::Timber;
use crate::program::{
    Action, Interpreter, LineTally, Motion, PassedOver, ProgramText, Remark, Zeros,
};
use glam::DVec3;
use std::collections::BTreeMap;
use std::io::{self, BufRead};

/// Opens a program by its number, from the beginning, as often as it is asked.
pub type OpenProgram<'a> = &'a dyn Fn(usize) -> io::Result<Box<dyn BufRead>>;

/// Cutters by the numbers that programs call them; by none, that of programs that name none.
pub type CutterNumbers = BTreeMap<Option<u32>, usize>;

/// What is to be rehearsed.
pub struct RehearsalOrder<'a> {
    /// The setup.
    pub stage: &'a StagedSetup,
    /// Side of a cell, in mm.
    pub cell: f64,
    /// Cutters by their numbers.
    pub cutters: &'a CutterNumbers,
    /// The wood as an earlier setup left it, turned into this one; a flat board if none.
    pub wood: Option<Timber>,
    /// How many programs there are.
    pub programs: usize,
    /// Their names, as they are told.
    pub names: &'a [String],
    /// Opens them.
    pub open: OpenProgram<'a>,
}

/// Runs one program, and says what was read of it.
///
/// # Errors
/// When it can't be read.
pub fn replay(
    text: Box<dyn BufRead>,
    zeros: Zeros,
    over: PassedOver,
    each: &mut dyn FnMut(Result<Action, Remark>),
) -> io::Result<LineTally> {
    let mut text = ProgramText::new(text);
    let mut interpreter = Interpreter::new(zeros).passing(over);
    while let Some((number, line)) = text.next_line()? {
        interpreter.run(number, line, each);
    }
    Ok(interpreter.tally())
}

/// Hands each feed of a program at the setup's own position, moved by `by`, with its cutter.
///
/// # Errors
/// When it can't be read.
pub fn each_feed(
    order: &RehearsalOrder<'_>,
    program: usize,
    by: DVec3,
    each: &mut dyn FnMut(&Motion, usize),
) -> io::Result<()> {
    let mut zeros = zeros(order.stage, true);
    zeros.work = zeros.work.map(|zero| zero + by);
    zeros.unsaid += by;
    replay((order.open)(program)?, zeros, PassedOver::default(), &mut |said| {
        if let Ok(Action::Move(motion)) = said
            && !motion.rapid
            && let Some(index) =
                order.cutters.get(&motion.tool).or_else(|| order.cutters.get(&None))
        {
            each(&motion, *index);
        }
    })?;
    Ok(())
}

/// Names of the work positions.
pub const POSITIONS: [&str; 9] =
    ["G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3"];

/// Where the zeros are in a setup's frame. With `alike` every position is the setup's own.
pub fn zeros(stage: &StagedSetup, alike: bool) -> Zeros {
    let own = stage.word.as_deref();
    let work = POSITIONS.map(|word| {
        let known = stage.positions.iter().find(|(name, _)| name == word && Some(word) != own);
        known.filter(|_| !alike).map_or(DVec3::ZERO, |(_, at)| *at - stage.enter)
    });
    // The top of the travel, with the longest cutter.
    let longest = stage.cutters.iter().map(|cutter| cutter.stick_out).fold(0.0, f64::max);
    let top = match stage.machine.travel {
        Some((travel, nose)) => (nose + travel.z - longest - stage.enter.z).max(stage.safe),
        None => stage.safe + 50.0,
    };
    let home = DVec3::new(-stage.enter.x, -stage.enter.y, top);
    Zeros { work, unsaid: DVec3::ZERO, home, start: home }
}
