//! What a rehearsal has to say: slips of a program, the most harmful first.

use super::codes::{
    BELOW_SKIRT, FOLLOWS, INTO_BED, INTO_CLAMP, INTO_DOWEL, INTO_PIECE, INTO_TAB, OF_A_CUTTER,
    OUT_OF_ORDER, PAST_LIMIT, RAPID_IN_WOOD,
};
use super::remedy::Remedy;
use super::stage::StagedSetup;
use crate::finding::{Code, Severity};
use crate::program::{RULE_BROKEN, Remark};
use crate::units::plain;
use glam::{DVec2, DVec3};
use std::collections::BTreeMap;

/// A slip of a program.
#[derive(Clone, Debug, PartialEq)]
pub struct Slip {
    /// What kind.
    pub code: Code,
    /// How grave.
    pub severity: Severity,
    /// Which of the programs, from 0.
    pub program: usize,
    /// The first line that has it; 0 for the whole program.
    pub line: u32,
    /// The line where it is worst.
    pub worst_line: u32,
    /// What is wrong there, in one sentence.
    pub says: String,
    /// What to do.
    pub help: &'static str,
    /// Where it is worst, in the setup's frame, in mm.
    pub at: Option<DVec3>,
    /// By how much, in mm or the unit that `says` has.
    pub amount: f64,
    /// How many lines have it.
    pub times: u64,
    /// Other programs that it is told of, too.
    pub also: Vec<usize>,
    /// Whether it explains what comes after it in its program, though its kind mostly doesn't.
    pub cause: bool,
    /// Whether it comes of a cause that is told: it is gone when all is carved again with that put right.
    pub explained: bool,
}

/// The program of a slip that none of the programs has made.
pub const NO_PROGRAM: usize = usize::MAX;

/// All slips of one kind and program are one, so that a program that is wrong all through fills no
/// more than a page.
#[derive(Clone, Debug, Default)]
pub struct Slips {
    /// Each with the last line that had it.
    known: BTreeMap<(usize, Code, String), (Slip, u32)>,
}

/// A shift is found to a tenth, so a little is left when it is put right: so much of a crash, so much of the rest and
/// that share of it, in mm.
const LITTLE_CRASH_MM: f64 = 0.2;
const LITTLE_MM: f64 = 0.15;
const LITTLE: f64 = 0.3;

/// What of a slip is no more than how exactly its cause was found.
fn little(code: Code, amount: f64) -> f64 {
    match code {
        _ if [INTO_CLAMP, RAPID_IN_WOOD, INTO_BED, INTO_DOWEL].contains(&code) => LITTLE_CRASH_MM,
        _ if [INTO_PIECE, INTO_TAB, PAST_LIMIT, BELOW_SKIRT].contains(&code) => {
            LITTLE_MM + LITTLE * amount
        }
        _ => 0.0,
    }
}

/// How a work position is told that isn't the setup's own; by these words it is known again.
pub(super) fn runs_at(position: &str) -> String {
    format!("runs at {position}")
}

/// Remarks of one kind that are told one by one; more are counted with the last.
const REMARKS_MOST: usize = 20;

impl Slips {
    /// Adds a slip of a motion. `key` tells apart what is told by itself, such as cutters. A line may have
    /// it many times, with the motions of a cycle or the places along one of them: it counts once.
    pub fn add(&mut self, key: &str, slip: Slip) {
        let place = (slip.program, slip.code, key.to_owned());
        match self.known.get_mut(&place) {
            None => {
                let line = slip.line;
                self.known.insert(place, (slip, line));
            }
            Some((known, last)) => {
                if *last != slip.line {
                    (known.times, *last) = (known.times + 1, slip.line);
                }
                if slip.amount > known.amount {
                    let (line, times) = (known.line, known.times);
                    *known = Slip { line, times, ..slip };
                }
            }
        }
    }

