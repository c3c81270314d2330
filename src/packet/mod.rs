//! Puts a packet together: which files it has, how each is made, and what is said of them.
//!
//! Promised: a single piece's files lie at the packet's root; those of several each in a folder of
//! the piece, and beside them what belongs to the board. What is not asked for is not made.

mod board;
mod files;
mod layers;
mod piece;
mod words;

use crate::export::list::{self, Entry};
use crate::export::{Artefact, ExportError};
use crate::finding::Findings;
use crate::job::Job;
use crate::sheet::{self, FileLine, Sheet, Title};
use files::{Files, ToMake};

/// Name of the job sheet in a packet.
pub const SHEET: &str = "sheet.html";

/// Folders of the pieces, in order: none for a single piece, else their names in lower case with
/// hyphens, numbered when two are alike or one is taken by the packet itself.
pub fn folders(job: &Job) -> Vec<String> {
    if let [_] = job.pieces[..] {
        return vec![String::new()];
    }
    let own = ["workholding", "top", "bottom", "bed"];
    let mut taken: Vec<String> = own.map(str::to_owned).to_vec();
    for piece in &job.pieces {
        let spaced = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { ' ' };
        let words: String = piece.design.name.chars().map(spaced).collect();
        let stem = words.split_whitespace().collect::<Vec<_>>().join("-");
        // As long as any file system takes, and as a person reads.
        let stem: String = stem.chars().take(60).collect();
        let stem = match stem.as_str() {
            "" => "piece".to_owned(),
            // No folder can have these names on Windows, with or without an ending.
            "con" | "prn" | "aux" | "nul" => format!("piece-{stem}"),
            port if port.len() == 4 && (port.starts_with("com") || port.starts_with("lpt")) => {
                format!("piece-{stem}")
            }
            _ => stem,
        };
        let numbered = (2..).map(|number| format!("{stem}-{number}"));
        let free = std::iter::once(stem.clone()).chain(numbered).find(|name| !taken.contains(name));
        taken.extend(free);
    }
    taken.split_off(own.len())
}

/// A whole packet, ready to be written. `findings` is what there is to say about the job.
///
/// # Errors
/// When a file can't be made; a fault of the tool.
pub fn whole(
    job: &Job,
    findings: &Findings,
    title: &Title<'_>,
) -> Result<Vec<Artefact>, ExportError> {
    put_together(job, findings, title, None)
}

/// Some files of a packet by their names, each as the whole packet has it, and the list of them.
///
/// # Errors
/// When the packet has no file of that name, or one can't be made.
pub fn some(
    job: &Job,
    findings: &Findings,
    title: &Title<'_>,
    names: &[String],
) -> Result<Vec<Artefact>, ExportError> {
    put_together(job, findings, title, Some(names))
}

fn put_together(
    job: &Job,
    findings: &Findings,
    title: &Title<'_>,
    names: Option<&[String]>,
) -> Result<Vec<Artefact>, ExportError> {
    let folders = folders(job);
    let files = files(job, &folders);
    let has_sheet = job.mounting.is_some();
    let own = [Some(list::LIST), has_sheet.then_some(SHEET)].into_iter().flatten();
    let known = || own.clone().chain(files.iter().map(|file| file.name.as_str()));
    if let Some(name) = names.into_iter().flatten().find(|name| !known().any(|own| own == *name)) {
        let known = known().map(str::to_owned).collect();
        return Err(ExportError::NoSuchFile { name: name.clone(), known });
    }
    let wanted = |name: &str| names.is_none_or(|names| names.iter().any(|asked| asked == name));
    let sheet = has_sheet && wanted(SHEET);
    // The sheet shows the maps.
    let needed = |file: &&ToMake<'_>| wanted(&file.name) || (sheet && piece::is_map(&file.name));
    let (artefacts, pictures) = rayon::join(
        || files::made(files.iter().filter(needed).collect()),
        || if sheet { sheet::pictures(job) } else { Vec::new() },
    );
    let mut artefacts = artefacts?;
    artefacts.sort_by(|a, b| a.name.cmp(&b.name));
    let entries = Entry::all(job, &folders, findings);
    let of_all = findings.about(None);
    if sheet {
        let mut lines: Vec<FileLine> = files.iter().map(ToMake::line).collect();
        lines.sort_by(|a, b| a.name.cmp(&b.name));
        // What is said of a single piece stands with the piece.
        let findings = if job.pieces.len() > 1 { &of_all } else { &Findings::new() };
        let (entries, files, maps) = (&entries[..], &lines[..], &artefacts[..]);
        let page =
            sheet::html(&Sheet { title: *title, job, entries, findings, files, maps }, pictures);
        artefacts.retain(|artefact| wanted(&artefact.name));
        let no_piece = || ExportError::Library { format: SHEET, message: "no piece".to_owned() };
        let bytes = page.ok_or_else(no_piece)?.into_bytes();
        let (name, role) = (SHEET.to_owned(), words::SHEET);
        artefacts.insert(0, Artefact { name, role, unit: "", frame: "", bytes });
    }
    let shared = (&job.board, &job.shop, list::mounting(job, &folders));
    artefacts.insert(0, list::list(shared, &entries, &of_all, &artefacts)?);
    Ok(artefacts)
}

/// All files of a packet but for its sheet and its list, those that take longest first.
fn files<'a>(job: &'a Job, folders: &'a [String]) -> Vec<ToMake<'a>> {
    let mut files =
        Files { folder: "", unit: job.shop.unit, models: job.shop.models, all: Vec::new() };
    for (folder, piece) in folders.iter().zip(&job.pieces) {
        files.folder = folder;
        files.body(piece);
    }
    for (folder, at) in folders.iter().zip(job.mounted()) {
        files.folder = folder;
        files.carved(at);
    }
    if let Some(mounting) = &job.mounting {
        files.folder = "";
        files.board(job, mounting);
    }
    files.all
}
