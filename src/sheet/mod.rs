//! The job sheet: its page, and the pictures that go with it; and the whole packet, which the
//! sheet completes.

mod drawings;
mod model;
pub mod page;
pub mod picture;

use crate::export::packet::{self, PacketInfo};
use crate::export::{Artefact, ExportError, files};
use crate::finding::Findings;
use crate::job::Job;

/// A whole packet, ready to be written: models, outlines, sheet and list. `findings` is what there
/// is to say about the job.
///
/// # Errors
/// When a file can't be made; a fault of the tool.
pub fn packet(job: &Job, findings: &Findings) -> Result<Vec<Artefact>, ExportError> {
    let info = PacketInfo::of(job, findings);
    let mut artefacts = files::all(job)?;
    artefacts.sort_by(|a, b| a.name.cmp(&b.name));
    if let Some(round) = &job.round {
        let sheet = model::of(job, round, &info, findings, &artefacts);
        artefacts.insert(
            0,
            Artefact {
                name: "sheet.html".to_owned(),
                role: "the job sheet: print it, or read it beside the machine",
                unit: "",
                frame: "",
                bytes: page::page(&sheet).into_bytes(),
            },
        );
    }
    artefacts.insert(0, packet::list(&info, &artefacts)?);
    Ok(artefacts)
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
    let mut artefacts = files::only(job, names)?;
    let list = packet::list(&PacketInfo::of(job, findings), &artefacts)?;
    artefacts.insert(0, list);
    Ok(artefacts)
}
