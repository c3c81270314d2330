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

/// What stands in a sheet's title block beside what the jobs say.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Title<'a> {
    /// What the maker calls the whole; none for the design's own name, or for "Set of 3 pieces".
    pub name: Option<&'a str>,
    /// The date as the maker gave it. The tool reads no clock, so without one there is none.
    pub date: Option<&'a str>,
}

/// A piece of a sheet.
#[derive(Clone, Copy, Debug)]
pub struct Piece<'a> {
    /// Its job, planned with [`crate::job::Scope::Packet`].
    pub job: &'a Job,
    /// What there is to say about it.
    pub findings: &'a Findings,
    /// Its files, which the sheet lists; their maps of what is left to sand are shown.
    pub files: &'a [Artefact],
    /// Its folder in the packet, such as `spoon`; empty for the packet itself.
    pub folder: &'a str,
}

impl Piece<'_> {
    /// A file of it by its path in the packet.
    fn path(&self, name: &str) -> String {
        match self.folder {
            "" => name.to_owned(),
            folder => format!("{folder}/{name}"),
        }
    }
}

/// `sheet.html` for one piece or for a set: one title block, the pieces, each board once with all
/// that lies on it, one order of work, and a page for each setup of each piece. The shop is the
/// first piece's. None when no piece has workholding round it.
pub fn sheet(title: &Title<'_>, pieces: &[Piece<'_>]) -> Option<Artefact> {
    let shown = pieces.iter().filter_map(|piece| {
        let round = piece.job.round.as_ref()?;
        Some((*piece, shots::of(piece.job, round)))
    });
    made(title, &shown.collect::<Vec<_>>())
}

fn made(title: &Title<'_>, pieces: &[(Piece<'_>, Vec<page::Picture>)]) -> Option<Artefact> {
    Some(Artefact {
        name: "sheet.html".to_owned(),
        role: "the job sheet: print it, or read it beside the machine",
        unit: "",
        frame: "",
        bytes: page::page(&model::of(title, pieces)?).into_bytes(),
    })
}

/// A whole packet, ready to be written: models, outlines, sheet and list. `findings` is what there
/// is to say about the job.
///
/// # Errors
/// When a file can't be made; a fault of the tool.
pub fn packet(job: &Job, findings: &Findings) -> Result<Vec<Artefact>, ExportError> {
    packet_titled(job, findings, &Title::default())
}

/// The same with a title block of the maker's own.
///
/// # Errors
/// When a file can't be made; a fault of the tool.
pub fn packet_titled(
    job: &Job,
    findings: &Findings,
    title: &Title<'_>,
) -> Result<Vec<Artefact>, ExportError> {
    let info = PacketInfo::of(job, findings);
    let papers =
        |round: &Round| rayon::join(|| shots::of(job, round), || template_files(job, round));
    let (artefacts, papers) = rayon::join(|| files::all(job), || job.round.as_ref().map(papers));
    let mut artefacts = artefacts?;
    let (pictures, templates) = papers.unwrap_or_default();
    artefacts.extend(templates);
    artefacts.sort_by(|a, b| a.name.cmp(&b.name));
    let piece = Piece { job, findings, files: &artefacts, folder: "" };
    if let Some(sheet) = made(title, &[(piece, pictures)]) {
        artefacts.insert(0, sheet);
    }
    artefacts.insert(0, packet::list(&info, &artefacts)?);
    Ok(artefacts)
}

/// A whole packet of several pieces on one board: a folder for each, the board's files, one sheet
/// and one list.
///
/// # Errors
/// When a file can't be made; a fault of the tool.
pub fn set_packet(
    jobs: &[Job],
    findings: &Findings,
    title: &Title<'_>,
) -> Result<Vec<Artefact>, ExportError> {
    let folders = set::folders(jobs);
    let papers = |job: &Job| -> (Vec<page::Picture>, Vec<Artefact>) {
        let Some(round) = &job.round else { return Default::default() };
        rayon::join(|| shots::of(job, round), || template_files(job, round))
    };
    let (files, papers): (_, Vec<_>) =
        rayon::join(|| set::all(jobs), || jobs.par_iter().with_max_len(1).map(papers).collect());
    let set::Files { mut own, shared } = files?;
    let mut pictures = Vec::new();
    for (files, (shown, templates)) in own.iter_mut().zip(papers) {
        files.extend(templates);
        files.sort_by(|a, b| a.name.cmp(&b.name));
        pictures.push(shown);
    }
    let said: Vec<Findings> = (0..jobs.len())
        .map(|index| about(findings, None).chain(about(findings, Some(index))).collect())
        .collect();
    let mut shown = Vec::new();
    for (index, pictures) in pictures.into_iter().enumerate() {
        let folder = &folders[index];
        let (job, findings) = (&jobs[index], &said[index]);
        shown.push((Piece { job, findings, files: &own[index], folder }, pictures));
    }
    let sheet = made(title, &shown);
    let mut artefacts = shared;
    for (folder, files) in folders.iter().zip(own) {
        let moved = |file: Artefact| Artefact { name: format!("{folder}/{}", file.name), ..file };
        artefacts.extend(files.into_iter().map(moved));
    }
    artefacts.sort_by(|a, b| a.name.cmp(&b.name));
    artefacts.splice(0..0, sheet);
    artefacts.insert(0, set_list(jobs, &folders, findings, &artefacts)?);
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
    let mut artefacts = set::only(jobs, names)?;
    let list = set_list(jobs, &set::folders(jobs), findings, &artefacts)?;
    artefacts.insert(0, list);
    Ok(artefacts)
}

fn set_list(
    jobs: &[Job],
    folders: &[String],
    findings: &Findings,
    artefacts: &[Artefact],
) -> Result<Artefact, ExportError> {
    let piece = |(index, (job, folder)): (usize, (&Job, &String))| {
        let own: Findings = about(findings, Some(index)).collect();
        (folder.clone(), PacketInfo::of(job, &own))
    };
    let pieces: Vec<_> = jobs.iter().zip(folders).enumerate().map(piece).collect();
    let general: Vec<Finding> = about(findings, None).collect();
    packet::set_list(&pieces, &general, artefacts)
}

/// The findings about one piece of a set, or about none in particular.
fn about(findings: &Findings, piece: Option<usize>) -> impl Iterator<Item = Finding> + '_ {
    findings.iter().filter(move |finding| finding.piece == piece).cloned()
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

#[cfg(test)]
mod tests;
