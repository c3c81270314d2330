//! What the sheet says of the order of work: each step, and what is loaded for it.

use super::super::page::{Loaded, StepLine};
use super::super::whole::{Sheet, Whole};
use super::super::words::{self, fill};
use crate::work;

/// The order of work.
pub(super) fn steps(
    pieces: &[Whole<'_>],
    sheet: &Sheet<'_>,
    order: &[work::Step],
) -> Vec<StepLine> {
    order
        .iter()
        .map(|step| StepLine {
            what: step.what.clone(),
            why: step.why.to_owned(),
            mind: step.mind.to_owned(),
            files: loaded(pieces, sheet, step),
        })
        .collect()
}

/// The files of a step, each with its unit. What every piece of a set loads from its own folder is
/// said once.
pub(super) fn loaded(pieces: &[Whole<'_>], sheet: &Sheet<'_>, step: &work::Step) -> Vec<Loaded> {
    let each = step.pieces.len() > 1 && step.pieces.len() == pieces.len();
    let mut files: Vec<Loaded> = Vec::new();
    for file in &step.files {
        let piece = file.piece.and_then(|piece| pieces.get(piece));
        let path =
            piece.map_or_else(|| file.name.clone().into_owned(), |piece| piece.path(&file.name));
        let mut known = known(sheet, path);
        if each && piece.is_some() {
            known.name = fill(words::EACH_FILE, &[("name", &*file.name)]);
        }
        let file = known;
        if !files.contains(&file) {
            files.push(file);
        }
    }
    files
}

/// A file of the packet with its unit.
pub(super) fn known(sheet: &Sheet<'_>, name: String) -> Loaded {
    let listed = sheet.files.iter().find(|listed| listed.name == name);
    let unit = listed.map(|listed| listed.unit.clone()).unwrap_or_default();
    Loaded { name, unit }
}
