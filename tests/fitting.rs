//! `fit`, and `build` of several designs, as a user meets them.

use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A folder of the test's own, removed when it ends.
struct Place(PathBuf);

impl Place {
    fn new(name: &str) -> Place {
        let path =
            std::env::temp_dir().join(format!("treenwright-fit-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir(&path).expect("a folder for the test");
        Place(path)
    }

    fn path(&self, name: &str) -> String {
        self.0.join(name).display().to_string()
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn params(name: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("params").join(name).display().to_string()
}

fn run(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_treenwright")).args(args).output().expect("it runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

#[test]
fn a_folder_of_boards_is_ranked_with_the_reason_for_each() {
    let (spoon, boards, shop) =
        (params("designs/harvest-spoon.toml"), params("boards"), params("shop.toml"));
    let output = run(&["fit", &spoon, "--board", &boards, "--shop", &shop]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let said = text(&output.stdout);
    let ranked: Vec<&str> = said.lines().take_while(|line| !line.is_empty()).collect();
    assert_eq!(ranked.len(), 4, "{said}");
    assert!(ranked[0].starts_with("1. cherry, board 3: fits unchanged"), "{said}");
    assert!(ranked.iter().any(|line| line.contains("bowl.depth 15 mm to ")), "{said}");
}

#[test]
fn a_set_is_spread_when_no_board_takes_it_and_the_status_says_so() {
    let designs: Vec<String> = ["spoon", "fork", "turner"]
        .map(|kind| params(&format!("designs/harvest-{kind}.toml")))
        .into();
    let (shop, pear, beech) =
        (params("shop.toml"), params("boards/pear.toml"), params("boards/beech.toml"));
    let mut args = vec!["fit"];
    args.extend(designs.iter().map(String::as_str));
    args.extend(["--board", &pear, "--board", &beech, "--shop", &shop, "--json"]);
    let output = run(&args);
    assert_eq!(output.status.code(), Some(1));
    let said: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(said["offers"].as_array().map(Vec::len), Some(2));
    let spread = said["spread"].as_array().expect("a list");
    let placed: usize = spread
        .iter()
        .flat_map(|offer| offer["pieces"].as_array().expect("pieces"))
        .filter(|piece| !piece["place"].is_null())
        .count();
    assert_eq!(placed, 3, "{said:#}");
}

#[test]
fn the_drawing_is_never_written_over_a_file() {
    let place = Place::new("drawing");
    let drawing = place.path("layout.svg");
    let (spoon, board, shop) =
        (params("designs/harvest-spoon.toml"), params("boards/cherry.toml"), params("shop.toml"));
    let args = ["fit", &spoon, "--board", &board, "--shop", &shop, "--drawing", &drawing];
    assert_eq!(run(&args).status.code(), Some(0));
    let first = fs::read_to_string(&drawing).expect("a drawing");
    assert!(first.starts_with("<svg") && first.contains("cherry, board 3"));
    fs::write(&drawing, "mine").expect("written");
    let output = run(&args);
    assert_eq!(output.status.code(), Some(1));
    let said = text(&output.stderr);
    assert!(said.contains("already there") && said.contains("another name"), "{said}");
    assert_eq!(fs::read_to_string(&drawing).expect("still there"), "mine");
}

#[test]
fn what_fits_is_drawn_though_the_job_has_a_fault_elsewhere() {
    let place = Place::new("fault");
    let (drawing, shop) = (place.path("layout.svg"), place.path("shop.toml"));
    let usual = fs::read_to_string(params("shop.toml")).expect("the shop");
    let thick = usual.replace("wall = \"3 mm\"", "wall = \"13 mm\"");
    assert_ne!(usual, thick, "the least wall stands in the shop");
    fs::write(&shop, thick).expect("written");
    let (spoon, board) = (params("designs/harvest-spoon.toml"), params("boards/cherry.toml"));
    let args = ["fit", &spoon, "--board", &board, "--shop", &shop, "--drawing", &drawing];
    let output = run(&args);
    assert!(text(&output.stdout).contains("fits unchanged"), "{}", text(&output.stdout));
    assert_eq!(output.status.code(), Some(1));
    let said = text(&output.stderr);
    assert!(said.contains("is drawn") && said.contains("at its thinnest"), "{said}");
    let drawn = fs::read_to_string(&drawing).expect("a drawing");
    assert!(drawn.starts_with("<svg") && drawn.contains("cherry, board 3"));
}

#[test]
fn check_lays_a_set_as_it_is_asked_to_go_together() {
    let [spoon, fork] =
        ["spoon", "fork"].map(|kind| params(&format!("designs/harvest-{kind}.toml")));
    let board = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/suite/rules/match-not-kept.toml");
    let (board, shop) = (board.display().to_string(), params("shop.toml"));
    let said = |how: &str| {
        let args = ["check", &spoon, &fork, "--board", &board, "--shop", &shop, "--match", how];
        let output = run(&args);
        text(&output.stdout) + &text(&output.stderr)
    };
    let side = said("side");
    assert!(side.contains("explain match-not-kept"), "{side}");
    let free = said("free");
    assert!(!free.contains("explain match-not-kept"), "{free}");
}

#[test]
fn what_is_wrong_with_the_input_of_fit_is_said() {
    let place = Place::new("wrong");
    let (spoon, shop) = (params("designs/harvest-spoon.toml"), params("shop.toml"));
    let empty = place.path("");
    let output = run(&["fit", &spoon, "--board", &empty, "--shop", &shop]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stderr).contains("no board files"), "{}", text(&output.stderr));

    let missing = place.path("no.toml");
    let output = run(&["fit", &spoon, "--board", &missing, "--shop", &shop]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stderr).contains("file-missing"), "{}", text(&output.stderr));

    let other = place.path("shop.toml");
    let text_of = fs::read_to_string(&shop).expect("the shop");
    fs::write(&other, text_of.replace("finish = \"ball 1/8\"", "finish = \"ball 9\""))
        .expect("written");
    let board = params("boards/cherry.toml");
    let output = run(&["fit", &spoon, "--board", &board, "--shop", &other]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stderr).contains("no-finisher"), "{}", text(&output.stderr));

    let nine = [spoon.as_str(); 9];
    let mut args = vec!["fit"];
    args.extend(nine);
    args.extend(["--board", &board, "--shop", &shop]);
    assert_eq!(run(&args).status.code(), Some(2));
}

#[test]
fn a_set_that_can_not_be_made_writes_nothing_and_names_the_files() {
    let place = Place::new("set");
    let design = place.path("bad.toml");
    let good = params("designs/harvest-spoon.toml");
    let text_of = fs::read_to_string(&good).expect("the spoon");
    fs::write(&design, text_of.replace("depth = \"15 mm\"", "depth = \"15\"")).expect("written");
    let (board, shop) = (params("boards/pear-wide.toml"), params("shop.toml"));
    let out = place.path("out");
    let output = run(&["build", &good, &design, "--board", &board, "--shop", &shop, "--out", &out]);
    assert_eq!(output.status.code(), Some(1));
    let said = text(&output.stderr);
    assert!(said.contains("bad.toml") && said.contains("not-a-length"), "{said}");
    assert!(!Path::new(&out).exists());
}
