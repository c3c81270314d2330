//! Findings for people: the one place where they are rendered.

use super::harmless::harmless;
use super::report::{Report, line_column};
use crate::finding::{Finding, Severity};
use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, NamedSource, SourceCode,
};
use std::fmt;
use std::ops::Range;

/// Lines longer than this are not shown: the file is not one that a person wrote.
const LONGEST_LINE: usize = 300;

/// All findings, one after the other, and the closing line.
pub(super) fn report(report: &Report<'_>, fancy: bool, width: usize) -> String {
    let theme = if fancy { GraphicalTheme::unicode() } else { GraphicalTheme::none() };
    let handler = GraphicalReportHandler::new_themed(theme).with_width(width).with_links(false);
    let mut out = String::new();
    for finding in report.findings.iter() {
        let shown = ShownFinding::new(report, finding);
        let mut text = String::new();
        if handler.render_report(&mut text, &shown).is_err() {
            text = format!("{}: {}\n{}\n", shown.head, shown.message, shown.help);
        }
        let lines = text.lines().map(str::trim_end).skip_while(|line| line.is_empty());
        for line in lines {
            out.push_str(line);
            out.push('\n');
        }
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

/// A finding as the renderer wants it.
#[derive(Debug)]
struct ShownFinding {
    head: String,
    severity: Severity,
    message: String,
    help: String,
    snippet: Option<(NamedSource<String>, Range<usize>)>,
}

impl ShownFinding {
    fn new(report: &Report<'_>, finding: &Finding) -> ShownFinding {
        let mut message = harmless(&finding.message);
        if let Some(path) = report.of_piece(finding) {
            message = format!("{path}: {message}");
        }
        let mut snippet = None;
        match (report.place(finding), &finding.place) {
            (Some((text, span)), Some(place)) => {
                let path = report.path(place.source, finding);
                if short_lines(text, &span) {
                    // Carriage returns before line ends are no part of what is shown.
                    let text = harmless(&text.replace("\r\n", " \n"));
                    snippet = Some((NamedSource::new(path, text), span));
                } else {
                    let (line, column) = line_column(text, span.start);
                    message.push_str(&format!(" ({path}:{line}:{column})"));
                }
            }
            (None, Some(place)) if !place.key.is_empty() => {
                let path = report.path(place.source, finding);
                message.push_str(&format!(" (`{}` in {path})", harmless(&place.key)));
            }
            _ => {}
        }
        let word = match finding.accepted {
            Some(_) => "accepted",
            None => finding.severity.name(),
        };
        ShownFinding {
            head: format!("{word}: {}", finding.code.name),
            severity: finding.severity,
            message,
            help: harmless(finding.accepted.as_ref().unwrap_or(&finding.help)),
            snippet,
        }
    }
}

/// Whether the lines that a snippet would show, one more on each side, can be shown.
fn short_lines(text: &str, span: &Range<usize>) -> bool {
    let before = text[..span.start].rsplit('\n').take(2).map(str::len).sum::<usize>();
    let after = text[span.end..].split('\n').take(2).map(str::len).sum::<usize>();
    let within = text[span.clone()].split('\n').map(str::len).max().unwrap_or(0);
    before.max(after).max(within) <= LONGEST_LINE
}

impl fmt::Display for ShownFinding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for ShownFinding {}

impl Diagnostic for ShownFinding {
    fn code<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        Some(Box::new(&self.head))
    }

    fn severity(&self) -> Option<miette::Severity> {
        Some(match self.severity {
            Severity::Fault => miette::Severity::Error,
            Severity::Caution => miette::Severity::Warning,
        })
    }

    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        (!self.help.is_empty()).then(|| Box::new(&self.help) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.snippet.as_ref().map(|(source, _)| source as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let (_, span) = self.snippet.as_ref()?;
        Some(Box::new(std::iter::once(LabeledSpan::underline(span.clone()))))
    }
}
