//! Why a packet was not written: what, where, why, and what to do.

use std::io;
use std::path::{Path, PathBuf};
use thiserror::Error;

/// Why a packet was not written.
#[derive(Debug, Error)]
pub enum WriteError {
    /// The path has no last name of its own, such as `..` or `/`.
    #[error("`{}` can't be the name of a new folder", .dir.display())]
    NoName {
        /// The path.
        dir: PathBuf,
    },
    /// The folder that should hold the packet isn't there, or isn't a folder.
    #[error("there is no folder `{}` to put the packet in", .parent.display())]
    NoParent {
        /// That folder.
        parent: PathBuf,
    },
    /// A file is in the way.
    #[error("`{}` is already there, and it is not a folder", .dir.display())]
    IsFile {
        /// The path.
        dir: PathBuf,
    },
    /// A symbolic link is in the way.
    #[error("`{}` is a symbolic link", .dir.display())]
    IsLink {
        /// The path.
        dir: PathBuf,
    },
    /// A folder is in the way that this tool did not write, or whose list someone changed.
    #[error("the folder `{}` is already there, and it is not an unchanged packet of this tool", .dir.display())]
    NotOurs {
        /// The path.
        dir: PathBuf,
    },
    /// The packet that is there holds something else, too.
    #[error("the packet `{}` also holds `{entry}`, which this tool did not write", .dir.display())]
    Foreign {
        /// The path.
        dir: PathBuf,
        /// What else, in it.
        entry: String,
    },
    /// A file of the packet that is there was changed since it was written.
    #[error("`{entry}` in the packet `{}` was changed since it was written", .dir.display())]
    Changed {
        /// The path.
        dir: PathBuf,
        /// The file, in it.
        entry: String,
    },
    /// A file of the packet has a name that can't stand on every disk: a fault of this tool.
    #[error("`{}` can't be the name of a file in a packet", .name.escape_debug())]
    Name {
        /// The name.
        name: String,
    },
    /// The disk refused.
    #[error("can't {act} `{}`: {}", .path.display(), plainly(.error))]
    Disk {
        /// What was tried.
        act: &'static str,
        /// On what.
        path: PathBuf,
        /// Why not.
        #[source]
        error: io::Error,
    },
    /// The old packet was moved aside, and neither the new one nor the old one could be put in its
    /// place again.
    #[error("the packet can't be put at `{}`; the old one is now at `{}`", .dir.display(), .aside.display())]
    OldPacketAside {
        /// The place.
        dir: PathBuf,
        /// Where the old packet is now.
        aside: PathBuf,
    },
    /// The new packet is in place; of the old one something is left beside it.
    #[error("the new packet is in place, but part of the old one is left in `{}`", .aside.display())]
    OldPacketLeft {
        /// Where.
        aside: PathBuf,
    },
}

/// What the system says, without its number.
fn plainly(error: &io::Error) -> String {
    let said = error.to_string();
    said.split(" (os error").next().unwrap_or(&said).to_owned()
}

impl WriteError {
    pub(super) fn disk(act: &'static str, path: &Path, error: io::Error) -> WriteError {
        WriteError::Disk { act, path: path.to_owned(), error }
    }

    /// What to do about it.
    pub fn help(&self) -> String {
        match self {
            WriteError::NoName { .. } => {
                "Give the new folder a name, such as `--out spoon`.".into()
            }
            WriteError::NoParent { parent } => {
                format!("Make the folder `{}` first, or give another place.", parent.display())
            }
            WriteError::IsFile { .. } | WriteError::NotOurs { .. } => {
                "Give another name with `--out`. Only an empty folder, or an unchanged packet of \
                 this tool, is ever replaced."
                    .into()
            }
            WriteError::IsLink { .. } => {
                "Give the folder itself. Links are not followed, so that nothing elsewhere is \
                 replaced."
                    .into()
            }
            WriteError::Foreign { entry, .. } => {
                format!("Move `{entry}` out of the folder, or give another name with `--out`.")
            }
            WriteError::Changed { entry, .. } => format!(
                "To keep `{entry}` as it is now, give another name with `--out`. Otherwise remove \
                 it and build again."
            ),
            WriteError::Name { .. } => "This is a fault of the tool. Please report it.".into(),
            WriteError::Disk { error, .. } => match error.kind() {
                io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                    "You don't have permission to write there. Choose another place with `--out`."
                        .into()
                }
                io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
                    "Make room on the disk, or choose another place with `--out`.".into()
                }
                io::ErrorKind::InvalidFilename => {
                    "Give a shorter and plainer name with `--out`.".into()
                }
                _ => "Nothing was changed. Choose another place with `--out`, or try again.".into(),
            },
            WriteError::OldPacketAside { dir, aside } => {
                format!("Rename `{}` back to `{}`.", aside.display(), dir.display())
            }
            WriteError::OldPacketLeft { aside } => {
                format!("Look into `{}`, keep what you need and remove it.", aside.display())
            }
        }
    }
}
