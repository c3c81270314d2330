//! Carves all programs again with their causes put right: what is gone then comes of them, and what stays doesn't.
//!
//! A crash must not be hidden under another program's cause, or under one of its own that it doesn't come of.

use super::causes::ToldCause;
use super::codes::{
    CUTTER_NOT_SAID, FINISH_IN_SOLID, FOLLOWS, INTO_CLAMP, RAPID_IN_WOOD, SPOILS, WRONG_CUTTER,
    WRONG_PACKET, WRONG_POSITION, WRONG_SIDE,
};
use super::judged::judged;
use super::remedy::Remedy;
use super::replay::RehearsalOrder;
use super::slips::{Slip, Slips};
use crate::finding::Code;
use crate::program::PassedOver;
use std::io;

/// What no running again can put right: the program is another one.
const OTHER: [Code; 2] = [WRONG_SIDE, WRONG_PACKET];

/// What is told all the same of a program that is only taken to be of another packet.
const CRASHES: [Code; 2] = [INTO_CLAMP, RAPID_IN_WOOD];

/// How much of what spoils the piece may be left when the right cutter is in, as a share and in mm.
const SPOILED: f64 = 0.3;
const SPOILED_MM: f64 = 0.1;

/// Marks what comes of the causes that are told.
///
/// # Errors
/// When a program can't be read.
pub(super) fn settle(
    order: &RehearsalOrder<'_>,
    mut told: Vec<ToldCause>,
    out: &mut Slips,
) -> io::Result<()> {
    loop {
        let remedies = remedies(order.programs, &told, out);
        if remedies.iter().all(|remedy| *remedy == Remedy::NONE) {
            break;
        }
        let again = judged(order, &remedies)?;
        // A program that was only taken to share a cause must be better for it.
        let mut dropped = false;
        for cause in told.iter_mut().filter(|cause| cause.named.remedy != Remedy::NONE) {
            let better = |program: &usize| betters(*program, out, &again.slips);
            let worse: Vec<usize> =
                cause.guessed.iter().copied().filter(|program| !better(program)).collect();
            if !worse.is_empty() {
                dropped = true;
                cause.guessed.retain(|program| !worse.contains(program));
                cause.also.retain(|program| !worse.contains(program));
            }
        }
        // With the right cutter the piece is not spoiled.
        told.retain(|cause| {
            let named = &cause.named;
            let spoils = |slips: &Slips| {
                let own = slips.of(named.program).filter(|slip| SPOILS.contains(&slip.code));
                own.map(|slip| slip.amount).fold(0.0, f64::max)
            };
            let cures = spoils(&again.slips) <= SPOILED * spoils(out) + SPOILED_MM;
            if named.code == WRONG_CUTTER && !cures {
                out.remove(named.program, WRONG_CUTTER);
                dropped = true;
            }
            named.code != WRONG_CUTTER || cures
        });
        if dropped {
            continue;
        }
        out.explain(&again.slips, &remedies);
        break;
    }
    for cause in &told {
        let mut also = cause.also.clone();
        also.sort_unstable();
        out.amend(cause.named.program, cause.named.code, |slip| slip.also.clone_from(&also));
    }
    of_other_programs(order.programs, &told, out);
    Ok(())
}

/// Each program's remedy.
fn remedies(programs: usize, told: &[ToldCause], out: &Slips) -> Vec<Remedy> {
    let one = |program: usize| {
        let own = told.iter().filter(|cause| cause.is_of(program));
        let mut remedy = own.fold(Remedy::NONE, |all, cause| all.and(&cause.named.remedy));
        remedy.own_position |= out.has(program, &[WRONG_POSITION]);
        // A G92 that is tied to what comes after it; one that shifts a zero is put right with that.
        let shifts = out.of(program).any(|slip| slip.cause);
        remedy.and(&Remedy { over: PassedOver { shifts, steps: false }, ..Remedy::NONE })
    };
    (0..programs).map(one).collect()
}

/// Whether a program does less harm when it is put right, and none that it didn't do before.
fn betters(program: usize, before: &Slips, after: &Slips) -> bool {
    let harms =
        |slips: &Slips| -> Vec<Code> { slips.harms(program).map(|slip| slip.code).collect() };
    let (before, after) = (harms(before), harms(after));
    after.len() < before.len() && after.iter().all(|code| before.contains(code))
}

/// Marks what comes of programs that are others than they should be, or that were not carved.
fn of_other_programs(programs: usize, told: &[ToldCause], out: &mut Slips) {
    let mut missing = false;
    for program in 0..programs {
        if missing {
            out.mark(program, |slip| slip.code == FINISH_IN_SOLID);
        }
        missing |= out.has(program, &[CUTTER_NOT_SAID]);
        for cause in told.iter().filter(|cause| cause.is_of(program)) {
            let code = cause.named.code;
            if !OTHER.contains(&code) {
                continue;
            }
            missing = true;
            let guessed = cause.guessed.contains(&program);
            let crash = |slip: &Slip| guessed && CRASHES.contains(&slip.code);
            out.mark(program, |slip| {
                (FOLLOWS.contains(&slip.code) && !crash(slip))
                    || (code == WRONG_SIDE && slip.code == WRONG_POSITION)
            });
        }
    }
}
