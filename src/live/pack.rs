//! The packet that a page asks for: planned, made, and written by the writer's own rules.

use super::bench::{Bench, held};
use super::packing::Packing;
use super::words;
use crate::export::writer::{self, WriteError};
use crate::finding::hidden;
use crate::packet;
use crate::sheet::Title;
use serde::Deserialize;
use std::path::Path;

/// Letters that a date may have at most, as `build --date` has it.
const DATE_LETTERS: usize = 40;

/// What is said while the disk is written to.
const WRITING: &str = "writing";

/// What is asked for.
#[derive(Clone, Debug, Deserialize)]
pub(super) struct Wanted {
    /// The folder to write.
    folder: String,
    /// A date for the sheet.
    #[serde(default)]
    date: String,
    /// Whether spare height is used.
    #[serde(default)]
    use_spare: bool,
}

/// Begins a packet. Whether none is being made already.
pub(super) fn begin(bench: &Bench) -> bool {
    let mut packing = held(&bench.packing);
    let free = !matches!(*packing, Packing::Busy(_));
    if free {
        *packing = Packing::Busy("looking at the folder");
    }
    drop(packing);
    bench.tell();
    free
}

/// Makes the packet, and says how far it is.
pub(super) fn pack(bench: &Bench, wanted: &Wanted) {
    let at = |with| {
        *held(&bench.packing) = Packing::Busy(with);
        bench.tell();
    };
    let ended = packed(bench, wanted, &at);
    *held(&bench.packing) = ended;
    bench.tell();
}

fn packed(bench: &Bench, wanted: &Wanted, at: &dyn Fn(&'static str)) -> Packing {
    let (folder, date) = (wanted.folder.trim(), wanted.date.trim());
    if folder.is_empty() {
        return Packing::refused(words::NO_FOLDER, "");
    }
    if folder.chars().any(hidden) {
        return Packing::refused(words::NO_NAME, "");
    }
    if date.chars().any(hidden) || date.chars().count() > DATE_LETTERS {
        return Packing::refused(words::NO_DATE, "");
    }
    let dir = Path::new(folder);
    let refusal = |error: &WriteError| {
        // The page has no such argument.
        Packing::refused(
            error.to_string(),
            error.help().replace(" with `--out`", "").replace("`--out spoon`", "`spoon`"),
        )
    };
    if let Err(error) = writer::may_write(dir) {
        return refusal(&error);
    }
    at("planning the job");
    let Some(made) = bench.job(wanted.use_spare) else {
        return Packing::refused(words::CHANGED, words::ASK_AGAIN);
    };
    let Some(job) = made.job.as_ref().filter(|_| !made.findings.has_fault()) else {
        return Packing::refused(words::FAULTS, words::SEE_FAULTS);
    };
    at("making the files");
    let title = Title { name: None, date: Some(date).filter(|date| !date.is_empty()) };
    let artefacts = match packet::whole(job, &made.findings, &title) {
        Ok(artefacts) => artefacts,
        Err(error) => return Packing::refused(error.to_string(), words::BROKE),
    };
    at(WRITING);
    let sheet = artefacts.iter().find(|artefact| artefact.name == packet::SHEET);
    let sheet = sheet.map(|artefact| artefact.bytes.clone()).unwrap_or_default();
    let (files, folder, revision) = (artefacts.len(), bench.shelf.whole(folder), made.revision);
    match writer::write(dir, &artefacts) {
        Ok(()) => Packing::Done { files, folder, left: None, sheet, revision },
        Err(error @ WriteError::OldPacketLeft { .. }) => {
            let left = Some(format!("{error}. {}", error.help()));
            Packing::Done { files, folder, left, sheet, revision }
        }
        Err(error) => refusal(&error),
    }
}

/// Notes that it could not be worked out.
pub(super) fn broke(bench: &Bench) {
    *held(&bench.packing) = Packing::refused(words::BROKE, "");
    bench.tell();
}

/// Whether a packet is being written to disk right now.
pub(super) fn writes(bench: &Bench) -> bool {
    matches!(*held(&bench.packing), Packing::Busy(WRITING))
}
