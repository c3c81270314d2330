//! `live`: the page in the maker's browser, with the files that it was started with.

mod watch;

use super::args::LivePage;
use super::say::Console;
use super::{Ending, files};
use crate::finding::{Finding, Findings, Source};
use crate::live::{Bench, LiveFile, Refusal, Served, Shelf, serve};
use crate::params::{self, Example};
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use watch::Lookout;

/// Opens the page, and serves it until Ctrl-C.
pub(super) fn live(console: &Console, page: &LivePage) -> Ending {
    let shelf = Arc::new(OnDisk::of(page));
    let paths: Vec<PathBuf> = shelf.files.iter().map(|(_, path)| path.clone()).collect();
    let bench = Arc::new(Bench::new(shelf.clone()));
    if let Err(error) = shelf.watch.begin(&bench, &paths) {
        let says = format!("Changes in an editor won't show by themselves: {error}.");
        console.fault(&says, "Start it again after a change.");
    }
    let ready = |address: &str| {
        console.out(&format!("{address}\n"));
        console.err("The page answers on this machine only. Ctrl-C ends it.\n");
        if !page.no_browser && open::that_detached(address).is_err() {
            console.err("No browser could be opened: open the address yourself.\n");
        }
    };
    let served = Served { bench, port: page.port, ready: &ready };
    match serve(&served) {
        Ok(()) => {
            let unsaved = served.bench.unsaved();
            if !unsaved.is_empty() {
                let what = if unsaved.len() == 1 { "has" } else { "have" };
                let says =
                    format!("\n{} {what} changes that were not saved.\n", unsaved.join(", "));
                console.err(&says);
            }
            Ending::Done
        }
        Err(error) => {
            console.fault(&format!("The page can't be served: {error}."), "Try another `--port`.");
            Ending::Faults
        }
    }
}

/// The files on disk.
struct OnDisk {
    files: Vec<(LiveFile, PathBuf)>,
    /// Which of them were read once: such a file may be taken away, and come back.
    known: Vec<AtomicBool>,
    /// What happens to them, and to what their designs name.
    watch: Lookout,
}

impl OnDisk {
    fn of(page: &LivePage) -> OnDisk {
        let old = |source: Source, path: &PathBuf| {
            let shown = path.display().to_string();
            (LiveFile { source, shown, start: None }, path.clone())
        };
        let new = |source: Source, stem: &str, example: Example| {
            let path = free(stem);
            let start = Some(params::example(example, page.unit.into()));
            (LiveFile { source, shown: path.display().to_string(), start }, path)
        };
        let mut files: Vec<_> = page.designs.iter().map(|path| old(Source::Design, path)).collect();
        if files.is_empty() {
            let example: Example = page.new.into();
            let stem = match example {
                Example::Fork => "my-fork",
                Example::Turner => "my-turner",
                Example::Spreader => "my-spreader",
                Example::Scoop => "my-scoop",
                _ => "my-spoon",
            };
            files.push(new(Source::Design, stem, example));
        }
        let given = [
            (Source::Board, &page.board, "my-board", Example::Board),
            (Source::Shop, &page.shop, "my-shop", Example::Shop),
        ];
        files.extend(given.map(|(source, path, stem, example)| match path {
            Some(path) => old(source, path),
            None => new(source, stem, example),
        }));
        let known = files.iter().map(|_| AtomicBool::new(false)).collect();
        OnDisk { files, known, watch: Lookout::default() }
    }
}

/// A name in this folder that no file has yet.
fn free(stem: &str) -> PathBuf {
    let numbered = (2..).map(|number| format!("{stem}-{number}.toml"));
    let names = std::iter::once(format!("{stem}.toml")).chain(numbered).map(PathBuf::from);
    let mut free = names.filter(|path| fs::symlink_metadata(path).is_err());
    free.next().unwrap_or_else(|| PathBuf::from(format!("{stem}.toml")))
}

impl Shelf for OnDisk {
    fn files(&self) -> Vec<LiveFile> {
        self.files.iter().map(|(file, _)| file.clone()).collect()
    }

