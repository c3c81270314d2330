//! What explains the programs of one job together: the same cause is said once, a guess gives way to what is more
//! certain, and a cause is taken to be that of programs too small to be judged by themselves.

use super::codes::{
    FOLLOWS, INTO_PIECE, INTO_TAB, PAST_LIMIT, PIN_HOLE, WRONG_PACKET, WRONG_POSITION, WRONG_SIDE,
    ZERO_OFF,
};
use super::guesses::guesses;
use super::limit::CutterLimit;
use super::remedy::Remedy;
use super::replay::{RehearsalOrder, each_feed};
use super::slips::{Slip, Slips, runs_at};
use crate::finding::{Code, Severity};
use crate::program::ZERO_SHIFTED;
use glam::{DAffine3, DVec3};
use std::collections::BTreeMap;
use std::io;

/// What was found to explain one program.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct NamedCause {
    pub(super) program: usize,
    pub(super) code: Code,
    pub(super) says: String,
    /// What puts it right.
    pub(super) remedy: Remedy,
    /// Whether the program only roughs: what that leaves is uneven, so it tells less.
    pub(super) roughs: bool,
}

/// A cause as it is told.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct ToldCause {
    pub(super) named: NamedCause,
    /// Other programs that have it.
    pub(super) also: Vec<usize>,
    /// Those of them that are only taken to have it.
    pub(super) guessed: Vec<usize>,
}

impl ToldCause {
    /// Whether it is told of a program.
    pub(super) fn is_of(&self, program: usize) -> bool {
        self.named.program == program || self.also.contains(&program)
    }
}

/// Zeros that are off by so little more or less than each other are off by the same, in mm; of roughing the second.
const SAME_MM: f64 = 0.25;
const SAME_ROUGH_MM: f64 = 0.7;

/// A program keeps to its limits when no more than this share of its cuts are outside.
const OUTSIDE: f64 = 0.02;

/// A tip this little outside its limit is at it, in mm: the shift is found to a tenth.
const NEAR_MM: f64 = 0.4;

impl NamedCause {
    fn is_same(&self, other: &NamedCause) -> bool {
        if self.code != other.code {
            return false;
        }
        if self.code == WRONG_PACKET || self.says == other.says {
            return true;
        }
        let apart =
            (self.remedy.map.translation - other.remedy.map.translation).abs().max_element();
        let near = if self.roughs || other.roughs { SAME_ROUGH_MM } else { SAME_MM };
        self.code == ZERO_OFF && apart < near
    }
}

/// Brings together what was found of the programs one by one. `lie` are those whose own surface lies where it should.
///
/// # Errors
/// When a program can't be read.
pub(super) fn bring_together(
    order: &RehearsalOrder<'_>,
    mut named: Vec<NamedCause>,
    lie: &[usize],
    out: &mut Slips,
) -> io::Result<Vec<ToldCause>> {
    // The more certain first.
    named.sort_by_key(|cause| (cause.roughs, cause.program));
    if named.iter().any(|cause| cause.code == WRONG_PACKET && !cause.roughs) {
        for guess in named.iter_mut().filter(|cause| cause.roughs && cause.code == ZERO_OFF) {
            guess.code = WRONG_PACKET;
            out.remove(guess.program, ZERO_OFF);
        }
    }
    let mut told: Vec<ToldCause> = Vec::new();
    for cause in named {
        match told.iter_mut().find(|first| first.named.is_same(&cause)) {
            Some(first) => {
                out.remove(cause.program, cause.code);
                first.also.push(cause.program);
            }
            None => told.push(ToldCause { named: cause, also: Vec::new(), guessed: Vec::new() }),
        }
    }
    let known: Vec<usize> =
        told.iter().flat_map(|cause| [&[cause.named.program], &cause.also[..]].concat()).collect();
    let moved = |cause: &&mut ToldCause| cause.named.remedy.map != DAffine3::IDENTITY;
    for program in (0..order.programs).filter(|program| !known.contains(program)) {
        // What runs at the other setup's position is of that setup, when others are.
        let others = stage_of_the_other(order, program, out);
        let side = |cause: &&mut ToldCause| cause.named.code == WRONG_SIDE;
        if others
            && !lie.contains(&program)
            && let Some(cause) = told.iter_mut().find(side)
        {
            cause.also.push(program);
            continue;
        }
        if lie.contains(&program) || out.harms(program).next().is_none() {
            continue;
        }
        for cause in told.iter_mut().filter(moved) {
            if fits_so(order, program, &cause.named.remedy.map)? {
                cause.also.push(program);
                cause.guessed.push(program);
                break;
            }
        }
        if out.has(program, &[PIN_HOLE])
            && !told.iter().any(|cause| cause.is_of(program))
            && let Some(cause) = misplaced_holes(order, program, out)?
        {
            told.push(cause);
            continue;
        }
        // What is of another packet is so as a whole.
        let whole =
            |cause: &&mut ToldCause| cause.named.code == WRONG_PACKET && !cause.named.roughs;
        if out.has(program, &[INTO_PIECE, INTO_TAB, PAST_LIMIT])
            && let Some(cause) = told.iter_mut().find(whole)
        {
            cause.also.push(program);
            cause.guessed.push(program);
        }
    }
    one_of_alike(order.programs, WRONG_POSITION, out);
    Ok(told)
}

