//! Looks at the place where a packet is to go, and says whether it may be replaced.

use super::WriteError;
use crate::export::list::{self, LIST};
use std::collections::BTreeSet;
use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// No list is longer; a longer one is not ours, and is not read whole.
const LIST_MAX: u64 = 16 << 20;

/// The folder that holds `dir`.
pub(super) fn parent(dir: &Path) -> PathBuf {
    match dir.parent() {
        Some(parent) if parent.as_os_str().is_empty() => PathBuf::from("."),
        Some(parent) => parent.to_owned(),
        None => dir.to_owned(),
    }
}

/// Nothing when the place is free; else the names of all files that give way with the old packet
/// (none for an empty folder).
pub(super) fn target(dir: &Path) -> Result<Option<BTreeSet<String>>, WriteError> {
    if dir.file_name().is_none() {
        return Err(WriteError::NoName { dir: dir.to_owned() });
    }
    let parent = parent(dir);
    // The parent may well be reached by a link; only the target itself must not be one.
    if !fs::metadata(&parent).is_ok_and(|m| m.is_dir()) {
        return Err(WriteError::NoParent { parent });
    }
    // `out/` would look through a link; the bare name does not.
    let kind = match fs::symlink_metadata(parent.join(dir.file_name().unwrap_or_default())) {
        Ok(found) => found.file_type(),
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(WriteError::disk("look at", dir, error)),
    };
    if kind.is_symlink() {
        return Err(WriteError::IsLink { dir: dir.to_owned() });
    }
    if !kind.is_dir() {
        return Err(WriteError::IsFile { dir: dir.to_owned() });
    }
    if entries(dir)?.is_empty() {
        return Ok(Some(BTreeSet::new()));
    }
    old_packet(dir).map(Some)
}

/// The names of the files of an untouched packet with nothing else in it. Files that were removed
/// from it are no hindrance: there is nothing to lose.
fn old_packet(dir: &Path) -> Result<BTreeSet<String>, WriteError> {
    let not_ours = || WriteError::NotOurs { dir: dir.to_owned() };
    let list = dir.join(LIST);
    if !fs::symlink_metadata(&list).is_ok_and(|m| m.is_file() && m.len() <= LIST_MAX) {
        return Err(not_ours());
    }
    let text = fs::read_to_string(&list).map_err(|_| not_ours())?;
    let files = list::read(&text).ok_or_else(not_ours)?;
    if files.iter().any(|file| !is_plain(&file.name)) {
        return Err(not_ours());
    }
    let mut names: BTreeSet<String> = files.iter().map(|file| file.name.clone()).collect();
    names.insert(LIST.to_owned());
    only(dir, "", &names)?;
    for file in &files {
        let changed = || WriteError::Changed { dir: dir.to_owned(), entry: file.name.clone() };
        match same(&dir.join(&file.name), file.bytes, &file.sha256) {
            Ok(true) => {}
            Ok(false) => return Err(changed()),
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            Err(error) => return Err(WriteError::disk("read", &dir.join(&file.name), error)),
        }
    }
    Ok(names)
}

/// Refuses whatever is in the folder and not in the list. Goes down only into folders that the
/// list names, so a stray tree is never walked.
fn only(dir: &Path, under: &str, names: &BTreeSet<String>) -> Result<(), WriteError> {
    for (entry, is_dir, is_file) in entries(&dir.join(under))? {
        let name = format!("{under}{entry}");
        let below = format!("{name}/");
        if is_dir && names.iter().any(|listed| listed.starts_with(&below)) {
            only(dir, &below, names)?;
        } else if !is_file || !names.contains(&name) {
            return Err(WriteError::Foreign { dir: dir.to_owned(), entry: name });
        }
    }
    Ok(())
}

/// What is in a folder, by name: whether it is a folder, whether it is a file; neither for a link.
fn entries(dir: &Path) -> Result<BTreeSet<(String, bool, bool)>, WriteError> {
    let fail = |error| WriteError::disk("look into", dir, error);
    let mut out = BTreeSet::new();
    for entry in fs::read_dir(dir).map_err(fail)? {
        let entry = entry.map_err(fail)?;
        let kind = entry.file_type().map_err(fail)?;
        let name = entry.file_name().to_string_lossy().into_owned();
        out.insert((name, kind.is_dir(), kind.is_file()));
    }
    Ok(out)
}

/// Whether the file is as the list says.
fn same(path: &Path, bytes: u64, sha256: &str) -> io::Result<bool> {
    let file = fs::File::open(path)?;
    if file.metadata()?.len() != bytes {
        return Ok(false);
    }
    let mut found = Vec::new();
    file.take(bytes.saturating_add(1)).read_to_end(&mut found)?;
    Ok(list::sha256(&found) == sha256)
}

/// Whether a name stays in the packet and can stand on every disk: forward slashes, no `..`, no
/// empty part, no drive, no control characters.
pub(super) fn is_plain(name: &str) -> bool {
    name.split('/').all(|part| {
        !part.is_empty()
            && part != "."
            && part != ".."
            && !part.chars().any(|c| c.is_control() || "\\:*?\"<>|".contains(c))
    })
}