    /// Adds a remark on the text.
    pub fn remark(&mut self, program: usize, remark: Remark) {
        let alike =
            |(one, code, _): &&(usize, Code, String)| *one == program && *code == remark.code;
        // Of what breaks a rule by an amount, the amount tells nothing apart.
        let key = if remark.code == RULE_BROKEN && remark.says.contains(" mm") {
            remark.says.chars().filter(|letter| !letter.is_ascii_digit()).collect()
        } else {
            remark.says.clone()
        };
        let full = self.known.keys().filter(alike).count() >= REMARKS_MOST;
        let new = !self.known.contains_key(&(program, remark.code, key.clone()));
        let key = if full && new { String::new() } else { key };
        let line = remark.line;
        self.add(
            &key,
            Slip::new(remark.code, remark.severity, (program, line), remark.says, remark.help),
        );
    }

    /// Forgets all that was said of a program.
    pub fn forget(&mut self, program: usize) {
        self.known.retain(|(one, ..), _| *one != program);
    }

    /// Whether a program has one of these.
    pub fn has(&self, program: usize, codes: &[Code]) -> bool {
        self.known.keys().any(|(one, code, _)| *one == program && codes.contains(code))
    }

    /// What tells apart those of a program that have one of these codes, such as the cutters.
    pub fn keys(&self, program: usize, codes: &[Code]) -> Vec<&str> {
        let own =
            self.known.keys().filter(|(one, code, _)| *one == program && codes.contains(code));
        own.map(|(.., key)| key.as_str()).collect()
    }

    /// Takes out those of a program with a code.
    pub fn remove(&mut self, program: usize, code: Code) {
        self.known.retain(|(one, own, _), _| (*one, *own) != (program, code));
    }

    /// All of a program.
    pub fn of(&self, program: usize) -> impl Iterator<Item = &Slip> {
        let own = self.known.iter().filter(move |((one, ..), _)| *one == program);
        own.map(|(_, (slip, _))| slip)
    }

    /// What a program does harm by, of what may come of a cause.
    pub(super) fn harms(&self, program: usize) -> impl Iterator<Item = &Slip> {
        let harms = |slip: &&Slip| slip.severity == Severity::Fault && FOLLOWS.contains(&slip.code);
        self.of(program).filter(harms)
    }

    /// Changes those of a program with a code.
    pub fn amend(&mut self, program: usize, code: Code, change: impl Fn(&mut Slip)) {
        let own =
            self.known.iter_mut().filter(|((one, own, _), _)| *one == program && *own == code);
        own.for_each(|(_, (slip, _))| change(slip));
    }

    /// Marks those of a program that come of a cause.
    pub fn mark(&mut self, program: usize, comes: impl Fn(&Slip) -> bool) {
        let own = self.known.iter_mut().filter(|((one, ..), _)| *one == program);
        own.filter(|(_, (slip, _))| comes(slip)).for_each(|(_, (slip, _))| slip.explained = true);
    }

    /// Marks what is gone, or next to gone, when all programs are run again as their remedies have it. What is left
    /// then is told as it is then, for that it does all the same.
    pub(super) fn explain(&mut self, again: &Slips, remedies: &[Remedy]) {
        let none = Remedy::NONE;
        for ((program, code, key), (slip, _)) in &mut self.known {
            if slip.is_cause() || ![FOLLOWS, OF_A_CUTTER, &[OUT_OF_ORDER]].concat().contains(code) {
                continue;
            }
            let remedy = remedies.get(*program).unwrap_or(&none);
            // With another cutter it is told of that one.
            let same = |(one, own, name): &(usize, Code, String)| {
                (one, own) == (program, code) && (name == key || !remedy.instead.is_empty())
            };
            let left =
                again.known.iter().filter(|(place, _)| same(place)).map(|(_, (left, _))| left);
            let left = left.max_by(|a, b| a.amount.total_cmp(&b.amount));
            let Some(left) = left else {
                slip.explained = true;
                continue;
            };
            slip.explained =
                left.severity > slip.severity || left.amount < little(*code, slip.amount);
            if !slip.explained && *remedy != Remedy::NONE && remedy.is_shift() && left.line > 0 {
                let says = format!("{}, with the cause put right, too", left.says);
                *slip = Slip { says, ..left.clone() };
            }
        }
    }

