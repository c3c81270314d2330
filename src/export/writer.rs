//! Puts a packet on disk: whole or not at all.
//!
//! Promised: all files are written and flushed in a new folder beside the target, which is then
//! renamed to its place; when anything fails, that folder is removed and the target is as it was.
//! A folder that is there already gives way only if it is empty or a packet that this tool wrote,
//! untouched since. No symbolic link is followed, and nothing is removed that this tool did not
//! write. Two runs at once don't share a folder.
//!
//! Not promised: that nobody changes a file in the old packet in the moment between the look at
//! it and the rename; that a run which is killed leaves no `.NAME.new-N` folder behind. On Linux the
//! next run removes it.

mod error;
mod leftover;
mod look;

pub use error::WriteError;

use super::Artefact;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsString;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::thread;

/// The acts on the disk that can fail half-way: a seam for tests.
trait Disk: Sync {
    /// Writes a new file.
    fn put(&self, path: &Path, bytes: &[u8]) -> io::Result<()>;
    /// Flushes a file to the disk.
    fn flush(&self, path: &Path) -> io::Result<()>;
    /// Renames a folder.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;
}

struct Real;

impl Disk for Real {
    fn put(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        // `create_new` follows no link and opens nothing that is there already.
        fs::File::create_new(path)?.write_all(bytes)
    }

    fn flush(&self, path: &Path) -> io::Result<()> {
        fs::File::options().write(true).open(path)?.sync_all()
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }
}

/// Writes the packet as the folder `dir`, or changes nothing.
///
/// # Errors
/// When the folder may not be replaced, or the disk refuses. Only in the case
/// [`WriteError::OldPacketLeft`] is the packet in its place all the same.
pub fn write(dir: &Path, artefacts: &[Artefact]) -> Result<(), WriteError> {
    write_on(&Real, &bare(dir), artefacts)
}

/// The same folder without a `.` or a slash at the end of its path: neither can be renamed.
fn bare(dir: &Path) -> PathBuf {
    dir.components().collect()
}

/// Looks whether [`write()`] would take the folder, and whether one can be made beside it: to tell
/// the maker before the work begins. Leaves nothing.
///
/// # Errors
/// When the folder may not be replaced, or the disk refuses.
pub fn may_write(dir: &Path) -> Result<(), WriteError> {
    let dir = bare(dir);
    look::target(&dir)?;
    let trial = Beside::of(&dir)?.make("new")?;
    fs::remove_dir(&trial).map_err(|e| WriteError::disk("remove the folder", &trial, e))
}

fn write_on(disk: &dyn Disk, dir: &Path, artefacts: &[Artefact]) -> Result<(), WriteError> {
    let old = look::target(dir)?;
    let folders = folders_of(artefacts)?;
    let beside = Beside::of(dir)?;
    leftover::unfinished(&beside.parent, &beside.name);
    let new = beside.make("new")?;
    let mark = new.join(leftover::MARK);
    let marked = |act, done: io::Result<()>| done.map_err(|e| WriteError::disk(act, &mark, e));
    let filled = marked("write", fs::write(&mark, b""))
        .and_then(|()| fill(disk, &new, &folders, artefacts))
        .and_then(|()| marked("remove", fs::remove_file(&mark)));
    let placed = filled.and_then(|()| match &old {
        None => rename(disk, &new, dir).map(|()| None),
        Some(_) => swap(disk, &beside, &new, dir).map(Some),
    });
    match placed {
        Err(error) => {
            // The folder is ours alone: its name was free when it was made.
            let _ = fs::remove_dir_all(&new);
            Err(error)
        }
        Ok(aside) => {
            sync_folder(&beside.parent);
            leftover::moved_aside(&beside.parent, &beside.name);
            match (aside, old) {
                (Some(aside), Some(listed)) => leftover::clear(&aside, &listed),
                _ => Ok(()),
            }
        }
    }
}

/// The folders that the names need, parents first.
fn folders_of(artefacts: &[Artefact]) -> Result<BTreeSet<String>, WriteError> {
    let mut folders = BTreeSet::new();
    let mut seen = BTreeMap::new();
    for artefact in artefacts {
        let name = &artefact.name;
        // Names that differ only in case are one file on some disks.
        if !look::is_plain(name) || seen.insert(name.to_lowercase(), ()).is_some() {
            return Err(WriteError::Name { name: name.clone() });
        }
        for (at, _) in name.match_indices('/') {
            folders.insert(name[..at].to_owned());
        }
    }
    match folders.iter().find(|folder| seen.contains_key(&folder.to_lowercase())) {
        Some(name) => Err(WriteError::Name { name: name.clone() }),
        None => Ok(folders),
    }
}

