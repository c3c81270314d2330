//! `new`: a commented file to start from.

use super::args::What;
use super::say::Console;
use super::{Ending, files};
use crate::params;
use std::path::Path;

pub(super) fn new(console: &Console, what: What, path: &Path) -> Ending {
    match files::create(path, params::template(what.into()).as_bytes()) {
        Ok(()) => {
            console.err(&format!("wrote {}\n", path.display()));
            Ending::Done
        }
        Err(error) => {
            console.err(&files::not_created(path, &error));
            Ending::Faults
        }
    }
}
