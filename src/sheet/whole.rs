//! What a sheet is made from.

use super::page::FileLine;
use crate::export::Artefact;
use crate::export::list::Entry;
use crate::finding::Findings;
use crate::job::{Job, Mounted};

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

/// A piece where it lies, and its files.
pub(super) struct Whole<'a> {
    pub(super) at: Mounted<'a>,
    pub(super) entry: &'a Entry,
}

impl Whole<'_> {
    /// A file of it by its path in the packet.
    pub(super) fn path(&self, name: &str) -> String {
        match self.entry.folder.as_str() {
            "" => name.to_owned(),
            folder => format!("{folder}/{name}"),
        }
    }
}
