//! The job sheet, `sheet.html`: what it says of a job, its pictures, and its page.

mod base64;
mod model;
pub mod page;
mod shots;
mod words;

pub use page::{FileLine, Picture};

use crate::export::Artefact;
use crate::export::list::Entry;
use crate::finding::Findings;
use crate::job::Job;
use rayon::prelude::*;

/// What stands in a sheet's title block beside what the jobs say.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Title<'a> {
    /// What the maker calls the whole; none for the design's own name, or for "Set of 3 pieces".
    pub name: Option<&'a str>,
    /// The date as the maker gave it. The tool reads no clock, so without one there is none.
    pub date: Option<&'a str>,
}

/// What a sheet is made from.
#[derive(Clone, Copy, Debug)]
pub struct Sheet<'a> {
    /// The title block.
    pub title: Title<'a>,
    /// The job, mounted.
    pub job: &'a Job,
    /// Its pieces, as the packet's list has them.
    pub entries: &'a [Entry],
    /// What there is to say about several pieces together.
    pub findings: &'a Findings,
    /// The packet's files.
    pub files: &'a [FileLine],
    /// Of these the maps of what is left to sand.
    pub maps: &'a [Artefact],
}

/// The pictures of each piece, which take longest to make.
pub fn pictures(job: &Job) -> Vec<Vec<Picture>> {
    job.mounted().par_iter().with_max_len(1).map(shots::of).collect()
}

/// The page for one piece or for a set: one title block, the pieces, the board with all that lies on
/// it, one order of work, and a page for each setup. None for a job that is not mounted.
pub fn html(sheet: &Sheet<'_>, pictures: Vec<Vec<Picture>>) -> Option<String> {
    Some(page::page(&model::of(sheet, pictures)?))
}

#[cfg(test)]
mod tests;
