//! Findings for other programs.

use super::{Report, line_column};
use serde::Serialize;

/// One finding. What isn't known is `null`; no key is ever left out.
#[derive(Serialize)]
struct Said<'a> {
    code: &'a str,
    severity: &'a str,
    message: &'a str,
    help: &'a str,
    /// The reason that the design file gives for accepting it.
    accepted: Option<&'a str>,
    /// Which of the three: design, board, shop.
    source: Option<&'a str>,
    /// The path as it was given.
    file: Option<String>,
    /// From 1.
    line: Option<usize>,
    /// In characters, from 1.
    column: Option<usize>,
    key: Option<&'a str>,
    /// Of several designs the one that it is about, counted from 1.
    piece: Option<usize>,
}

/// All findings as a JSON array, with a line end.
pub(super) fn findings(report: &Report<'_>) -> String {
    let said: Vec<Said<'_>> = report
        .findings
        .iter()
        .map(|finding| {
            let at = report.place(finding).map(|(text, span)| line_column(text, span.start));
            let place = finding.place.as_ref();
            Said {
                code: finding.code.name,
                severity: finding.severity.name(),
                message: &finding.message,
                help: &finding.help,
                accepted: finding.accepted.as_deref(),
                source: place.map(|place| place.source.name()),
                file: place.map(|place| {
                    report.input.path(place.source, report.piece(finding)).display().to_string()
                }),
                line: at.map(|(line, _)| line),
                column: at.map(|(_, column)| column),
                key: place.map(|place| place.key.as_str()).filter(|key| !key.is_empty()),
                piece: finding.piece.map(|piece| piece + 1),
            }
        })
        .collect();
    // Strings and counts can always be said in JSON.
    let mut text = serde_json::to_string_pretty(&said).unwrap_or_else(|_| "[]".to_owned());
    text.push('\n');
    text
}