    fn whole(&self, folder: &str) -> String {
        std::path::absolute(folder)
            .map_or_else(|_| folder.to_owned(), |whole| whole.display().to_string())
    }

    fn read(&self, file: usize) -> Result<Option<String>, Box<Finding>> {
        let Some((live, path)) = self.files.get(file) else { return Ok(None) };
        let known = self.known.get(file);
        let may_lack =
            live.start.is_some() || known.is_some_and(|known| known.load(Ordering::Relaxed));
        if may_lack && fs::symlink_metadata(path).is_err() {
            return Ok(None);
        }
        let mut said = Findings::new();
        match files::read(live.source, path, &mut said) {
            Some(text) => {
                known.inspect(|known| known.store(true, Ordering::Relaxed));
                Ok(Some(text))
            }
            None => said.into_iter().next().map_or(Ok(None), |lost| Err(Box::new(lost))),
        }
    }

    fn lend(&self, design: usize, name: &str) -> Result<Vec<u8>, String> {
        let folder = self.files.get(design).and_then(|(_, path)| path.parent());
        let path = folder.unwrap_or(Path::new("")).join(name);
        // First, so that nothing that happens after the reading is missed.
        self.watch.lent(&path);
        files::lent(&path)
    }

    fn write(&self, file: usize, text: &str, before: Option<&str>) -> Result<bool, Refusal> {
        let Some((_, path)) = self.files.get(file) else { return Ok(true) };
        let still = || self.read(file).is_ok_and(|now| now.as_deref() == before);
        let written = match before {
            None => files::create(path, text.as_bytes()).map(|()| true),
            Some(_) => replaced(path, text, &still),
        };
        written.map_err(|error| {
            use io::ErrorKind::{AlreadyExists, NotADirectory, NotFound};
            let (says, to_do) = match error.kind() {
                AlreadyExists | NotFound | NotADirectory => files::not_created(path, &error),
                _ => not_replaced(path, &error),
            };
            Refusal { says, to_do: to_do.to_owned() }
        })
    }
}

/// Why a file that is there was not written, and what to do.
fn not_replaced(path: &Path, error: &io::Error) -> (String, &'static str) {
    let (why, to_do) = match error.kind() {
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => (
            "it, or its folder, is set to be read only".to_owned(),
            "Allow it to be written, and save again. The file is as it was, and what you changed \
             stays on this page.",
        ),
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => (
            "the disk is full".to_owned(),
            "Make room, and save again. The file is as it was, and what you changed stays on this \
             page.",
        ),
        _ => (error.to_string(), "The file is as it was, and what you changed stays on this page."),
    };
    (format!("Can't write `{}`: {why}.", path.display()), to_do)
}

/// Puts another text into a file that is there, whole or not at all: a new file beside it takes its
/// place, with its permissions, if the old one is `still` what it was. A link goes on pointing to where
/// it did. Whether it was put there.
fn replaced(path: &Path, text: &str, still: &dyn Fn() -> bool) -> io::Result<bool> {
    let path = fs::canonicalize(path)?;
    let may = fs::metadata(&path)?.permissions();
    // Renaming would replace even a file that may not be written to.
    if may.readonly() {
        return Err(io::ErrorKind::PermissionDenied.into());
    }
    // As much of it as shows whose it is; a long name has no room for more.
    let name: String =
        path.file_name().unwrap_or_default().to_string_lossy().chars().take(40).collect();
    let beside = path.with_file_name(format!(".{name}.saving-{}", std::process::id()));
    let put = || {
        let mut file = File::create_new(&beside)?;
        file.write_all(text.as_bytes())?;
        file.set_permissions(may)?;
        file.sync_all()?;
        // Writing takes its time, in which an editor may have saved.
        if !still() {
            return Ok(false);
        }
        fs::rename(&beside, &path).map(|()| true)
    };
    let done = put();
    if !matches!(done, Ok(true)) {
        let _ = fs::remove_file(&beside);
    }
    done
}
