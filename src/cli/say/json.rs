//! Findings for other programs.

use super::harmless::escaped;
use super::report::{Report, line_column};
use crate::export::list::{ChecksInfo, FindingInfo};
use crate::finding::Spot;
use crate::units::plain;
use serde::Serialize;

/// One finding. What isn't known is `null`; no key is ever left out.
#[derive(Serialize)]
struct Said<'a> {
    #[serde(flatten)]
    info: FindingInfo<'a>,
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
    /// The place on the piece.
    on_piece: Option<On>,
}

/// A place on a piece.
#[derive(Serialize)]
struct On {
    /// From the handle's end.
    along_mm: f64,
    /// To the left of the middle; negative to the right.
    left_mm: f64,
    /// `top` or `bottom`, if it is about one of them.
    side: Option<&'static str>,
}

impl From<Spot> for On {
    fn from(spot: Spot) -> On {
        let short = |mm: f64| plain(mm, 2).parse().unwrap_or(mm);
        On {
            along_mm: short(spot.along.as_mm()),
            left_mm: short(spot.left.as_mm()),
            side: spot.side,
        }
    }
}

/// What the rules say of one piece.
#[derive(Serialize)]
struct Looked<'a> {
    name: &'a str,
    #[serde(flatten)]
    checks: ChecksInfo,
}

/// All of a check.
#[derive(Serialize)]
struct CheckReport<'a> {
    /// `good`, `accepted`, `caution` or `fault`: the gravest of the findings.
    verdict: &'static str,
    findings: Vec<Said<'a>>,
    /// For each design the table, the figures, the reach of the cutters and the cusps by part.
    pieces: Vec<Looked<'a>>,
}

/// The table of the rules, their figures and all findings as a JSON object, with a line end.
pub(super) fn checks(report: &Report<'_>) -> String {
    let findings = said(report);
    let any = |what: fn(&Said<'_>) -> bool| findings.iter().any(what);
    let verdict = match () {
        () if any(|said| said.info.severity == "fault") => "fault",
        () if any(|said| said.accepted.is_none()) => "caution",
        () if !findings.is_empty() => "accepted",
        () => "good",
    };
    let pieces = report
        .checks
        .iter()
        .map(|(name, checks)| Looked { name, checks: ChecksInfo::of(checks) })
        .collect();
    text(&CheckReport { verdict, findings, pieces })
}

/// All findings as a JSON array, with a line end.
pub(super) fn findings(report: &Report<'_>) -> String {
    text(&said(report))
}

/// Strings and counts can always be said in JSON.
fn text(what: &impl Serialize) -> String {
    let json = serde_json::to_string_pretty(what).unwrap_or_else(|_| "[]".to_owned());
    escaped(&json) + "\n"
}

fn said<'a>(report: &'a Report<'_>) -> Vec<Said<'a>> {
    report
        .findings
        .iter()
        .map(|finding| {
            let at = report.place(finding).map(|(text, span)| line_column(text, span.start));
            let place = finding.place.as_ref();
            Said {
                info: FindingInfo::of(finding),
                accepted: finding.accepted.as_deref(),
                source: place.map(|place| place.source.name()),
                file: place.map(|place| {
                    report.input.path(place.source, report.piece(finding)).display().to_string()
                }),
                line: at.map(|(line, _)| line),
                column: at.map(|(_, column)| column),
                key: place.map(|place| place.key.as_str()).filter(|key| !key.is_empty()),
                piece: finding.piece.map(|piece| piece + 1),
                on_piece: finding.spot.map(On::from),
            }
        })
        .collect()
}
