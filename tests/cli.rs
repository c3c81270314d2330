//! The program as a user meets it: arguments, exit status, what it says and what it writes.

#[path = "cli/folders.rs"]
mod folders;

use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

const PROGRAM: &str = env!("CARGO_BIN_EXE_treenwright");

/// A folder of the test's own, removed when it ends. Commands run in it.
struct Place(PathBuf);

impl Place {
    fn new(name: &str) -> Place {
        let path =
            std::env::temp_dir().join(format!("treenwright-cli-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir(&path).expect("a folder for the test");
        Place(path)
    }

    /// The same, with the three files that `new` writes.
    fn with_files(name: &str) -> Place {
        let place = Place::new(name);
        for what in ["design", "board", "shop"] {
            assert_eq!(status(&place.run(&["new", what, &format!("{what}.toml")])), 0);
        }
        place
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }

    fn run(&self, args: &[&str]) -> Output {
        self.command(args).output().expect("the program runs")
    }

    fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(PROGRAM);
        command.args(args).current_dir(&self.0).stdin(Stdio::null());
        command
    }

    fn build(&self, more: &[&str]) -> Output {
        let mut args = vec!["build", "design.toml", "--board", "board.toml", "--shop", "shop.toml"];
        args.extend(more);
        self.run(&args)
    }

    /// Every file under a folder, with its bytes.
    fn files(&self, under: &str) -> BTreeMap<String, Vec<u8>> {
        fn walk(at: &Path, base: &Path, out: &mut BTreeMap<String, Vec<u8>>) {
            for entry in fs::read_dir(at).expect("a folder").flatten() {
                let path = entry.path();
                if path.is_dir() {
                    walk(&path, base, out);
                } else {
                    let name = path.strip_prefix(base).expect("inside").to_string_lossy();
                    out.insert(name.into_owned(), fs::read(&path).unwrap_or_default());
                }
            }
        }
        let mut out = BTreeMap::new();
        let base = self.path(under);
        walk(&base, &base, &mut out);
        out
    }

    /// The names in the folder itself.
    fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(&self.0)
            .expect("a folder")
            .flatten()
            .map(|entry| entry.file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn status(output: &Output) -> i32 {
    let code = output.status.code().expect("it ended by itself");
    let said = err(output);
    assert!(!said.contains("panicked"), "{said}");
    code
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("UTF-8")
}

/// The findings of a run with `--json`.
fn findings(output: &Output) -> Vec<Value> {
    assert_eq!(err(output), "", "nothing but JSON is said");
    match serde_json::from_str(&out(output)).expect("JSON") {
        Value::Array(all) => all,
        // `check` says its table, too.
        Value::Object(mut whole) => match whole.remove("findings") {
            Some(Value::Array(all)) => all,
            other => panic!("no findings: {other:?}"),
        },
        other => panic!("not an array: {other}"),
    }
}

fn codes(output: &Output) -> Vec<String> {
    findings(output).iter().map(|f| f["code"].as_str().expect("a code").to_owned()).collect()
}

#[test]
fn the_page_of_all_keys_is_fresh() {
    let kept = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/keys.md"));
    let made = Place::new("keys").run(&["keys"]);
    assert_eq!(status(&made), 0);
    let made = String::from_utf8(made.stdout).expect("UTF-8");
    assert!(made == kept.expect("it is there"), "run: treenwright keys > docs/keys.md");
}

#[test]
fn every_new_file_builds_as_it_is_written_in_mm_and_in_inches() {
    for unit in ["mm", "in"] {
        let place = Place::new(&format!("new-{unit}"));
        for what in ["spoon", "fork", "turner", "spreader", "scoop", "board", "shop"] {
            let file = format!("{what}.toml");
            assert_eq!(status(&place.run(&["new", what, &file, "--unit", unit])), 0, "{what}");
            let text = fs::read_to_string(place.path(&file)).expect("it was written");
            if unit == "in" {
                let head = |line: &&str| line.contains("Every length has its unit");
                let wrong = text.lines().find(|line| line.contains(" mm\"") && !head(line));
                assert_eq!(wrong, None, "{what}");
            }
        }
        for design in ["spoon", "fork", "turner", "spreader", "scoop"] {
            let done = place.run(&[
                "check",
                &format!("{design}.toml"),
                "--board",
                "board.toml",
                "--shop",
                "shop.toml",
            ]);
            assert_eq!(status(&done), 0, "{design} in {unit}: {}", err(&done));
        }
    }
}

#[test]
fn wrong_usage_is_status_2_and_help_is_status_0() {
    let place = Place::with_files("usage");
    for wrong in [
        &[] as &[&str],
        &["bake"],
        &["build"],
        &["new", "ladle", "x.toml"],
        &["check", "design.toml"],
        &["explain", "no-such-code"],
    ] {
        let output = place.run(wrong);
        assert_eq!(status(&output), 2, "{wrong:?}");
        assert!(!err(&output).is_empty());
    }
    for tolerance in ["0.02", "0.5 mm", "0 mm", "-1 mm", "nan mm", "fine"] {
        let output = place.build(&["--out", "out", "--tolerance", tolerance]);
        assert_eq!(status(&output), 2, "{tolerance}");
        assert!(!place.path("out").exists());
    }
    for right in [&["--help"] as &[&str], &["--version"], &["build", "--help"], &["help", "new"]] {
        assert_eq!(status(&place.run(right)), 0, "{right:?}");
    }
}

#[test]
fn new_never_writes_over_a_file() {
    let place = Place::new("new");
    let written = place.run(&["new", "design", "spoon.toml"]);
    assert_eq!(status(&written), 0);
    fs::write(place.path("spoon.toml"), "mine").expect("written");
    let again = place.run(&["new", "board", "spoon.toml"]);
    assert_eq!(status(&again), 1);
    assert!(err(&again).contains("already there"), "{}", err(&again));
    assert_eq!(fs::read(place.path("spoon.toml")).expect("there"), b"mine");
    assert_eq!(status(&place.run(&["new", "shop", "none/shop.toml"])), 1);
    assert_eq!(place.names(), ["spoon.toml"]);
}

#[cfg(unix)]
#[test]
fn new_does_not_write_through_a_link() {
    let place = Place::new("new-link");
    std::os::unix::fs::symlink(place.path("target.toml"), place.path("link.toml")).expect("a link");
    assert_eq!(status(&place.run(&["new", "design", "link.toml"])), 1);
    assert!(!place.path("target.toml").exists());
}

#[test]
fn what_is_wrong_with_all_three_files_is_said_at_once() {
    let place = Place::new("files");
    fs::write(place.path("latin.toml"), b"name = \"F\xfcr\"\n").expect("written");
    fs::write(place.path("large.toml"), vec![b'#'; 1_000_001]).expect("written");
    let output =
        place.run(&["check", "none.toml", "--board", "latin.toml", "--shop", ".", "--json"]);
    assert_eq!(status(&output), 1);
    assert_eq!(codes(&output), ["file-missing", "file-not-text", "file-is-folder"]);
    let output = place.run(&[
        "build",
        "large.toml",
        "--board",
        "/dev/null",
        "--shop",
        "none/shop.toml",
        "--out",
        "out",
        "--json",
    ]);
    assert_eq!(status(&output), 1);
    assert_eq!(codes(&output), ["file-too-large", "file-is-folder", "file-missing"]);
    assert_eq!(place.names(), ["large.toml", "latin.toml"]);
}

#[test]
fn a_shop_in_inches_hears_of_its_files_in_inches_even_of_one_with_faults() {
    let place = Place::with_files("inches");
    let change = |file: &str, old: &str, new: &str| {
        let text = fs::read_to_string(place.path(file)).expect("a file");
        assert!(text.contains(old), "{file}: {old}");
        fs::write(place.path(file), text.replacen(old, new, 1)).expect("written");
    };
    change("design.toml", "length = \"300 mm\"", "length = \"300 in\"");
    let check = ["check", "design.toml", "--board", "board.toml", "--shop", "shop.toml", "--json"];
    let said = |args: &[&str]| findings(&place.run(args))[0]["message"].to_string();
    assert!(said(&check).contains("is 7620 mm; it must be from 0.1 mm"), "{}", said(&check));
    change("shop.toml", "unit = \"mm\"", "unit = \"in\"");
    assert!(said(&check).contains("is 300 in (7620 mm); it must be from 0.0039 in (0.1 mm)"));
    // A fault of the shop's own file does not hide its unit.
    change("shop.toml", "zero = \"bottom\"", "zero = \"middle\"");
    assert!(said(&check).contains("is 300 in (7620 mm)"));
    let fit = place.run(&["fit", "design.toml", "--board", "board.toml", "--shop", "shop.toml"]);
    let flat: String = err(&fit).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("is 300 in (7620 mm)"), "{flat}");
}

/// A pass of 0.3 in was told to be `"3.17 mm"`.
#[test]
fn what_the_plan_tells_to_write_is_in_the_unit_of_the_file() {
    let place = Place::new("written");
    for what in ["design", "board", "shop"] {
        let file = format!("{what}.toml");
        assert_eq!(status(&place.run(&["new", what, &file, "--unit", "in"])), 0);
    }
    let shop = fs::read_to_string(place.path("shop.toml")).expect("the shop");
    let deep = shop.replacen(
        "step_over = \"0.1 in\"",
        "step_over = \"0.1 in\"\npass_depth = \"0.3 in\"",
        1,
    );
    assert!(deep != shop);
    fs::write(place.path("shop.toml"), deep).expect("written");
    let check = ["check", "design.toml", "--board", "board.toml", "--shop", "shop.toml", "--json"];
    let all = findings(&place.run(&check));
    let told = all.iter().find(|finding| finding["code"] == "pass-too-deep").expect("a deep pass");
    assert!(told["help"].to_string().contains("pass_depth = \\\"1/8 in\\\""), "{told}");
}

#[test]
fn each_finding_in_json_has_the_same_keys() {
    let place = Place::new("json");
    let output = place.run(&["check", "a.toml", "--board", "b.toml", "--shop", "c.toml", "--json"]);
    assert_eq!(status(&output), 1);
    let keys = [
        "accepted", "code", "column", "file", "help", "key", "line", "message", "on_piece",
        "piece", "severity", "source",
    ];
    for (finding, file) in findings(&output).iter().zip(["a.toml", "b.toml", "c.toml"]) {
        let mut found: Vec<&String> = finding.as_object().expect("an object").keys().collect();
        found.sort();
        assert_eq!(found, keys);
        assert_eq!(finding["file"], file);
        assert_eq!(finding["severity"], "fault");
        assert!(finding["line"].is_null());
    }
}

#[test]
fn a_pipe_gets_plain_text_without_progress() {
    let place = Place::with_files("pipe");
    for output in [
        place.build(&["--out", "out"]),
        place.run(&["check", "none.toml", "--board", "board.toml", "--shop", "shop.toml"]),
    ] {
        assert!(!err(&output).contains(['\x1b', '\r', '\u{2500}', '\u{256d}']), "{}", err(&output));
        assert_eq!(out(&output), "");
    }
}

#[test]
fn explain_lists_all_codes_and_explains_each() {
    let place = Place::new("explain");
    let list = place.run(&["explain"]);
    assert_eq!(status(&list), 0);
    let list = out(&list);
    // What goes on in a second line stands further in.
    let named = list.lines().filter(|line| !line.starts_with(' '));
    let codes: Vec<&str> = named.filter_map(|line| line.split_whitespace().next()).collect();
    assert!(codes.contains(&"file-missing") && codes.is_sorted());
    for code in codes {
        let page = place.run(&["explain", code]);
        assert_eq!(status(&page), 0);
        assert!(out(&page).lines().count() > 2, "{code}");
    }
    let near = place.run(&["explain", "file-mising"]);
    assert!(err(&near).contains("`file-missing`"));
}

#[cfg(unix)]
#[test]
fn a_closed_pipe_or_a_full_one_is_no_panic() {
    let place = Place::new("closed");
    for args in ["explain", "--help", "check a --board b --shop c --json"] {
        for to in ["| true", "> /dev/full", ">&-", "2>&-"] {
            let line = format!("\"$0\" {args} {to}");
            let output = Command::new("sh")
                .args(["-c", &line, PROGRAM])
                .current_dir(&place.0)
                .output()
                .expect("a shell");
            status(&output);
        }
    }
}

#[test]
fn a_job_that_can_be_made_is_written_whole_and_the_same_each_time() {
    let place = Place::with_files("build");
    let before = place.names();
    let checked =
        place.run(&["check", "design.toml", "--board", "board.toml", "--shop", "shop.toml"]);
    assert_eq!(status(&checked), 0, "{}", err(&checked));
    assert_eq!(place.names(), before, "check writes nothing");
    let built = place.build(&["--out", "one"]);
    assert_eq!(status(&built), 0, "{}", err(&built));
    assert!(err(&built).contains("files to one\n"), "{}", err(&built));
    assert_eq!(status(&place.build(&["--out", "two/"])), 0);
    let files = place.files("one");
    assert_eq!(files, place.files("two"));
    assert!(files.contains_key("body.stl") && files.contains_key("packet.json"));
    let mut names = before;
    names.extend(["one".to_owned(), "two".to_owned()]);
    names.sort();
    assert_eq!(place.names(), names, "nothing is left beside the packet");
}

#[test]
fn the_list_names_every_file_with_its_size() {
    let place = Place::with_files("list");
    assert_eq!(status(&place.build(&["--out", "out"])), 0);
    let files = place.files("out");
    let list: Value = serde_json::from_slice(&files["packet.json"]).expect("JSON");
    assert_eq!(list["format"], 2);
    let listed: BTreeMap<&str, u64> = list["files"]
        .as_array()
        .expect("an array")
        .iter()
        .map(|f| (f["name"].as_str().expect("a name"), f["bytes"].as_u64().expect("a size")))
        .collect();
    let there: BTreeMap<&str, u64> = files
        .iter()
        .filter(|(name, _)| *name != "packet.json")
        .map(|(name, bytes)| (name.as_str(), bytes.len() as u64))
        .collect();
    assert_eq!(listed, there);
}

#[test]
fn only_writes_the_files_that_were_asked_for_and_their_list() {
    let place = Place::with_files("only");
    assert_eq!(status(&place.build(&["--out", "all"])), 0);
    assert_eq!(status(&place.build(&["--out", "out", "--only", "body.stl"])), 0);
    let files = place.files("out");
    assert_eq!(files.keys().collect::<Vec<_>>(), ["body.stl", "packet.json"]);
    assert_eq!(files["body.stl"], place.files("all")["body.stl"]);
    let some = ["--out", "some", "--only", "sheet.html", "--only", "templates.pdf"];
    assert_eq!(status(&place.build(&some)), 0);
    let files = place.files("some");
    assert_eq!(files.keys().collect::<Vec<_>>(), ["packet.json", "sheet.html", "templates.pdf"]);
    for name in ["sheet.html", "templates.pdf"] {
        assert_eq!(files[name], place.files("all")[name], "{name}");
    }
    let wrong = place.build(&["--out", "wrong", "--only", "body.stlx"]);
    assert_eq!(status(&wrong), 2);
    assert!(err(&wrong).contains("body.stl,") || err(&wrong).contains("body.stl\n"));
    assert!(!place.path("wrong").exists());
}

#[test]
fn a_date_stands_in_the_sheet_alone_and_is_one_line() {
    let place = Place::with_files("date");
    assert_eq!(status(&place.build(&["--out", "out"])), 0);
    let before = place.files("out");
    assert_eq!(status(&place.build(&["--out", "out", "--date", "St Luke's day <2026>"])), 0);
    let after = place.files("out");
    let changed: Vec<&String> = after
        .iter()
        .filter(|(name, bytes)| before.get(*name) != Some(bytes))
        .map(|f| f.0)
        .collect();
    assert_eq!(changed, ["packet.json", "sheet.html"]);
    let sheet = String::from_utf8_lossy(&after["sheet.html"]).into_owned();
    assert!(
        sheet.contains("<dd>St Luke&#39;s day &lt;2026&gt;</dd>")
            || sheet.contains("<dd>St Luke's day &lt;2026&gt;</dd>")
    );
    for wrong in ["", "two\nlines", &"x".repeat(41)] {
        assert_eq!(status(&place.build(&["--out", "out", "--date", wrong])), 2, "{wrong:?}");
    }
}

#[test]
fn a_picture_is_drawn_of_a_design_alone_and_never_over_a_file() {
    let place = Place::with_files("picture");
    let draw = |more: &[&str]| {
        let mut args = vec!["picture", "design.toml", "--size", "320x120"];
        args.extend(more);
        place.run(&args)
    };
    assert_eq!(status(&draw(&["--out", "alone.png"])), 0);
    let png = fs::read(place.path("alone.png")).expect("a picture");
    // PNG, third edition, 5.2 and 11.2.1: the signature, then width and height in the first chunk.
    assert_eq!(png[..8], [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n']);
    assert_eq!(png[16..24], [0, 0, 1, 64, 0, 0, 0, 120]);
    let again = draw(&["--view", "top", "--out", "alone.png"]);
    assert_eq!(status(&again), 1);
    assert!(err(&again).contains("it is already there"), "{}", err(&again));
    assert_eq!(fs::read(place.path("alone.png")).expect("the old one"), png);

    let board = ["--board", "board.toml", "--shop", "shop.toml", "--view", "top"];
    let first = [&board[..], &["--out", "first.png"]].concat();
    let second = [&board[..], &["--out", "second.png"]].concat();
    assert_eq!(status(&draw(&first)), 0);
    assert_eq!(status(&draw(&second)), 0);
    let read = |name: &str| fs::read(place.path(name)).expect("a picture");
    assert_eq!(read("first.png"), read("second.png"));
    assert_ne!(read("first.png"), png);
    assert_eq!(status(&draw(&[&board[..], &["--on-tabs", "--out", "tabs.png"]].concat())), 0);
    assert_ne!(read("tabs.png"), read("first.png"), "tabs stand out");
    assert_eq!(status(&draw(&["--on-tabs", "--out", "no.png"])), 2, "without a board no tabs");

    let pear = draw(&["--wood", "swiss pear", "--out", "pear.png"]);
    assert!(!err(&pear).contains("no tone"), "{}", err(&pear));
    let typo = draw(&["--wood", "perr", "--out", "perr.png"]);
    assert!(
        err(&typo).contains("there is no tone for \"perr\", only for cherry"),
        "{}",
        err(&typo)
    );

    assert_eq!(status(&draw(&["--view", "inside", "--out", "no.png"])), 2);
    assert_eq!(status(&place.run(&["picture", "no.toml", "--out", "no.png"])), 1);
    assert!(!place.path("no.png").exists());
}
