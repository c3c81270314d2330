//! What a rehearsal has to say: slips of a program, the most harmful first.

use super::codes::{FOLLOWS, OF_A_CUTTER, WRONG_CUTTER};
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

    /// Changes those of a program with a code.
    pub fn amend(&mut self, program: usize, code: Code, change: impl Fn(&mut Slip)) {
        let own =
            self.known.iter_mut().filter(|((one, own, _), _)| *one == program && *own == code);
        own.for_each(|(_, (slip, _))| change(slip));
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

/// Of all slips, whether each comes of what is told of the same program as the cause.
pub fn explained(slips: &[Slip]) -> Vec<bool> {
    let caused = |slip: &Slip| {
        let mut causes = slips.iter().filter(|cause| cause.is_cause() && cause.is_of(slip.program));
        !slip.is_cause() && causes.any(|cause| cause.explains(slip))
    };
    slips.iter().map(caused).collect()
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

    /// Whether another slip of a program that it is told of comes of it, when it is a cause.
    fn explains(&self, slip: &Slip) -> bool {
        let of_the_cutter = self.code == WRONG_CUTTER && OF_A_CUTTER.contains(&slip.code);
        let after = slip.line == 0 || slip.line >= self.line;
        (FOLLOWS.contains(&slip.code) || of_the_cutter) && after
    }

    /// The programs that it is told of, by their names.
    pub fn programs<'a>(&self, names: &'a [String]) -> Vec<&'a str> {
        let all = std::iter::once(self.program).chain(self.also.iter().copied());
        all.filter_map(|program| names.get(program)).map(String::as_str).collect()
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
