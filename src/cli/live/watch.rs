//! What happens on disk to the files of the page: those that it was started with, and the drawings, art
//! and fonts that its designs name.
//!
//! Promised: a file that is written, put in another's place, taken away or put back is looked at then,
//! and so is one whose folder comes or goes. Not promised: that of folders on another machine, which
//! tell of nothing.

use crate::cli::say::Console;
use crate::live::Bench;
use notify::{Event, RecommendedWatcher, RecursiveMode, Watcher};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, mpsc};
use std::thread;
use std::time::Duration;

/// Some editors empty a file before they fill it: it is looked at once nothing happened for this
/// long, or after so many events.
const SETTLED: Duration = Duration::from_millis(30);
const MOST_EVENTS: usize = 200;

/// What is watched.
#[derive(Default)]
pub(super) struct Lookout {
    watched: Arc<Mutex<Watched>>,
}

#[derive(Default)]
struct Watched {
    /// None until it has begun, or where it can't.
    watcher: Option<RecommendedWatcher>,
    folders: BTreeSet<PathBuf>,
    /// What designs name, whether it is there or not.
    lent: BTreeSet<PathBuf>,
    /// Whether it was said that a folder can't be.
    failed: bool,
}

/// Where a path is found, and where what it points to lies: that may be written in its own folder.
fn both(path: &Path) -> [PathBuf; 2] {
    let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let real = fs::canonicalize(path).unwrap_or_else(|_| whole.clone());
    [whole, real]
}

fn held(watched: &Mutex<Watched>) -> MutexGuard<'_, Watched> {
    watched.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Lookout {
    /// Begins to watch the folders of the files: an editor may put a new file in the old one's place.
    /// Ends with the process.
    pub(super) fn begin(&self, bench: &Arc<Bench>, paths: &[PathBuf]) -> notify::Result<()> {
        let known: Vec<[PathBuf; 2]> = paths.iter().map(|path| both(path)).collect();
        let (tell, told) = mpsc::channel();
        {
            let mut watched = held(&self.watched);
            watched.watcher = Some(notify::recommended_watcher(tell)?);
            for path in known.iter().flatten() {
                watched.folder_of(path)?;
            }
        }
        let (bench, watched) = (bench.clone(), self.watched.clone());
        thread::spawn(move || {
            while let Ok(first) = told.recv() {
                let more = std::iter::from_fn(|| told.recv_timeout(SETTLED).ok());
                let events = std::iter::once(first).chain(more.take(MOST_EVENTS)).flatten();
                // Looking is an event, too.
                let events: Vec<Event> = events.filter(|event| !event.kind.is_access()).collect();
                let paths = || events.iter().flat_map(|event| &event.paths);
                for (file, names) in known.iter().enumerate() {
                    if paths().any(|path| names.contains(path)) {
                        bench.look(file);
                    }
                }
                if held(&watched).met(paths()) {
                    bench.look_at_lent();
                }
            }
        });
        Ok(())
    }

    /// Watches a file that a design names, too; it may not be there yet.
    pub(super) fn lent(&self, path: &Path) {
        let mut watched = held(&self.watched);
        for path in both(path) {
            if let Err(error) = watched.folder_of(&path)
                && !std::mem::replace(&mut watched.failed, true)
            {
                let says =
                    format!("Changes of `{}` won't show by themselves: {error}.", path.display());
                Console::of_this_process()
                    .fault(&says, "Change any key of the design to have it read.");
            }
            watched.lent.insert(path);
        }
    }
}

impl Watched {
    /// Watches the folder of a file, or what there is above it: it may come.
    fn folder_of(&mut self, path: &Path) -> notify::Result<()> {
        let there = path.ancestors().skip(1).find(|folder| folder.is_dir());
        let (Some(folder), Some(watcher)) = (there, &mut self.watcher) else { return Ok(()) };
        if !self.folders.contains(folder) {
            watcher.watch(folder, RecursiveMode::NonRecursive)?;
            self.folders.insert(folder.to_owned());
        }
        Ok(())
    }

    /// Whether something happened to what a design names, or to a folder above it.
    fn met<'e>(&mut self, mut paths: impl Iterator<Item = &'e PathBuf> + Clone) -> bool {
        // Another folder of that name has to be watched anew.
        for path in paths.clone() {
            self.folders.retain(|folder| !folder.starts_with(path));
        }
        paths.any(|path| self.lent.iter().any(|lent| lent.starts_with(path)))
    }
}
