//! The files of a set: a folder for each piece with its own, and beside them those of the board,
//! which all pieces share.

use super::files::{self, Drawn, Plan, Plans};
use super::{Artefact, ExportError, words};
use crate::job::Job;

/// Whether a file of a piece is the same for all pieces of its board.
fn shared(name: &str) -> bool {
    ["workholding/", "board.", "bed."].iter().any(|start| name.starts_with(start))
}

/// Folders of the pieces, in order: their names in lower case with hyphens, numbered when two are
/// alike or one is taken by the packet itself.
pub fn folders(jobs: &[Job]) -> Vec<String> {
    let mut taken: Vec<String> = vec!["workholding".to_owned()];
    for job in jobs {
        let spaced = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { ' ' };
        let words: String = job.order.design.name.chars().map(spaced).collect();
        let stem = words.split_whitespace().collect::<Vec<_>>().join("-");
        // As long as any file system takes, and as a person reads.
        let stem: String = stem.chars().take(60).collect();
        let stem = if stem.is_empty() { "piece".to_owned() } else { stem };
        let numbered = (2..).map(|number| format!("{stem}-{number}"));
        let free = std::iter::once(stem.clone()).chain(numbered).find(|name| !taken.contains(name));
        taken.extend(free);
    }
    taken.split_off(1)
}

/// All files of a set, but for its sheet and its list, by their names in the packet.
///
/// # Errors
/// When a library refuses to write one; a fault of the tool.
pub fn all(jobs: &[Job]) -> Result<Vec<Artefact>, ExportError> {
    files::made(plans(jobs))
}

/// Some files of a set by their names in the packet.
///
/// # Errors
/// When the set has no file of that name, or a library refuses to write one.
pub fn only(jobs: &[Job], names: &[String]) -> Result<Vec<Artefact>, ExportError> {
    files::made(files::chosen(plans(jobs), names)?)
}

fn plans(jobs: &[Job]) -> Vec<Plan<'_>> {
    let mut plans = Vec::new();
    for (index, (job, folder)) in jobs.iter().zip(folders(jobs)).enumerate() {
        for mut plan in files::plans(job) {
            if !shared(&plan.name) {
                plan.name = format!("{folder}/{}", plan.name);
                plans.push(plan);
            } else if index == 0 && !plan.name.starts_with("board.") {
                plans.push(plan);
            }
        }
    }
    let mut board = Plans(Vec::new());
    if let Some(first) = jobs.first()
        && first.round.is_some()
    {
        let role = words::BOARD;
        board.drawing("board", role, "board", first.order.shop.unit, together(jobs));
    }
    plans.extend(board.0);
    plans
}

/// What is on the board, of all pieces, each thing once.
fn together(jobs: &[Job]) -> Vec<Drawn> {
    let mut layers: Vec<Drawn> = Vec::new();
    for job in jobs {
        let Some(round) = &job.round else { continue };
        for drawn in files::board(job, round) {
            let Some(known) = layers.iter_mut().find(|layer| layer.name == drawn.name) else {
                layers.push(drawn);
                continue;
            };
            for path in drawn.paths {
                if !known.paths.contains(&path) {
                    known.paths.push(path);
                }
            }
            for circle in drawn.circles {
                if !known.circles.contains(&circle) {
                    known.circles.push(circle);
                }
            }
        }
    }
    layers
}
