//! Reads the three files, and says as findings what is wrong with them as files; writes a single
//! new one.

use super::codes;
use crate::finding::{Code, Finding, Findings, Source};
use std::fs::File;
use std::io::{self, Read, Write};
use std::path::Path;

/// The largest file that is read: a thousand times a usual one, and still read in a moment.
const LARGEST: u64 = 1_000_000;
/// The largest that a design may name: fonts of many scripts are a few MB.
const LARGEST_LENT: u64 = 16_000_000;

/// The text of an input file; nothing, and a finding, when it can't be had.
pub(super) fn read(source: Source, path: &Path, findings: &mut Findings) -> Option<String> {
    let (name, shown) = (source.name(), path.display());
    let mut fault = |code: Code, what: String, help: &str| {
        findings.push(Finding::fault(code, what, help).at(source, ""));
        None
    };
    let mut lost = |error: io::Error| match error.kind() {
        io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => fault(
            codes::FILE_MISSING,
            format!("There is no file `{shown}` for the {name}."),
            &format!("Check the path, or write one with `treenwright new {name} PATH`."),
        ),
        _ => fault(
            codes::FILE_UNREADABLE,
            format!("The {name}, `{shown}`, can't be read: {error}."),
            "Check that you have permission to read it.",
        ),
    };
    let found = match std::fs::metadata(path) {
        Ok(found) => found,
        Err(error) => return lost(error),
    };
    // A pipe or a device could be endless, so only a plain file is read.
    if !found.is_file() {
        let kind = if found.is_dir() { "folder" } else { "pipe or a device" };
        return fault(
            codes::FILE_IS_FOLDER,
            format!("The {name}, `{shown}`, is a {kind}, not a file."),
            "Give the path of the TOML file itself.",
        );
    }
    let mut bytes = Vec::new();
    let limited = File::open(path).map(|file| file.take(LARGEST + 1));
    if let Err(error) = limited.and_then(|mut file| file.read_to_end(&mut bytes)) {
        return lost(error);
    }
    if bytes.len() as u64 > LARGEST {
        return fault(
            codes::FILE_TOO_LARGE,
            format!("The {name}, `{shown}`, is larger than 1 MB."),
            "Check that it is the file you meant.",
        );
    }
    match String::from_utf8(bytes) {
        Ok(text) => Some(text),
        Err(error) => {
            let good = error.utf8_error().valid_up_to();
            let bytes = error.as_bytes();
            let line = 1 + bytes[..good].iter().filter(|b| **b == b'\n').count();
            let wide = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
            let what = match (wide, bytes.contains(&0)) {
                (true, _) => "UTF-16 text, not UTF-8".to_owned(),
                (false, true) => "not text but a file of some other kind".to_owned(),
                (false, false) => format!("not UTF-8 text from line {line} on"),
            };
            fault(
                codes::FILE_NOT_TEXT,
                format!("The {name}, `{shown}`, is {what}."),
                "Save it again as UTF-8, or check that it is the file you meant.",
            )
        }
    }
}

/// The bytes of a file that a design names.
///
/// # Errors
/// Why it can't be had, in words.
pub(super) fn lent(path: &Path) -> Result<Vec<u8>, String> {
    let found = std::fs::metadata(path).map_err(|error| match error.kind() {
        io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => {
            "there is no such file".to_owned()
        }
        _ => error.to_string(),
    })?;
    if !found.is_file() {
        return Err("it is no plain file".to_owned());
    }
    let mut bytes = Vec::new();
    let read =
        File::open(path).and_then(|file| file.take(LARGEST_LENT + 1).read_to_end(&mut bytes));
    read.map_err(|error| error.to_string())?;
    if bytes.len() as u64 > LARGEST_LENT {
        return Err("it is larger than 16 MB".to_owned());
    }
    Ok(bytes)
}

/// Writes a new file, whole or not at all. `create_new` opens nothing that is there, not even
/// through a link.
pub(super) fn create(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = File::create_new(path)?;
    let written = file.write_all(bytes).and_then(|()| file.sync_all());
    if written.is_err() {
        let _ = std::fs::remove_file(path);
    }
    written
}

/// Why a new file was not written, and what to do.
pub(super) fn not_created(path: &Path, error: &io::Error) -> (String, &'static str) {
    let (why, help) = match error.kind() {
        io::ErrorKind::AlreadyExists => {
            ("it is already there".to_owned(), "Give another name. What is there stays.")
        }
        io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => {
            ("there is no such folder".to_owned(), "Make the folder first.")
        }
        _ => (error.to_string(), "Choose another place. Nothing was written."),
    };
    (format!("Can't write `{}`: {why}.", path.display()), help)
}
