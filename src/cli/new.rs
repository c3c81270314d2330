//! `new`: a commented file to start from.

use super::Ending;
use super::args::What;
use super::say::Console;
use crate::params;
use std::fs::File;
use std::io::{self, Write};
use std::path::Path;

pub(super) fn new(console: &Console, what: What, path: &Path) -> Ending {
    match write(path, params::template(what.into())) {
        Ok(()) => {
            console.err(&format!("wrote {}\n", path.display()));
            Ending::Done
        }
        Err(error) => {
            let (why, help) = match error.kind() {
                io::ErrorKind::AlreadyExists => {
                    ("it is there already".to_owned(), "Give another name; nothing was changed.")
                }
                io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => {
                    ("there is no such folder".to_owned(), "Make the folder first.")
                }
                _ => (error.to_string(), "Nothing was written."),
            };
            console.err(&format!("could not write `{}`: {why}\n{help}\n", path.display()));
            Ending::Faults
        }
    }
}

/// Writes a new file, whole or not at all. `create_new` opens nothing that is there, not even
/// through a link.
fn write(path: &Path, text: &str) -> io::Result<()> {
    let mut file = File::create_new(path)?;
    let written = file.write_all(text.as_bytes()).and_then(|()| file.sync_all());
    if written.is_err() {
        let _ = std::fs::remove_file(path);
    }
    written
}
