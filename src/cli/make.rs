//! `build` and `check`: the files in, findings and a packet out.

use super::args::Input;
use super::say::{Console, Report, harmless_path};
use super::{Ending, codes, files};
use crate::drawn;
use crate::export::writer::{self, WriteError};
use crate::export::{Artefact, ExportError};
use crate::finding::{Finding, Findings, Severity, Source, Spans};
use crate::fit::Spare;
use crate::inlay::{self, Brought};
use crate::params::Design;
use crate::sheet::Title;
use crate::{job, packet, params};
use std::path::Path;

pub(super) fn check(console: &Console, input: &Input) -> Ending {
    let mut report = Report::new(input);
    report.whole();
    let job = plan(console, input, job::Scope::Packet, Spare::Leave, &mut report);
    if job.is_some() && report.findings.is_empty() {
        report.close("no faults; nothing written, as asked");
    }
    console.report(&report, input.json);
    ending(job.is_some() && !report.findings.has_fault())
}

pub(super) fn build(
    console: &Console,
    input: &Input,
    out: &Path,
    only: &[String],
    spare: Spare,
    title: &Title<'_>,
) -> Ending {
    let mut report = Report::new(input);
    let mut wrote = false;
    // Before the work begins, so that the maker doesn't wait for a refusal.
    if let Err(error) = writer::may_write(out) {
        report.findings.push(refusal(&error));
    }
    let job = plan(console, input, scope(only), spare, &mut report);
    if let Some(job) = job.filter(|_| !report.findings.has_fault()) {
        console.progress("making the files");
        let made = match only {
            [] => packet::whole(&job, &report.findings, title),
            only => packet::some(&job, &report.findings, title, only),
        };
        let artefacts = match made {
            Ok(artefacts) => artefacts,
            Err(error @ ExportError::NoSuchFile { .. }) => {
                console.progress_done();
                console.err(&format!("--only: {error}\n"));
                return Ending::Usage;
            }
            Err(error) => {
                report.findings.push(Finding::fault(
                    codes::EXPORT_FAILED,
                    format!("a file of the packet can't be made: {error}"),
                    "This is a fault of the tool. Please report it with your files.",
                ));
                Vec::new()
            }
        };
        if !report.findings.has_fault() {
            console.progress("writing");
            wrote = put(out, &artefacts, &mut report);
        }
    }
    console.report(&report, input.json);
    ending(wrote)
}

/// The body's own files need nothing round it.
fn scope(only: &[String]) -> job::Scope {
    let body = !only.is_empty() && only.iter().all(|name| stem(name).starts_with("body."));
    if body { job::Scope::Body } else { job::Scope::Packet }
}

/// A file's name without the folder of its piece.
fn stem(name: &str) -> &str {
    name.rsplit('/').next().unwrap_or(name)
}

/// Puts the packet on disk, and says so. Whether it is in its place now.
fn put(out: &Path, artefacts: &[Artefact], report: &mut Report<'_>) -> bool {
    let files = match artefacts.len() {
        1 => "1 file".to_owned(),
        many => format!("{many} files"),
    };
    let wrote = format!("wrote {files} to {}", harmless_path(out));
    match writer::write(out, artefacts) {
        Ok(()) => {
            report.close(wrote);
            true
        }
        Err(error @ WriteError::OldPacketLeft { .. }) => {
            report.findings.push(Finding { severity: Severity::Caution, ..refusal(&error) });
            report.close(wrote);
            true
        }
        Err(error) => {
            report.findings.push(refusal(&error));
            false
        }
    }
}