    /// All, the most harmful first.
    pub fn sorted(self) -> Vec<Slip> {
        let mut all: Vec<Slip> = self.known.into_values().map(|(slip, _)| slip).collect();
        let harm = |slip: &Slip| super::codes::in_order().position(|code| code == slip.code);
        all.sort_by_key(|slip| {
            (slip.severity, harm(slip).unwrap_or(usize::MAX), slip.program, slip.line)
        });
        all
    }
}

impl Slip {
    /// Of a program as a whole, or of a line of it.
    pub fn new(
        code: Code,
        severity: Severity,
        (program, line): (usize, u32),
        says: String,
        help: &'static str,
    ) -> Slip {
        Slip {
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
            also: Vec::new(),
            cause: false,
            explained: false,
        }
    }

    /// Whether it is what explains the rest of its program.
    pub fn is_cause(&self) -> bool {
        self.cause || super::codes::CAUSES.contains(&self.code)
    }

    /// Whether it is told of a program.
    pub fn is_of(&self, program: usize) -> bool {
        self.program == program || self.also.contains(&program)
    }

    /// The programs that it is told of, by their names.
    pub fn programs<'a>(&self, names: &'a [String]) -> Vec<&'a str> {
        let mut all: Vec<usize> =
            std::iter::once(self.program).chain(self.also.iter().copied()).collect();
        all.sort_unstable();
        all.into_iter().filter_map(|program| names.get(program)).map(String::as_str).collect()
    }

    /// Where it is on the board, from its front left corner with its top up, in mm.
    pub fn on_board(&self, stage: &StagedSetup) -> Option<DVec2> {
        self.at.map(|at| on_board(stage, at))
    }

    /// Where it is on a piece: which of them, along it and to its left, in mm; none beside all.
    pub fn on_piece(&self, stage: &StagedSetup) -> Option<(usize, DVec2)> {
        on_piece(stage, self.at?)
    }

    /// Where it is, in words: on the board, and on the piece.
    pub fn place(&self, stage: &StagedSetup) -> Option<String> {
        self.at.map(|at| place(stage, at))
    }
}

fn on_board(stage: &StagedSetup, at: DVec3) -> DVec2 {
    stage.to_board.transform_point3(at).truncate()
}

fn on_piece(stage: &StagedSetup, at: DVec3) -> Option<(usize, DVec2)> {
    let on = |piece: &super::stage::StagePiece| {
        piece.outline.iter().any(|o| o.away(at.truncate(), 1.0) < 1.0)
    };
    let index = stage.pieces.iter().position(on)?;
    Some((index, stage.pieces[index].to_design.transform_point3(at).truncate()))
}

/// A place of the setup's frame in words: on the board, and on the piece.
pub(super) fn place(stage: &StagedSetup, at: DVec3) -> String {
    let shown = |p: DVec2| format!("{}, {} mm", plain(p.x, 1), plain(p.y, 1));
    let place = on_board(stage, at);
    let beside = place.cmplt(DVec2::ZERO).any() || place.cmpgt(stage.size).any();
    let on = if beside { "from the board's corner, beside the board" } else { "on the board" };
    let mut words = format!("{} {on}", shown(place));
    if let Some((index, on)) = on_piece(stage, at) {
        let side = if on.y < 0.0 { "right" } else { "left" };
        let name = &stage.pieces[index].name;
        let (along, off) = (plain(on.x, 1), plain(on.y.abs(), 1));
        words += &format!("; {along} mm along {name}, {off} mm to its {side}");
    }
    words
}