/// What explains holes in wrong places: one of the usual mistakes that brings all of them to the pins.
fn misplaced_holes(
    order: &RehearsalOrder<'_>,
    program: usize,
    out: &mut Slips,
) -> io::Result<Option<ToldCause>> {
    for guess in guesses(order).into_iter().filter(|guess| !guess.other_side) {
        if fits_so(order, program, &guess.map)? {
            let says = format!("most likely {}", guess.says);
            let (code, at) = (guess.code, (program, 0));
            out.add("", Slip::new(code, Severity::Fault, at, says.clone(), guess.help));
            let remedy = guess.remedy();
            let named = NamedCause { program, code, says, remedy, roughs: false };
            return Ok(Some(ToldCause { named, also: Vec::new(), guessed: Vec::new() }));
        }
    }
    Ok(None)
}

/// Whether a program runs at the position of the other setup.
fn stage_of_the_other(order: &RehearsalOrder<'_>, program: usize, out: &Slips) -> bool {
    let Some(word) = order.stage.other_word.as_deref() else { return false };
    let says = runs_at(word) + ",";
    out.of(program).any(|slip| slip.code == WRONG_POSITION && slip.says.contains(&says))
}

/// Tells once what several programs have alike.
fn one_of_alike(programs: usize, code: Code, out: &mut Slips) {
    let mut told: Vec<(usize, String, Vec<usize>)> = Vec::new();
    for program in 0..programs {
        let Some(says) =
            out.of(program).find(|slip| slip.code == code).map(|slip| slip.says.clone())
        else {
            continue;
        };
        match told.iter_mut().find(|(_, first, _)| *first == says) {
            Some((.., also)) => {
                also.push(program);
                out.remove(program, code);
            }
            None => told.push((program, says, Vec::new())),
        }
    }
    for (program, _, also) in told {
        out.amend(program, code, |slip| slip.also.clone_from(&also));
    }
}

/// Whether a program keeps to its limits, and to the pins, when it is mapped so, better than it does as it is.
fn fits_so(order: &RehearsalOrder<'_>, program: usize, map: &DAffine3) -> io::Result<bool> {
    let stage = order.stage;
    let top = stage.stock[0] - 0.01;
    let bed = stage.bore.as_ref().map_or(stage.stock[1], |bore| bore.end).min(stage.stock[1]);
    let path = stage.bore.as_ref().map_or(-1.0, |bore| bore.path + NEAR_MM);
    let mut limits: BTreeMap<usize, Option<CutterLimit>> = BTreeMap::new();
    let mut tally = [(0usize, 0usize), (0, 0)];
    let mut low = [f64::INFINITY; 2];
    each_feed(order, program, DVec3::ZERO, &mut |motion, index| {
        let limit = limits
            .entry(index)
            .or_insert_with(|| CutterLimit::of(stage, &stage.cutters[index].name));
        for (way, to) in [motion.to, map.transform_point3(motion.to)].into_iter().enumerate() {
            if to.z >= top {
                continue;
            }
            low[way] = low[way].min(to.z);
            let place = to.truncate();
            let inside = limit.as_ref().is_some_and(|limit| limit.outside(place) <= NEAR_MM)
                || stage.pins.iter().any(|pin| pin.distance(place) <= path);
            tally[way] = (tally[way].0 + 1, tally[way].1 + usize::from(!inside));
        }
    })?;
    let share = |(all, out): (usize, usize)| out as f64 / all.max(1) as f64;
    let plan = map.translation.truncate().length() > NEAR_MM;
    let kept = tally[1].0 > 0 && share(tally[1]) <= OUTSIDE && low[1] >= bed - NEAR_MM;
    Ok(kept && (!plan || share(tally[1]) < share(tally[0])))
}

/// Ties a G92 to what it shifts: what comes after it, when nothing is wrong before it, and the zero that is off.
pub(super) fn tie_shifts(programs: usize, named: &mut Vec<NamedCause>, out: &mut Slips) {
    for program in 0..programs {
        let shifts = out.of(program).filter(|slip| slip.code == ZERO_SHIFTED);
        let Some(line) = shifts.map(|slip| slip.line).min() else { continue };
        let wrong = |slip: &&Slip| slip.line > 0 && FOLLOWS.contains(&slip.code);
        let before = out.of(program).filter(wrong).any(|slip| slip.line < line);
        let after = out.of(program).filter(wrong).any(|slip| slip.severity == Severity::Fault);
        if before || !after {
            continue;
        }
        if out.has(program, &[ZERO_OFF]) {
            let tied = format!("; G92 in line {line} shifts it");
            out.amend(program, ZERO_OFF, |slip| slip.says += &tied);
            continue;
        }
        // That no usual mistake explains it is no news then.
        out.remove(program, WRONG_PACKET);
        named.retain(|cause| (cause.program, cause.code) != (program, WRONG_PACKET));
        if out.of(program).any(Slip::is_cause) {
            continue;
        }
        out.amend(program, ZERO_SHIFTED, |slip| {
            if slip.line == line {
                (slip.cause, slip.severity) = (true, Severity::Fault);
                slip.says += "; what is wrong after that line comes of it";
            }
        });
    }
}
