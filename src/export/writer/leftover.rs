//! What is taken away beside the target: the old packet, and what a killed run left there, with how it
//! is known for this tool's own.

use super::{WriteError, look};
use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::fs;
use std::path::Path;

/// A file that stands in a new folder as long as it isn't whole. It goes just before the folder is
/// put in its place.
pub(super) const MARK: &str = ".treenwright-unfinished";

/// Removes new folders that killed runs left, by their names and the mark in them. Whatever can't
/// be removed stays; it is in nobody's way.
pub(super) fn unfinished(parent: &Path, name: &OsStr) {
    for path in left(parent, name, ".new-") {
        if fs::symlink_metadata(path.join(MARK)).is_ok_and(|found| found.is_file()) {
            let _ = fs::remove_dir_all(path);
        }
    }
}

/// Removes old packets that killed runs had moved aside, if they are as they were written.
pub(super) fn moved_aside(parent: &Path, name: &OsStr) {
    for path in left(parent, name, ".old-") {
        if let Ok(Some(listed)) = look::target(&path) {
            let _ = clear(&path, &listed);
        }
    }
}

/// Removes the old packet, file by listed file, so that whatever else is in it stays.
pub(super) fn clear(aside: &Path, listed: &BTreeSet<String>) -> Result<(), WriteError> {
    let mut folders = BTreeSet::new();
    for name in listed {
        for (at, _) in name.match_indices('/') {
            folders.insert(&name[..at]);
        }
        let _ = fs::remove_file(aside.join(name));
    }
    for folder in folders.iter().rev() {
        let _ = fs::remove_dir(aside.join(folder));
    }
    fs::remove_dir(aside).map_err(|_| WriteError::OldPacketLeft { aside: aside.to_owned() })
}

/// Folders of that kind whose run is over.
fn left(parent: &Path, name: &OsStr, kind: &str) -> Vec<std::path::PathBuf> {
    let Ok(entries) = fs::read_dir(parent) else { return Vec::new() };
    let dead = |found: &OsStr| {
        let rest = found.as_encoded_bytes().strip_prefix(b".");
        let rest = rest.and_then(|rest| rest.strip_prefix(name.as_encoded_bytes()));
        let rest = rest.and_then(|rest| rest.strip_prefix(kind.as_bytes()));
        let numbers = rest.and_then(|rest| str::from_utf8(rest).ok()?.split_once('-'));
        numbers.is_some_and(|(id, count)| {
            let number = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
            !count.is_empty() && number(count) && id.parse().is_ok_and(over)
        })
    };
    let folder = |entry: &fs::DirEntry| entry.file_type().is_ok_and(|kind| kind.is_dir());
    let found = entries.flatten().filter(|entry| folder(entry) && dead(&entry.file_name()));
    found.map(|entry| entry.path()).collect()
}

/// Whether the run of that number is over for certain. Only Linux tells without being asked in its
/// own language; elsewhere leftovers stay.
fn over(id: u32) -> bool {
    let runs = Path::new("/proc");
    cfg!(target_os = "linux")
        && id != std::process::id()
        && runs.join("self").exists()
        && !runs.join(id.to_string()).exists()
}
