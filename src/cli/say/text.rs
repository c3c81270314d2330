//! Findings for people: the one place where they are rendered.
//!
//! Each is a card of rows, a word on the left and the text beside it: what is wrong, where, what to
//! do. Colour only helps to find the word; nothing is lost without it.

use super::colour::{Tint, tint};
use super::harmless::harmless;
use super::report::{Report, line_column};
use crate::finding::{Finding, Severity};
use std::ops::Range;

/// Columns of the words on the left, with the gap: `ACCEPTED` is the longest.
const LEFT: usize = 10;

/// All findings, one after the other, and the closing line.
pub(super) fn report(report: &Report<'_>, fancy: bool, width: usize) -> String {
    let mut out = String::new();
    for finding in report.findings.iter() {
        out += &card(report, finding, fancy, width.saturating_sub(LEFT));
        out.push('\n');
    }
    out.push_str(&report.last_line());
    out.push('\n');
    out
}

/// Lines of at most so many columns, broken at blanks alone.
pub(in crate::cli) fn at_blanks(columns: usize) -> textwrap::Options<'static> {
    textwrap::Options::new(columns)
        .word_separator(textwrap::WordSeparator::AsciiSpace)
        .word_splitter(textwrap::WordSplitter::NoHyphenation)
        .wrap_algorithm(textwrap::WrapAlgorithm::FirstFit)
        .break_words(false)
}

/// What went wrong outside any job, in the same rows.
pub(super) fn fault(says: &str, to_do: &str, fancy: bool, width: usize) -> String {
    let columns = width.saturating_sub(LEFT);
    let word = tint(&format!("{:LEFT$}", "FAULT"), Tint::Red, fancy);
    row(&word, &harmless(says), columns) + &row(&format!("{:LEFT$}", "To do"), to_do, columns)
}

/// A slip of a program, as it is shown.
pub(in crate::cli) struct SlipCard {
    /// How grave.
    pub(in crate::cli) severity: Severity,
    /// What is wrong.
    pub(in crate::cli) says: String,
    /// Words on the left and the texts beside them.
    pub(in crate::cli) rows: Vec<(&'static str, String)>,
}

/// One slip, in rows.
pub(super) fn slip_card(card: &SlipCard, fancy: bool, width: usize) -> String {
    let columns = width.saturating_sub(LEFT);
    let (word, colour) = named(card.severity);
    let mut out =
        row(&tint(&format!("{word:LEFT$}"), colour, fancy), &sentence(&card.says), columns);
    for (word, text) in &card.rows {
        out += &row(&format!("{word:LEFT$}"), &harmless(text), columns);
    }
    out
}

/// A severity's word and its colour.
fn named(severity: Severity) -> (&'static str, Tint) {
    match severity {
        Severity::Fault => ("FAULT", Tint::Red),
        Severity::Caution => ("CAUTION", Tint::Yellow),
    }
}

/// One finding, in rows.
fn card(report: &Report<'_>, finding: &Finding, fancy: bool, columns: usize) -> String {
    let (word, colour) = match &finding.accepted {
        Some(_) => ("ACCEPTED", Tint::Cyan),
        None => named(finding.severity),
    };
    let mut out =
        row(&tint(&format!("{word:LEFT$}"), colour, fancy), &sentence(&finding.message), columns);
    if let Some(path) = report.of_piece(finding) {
        out += &row(&format!("{:LEFT$}", "Piece"), &path, columns);
    }
    if let Some(place) = &finding.place {
        let mut whence = report.path(place.source, finding);
        let found = report.place(finding).map(|(text, span)| {
            whence += &format!(", line {}", line_column(text, span.start).0);
            format!("{:LEFT$}  {}\n", "", quoted(text, &span, fancy, columns.saturating_sub(2)))
        });
        if found.is_none() && !place.key.is_empty() {
            whence += &format!(", {}", harmless(&place.key));
        }
        out += &row(&format!("{:LEFT$}", "Where"), &whence, columns);
        out += &found.unwrap_or_default();
    }
    let (what, text) = match &finding.accepted {
        Some(why) => ("Why", why),
        None => ("To do", &finding.help),
    };
    if !text.is_empty() {
        out += &row(&format!("{what:LEFT$}"), &harmless(text), columns);
    }
    out + &row(
        &format!("{:LEFT$}", "More"),
        &format!("treenwright explain {}", finding.code.name),
        columns,
    )
}

/// A row of a card: its word, and the text beside it in as many lines as it takes.
fn row(word: &str, text: &str, columns: usize) -> String {
    let lines = textwrap::wrap(text, at_blanks(columns));
    let line = |(index, line): (usize, &std::borrow::Cow<'_, str>)| match index {
        0 => format!("{word}{line}\n"),
        _ => format!("{:LEFT$}{line}\n", ""),
    };
    lines.iter().enumerate().map(line).collect()
}

/// The message as a sentence: it begins with a capital, unless with a name or a key, and ends in a
/// stop.
fn sentence(message: &str) -> String {
    let message = harmless(message);
    let first = message.split([' ', ':', ',']).next().unwrap_or_default();
    let word = first.chars().all(|c| c.is_alphabetic() || matches!(c, '\'' | '-'));
    let mut letters = message.chars();
    let mut out: String = match letters.next() {
        Some(first) if word => first.to_uppercase().chain(letters).collect(),
        _ => message,
    };
    if !out.ends_with(['.', '!', '?', ':']) {
        out.push('.');
    }
    out
}

/// The line of the file that a finding points at. Of a line that is too long the part round the
/// place is shown, with dots where something is left out.
fn quoted(text: &str, span: &Range<usize>, fancy: bool, columns: usize) -> String {
    let begin = text[..span.start].rfind('\n').map_or(0, |at| at + 1);
    let end = text[span.start..].find('\n').map_or(text.len(), |at| span.start + at);
    let stop = span.end.clamp(span.start, end);
    // Far more than is shown, and far less than a file of one line.
    let near = 4 * columns;
    let before: Vec<char> = text[begin..span.start].trim_start().chars().rev().take(near).collect();
    let before: String = before.into_iter().rev().collect();
    let within: String = text[span.start..stop].trim_end().chars().take(near).collect();
    let after: String = text[stop..end].trim_end().chars().take(near).collect();
    let marked = |text: &str, mark: bool| -> Vec<(char, bool)> {
        harmless(text).chars().map(|c| (c, mark)).collect()
    };
    let line = [marked(&before, false), marked(&within, true), marked(&after, false)].concat();
    let cut = |from: usize, to: usize| -> String {
        line[from..to]
            .chunk_by(|a, b| a.1 == b.1)
            .map(|run| {
                let letters: String = run.iter().map(|(c, _)| c).collect();
                tint(&letters, if run[0].1 { Tint::Bold } else { Tint::Plain }, fancy)
            })
            .collect()
    };
    if line.len() <= columns {
        return cut(0, line.len());
    }
    const DOTS: &str = "...";
    let room = columns.saturating_sub(2 * DOTS.len()).max(1);
    let at = line.iter().position(|(_, mark)| *mark).unwrap_or(marked(&before, false).len());
    // A third of the room before the place, the rest from it on.
    let from = at.saturating_sub(room / 3).min(line.len().saturating_sub(room));
    let to = (from + room).min(line.len());
    let dots = |left_out: bool| if left_out { DOTS } else { "" };
    format!("{}{}{}", dots(from > 0), cut(from, to), dots(to < line.len()))
}
