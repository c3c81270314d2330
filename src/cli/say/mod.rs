//! What is said, and where: the report of a run, standard output, standard error.

mod json;
mod table;
mod text;

pub(super) use text::at_blanks;

use super::args::Input;
use crate::check::Checks;
use crate::finding::Spans;
use crate::finding::{Finding, Findings, Severity, Source};
use std::cell::Cell;
use std::collections::BTreeMap;
use std::io::{self, IsTerminal, Write};
use std::ops::Range;

/// The two streams, and how they want to be written to.
pub(super) struct Console {
    /// Colour and drawn lines on standard error.
    fancy: bool,
    /// Progress on standard error.
    lively: bool,
    /// Columns of the terminal.
    width: usize,
    /// Whether a line of progress stands there now.
    busy: Cell<bool>,
}

impl Console {
    /// As the surroundings ask: plain when not on a terminal, on one that can't draw, or where
    /// `NO_COLOR` is set and not empty (no-color.org).
    pub(super) fn of_this_process() -> Console {
        let set = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
        let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
        let terminal = io::stderr().is_terminal() && !dumb;
        let columns = std::env::var("COLUMNS").ok().and_then(|text| text.parse().ok());
        Console {
            fancy: terminal && !set("NO_COLOR"),
            lively: terminal,
            // Longer lines are hard to read, shorter ones leave no room for the snippet.
            width: columns.unwrap_or(80).clamp(40, 100),
            busy: Cell::new(false),
        }
    }

    /// Writes to standard output.
    pub(super) fn out(&self, text: &str) {
        self.progress_done();
        let mut to = io::stdout().lock();
        if let Err(error) = to.write_all(text.as_bytes()).and_then(|()| to.flush())
            && error.kind() != io::ErrorKind::BrokenPipe
        {
            self.err(&format!("could not write to standard output: {error}\n"));
        }
    }

    /// Writes to standard error. There is nowhere to complain if that fails.
    pub(super) fn err(&self, text: &str) {
        self.progress_done();
        let _ = io::stderr().lock().write_all(text::harmless(text).as_bytes());
    }

    /// Shows what is going on, to a person who is there to see it.
    pub(super) fn progress(&self, what: &str) {
        if self.lively {
            let _ = write!(io::stderr().lock(), "\r\x1b[K{what} ...");
            self.busy.set(true);
        }
    }

    /// Takes the line of progress away.
    pub(super) fn progress_done(&self) {
        if self.busy.replace(false) {
            let _ = write!(io::stderr().lock(), "\r\x1b[K");
        }
    }

    /// Says all of a report: for people on standard error, or as JSON on standard output.
    pub(super) fn report(&self, report: &Report<'_>, as_json: bool) {
        if as_json {
            self.out(&if report.whole { json::checks(report) } else { json::findings(report) });
        } else {
            self.progress_done();
            let mut text = text::report(report, self.fancy, self.width);
            let looked = report.checks.iter().filter(|_| report.whole);
            let tables = looked.map(|(piece, checks)| {
                let title =
                    if report.checks.len() > 1 { format!("{piece}\n") } else { String::new() };
                title + &table::table(&checks.rows, self.fancy, self.width)
            });
            text.insert_str(0, &tables.collect::<String>());
            let _ = io::stderr().lock().write_all(text.as_bytes());
        }
    }
}

/// The findings of a run, with the texts that they point into.
pub(super) struct Report<'a> {
    input: &'a Input,
    /// By file; of several designs by piece.
    texts: BTreeMap<(Source, usize), (String, Option<Spans>)>,
    pub(super) findings: Findings,
    /// By piece: its name, and what the rules say.
    checks: Vec<(String, Checks)>,
    /// Whether that is shown.
    whole: bool,
    closing: String,
}

impl<'a> Report<'a> {
    pub(super) fn new(input: &'a Input) -> Report<'a> {
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
    pub(super) fn read(
        &mut self,
        source: Source,
        piece: usize,
        text: String,
        spans: Option<Spans>,
    ) {
        self.texts.insert((source, piece), (text, spans));
    }

    /// Has the table of the rules said, too.
    pub(super) fn whole(&mut self) {
        self.whole = true;
    }

    /// Keeps what the rules say of a piece, for the table.
    pub(super) fn checked(&mut self, piece: String, checks: Checks) {
        self.checks.push((text::harmless(&piece), checks));
    }

    /// What the last line says; "nothing written" if this is never called.
    pub(super) fn close(&mut self, closing: impl Into<String>) {
        self.closing = closing.into();
    }

    /// The path of a file as the maker gave it.
    fn path(&self, source: Source, finding: &Finding) -> String {
        text::harmless(&self.input.path(source, self.piece(finding)).display().to_string())
    }

    /// The piece that a finding is about, the first when it is about none in particular.
    fn piece(&self, finding: &Finding) -> usize {
        finding.piece.unwrap_or(0)
    }

    /// The design file of the piece that a finding is about, when it is one of several and the
    /// finding does not point there anyway.
    fn of_piece(&self, finding: &Finding) -> Option<String> {
        let there = finding.place.as_ref().is_some_and(|place| place.source == Source::Design);
        let piece = finding.piece.filter(|_| !there && self.input.designs.len() > 1)?;
        Some(text::harmless(&self.input.path(Source::Design, piece).display().to_string()))
    }

    /// Where a finding points: the file's text and the bytes in it.
    fn place(&self, finding: &Finding) -> Option<(&str, Range<usize>)> {
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
    fn last_line(&self) -> String {
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
        let closing = text::harmless(&self.closing);
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
fn line_column(text: &str, at: usize) -> (usize, usize) {
    let before = &text[..floor(text, at)];
    let line = before.rsplit('\n').next().unwrap_or_default();
    (1 + before.matches('\n').count(), 1 + line.chars().count())
}

#[cfg(test)]
mod tests;