fn fill(
    disk: &dyn Disk,
    new: &Path,
    folders: &BTreeSet<String>,
    artefacts: &[Artefact],
) -> Result<(), WriteError> {
    for folder in folders {
        let path = new.join(folder);
        fs::create_dir(&path).map_err(|e| WriteError::disk("make the folder", &path, e))?;
    }
    let put = |artefact: &Artefact| {
        let path = new.join(&artefact.name);
        disk.put(&path, &artefact.bytes).map_err(|e| WriteError::disk("write", &path, e))
    };
    let put: Vec<_> = artefacts.par_iter().with_max_len(1).map(put).collect();
    put.into_iter().collect::<Result<(), _>>()?;
    flush(disk, new, artefacts)?;
    folders.iter().for_each(|folder| sync_folder(&new.join(folder)));
    sync_folder(new);
    Ok(())
}

/// Flushes the files to the disk when all are written, many at once: one after the other costs a
/// wait on the disk for each. These threads only wait, so there are more than processors.
fn flush(disk: &dyn Disk, new: &Path, artefacts: &[Artefact]) -> Result<(), WriteError> {
    const AT_ONCE: usize = 16;
    let share = artefacts.len().div_ceil(AT_ONCE).max(1);
    let some = |some: &[Artefact]| {
        some.iter().try_for_each(|artefact| {
            let path = new.join(&artefact.name);
            disk.flush(&path).map_err(|e| WriteError::disk("write", &path, e))
        })
    };
    thread::scope(|scope| {
        let waiting: Vec<_> = artefacts
            .chunks(share)
            .map(|files| thread::Builder::new().spawn_scoped(scope, move || some(files)))
            .collect();
        waiting.into_iter().try_for_each(|thread| {
            let thread = thread.map_err(|e| WriteError::disk("write", new, e))?;
            thread.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))
        })
    })
}

/// Puts the new folder in the place of the old one, and says where the old one is now. If the
/// second rename fails the first is undone.
fn swap(disk: &dyn Disk, beside: &Beside, new: &Path, dir: &Path) -> Result<PathBuf, WriteError> {
    // Made and renamed over, so that the name is surely free: a rename replaces an empty folder.
    let aside = beside.make("old")?;
    let moved = if cfg!(unix) { Ok(()) } else { fs::remove_dir(&aside) }
        .and_then(|()| disk.rename(dir, &aside));
    if let Err(error) = moved {
        let _ = fs::remove_dir(&aside);
        return Err(WriteError::disk("move aside", dir, error));
    }
    match rename(disk, new, dir) {
        Ok(()) => Ok(aside),
        Err(error) => match disk.rename(&aside, dir) {
            Ok(()) => Err(error),
            Err(_) => Err(WriteError::OldPacketAside { dir: dir.to_owned(), aside }),
        },
    }
}

fn rename(disk: &dyn Disk, new: &Path, dir: &Path) -> Result<(), WriteError> {
    disk.rename(new, dir).map_err(|e| WriteError::disk("put in place", dir, e))
}

/// So that the names last, too. Not every system can do it, and the files are whole without.
fn sync_folder(path: &Path) {
    if let Ok(folder) = fs::File::open(path) {
        let _ = folder.sync_all();
    }
}

/// The place beside the target where new and old folders stand for a moment.
struct Beside {
    parent: PathBuf,
    name: OsString,
}

impl Beside {
    fn of(dir: &Path) -> Result<Beside, WriteError> {
        let name = dir.file_name().ok_or(WriteError::NoName { dir: dir.to_owned() })?;
        Ok(Beside { parent: look::parent(dir), name: name.to_owned() })
    }

    /// Makes a new hidden folder whose name no other run has: by the process's number, and by a
    /// count where a killed run with the same number has left one.
    fn make(&self, what: &str) -> Result<PathBuf, WriteError> {
        let id = std::process::id();
        let mut count = 0;
        loop {
            let mut name = OsString::from(".");
            name.push(&self.name);
            name.push(format!(".{what}-{id}-{count}"));
            let path = self.parent.join(name);
            match fs::create_dir(&path) {
                Ok(()) => return Ok(path),
                Err(e) if e.kind() == io::ErrorKind::AlreadyExists && count < 1000 => count += 1,
                Err(e) => return Err(WriteError::disk("make the folder", &path, e)),
            }
        }
    }
}

#[cfg(test)]
mod tests;
