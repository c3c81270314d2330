//! What the page has to do with the world outside: its files.

use crate::finding::{Finding, Source};

/// One of the files that the page was started with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LiveFile {
    /// Which of the three it is.
    pub source: Source,
    /// Its path, as the maker gave it.
    pub shown: String,
    /// What it starts as, if it is a new one that isn't there yet.
    pub start: Option<String>,
}

/// Why a file was not written, and what to do, in words.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Refusal {
    /// What is wrong.
    pub says: String,
    /// What to do.
    pub to_do: String,
}

/// The files on disk, by their number. Only these are ever read or written.
pub trait Shelf: Send + Sync + 'static {
    /// All of them: the designs, the board, the shop.
    fn files(&self) -> Vec<LiveFile>;

    /// A folder's whole path, to be shown.
    fn whole(&self, folder: &str) -> String;

    /// What a file holds now; nothing if it isn't there yet.
    ///
    /// # Errors
    /// When it can't be read, which the finding says.
    fn read(&self, file: usize) -> Result<Option<String>, Box<Finding>>;

    /// The bytes of a file that a design names, seen from the folder of that design's file.
    ///
    /// # Errors
    /// Why it can't be had, in words.
    fn lend(&self, design: usize, name: &str) -> Result<Vec<u8>, String> {
        Err(format!("no file {name} lies beside design {}", design + 1))
    }

    /// Puts another text into a file, whole or not at all, if it still holds `before`; nothing if it
    /// isn't there yet. Whether it did: what was written there meanwhile is looked for last of all.
    ///
    /// # Errors
    /// When it can't be written.
    fn write(&self, file: usize, text: &str, before: Option<&str>) -> Result<bool, Refusal>;
}
