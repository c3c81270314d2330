//! The job sheet: its page, and the pictures that go with it; and the whole packet, which the
//! sheet completes.

mod base64;
mod board_view;
mod drawings;
mod ink;
mod measure;
mod model;
pub mod page;
pub mod picture;
mod shots;
mod templates;
mod words;

use crate::export::packet::{self, PacketInfo};
use crate::export::{Artefact, ExportError, files, set};
use crate::finding::{Finding, Findings};
use crate::job::{Job, Round};
use crate::mesh;
use crate::outline::ArcPath;
use crate::units::Length;
use rayon::prelude::*;

/// A whole packet, ready to be written: models, outlines, sheet and list. `findings` is what there
/// is to say about the job.
///
/// # Errors
/// When a file can't be made; a fault of the tool.
pub fn packet(job: &Job, findings: &Findings) -> Result<Vec<Artefact>, ExportError> {
    let info = PacketInfo::of(job, findings);
    let papers =
        |round: &Round| rayon::join(|| shots::of(job, round), || template_files(job, round));
    let (artefacts, papers) = rayon::join(|| files::all(job), || job.round.as_ref().map(papers));
    let mut artefacts = artefacts?;
    let (pictures, templates) = papers.unwrap_or_default();
    artefacts.extend(templates);
    artefacts.sort_by(|a, b| a.name.cmp(&b.name));
    if let Some(round) = &job.round {
        let sheet = model::of(job, round, &info, findings, &artefacts, pictures);
        artefacts.insert(0, sheet_file(&sheet));
    }
    artefacts.insert(0, packet::list(&info, &artefacts)?);
    Ok(artefacts)
}

/// A whole packet of several pieces on one board: a folder for each, the board's files, and one
/// list.
///
/// # Errors
/// When a file can't be made; a fault of the tool.
pub fn set_packet(jobs: &[Job], findings: &Findings) -> Result<Vec<Artefact>, ExportError> {
    let folders = set::folders(jobs);
    let pieces = pieces(jobs, &folders, findings);
    let papers = |(job, (folder, info)): (&Job, &(String, PacketInfo))| -> Vec<Artefact> {
        let Some(round) = &job.round else { return Vec::new() };
        let (pictures, mut own) =
            rayon::join(|| shots::of(job, round), || template_files(job, round));
        let said: Findings = about(findings, None).chain(info.findings.clone()).collect();
        let sheet = model::of(job, round, info, &said, &own, pictures);
        own.push(sheet_file(&sheet));
        within(folder, own)
    };
    let (artefacts, papers): (_, Vec<Vec<Artefact>>) = rayon::join(
        || set::all(jobs),
        || jobs.par_iter().zip(&pieces).with_max_len(1).map(papers).collect(),
    );
    let mut artefacts = artefacts?;
    artefacts.extend(papers.into_iter().flatten());
    artefacts.sort_by(|a, b| a.name.cmp(&b.name));
    let general: Vec<Finding> = about(findings, None).collect();
    artefacts.insert(0, packet::set_list(&pieces, &general, &artefacts)?);
    Ok(artefacts)
}

/// Some files of a set's packet by their names, and their list.
///
/// # Errors
/// When the set has no file of that name, or one can't be made.
pub fn set_some(
    jobs: &[Job],
    findings: &Findings,
    names: &[String],
) -> Result<Vec<Artefact>, ExportError> {
    let folders = set::folders(jobs);
    let mut artefacts = set::only(jobs, names)?;
    let general: Vec<Finding> = about(findings, None).collect();
    let list = packet::set_list(&pieces(jobs, &folders, findings), &general, &artefacts)?;
    artefacts.insert(0, list);
    Ok(artefacts)
}

/// What is known of each piece of a set, with its folder and the findings about it alone.
fn pieces(jobs: &[Job], folders: &[String], findings: &Findings) -> Vec<(String, PacketInfo)> {
    jobs.iter()
        .zip(folders)
        .enumerate()
        .map(|(index, (job, folder))| {
            let own: Findings = about(findings, Some(index)).collect();
            (folder.clone(), PacketInfo::of(job, &own))
        })
        .collect()
}

/// The findings about one piece of a set, or about none in particular.
fn about(findings: &Findings, piece: Option<usize>) -> impl Iterator<Item = Finding> + '_ {
    findings.iter().filter(move |finding| finding.piece == piece).cloned()
}

/// Files put into a folder of the packet.
fn within(folder: &str, artefacts: Vec<Artefact>) -> Vec<Artefact> {
    let moved =
        |artefact: Artefact| Artefact { name: format!("{folder}/{}", artefact.name), ..artefact };
    artefacts.into_iter().map(moved).collect()
}

/// The sheet as a file.
fn sheet_file(sheet: &page::SheetInfo) -> Artefact {
    Artefact {
        name: "sheet.html".to_owned(),
        role: "the job sheet: print it, or read it beside the machine",
        unit: "",
        frame: "",
        bytes: page::page(sheet).into_bytes(),
    }
}

/// The templates as files.
fn template_files(job: &Job, round: &Round) -> Vec<Artefact> {
    let file = |name: &str, role, bytes| Artefact {
        name: name.to_owned(),
        role,
        unit: "mm",
        frame: "design",
        bytes,
    };
    vec![
        file(
            "templates.pdf",
            "paper templates at true size, in pages: outline, slots, tabs, saw lines, pins, gauges",
            templates::pdf(job, round),
        ),
        file("templates.svg", "the same templates on one sheet", templates::svg(job, round)),
    ]
}

/// Some files of a packet by their names, and their list.
///
/// # Errors
/// When the job has no file of that name, or one can't be made.
pub fn some(
    job: &Job,
    findings: &Findings,
    names: &[String],
) -> Result<Vec<Artefact>, ExportError> {
    let is_template = |name: &&String| name.starts_with("templates.");
    let (own, others): (Vec<&String>, Vec<&String>) = names.iter().partition(is_template);
    let mut artefacts = match &job.round {
        Some(round) => template_files(job, round),
        None => Vec::new(),
    };
    artefacts.retain(|artefact| own.iter().any(|name| **name == artefact.name));
    // A name that is no template's, and a template that there is not, are refused there.
    let made: Vec<String> = artefacts.iter().map(|artefact| artefact.name.clone()).collect();
    let left: Vec<String> =
        others.into_iter().chain(own).filter(|name| !made.contains(name)).cloned().collect();
    artefacts.extend(files::only(job, &left)?);
    let list = packet::list(&PacketInfo::of(job, findings), &artefacts)?;
    artefacts.insert(0, list);
    Ok(artefacts)
}

/// Chords of the slots in a picture: less than a pixel shows.
const PICTURE_CHORD: Length = Length::mm(0.01);

/// A shaded picture of a job's piece, slots cut, as PNG. `size` is width and height in pixels. If
/// the slots can't be cut through the mesh, the body is shown without them.
pub fn picture_of(
    job: &Job,
    view: picture::View,
    size: (u32, u32),
    wood: picture::Wood,
) -> Vec<u8> {
    if let Some(round) = &job.round {
        return picture::shaded(&round.finished, &view, size, wood);
    }
    let slots: Vec<_> =
        job.outlines.slots.iter().map(|slot: &ArcPath| slot.to_polyline(PICTURE_CHORD)).collect();
    match mesh::cut_through(&job.mesh.mesh, &slots) {
        Ok(finished) => picture::shaded(&finished, &view, size, wood),
        Err(_) => picture::shaded(&job.mesh.mesh, &view, size, wood),
    }
}
