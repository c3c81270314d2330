//! Findings: what the tool has to say about a job, as data.
//!
//! A finding names its code, how grave it is, what is wrong, what to do about it, and the key of
//! the file that it is about. Many are collected; `cli` renders them in one place. Nothing here
//! reads a file or prints.

mod fill;
mod hidden;
mod key_words;
mod near;
mod spans;
mod unit;
mod written;

pub use fill::fill;
pub use hidden::{hidden, number_of};
pub use key_words::{key_in_words, keys_in_words};
pub use near::nearest;
pub use spans::Spans;
pub use unit::{only_in, told_in};
pub use written::written_in;

use crate::units::{Length, Unit};
use glam::DVec2;

use std::ops::Range;

/// A kind of finding: its name (kebab-case, stable) and the page that `explain` shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Code {
    /// Stable name, such as `too-tall`.
    pub name: &'static str,
    /// What it means, why it matters, what to do, and what it does not see.
    pub explain: &'static str,
}

/// How grave a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The job can't be made as asked; nothing is written.
    Fault,
    /// The job can be made; the maker should look.
    Caution,
}

impl Severity {
    /// `fault` or `caution`.
    pub const fn name(self) -> &'static str {
        match self {
            Severity::Fault => "fault",
            Severity::Caution => "caution",
        }
    }
}

/// Which of the input files a finding points into.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Source {
    /// The design file.
    Design,
    /// The board file.
    Board,
    /// The shop file.
    Shop,
}

impl Source {
    /// `design`, `board` or `shop`.
    pub const fn name(self) -> &'static str {
        match self {
            Source::Design => "design",
            Source::Board => "board",
            Source::Shop => "shop",
        }
    }
}

/// Where in an input file a finding points.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The file.
    pub source: Source,
    /// Dotted key, such as `bowl.depth` or `handle.width[1].size`; empty for the whole file.
    pub key: String,
    /// Bytes of the file, where known.
    pub span: Option<Range<usize>>,
}

/// Where on the piece a finding is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Along the piece, from the handle's end.
    pub along: Length,
    /// To the left of its middle; negative to the right.
    pub left: Length,
    /// `top` or `bottom`, if it is about one of them.
    pub side: Option<&'static str>,
}

/// One thing to say.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What kind.
    pub code: Code,
    /// How grave.
    pub severity: Severity,
    /// What is wrong, with figures, in one sentence.
    pub message: String,
    /// What to do, in one or two sentences.
    pub help: String,
    /// Where, if it is about a place in a file.
    pub place: Option<Place>,
    /// Why the maker accepts it, if the design file says so. Only a caution can be accepted.
    pub accepted: Option<String>,
    /// Which piece of a set it is about, counted from 0; none when it is about all of them, or
    /// when there is only one.
    pub piece: Option<usize>,
    /// Where on the piece, if it is about a place of it.
    pub spot: Option<Spot>,
    /// The rule that found it, by the name of its row in the table; none for any other room.
    pub rule: Option<&'static str>,
}

impl Finding {
    /// A fault: the job can't be made as asked.
    pub fn fault(code: Code, message: impl Into<String>, help: impl Into<String>) -> Finding {
        Finding {
            code,
            severity: Severity::Fault,
            message: message.into(),
            help: help.into(),
            place: None,
            accepted: None,
            piece: None,
            spot: None,
            rule: None,
        }
    }

    /// A caution: the job can be made, and the maker should look.
    pub fn caution(code: Code, message: impl Into<String>, help: impl Into<String>) -> Finding {
        Finding { severity: Severity::Caution, ..Finding::fault(code, message, help) }
    }

    /// Whether it is about that piece of several, or about all.
    pub fn concerns(&self, piece: Option<usize>) -> bool {
        self.piece.is_none() || self.piece == piece
    }

    /// The same, pointing at a place of the piece: along it and to its left, in mm.
    #[must_use]
    pub fn on(mut self, place: DVec2, side: Option<&'static str>) -> Finding {
        let (along, left) = (Length::mm(place.x), Length::mm(place.y));
        self.spot = Some(Spot { along, left, side });
        self
    }

    /// The same, pointing at a key of a file. The span is looked up later (`Spans`).
    #[must_use]
    pub fn at(mut self, source: Source, key: impl Into<String>) -> Finding {
        self.place = Some(Place { source, key: key.into(), span: None });
        self
    }

    /// The same, pointing at bytes of a file.
    #[must_use]
    pub fn at_span(
        mut self,
        source: Source,
        key: impl Into<String>,
        span: Range<usize>,
    ) -> Finding {
        self.place = Some(Place { source, key: key.into(), span: Some(span) });
        self
    }
}

/// The sink into which everything that has something to say says it; findings stay in the order in
/// which they were made.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Findings {
    all: Vec<Finding>,
    /// Which piece of several everything is about that is said here.
    piece: Option<usize>,
    /// The rule that is looking.
    rule: Option<&'static str>,
}

