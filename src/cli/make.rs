//! `build` and `check`: three files in, findings and a packet out.

use super::args::Input;
use super::say::{Console, Report};
use super::{Ending, codes, files};
use crate::export::writer::{self, WriteError};
use crate::export::{Artefact, ExportError};
use crate::finding::{Finding, Findings, Severity, Source, Spans};
use crate::{job, params, sheet};
use std::path::Path;

pub(super) fn check(console: &Console, input: &Input) -> Ending {
    let mut report = Report::new(input);
    let made = plan(console, input, job::Scope::Packet, &mut report);
    if let Some(job) = &made {
        report.checked(&job.checks.rows);
    }
    if made.is_some() && report.findings.is_empty() {
        report.close("no faults; nothing written, as asked");
    }
    console.report(&report, input.json);
    ending(made.is_some() && !report.findings.has_fault())
}

pub(super) fn build(
    console: &Console,
    input: &Input,
    out: &Path,
    only: &[String],
    title: &sheet::Title<'_>,
) -> Ending {
    let mut report = Report::new(input);
    let mut wrote = false;
    // Before the work begins, so that the maker doesn't wait for a refusal.
    if let Err(error) = writer::may_write(out) {
        report.findings.push(refusal(&error));
    }
    if let Some(job) = plan(console, input, scope(only), &mut report)
        && !report.findings.has_fault()
    {
        console.progress("making the files");
        let artefacts = match files_of(&job, &report.findings, only, title) {
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
                    "This is a fault of the tool; please report it with your three files.",
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

fn files_of(
    job: &job::Job,
    findings: &Findings,
    only: &[String],
    title: &sheet::Title<'_>,
) -> Result<Vec<Artefact>, ExportError> {
    if only.is_empty() {
        sheet::packet_titled(job, findings, title)
    } else {
        sheet::some(job, findings, only)
    }
}

/// The body's own files need nothing round it.
fn scope(only: &[String]) -> job::Scope {
    let body = !only.is_empty() && only.iter().all(|name| name.starts_with("body."));
    if body { job::Scope::Body } else { job::Scope::Packet }
}

/// Puts the packet on disk, and says so. Whether it is in its place now.
fn put(out: &Path, artefacts: &[Artefact], report: &mut Report<'_>) -> bool {
    let files = match artefacts.len() {
        1 => "1 file".to_owned(),
        many => format!("{many} files"),
    };
    let wrote = format!("wrote {files} to {}", out.display());
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

/// Reads the three files and plans the job. Findings of all three are collected before it gives
/// up, so that the maker sees them at once.
fn plan(
    console: &Console,
    input: &Input,
    scope: job::Scope,
    report: &mut Report<'_>,
) -> Option<job::Job> {
    console.progress("reading");
    let design = parsed(Source::Design, input, report, params::parse_design);
    let board = parsed(Source::Board, input, report, params::parse_board);
    let shop = parsed(Source::Shop, input, report, params::parse_shop);
    let (Some(design), Some(board), Some(shop)) = (design, board, shop) else { return None };
    console.progress("planning the job");
    let order = job::Order { design, board, shop, tolerance: input.tolerance, scope };
    let outcome = job::plan(&order);
    report.findings.extend(outcome.findings);
    outcome.job
}

pub(super) fn parsed<T>(
    source: Source,
    input: &Input,
    report: &mut Report<'_>,
    parse: impl Fn(&str, &mut Findings) -> Option<(T, Spans)>,
) -> Option<T> {
    let text = files::read(source, input.path(source), &mut report.findings)?;
    let read = parse(&text, &mut report.findings);
    let (value, spans) = match read {
        Some((value, spans)) => (Some(value), Some(spans)),
        None => (None, None),
    };
    report.read(source, text, spans);
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
