//! `new`: a commented file to start from. `schema` and `keys`: what such a file can hold.

use super::args::{Measure, New, What};
use super::say::{Console, harmless_path};
use super::{Ending, files};
use crate::params;
use std::path::Path;

pub(super) fn new(console: &Console, what: New, unit: Measure, path: &Path) -> Ending {
    match files::create(path, params::example(what.into(), unit.into()).as_bytes()) {
        Ok(()) => {
            console.err(&format!("wrote {}\n", harmless_path(path)));
            Ending::Done
        }
        Err(error) => {
            let (says, to_do) = files::not_created(path, &error);
            console.fault(&says, to_do);
            Ending::Faults
        }
    }
}

pub(super) fn schema(console: &Console, what: What) -> Ending {
    console.out(&format!("{:#}\n", params::schema(what.into())));
    Ending::Done
}

pub(super) fn keys(console: &Console) -> Ending {
    console.out(&params::reference());
    Ending::Done
}