/// Reads the files and plans the jobs. Findings of all files are collected before it gives up, so
/// that the maker sees them at once.
fn plan(
    console: &Console,
    input: &Input,
    scope: job::Scope,
    spare: Spare,
    report: &mut Report<'_>,
) -> Option<job::Job> {
    console.progress("reading");
    let count = input.designs.len();
    let designs: Vec<Option<Design>> =
        (0..count).map(|index| design(index, input, report)).collect();
    let designs: Option<Vec<Design>> = designs.into_iter().collect();
    let board = parsed(Source::Board, input, report, params::parse_board);
    let shop = parsed(Source::Shop, input, report, params::parse_shop);
    report.told_in_shops_unit();
    let (designs, board, shop) = (designs?, board?, shop?);
    // With a fault so far, such as a folder that may not be replaced, the work would be for nothing.
    if report.findings.has_fault() {
        return None;
    }
    console.progress("reading the art");
    let brought = brought(&designs, input, report);
    if report.findings.has_fault() {
        return None;
    }
    console.progress("planning the job");
    let (tolerance, together) = (input.tolerance, input.together.into());
    let order = job::Order::new(designs, board, shop);
    let outcome = job::plan(&job::Order { tolerance, scope, spare, together, brought, ..order });
    let mut findings = outcome.findings;
    findings.written_as(|place, piece| report.unit_at(place, piece));
    report.findings.extend(findings);
    for (piece, checks) in outcome.looked {
        report.checked(piece, checks);
    }
    outcome.job
}

/// The files of each design's inlays, seen from its folder.
pub(super) fn brought(
    designs: &[Design],
    input: &Input,
    report: &mut Report<'_>,
) -> Vec<Vec<Option<Brought>>> {
    let each = designs.iter().enumerate().map(|(index, design)| {
        let folder = input.path(Source::Design, index).parent().unwrap_or(Path::new(""));
        let mut findings = Findings::of((designs.len() > 1).then_some(index));
        let brought = inlay::bring(design, &|name| files::lent(&folder.join(name)), &mut findings);
        report.findings.extend(findings);
        brought
    });
    each.collect()
}

/// One of several designs; what is said of it is marked as said of it.
fn design(index: usize, input: &Input, report: &mut Report<'_>) -> Option<Design> {
    let piece = (input.designs.len() > 1).then_some(index);
    parsed_design(piece, input, report)
}

/// A design with the drawing of its plan, if it has one.
pub(super) fn parsed_design(
    piece: Option<usize>,
    input: &Input,
    report: &mut Report<'_>,
) -> Option<Design> {
    let folder = input.path(Source::Design, piece.unwrap_or(0)).parent().unwrap_or(Path::new(""));
    let lent = |name: &str| files::lent(&folder.join(name));
    let read = |text: &str, findings: &mut Findings| drawn::design(text, &lent, findings);
    parsed_piece(Source::Design, piece, input, report, read)
}

pub(super) fn parsed<T>(
    source: Source,
    input: &Input,
    report: &mut Report<'_>,
    parse: impl Fn(&str, &mut Findings) -> Option<(T, Spans)>,
) -> Option<T> {
    parsed_piece(source, None, input, report, |text, findings| parse(text, findings).unzip())
}

fn parsed_piece<T>(
    source: Source,
    piece: Option<usize>,
    input: &Input,
    report: &mut Report<'_>,
    parse: impl Fn(&str, &mut Findings) -> (Option<T>, Option<Spans>),
) -> Option<T> {
    let index = piece.unwrap_or(0);
    let mut findings = Findings::of(piece);
    let text = files::read(source, input.path(source, index), &mut findings);
    let read = text.as_ref().map(|text| parse(text, &mut findings));
    report.findings.extend(findings);
    let (value, spans) = read.unwrap_or_default();
    report.read(source, index, text?, spans);
    value
}

/// A finding of what the disk did.
fn refusal(error: &WriteError) -> Finding {
    let code = match error {
        WriteError::Disk { .. }
        | WriteError::OldPacketAside { .. }
        | WriteError::OldPacketLeft { .. } => codes::OUT_FAILED,
        WriteError::Name { .. } => codes::EXPORT_FAILED,
        _ => codes::OUT_REFUSED,
    };
    Finding::fault(code, error.to_string(), error.help())
}

fn ending(done: bool) -> Ending {
    if done { Ending::Done } else { Ending::Faults }
}
