//! Reads the three files, and says as findings what is wrong with them as files.

use super::codes;
use crate::finding::{Code, Finding, Source};
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

/// The largest file that is read: a thousand times a usual one, and still read in a moment.
const LARGEST: u64 = 1_000_000;

/// The text of an input file, or what is wrong with it.
pub(super) fn read(source: Source, path: &Path) -> Result<String, Finding> {
    let name = source.name();
    let fault = |code: Code, message: String, help: &str| {
        Err(Finding::fault(code, message, help).at(source, ""))
    };
    let shown = path.display();
    let is_file = match std::fs::metadata(path) {
        Ok(found) => found.is_file(),
        Err(error) => return lost(source, path, &error),
    };
    // A pipe or a device could be endless, so only a plain file is read.
    if !is_file {
        return fault(
            codes::FILE_IS_FOLDER,
            format!("`{shown}`, given as the {name}, is not a file"),
            "Give the path of the TOML file itself.",
        );
    }
    let mut bytes = Vec::new();
    let limited = File::open(path).map(|file| file.take(LARGEST + 1));
    if let Err(error) = limited.and_then(|mut file| file.read_to_end(&mut bytes)) {
        return lost(source, path, &error);
    }
    if bytes.len() as u64 > LARGEST {
        return fault(
            codes::FILE_TOO_LARGE,
            format!("`{shown}`, given as the {name}, is larger than 1 MB"),
            "Look whether it is the file that you meant.",
        );
    }
    match String::from_utf8(bytes) {
        Ok(text) => Ok(text),
        Err(error) => {
            let good = error.utf8_error().valid_up_to();
            let line = 1 + error.as_bytes()[..good].iter().filter(|b| **b == b'\n').count();
            fault(
                codes::FILE_NOT_TEXT,
                format!("`{shown}`, given as the {name}, is not UTF-8 text from line {line} on"),
                "Save it again as UTF-8, or look whether it is the file that you meant.",
            )
        }
    }
}

fn lost(source: Source, path: &Path, error: &io::Error) -> Result<String, Finding> {
    let (name, shown) = (source.name(), path.display());
    let finding = match error.kind() {
        io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => Finding::fault(
            codes::FILE_MISSING,
            format!("there is no file `{shown}`, given as the {name}"),
            format!("Check the path, or write one with `treenwright new {name} PATH`."),
        ),
        _ => Finding::fault(
            codes::FILE_UNREADABLE,
            format!("`{shown}`, given as the {name}, can't be read: {error}"),
            "Check that you may read it.",
        ),
    };
    Err(finding.at(source, ""))
}
