//! The job sheet: its page, and the pictures that go with it; and the whole packet, which the
//! sheet completes.

mod base64;
mod model;
pub mod page;
mod shots;
mod words;

use crate::drawing::{board, templates};
use crate::export::packet::{self, PacketInfo};
use crate::export::{Artefact, ExportError, files, set};
use crate::finding::{Finding, Findings};
use crate::fit::layout::Layout;
use crate::job::{Job, Round};
use crate::mesh;
use crate::outline::ArcPath;
use crate::relief::skirt_width;
use crate::render;
use crate::units::Length;
use rayon::prelude::*;
use std::borrow::Cow;

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
    /// What there is to say about it alone.
    pub findings: &'a Findings,
    /// Its folder in the packet, such as `harvest-spoon`; empty for the packet itself.
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

/// What a sheet is made from.
#[derive(Clone, Copy, Debug)]
pub struct Wanted<'a> {
    /// The title block.
    pub title: Title<'a>,
    /// What there is to say about all pieces together.
    pub findings: &'a Findings,
    /// The pieces. Those on the same board share its pins, its hold-downs and its setups.
    pub pieces: &'a [Piece<'a>],
    /// The packet's files, which are listed, and whose maps of what is left to sand are shown.
    pub files: &'a [Artefact],
}

/// `sheet.html` for one piece or for a set: one title block, the pieces, each board once with all
/// that lies on it, one order of work, and a page for each setup of each board. The shop is the
/// first piece's. None when no piece has workholding round it.
pub fn sheet(wanted: &Wanted<'_>) -> Option<Artefact> {
    let shots = |piece: &Piece<'_>| match &piece.job.round {
        Some(round) => shots::of(piece.job, round),
        None => Vec::new(),
    };
    let pictures: Vec<_> = wanted.pieces.par_iter().with_max_len(1).map(shots).collect();
    made(wanted, pictures)
}

fn made(wanted: &Wanted<'_>, pictures: Vec<Vec<page::Picture>>) -> Option<Artefact> {
    Some(Artefact {
        name: "sheet.html".to_owned(),
        role: words::SHEET_FILE,
        unit: "",
        frame: "",
        bytes: page::page(&model::of(wanted, pictures)?).into_bytes(),
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
    let none = Findings::new();
    let pieces = [Piece { job, findings, folder: "" }];
    let wanted = Wanted { title: *title, findings: &none, pieces: &pieces, files: &artefacts };
    if let Some(sheet) = made(&wanted, vec![pictures]) {
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
    let infos = pieces(jobs, &folders, findings);
    let papers = |(job, folder): (&Job, &String)| {
        let Some(round) = &job.round else { return (Vec::new(), Vec::new()) };
        let (pictures, own) = rayon::join(|| shots::of(job, round), || template_files(job, round));
        (pictures, within(folder, own))
    };
    let (artefacts, papers): (_, Vec<_>) = rayon::join(
        || set::all(jobs),
        || jobs.par_iter().zip(&folders).with_max_len(1).map(papers).collect(),
    );
    let mut artefacts = artefacts?;
    let (pictures, templates): (Vec<_>, Vec<_>) = papers.into_iter().unzip();
    artefacts.extend(templates.into_iter().flatten());
    artefacts.sort_by(|a, b| a.name.cmp(&b.name));
    let own: Vec<Findings> =
        (0..jobs.len()).map(|index| about(findings, Some(index)).collect()).collect();
    let general: Findings = about(findings, None).collect();
    let shown: Vec<Piece<'_>> = jobs
        .iter()
        .zip(&own)
        .zip(&folders)
        .map(|((job, findings), folder)| Piece { job, findings, folder })
        .collect();
    let wanted = Wanted { title: *title, findings: &general, pieces: &shown, files: &artefacts };
    if let Some(sheet) = made(&wanted, pictures) {
        artefacts.insert(0, sheet);
    }
    let general: Vec<Finding> = about(findings, None).collect();
    artefacts.insert(0, packet::set_list(&infos, &general, &artefacts)?);
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

/// A drawing of a board with the pieces of a set on it, flaws, grain, readings, pins and saw lines,
/// as an SVG file. Empty when no job has all round it.
pub fn layout_drawing(jobs: &[Job], layout: &Layout) -> String {
    let whole: Vec<(&Job, &Round)> =
        jobs.iter().filter_map(|job| Some((job, job.round.as_ref()?))).collect();
    board::layout::svg(&whole, &layout.offcuts, layout.clearance)
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
        file("templates.pdf", words::TEMPLATES_PDF, templates::pdf(job, round)),
        file("templates.svg", words::TEMPLATES_SVG, templates::svg(job, round)),
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

/// What a picture shows of a piece.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Shown {
    /// The piece when it is finished, slots cut.
    #[default]
    Finished,
    /// The same on its tabs, as it leaves the machine. Without a board there are none.
    OnTabs,
}

/// A shaded picture of a job's piece as PNG. `size` is width and height in pixels. If the slots
/// can't be cut through the mesh, or the tabs not joined to it, it is shown without them.
pub fn picture_of(
    job: &Job,
    shown: Shown,
    view: render::View,
    size: (u32, u32),
    wood: render::Wood,
) -> Vec<u8> {
    render::shaded(&piece(job, shown), &view, size, wood)
}

/// The same as SVG, in areas of equal tone and named after the design.
pub fn picture_svg_of(
    job: &Job,
    shown: Shown,
    view: render::View,
    size: (u32, u32),
    wood: render::Wood,
) -> String {
    render::shaded_svg(&piece(job, shown), &view, size, wood, &job.order.design.name)
}

/// The piece as it is shown.
fn piece(job: &Job, shown: Shown) -> Cow<'_, mesh::Mesh> {
    /// From the outline into the body, whose edge is upright there, and to the skirt's end.
    const INTO: f64 = 1.0;
    let finished = finished(job);
    let (Shown::OnTabs, Some(round)) = (shown, &job.round) else { return finished };
    let finisher = job.order.shop.cutter(&job.order.shop.work.finish);
    let Some(skirt) = finisher.map(|ball| skirt_width(ball.diameter).as_mm()) else {
        return finished;
    };
    let posts: Vec<mesh::Post> = round
        .tabs
        .iter()
        .map(|(tab, _)| {
            let [from, to] = tab.sides();
            let (inward, outward) = (tab.out * -INTO, tab.out * skirt);
            mesh::Post {
                outline: vec![from + inward, from + outward, to + outward, to + inward],
                span: [tab.bottom.as_mm(), tab.top.as_mm()],
            }
        })
        .collect();
    mesh::with_posts(&finished, &posts).map_or(finished, Cow::Owned)
}

/// The piece with its slots cut.
fn finished(job: &Job) -> Cow<'_, mesh::Mesh> {
    if let Some(round) = &job.round {
        return Cow::Borrowed(&round.finished);
    }
    let slots: Vec<_> =
        job.outlines.slots.iter().map(|slot: &ArcPath| slot.to_polyline(PICTURE_CHORD)).collect();
    match mesh::cut_through(&job.mesh, &slots) {
        Ok(finished) => Cow::Owned(finished),
        Err(_) => Cow::Borrowed(&job.mesh.mesh),
    }
}

#[cfg(test)]
mod tests;
