//! How far a packet is that a page asked for.

use serde_json::{Value, json};

/// How far it is.
#[derive(Clone, Debug, Default)]
pub(super) enum Packing {
    /// None was asked for.
    #[default]
    None,
    /// It is being made.
    Busy(&'static str),
    /// It was written: how many files, where, and of which revision of the files.
    Done { files: usize, folder: String, left: Option<String>, sheet: Vec<u8>, revision: u64 },
    /// It was not, and why.
    Refused { says: String, to_do: String },
}

impl Packing {
    pub(super) fn state(&self) -> Value {
        match self {
            Packing::None => Value::Null,
            Packing::Busy(with) => json!({ "busy": with }),
            Packing::Done { files, folder, left, revision, .. } => {
                json!({ "files": files, "folder": folder, "left": left, "revision": revision })
            }
            Packing::Refused { says, to_do } => json!({ "refused": says, "to_do": to_do }),
        }
    }

    pub(super) fn refused(says: impl Into<String>, to_do: impl Into<String>) -> Packing {
        Packing::Refused { says: says.into(), to_do: to_do.into() }
    }

    /// The job sheet of the last packet.
    pub(super) fn sheet(&self) -> Option<Vec<u8>> {
        match self {
            Packing::Done { sheet, .. } => Some(sheet.clone()),
            _ => None,
        }
    }
}
