//! The report of a run.

use super::super::args::Input;
use super::harmless::harmless;
use crate::check::Checks;
use crate::finding::{Finding, Findings, Place, Severity, Source, Spans};
use crate::params::unit_of_shop;
use crate::units::Unit;
use std::collections::BTreeMap;
use std::ops::Range;

/// The findings of a run, with the texts that they point into.
pub(in crate::cli) struct Report<'a> {
    pub(super) input: &'a Input,
    /// By file; of several designs by piece.
    texts: BTreeMap<(Source, usize), (String, Option<Spans>)>,
    pub(in crate::cli) findings: Findings,
    /// By piece: its name, and what the rules say.
    pub(super) checks: Vec<(String, Checks)>,
    /// Whether that is shown.
    pub(super) whole: bool,
    closing: String,
}

impl<'a> Report<'a> {
    pub(in crate::cli) fn new(input: &'a Input) -> Report<'a> {
        Report {
            input,
            texts: BTreeMap::new(),
            findings: Findings::new(),
            checks: Vec::new(),
            whole: false,
            closing: "nothing written".to_owned(),
        }
    }

    /// Keeps the text of a file that was read, and where its keys are.
    pub(in crate::cli) fn read(
        &mut self,
        source: Source,
        piece: usize,
        text: String,
        spans: Option<Spans>,
    ) {
        self.texts.insert((source, piece), (text, spans));
    }

    /// Turns what was found in the files into the unit that the shop's file asks for. Once, when all
    /// are read; what the plan finds comes in that unit.
    pub(in crate::cli) fn told_in_shops_unit(&mut self) {
        self.findings.told_in(self.shops_unit());
    }

    /// The unit that the shop's file asks for; millimetres when there is none.
    pub(in crate::cli) fn shops_unit(&self) -> Unit {
        let shop = self.texts.get(&(Source::Shop, 0));
        shop.map_or(Unit::Millimetre, |(text, _)| unit_of_shop(text))
    }

    /// The unit of the value that a place names, in a file that was read.
    pub(in crate::cli) fn unit_at(&self, place: &Place, piece: Option<usize>) -> Option<Unit> {
        let piece = piece.filter(|_| place.source == Source::Design).unwrap_or(0);
        let (_, spans) = self.texts.get(&(place.source, piece))?;
        Some(spans.as_ref()?.unit(&place.key))
    }

    /// Has the table of the rules said, too.
    pub(in crate::cli) fn whole(&mut self) {
        self.whole = true;
    }

    /// Keeps what the rules say of a piece, for the table.
    pub(in crate::cli) fn checked(&mut self, piece: String, checks: Checks) {
        self.checks.push((harmless(&piece), checks));
    }

    /// What the last line says; "nothing written" if this is never called.
    pub(in crate::cli) fn close(&mut self, closing: impl Into<String>) {
        self.closing = closing.into();
    }

    /// The path of a file as the maker gave it.
    pub(super) fn path(&self, source: Source, finding: &Finding) -> String {
        harmless(&self.input.path(source, self.piece(finding)).display().to_string())
    }

    /// The piece that a finding is about, the first when it is about none in particular.
    pub(super) fn piece(&self, finding: &Finding) -> usize {
        finding.piece.unwrap_or(0)
    }

    /// The design file of the piece that a finding is about, when it is one of several and the
    /// finding does not point there anyway.
    pub(super) fn of_piece(&self, finding: &Finding) -> Option<String> {
        let there = finding.place.as_ref().is_some_and(|place| place.source == Source::Design);
        let piece = finding.piece.filter(|_| !there && self.input.designs.len() > 1)?;
        Some(harmless(&self.input.path(Source::Design, piece).display().to_string()))
    }

    /// Where a finding points: the file's text and the bytes in it.
    pub(super) fn place(&self, finding: &Finding) -> Option<(&str, Range<usize>)> {
        let place = finding.place.as_ref()?;
        let piece = if place.source == Source::Design { self.piece(finding) } else { 0 };
        let (text, spans) = self.texts.get(&(place.source, piece))?;
        let span = place
            .span
            .clone()
            .or_else(|| spans.as_ref().and_then(|spans| spans.get(&place.key)))?;
        let start = floor(text, span.start);
        Some((text, start..floor(text, span.end).max(start)))
    }

    /// Such as `2 faults, 1 caution; nothing written`.
    pub(super) fn last_line(&self) -> String {
        let count = |severity| {
            let open = self.findings.iter().filter(|f| f.accepted.is_none());
            open.filter(|f| f.severity == severity).count()
        };
        let mut counted: Vec<String> = [Severity::Fault, Severity::Caution]
            .into_iter()
            .filter_map(|severity| match count(severity) {
                0 => None,
                1 => Some(format!("1 {}", severity.name())),
                many => Some(format!("{many} {}s", severity.name())),
            })
            .collect();
        let accepted = self.findings.iter().filter(|f| f.accepted.is_some()).count();
        if accepted > 0 {
            counted.push(format!("{accepted} accepted"));
        }
        let closing = harmless(&self.closing);
        if counted.is_empty() { closing } else { format!("{}; {closing}", counted.join(", ")) }
    }
}

/// The last place at or before `at` where a character begins.
fn floor(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// Line and column of a byte, both from 1; the column counts characters.
pub(super) fn line_column(text: &str, at: usize) -> (usize, usize) {
    let before = &text[..floor(text, at)];
    let line = before.rsplit('\n').next().unwrap_or_default();
    (1 + before.matches('\n').count(), 1 + line.chars().count())
}
