//! Tests of the writer: each way in which a disk or a maker can be in its way.

use super::*;
use crate::export::list::LIST;
use crate::export::list::tests::{artefact, list, sample};
use std::sync::atomic::{AtomicUsize, Ordering};

/// A folder of the test's own, removed when it ends.
struct Place(PathBuf);

impl Place {
    fn new(name: &str) -> Place {
        let path = std::env::temp_dir().join(format!("treenwright-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir(&path).unwrap();
        Place(path)
    }

    fn out(&self) -> PathBuf {
        self.0.join("out")
    }

    /// Every path under the folder, with the text of each file.
    fn all(&self) -> BTreeMap<String, String> {
        fn walk(at: &Path, base: &Path, out: &mut BTreeMap<String, String>) {
            for entry in fs::read_dir(at).unwrap() {
                let path = entry.unwrap().path();
                let name = path.strip_prefix(base).unwrap().to_str().unwrap().to_owned();
                let kind = fs::symlink_metadata(&path).unwrap().file_type();
                if kind.is_dir() {
                    walk(&path, base, out);
                    out.insert(name, "(folder)".into());
                } else if kind.is_symlink() {
                    out.insert(name, "(link)".into());
                } else {
                    out.insert(name, fs::read_to_string(&path).unwrap());
                }
            }
        }
        let mut out = BTreeMap::new();
        walk(&self.0, &self.0, &mut out);
        out
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// A packet of two models and their list; `mark` is the bodies' text.
fn packet(mark: &str) -> Vec<Artefact> {
    let mut all = vec![
        artefact("body.stl", mark.as_bytes()),
        artefact("top/relief.stl", format!("top {mark}").as_bytes()),
    ];
    all.push(list(&sample(), &all).unwrap());
    all
}

/// A disk on which the act with this number, counted from 0, fails.
struct Failing {
    put: Option<usize>,
    flush: bool,
    rename: Vec<usize>,
    puts: AtomicUsize,
    renames: AtomicUsize,
}

impl Failing {
    fn new(put: Option<usize>, rename: &[usize]) -> Failing {
        Failing {
            put,
            flush: false,
            rename: rename.into(),
            puts: AtomicUsize::new(0),
            renames: AtomicUsize::new(0),
        }
    }
}

impl Disk for Failing {
    fn put(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        let n = self.puts.fetch_add(1, Ordering::Relaxed);
        if self.put == Some(n) {
            // Half of it arrives, as on a full disk.
            fs::write(path, &bytes[..bytes.len() / 2])?;
            return Err(io::ErrorKind::StorageFull.into());
        }
        Real.put(path, bytes)
    }

    fn flush(&self, path: &Path) -> io::Result<()> {
        // A disk that is full in truth may say so only now.
        if self.flush { Err(io::ErrorKind::StorageFull.into()) } else { Real.flush(path) }
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        let n = self.renames.fetch_add(1, Ordering::Relaxed);
        if self.rename.contains(&n) {
            return Err(io::ErrorKind::PermissionDenied.into());
        }
        Real.rename(from, to)
    }
}

#[test]
fn a_packet_stands_whole_with_nothing_beside_it() {
    let place = Place::new("whole");
    write(&place.out(), &packet("one")).unwrap();
    let all = place.all();
    assert_eq!(all["out/body.stl"], "one");
    assert_eq!(all["out/top/relief.stl"], "top one");
    assert_eq!(
        all.keys().collect::<Vec<_>>(),
        ["out", "out/body.stl", "out/packet.json", "out/top", "out/top/relief.stl"]
    );
}

#[test]
fn our_own_untouched_packet_gives_way_even_with_a_file_removed() {
    let place = Place::new("again");
    write(&place.out(), &packet("one")).unwrap();
    write(&place.out(), &packet("two")).unwrap();
    assert_eq!(place.all()["out/body.stl"], "two");
    fs::remove_file(place.out().join("top/relief.stl")).unwrap();
    // A trailing slash is the same folder.
    write(&place.0.join("out/"), &packet("three")).unwrap();
    assert_eq!(place.all()["out/top/relief.stl"], "top three");
    assert_eq!(place.all().len(), 5);
}

#[test]
fn an_empty_folder_gives_way() {
    let place = Place::new("empty");
    fs::create_dir(place.out()).unwrap();
    write(&place.out(), &packet("one")).unwrap();
    assert_eq!(place.all().len(), 5);
}

/// Nothing changes, and the error is of the kind expected.
fn refused(place: &Place, dir: &Path, kind: fn(&WriteError) -> bool) {
    let before = place.all();
    let error = write(dir, &packet("two")).unwrap_err();
    assert!(kind(&error), "{error}");
    assert!(may_write(dir).is_err());
    assert!(!error.help().is_empty());
    assert_eq!(place.all(), before);
}

#[test]
fn a_file_added_to_the_packet_is_never_lost() {
    for stray in ["notes.txt", "top/notes.txt", "mine/notes.txt"] {
        let place = Place::new("stray");
        write(&place.out(), &packet("one")).unwrap();
        let path = place.out().join(stray);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(&path, "my notes").unwrap();
        refused(&place, &place.out(), |e| matches!(e, WriteError::Foreign { .. }));
    }
    let place = Place::new("stray-folder");
    write(&place.out(), &packet("one")).unwrap();
    fs::create_dir(place.out().join("mine")).unwrap();
    refused(
        &place,
        &place.out(),
        |e| matches!(e, WriteError::Foreign { entry, .. } if entry == "mine"),
    );
}

#[test]
fn a_file_changed_by_hand_is_never_lost_and_is_named() {
    let place = Place::new("changed");
    write(&place.out(), &packet("one")).unwrap();
    // As long as before, so that only the hash can tell.
    fs::write(place.out().join("top/relief.stl"), "top ONE").unwrap();
    refused(
        &place,
        &place.out(),
        |e| matches!(e, WriteError::Changed { entry, .. } if entry == "top/relief.stl"),
    );
}

#[test]
fn a_list_changed_by_hand_is_never_lost() {
    let place = Place::new("list");
    write(&place.out(), &packet("one")).unwrap();
    let path = place.out().join(LIST);
    let text = fs::read_to_string(&path).unwrap();
    fs::write(&path, text.replace("harvest fork", "my own fork")).unwrap();
    refused(&place, &place.out(), |e| matches!(e, WriteError::NotOurs { .. }));
}

#[test]
fn what_is_not_ours_is_refused() {
    let place = Place::new("foreign");
    fs::create_dir(place.out()).unwrap();
    fs::write(place.out().join("letter.txt"), "dear").unwrap();
    refused(&place, &place.out(), |e| matches!(e, WriteError::NotOurs { .. }));
    fs::write(place.out().join(LIST), "{\"format\": 1}").unwrap();
    refused(&place, &place.out(), |e| matches!(e, WriteError::NotOurs { .. }));
    let file = place.0.join("file");
    fs::write(&file, "x").unwrap();
    refused(&place, &file, |e| matches!(e, WriteError::IsFile { .. }));
    refused(&place, &place.0.join("none/out"), |e| matches!(e, WriteError::NoParent { .. }));
    refused(&place, &file.join("out"), |e| matches!(e, WriteError::NoParent { .. }));
    for dir in ["", "/", "..", "a/.."] {
        refused(&place, Path::new(dir), |e| matches!(e, WriteError::NoName { .. }));
    }
}

#[cfg(unix)]
#[test]
fn links_are_not_followed() {
    use std::os::unix::fs::symlink;
    let place = Place::new("links");
    write(&place.0.join("real"), &packet("one")).unwrap();
    symlink(place.0.join("real"), place.out()).unwrap();
    refused(&place, &place.out(), |e| matches!(e, WriteError::IsLink { .. }));
    refused(&place, &place.0.join("out/"), |e| matches!(e, WriteError::IsLink { .. }));
    // A dangling one is a link, too.
    symlink(place.0.join("nothing"), place.0.join("dangling")).unwrap();
    refused(&place, &place.0.join("dangling"), |e| matches!(e, WriteError::IsLink { .. }));
    // A file of the packet replaced by a link to the same bytes elsewhere.
    fs::write(place.0.join("elsewhere"), "one").unwrap();
    fs::remove_file(place.0.join("real/body.stl")).unwrap();
    symlink(place.0.join("elsewhere"), place.0.join("real/body.stl")).unwrap();
    refused(&place, &place.0.join("real"), |e| matches!(e, WriteError::Foreign { .. }));
}

#[test]
fn a_disk_that_fills_up_leaves_nothing_at_any_file() {
    for put in 0..3 {
        let place = Place::new("full");
        let disk = Failing::new(Some(put), &[]);
        let error = write_on(&disk, &place.out(), &packet("one")).unwrap_err();
        assert!(matches!(error, WriteError::Disk { act: "write", .. }), "{error}");
        assert_eq!(place.all().len(), 0);
        write(&place.out(), &packet("one")).unwrap();
        let before = place.all();
        let disk = Failing::new(Some(put), &[]);
        assert!(write_on(&disk, &place.out(), &packet("two")).is_err());
        assert_eq!(place.all(), before);
        let disk = Failing { flush: true, ..Failing::new(None, &[]) };
        assert!(write_on(&disk, &place.out(), &packet("two")).is_err());
        assert_eq!(place.all(), before);
    }
}

#[test]
fn a_rename_that_fails_leaves_the_old_packet_as_it_was() {
    let place = Place::new("rename");
    assert!(write_on(&Failing::new(None, &[0]), &place.out(), &packet("one")).is_err());
    assert_eq!(place.all().len(), 0);
    write(&place.out(), &packet("one")).unwrap();
    let before = place.all();
    for fails in 0..2 {
        let error = write_on(&Failing::new(None, &[fails]), &place.out(), &packet("two"));
        assert!(matches!(error, Err(WriteError::Disk { .. })), "{error:?}");
        assert_eq!(place.all(), before);
    }
    // Even when it can't be put back, it is whole, and the error says where.
    match write_on(&Failing::new(None, &[1, 2]), &place.out(), &packet("two")).unwrap_err() {
        WriteError::OldPacketAside { aside, .. } => {
            assert_eq!(fs::read_to_string(aside.join("body.stl")).unwrap(), "one");
            assert_eq!(place.all().len(), before.len());
        }
        other => panic!("{other}"),
    }
}

#[test]
fn what_comes_into_the_old_packet_at_the_last_moment_stays() {
    let place = Place::new("late");
    write(&place.out(), &packet("one")).unwrap();
    /// Someone saves a file just before the rename.
    struct Late;
    impl Disk for Late {
        fn put(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
            Real.put(path, bytes)
        }
        fn flush(&self, path: &Path) -> io::Result<()> {
            Real.flush(path)
        }
        fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
            if from.ends_with("out") {
                fs::write(from.join("late.txt"), "late")?;
            }
            Real.rename(from, to)
        }
    }
    match write_on(&Late, &place.out(), &packet("two")).unwrap_err() {
        WriteError::OldPacketLeft { aside } => {
            assert_eq!(fs::read_to_string(aside.join("late.txt")).unwrap(), "late");
        }
        other => panic!("{other}"),
    }
    assert_eq!(place.all()["out/body.stl"], "two");
}

#[test]
fn runs_at_once_do_not_mix() {
    let place = Place::new("at-once");
    let out = place.out();
    std::thread::scope(|scope| {
        for run in 0..8 {
            let out = &out;
            scope.spawn(move || {
                let _ = write(out, &packet(&format!("run {run}")));
            });
        }
    });
    let all = place.all();
    let body = &all["out/body.stl"];
    assert_eq!(all["out/top/relief.stl"], format!("top {body}"));
    may_write(&out).unwrap();
    let left: Vec<_> = all.keys().filter(|name| name.contains(".new-")).collect();
    assert_eq!(left, Vec::<&String>::new());
}

#[cfg(target_os = "linux")]
#[test]
fn a_place_that_takes_no_folder_is_an_error() {
    let error = write(Path::new("/proc/treenwright-out"), &packet("one")).unwrap_err();
    assert!(matches!(error, WriteError::Disk { act: "make the folder", .. }), "{error}");
}

#[test]
fn names_that_leave_the_packet_or_clash_are_refused() {
    let place = Place::new("names");
    for name in ["../x", "/x", "a//b", "a\\b", "", "a/./b", "c:x", "a\n", "body.STL", "body.stl/x"]
    {
        let all = [artefact("body.stl", b"x"), artefact(name, b"y")];
        assert!(matches!(write(&place.out(), &all), Err(WriteError::Name { .. })), "{name}");
    }
    assert_eq!(place.all().len(), 0);
}

#[cfg(target_os = "linux")]
#[test]
fn what_a_killed_run_left_is_removed_and_nothing_else() {
    let place = Place::new("leftovers");
    let folder = |name: &str, files: &[&str]| {
        fs::create_dir(place.0.join(name)).unwrap();
        files.iter().for_each(|file| fs::write(place.0.join(name).join(file), "x").unwrap());
    };
    // No process has so great a number.
    folder(".out.new-4294967290-0", &[leftover::MARK, "body.stl"]);
    folder(".out.new-4294967290-1", &["letter.txt"]);
    folder(".out.new-4294967290-x", &[leftover::MARK]);
    folder(".outer.new-4294967290-0", &[leftover::MARK]);
    folder(&format!(".out.new-{}-7", std::process::id()), &[leftover::MARK]);
    write(&place.out(), &packet("one")).unwrap();
    fs::rename(place.out(), place.0.join(".out.old-4294967290-0")).unwrap();
    folder(".out.old-4294967290-1", &["letter.txt"]);
    write(&place.out(), &packet("two")).unwrap();
    let all = place.all();
    assert_eq!(all["out/body.stl"], "two");
    let folders: Vec<&str> =
        all.keys().filter(|name| !name.contains('/')).map(String::as_str).collect();
    let own = format!(".out.new-{}-7", std::process::id());
    let mut expected = vec![
        ".out.new-4294967290-1",
        ".out.new-4294967290-x",
        ".out.old-4294967290-1",
        ".outer.new-4294967290-0",
        own.as_str(),
        "out",
    ];
    expected.sort_unstable();
    assert_eq!(folders, expected);
}

#[test]
fn a_name_that_no_disk_takes_is_refused_before_the_work() {
    let place = Place::new("long-name");
    for letters in [250, 300, 5000] {
        let error = may_write(&place.0.join("x".repeat(letters))).unwrap_err();
        assert!(error.help().contains("shorter"), "{letters}: {error}");
    }
    assert!(place.all().is_empty());
}