impl Findings {
    /// None yet, about no piece in particular.
    pub const fn new() -> Findings {
        Findings::of(None)
    }

    /// None yet, about that piece of several, counted from 0.
    pub const fn of(piece: Option<usize>) -> Findings {
        Findings { all: Vec::new(), piece, rule: None }
    }

    /// From now on it is that rule that is looking.
    pub fn rule(&mut self, rule: &'static str) {
        self.rule = Some(rule);
    }

    /// Adds one.
    pub fn push(&mut self, finding: Finding) {
        let (piece, rule) = (self.piece.or(finding.piece), self.rule.or(finding.rule));
        self.all.push(Finding { piece, rule, ..finding });
    }

    /// Adds all of another's.
    pub fn extend(&mut self, other: Findings) {
        other.all.into_iter().for_each(|finding| self.push(finding));
    }

    /// Adds what was said of one piece of several. What is said of the board or the shop alike for
    /// another piece is kept once, as of all.
    pub fn join(&mut self, of_piece: Findings) {
        for finding in of_piece.all {
            let design = finding.place.as_ref().is_some_and(|at| at.source == Source::Design);
            let alike = |known: &&mut Finding| {
                let piece = finding.piece;
                piece.is_some() && !design && Finding { piece, ..(**known).clone() } == finding
            };
            match self.all.iter_mut().find(alike) {
                Some(known) => known.piece = None,
                None => self.push(finding),
            }
        }
    }

    /// All of them with their lengths in a shop's unit.
    pub fn told_in(&mut self, unit: Unit) {
        for finding in &mut self.all {
            finding.message = told_in(&finding.message, unit);
            finding.help = told_in(&finding.help, unit);
        }
    }

    /// All that point into a file with what they tell to write in the unit of the value there.
    pub fn written_as(&mut self, units: impl Fn(&Place, Option<usize>) -> Option<Unit>) {
        for finding in &mut self.all {
            let unit = finding.place.as_ref().and_then(|place| units(place, finding.piece));
            if let Some(unit) = unit {
                finding.help = written_in(&finding.help, unit);
            }
        }
    }

    /// No more than so many of one code, the first that were said: how many of each were left out.
    pub fn few_of_each(&mut self, most: usize) -> Vec<(Code, Severity, usize)> {
        let mut told: Vec<(Code, Severity, usize)> = Vec::new();
        self.all.retain(|finding| {
            let same = told.iter_mut().find(|(code, ..)| *code == finding.code);
            match same {
                Some((_, worst, count)) => {
                    *count += 1;
                    if *count > most && finding.severity == Severity::Fault {
                        *worst = Severity::Fault;
                    }
                    *count <= most
                }
                None => {
                    told.push((finding.code, finding.severity, 1));
                    true
                }
            }
        });
        told.retain_mut(|(.., count)| {
            *count = count.saturating_sub(most);
            *count > 0
        });
        told
    }

    /// Those about one piece of several, or about none in particular.
    pub fn about(&self, piece: Option<usize>) -> Findings {
        let all = self.all.iter().filter(|finding| finding.piece == piece).cloned().collect();
        Findings { all, ..Findings::of(piece) }
    }

    /// All, in order.
    pub fn iter(&self) -> std::slice::Iter<'_, Finding> {
        self.all.iter()
    }

    /// All, to be changed.
    pub fn iter_mut(&mut self) -> std::slice::IterMut<'_, Finding> {
        self.all.iter_mut()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    /// Whether one of them is a fault.
    pub fn has_fault(&self) -> bool {
        self.all.iter().any(|f| f.severity == Severity::Fault)
    }
}

/// What is said while something is done.
#[cfg(test)]
pub(crate) fn heard<T>(act: impl FnOnce(&mut Findings) -> T) -> (T, Findings) {
    let mut said = Findings::new();
    (act(&mut said), said)
}

impl IntoIterator for Findings {
    type Item = Finding;
    type IntoIter = std::vec::IntoIter<Finding>;

    fn into_iter(self) -> Self::IntoIter {
        self.all.into_iter()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_said_over_and_over_is_counted_and_the_rest_stays_in_order() {
        const OFTEN: Code = Code { name: "often", explain: "" };
        const ONCE: Code = Code { name: "once", explain: "" };
        let mut all = Findings::new();
        for number in 0..7 {
            let said = format!("{number}");
            // The last one is a fault, and is among those that are left out.
            all.push(match number {
                6 => Finding::fault(OFTEN, said, ""),
                _ => Finding::caution(OFTEN, said, ""),
            });
            if number == 1 {
                all.push(Finding::fault(ONCE, "once", ""));
            }
        }
        assert_eq!(all.few_of_each(3), [(OFTEN, Severity::Fault, 4)]);
        let left: Vec<&str> = all.iter().map(|finding| finding.message.as_str()).collect();
        assert_eq!(left, ["0", "1", "once", "2"]);
        assert_eq!(all.few_of_each(3), []);
    }
}
