//! Tests of the whole sheet: of a set, and of where its text comes from.

use super::*;
use crate::drawing::piece::tests::{job, set};
use crate::export::Artefact;
use crate::export::list::Entry;
use crate::finding::Findings;
use crate::render::{Picture as Shot, Shown, View, Wood};
use crate::units::Length;

/// Code that says something to the reader, and takes its words from the table. What is left out:
/// the table itself, tests, and what writes marks and never words.
const SPEAKS: [(&str, &str); 26] = [
    ("page", include_str!("page.rs")),
    ("page/care", include_str!("page/care.rs")),
    ("page/checks", include_str!("page/checks.rs")),
    ("page/figures", include_str!("page/figures.rs")),
    ("page/drill", include_str!("page/drill.rs")),
    ("page/files", include_str!("page/files.rs")),
    ("page/marks", include_str!("page/marks.rs")),
    ("page/piece", include_str!("page/piece.rs")),
    ("page/said", include_str!("page/said.rs")),
    ("page/work", include_str!("page/work.rs")),
    ("model", include_str!("model.rs")),
    ("model/bed", include_str!("model/bed.rs")),
    ("model/sand", include_str!("model/sand.rs")),
    ("model/setups", include_str!("model/setups.rs")),
    ("shots", include_str!("shots.rs")),
    ("piece", include_str!("../drawing/piece.rs")),
    ("piece/cut", include_str!("../drawing/piece/cut.rs")),
    ("piece/sections", include_str!("../drawing/piece/sections.rs")),
    ("board", include_str!("../drawing/board.rs")),
    ("board/clear", include_str!("../drawing/board/clear.rs")),
    ("board/layout", include_str!("../drawing/board/layout.rs")),
    ("board/setup", include_str!("../drawing/board/setup.rs")),
    ("board/legend", include_str!("../drawing/board/legend.rs")),
    ("templates", include_str!("../drawing/templates.rs")),
    ("templates/gauges", include_str!("../drawing/templates/gauges.rs")),
    ("templates/pages", include_str!("../drawing/templates/pages.rs")),
];

/// Literals that are no English: names of values to fill in, parts of names of files and colours,
/// marks of axes, pins and hold-downs, names of the templates' groups.
const NO_ENGLISH: [&str; 112] = [
    "figure",
    "column",
    "each",
    "path",
    "{}/min",
    "aspect-ratio:{}/{}",
    "pin",
    "setup",
    "turn",
    "clean",
    "dots",
    "strokes",
    "lattice",
    "limit",
    "around",
    "folder",
    "folders",
    "section",
    "before",
    "P",
    "wood",
    "times",
    "push",
    "worst",
    "likely",
    "causes",
    "way",
    "misses",
    "number",
    "clear",
    "length",
    "depth",
    "corner",
    "cutter",
    "side",
    "least",
    "most",
    "S{i}",
    "pull",
    "size",
    "mark",
    "list",
    "X",
    "Y",
    "Z",
    "P{i}",
    "H{i}",
    "P{}",
    "white",
    "black",
    "name",
    "version",
    "piece",
    "heading",
    "code",
    "key",
    "file",
    "unit",
    "species",
    "what",
    "count",
    "face",
    "board",
    "word",
    "axis",
    "across",
    "out",
    "speed",
    "feed",
    "angle",
    "ridge",
    "step",
    "volume",
    "ml",
    "spoons",
    "mass",
    "height",
    "hole",
    "edge",
    "view",
    "kind",
    "at",
    "letter",
    "place",
    "width",
    "design",
    "page",
    "pages",
    "overlap",
    "marks",
    "words",
    "scale-bar",
    "gauges",
    "outline",
    "hollow",
    "slots",
    "openings",
    "tabs",
    "saw-lines",
    "pins",
    "x-axis",
    "reach-{}.png",
    "cusps-{face}.png",
    "data:image/png;base64,{}",
    "page/style.css",
    "CARGO_PKG_VERSION",
    "<svg",
    "#e9e9e9",
    "{column}a",
    "{column}b",
    "{row}c",
    "{row}d",
];

/// The string literals of code, each with what stands before it on its line; comments and tests
/// are left out.
fn literals(source: &str) -> Vec<(String, String)> {
    let code = source.split("#[cfg(test)]").next().unwrap_or_default();
    let mut found = Vec::new();
    for line in code.lines() {
        let mut rest = line;
        let mut before = String::new();
        loop {
            let quote = rest.find('"');
            let comment = rest.find("//");
            let Some(open) = quote.filter(|open| comment.is_none_or(|slashes| *open < slashes))
            else {
                break;
            };
            before.push_str(&rest[..open]);
            let inside = &rest[open + 1..];
            let mut end = 0;
            let bytes = inside.as_bytes();
            while end < bytes.len() && bytes[end] != b'"' {
                end += if bytes[end] == b'\\' { 2 } else { 1 };
            }
            let end = end.min(inside.len());
            found.push((before.clone(), inside[..end].to_owned()));
            rest = inside.get(end + 1..).unwrap_or_default();
        }
    }
    found
}

#[test]
fn no_english_stands_in_the_code_that_speaks() {
    // Attributes that name things to the browser and are not read out.
    const MARKS: [&str; 10] = [
        "type=",
        "scope=",
        "lang=",
        "charset=",
        "name=",
        "content=",
        "role=",
        "tabindex=",
        "src=",
        "class=",
    ];
    let mut seen = 0;
    for (file, source) in SPEAKS {
        for (before, literal) in literals(source) {
            seen += 1;
            let bare = literal.replace("\\u{a0}", "").replace("\\u{2013}", "");
            let bare = bare.replace("\\u{2212}", "").replace("\\u{b0}", "");
            let spoken = bare.chars().any(char::is_alphabetic);
            let mark = MARKS.iter().any(|mark| before.trim_end().ends_with(mark));
            // A gap of a format, such as `{places$}`, is no word.
            let gaps = bare
                .split(['{', '}'])
                .step_by(2)
                .all(|part| !part.chars().any(char::is_alphabetic) || matches!(part.trim(), "mm"));
            if spoken && !mark && !gaps && !NO_ENGLISH.contains(&literal.as_str()) {
                panic!("{file}: \"{literal}\" belongs into the table of messages");
            }
        }
    }
    assert!(seen > 150, "{seen} literals were looked at");
}

#[test]
fn english_in_code_would_be_found() {
    let found = literals("html! { h2 { \"A heading\" } } // \"no\"\nlet a = \"b\\\"c\"; \"d\"");
    let told: Vec<&str> = found.iter().map(|(_, text)| text.as_str()).collect();
    assert_eq!(told, ["A heading", "b\\\"c", "d"]);
}

#[test]
fn a_set_has_one_title_its_board_once_and_pages_for_each_piece() {
    let mut job = set(&["spoon", "fork", "turner"], "pear-wide");
    let hostile = "turner </h2><script>alert(1)</script> \"& `x`";
    job.pieces[2].design.name = hostile.to_owned();
    // Only what is not white all over is shown: here the fork's top, and of its back the ridges.
    for piece in [0, 2] {
        job.pieces[piece].checks.uncut.clear();
        job.pieces[piece].checks.cusps.clear();
    }
    let checks = &mut job.pieces[1].checks;
    let shown = [Length::mm(0.3), Length::mm(0.019)];
    for (side, most) in checks.uncut.iter_mut().zip(shown) {
        side.most = most;
    }
    checks.cusps[0].over.worst = 0.0;
    let shot = Shot {
        piece: &job.pieces[0],
        shop: &job.shop,
        shown: Shown::Finished,
        view: View::Top,
        // As high as a map's own scale, and its margin.
        size: (40, 140),
        wood: Wood::Other,
    };
    let map = |name: &str| Artefact {
        name: name.to_owned(),
        role: "a map",
        unit: "",
        frame: "",
        bytes: shot.png(),
    };
    let names = ["reach-top", "reach-bottom", "cusps-top", "cusps-bottom"];
    let mut maps = names.map(|name| map(&format!("fork/{name}.png"))).to_vec();
    maps.push(map("reach-bottom.png"));
    let none = Findings::new();
    let entries = Entry::all(&job, &["spoon", "fork", "turner"].map(str::to_owned), &none);
    let title = Title { name: Some("harvest supper <set>"), date: Some("1 October & after") };
    let sheet =
        Sheet { title, job: &job, entries: &entries, findings: &none, files: &[], maps: &maps };
    let text = || html(&sheet, pictures(&job)).expect("a sheet");
    let (text, again) = (text(), text());
    assert!(text == again, "the same set gives the same bytes");
    assert_eq!(text.matches("<h1>").count(), 1);
    assert!(text.contains("<h1>harvest supper &lt;set&gt;</h1>"));
    assert!(text.contains("<dd>1 October &amp; after</dd>"));
    assert_eq!(text.matches("The board</h2>").count(), 1, "three pieces lie on one board");
    for setup in ["Setup 1: top up", "Setup 2: bottom up"] {
        assert_eq!(text.matches(&format!("{setup}</h2>")).count(), 1, "it is mounted twice");
    }
    assert_eq!(text.matches("Order of work</h2>").count(), 1);
    assert_eq!(text.matches("Sanding</h2>").count(), 1);
    assert_eq!(text.matches("leaves ridges about").count(), 1, "what holds for all is said once");
    assert_eq!(text.matches("alt=\"Map of the").count(), 1, "the fork's map is in its folder");
    assert!(text.contains("alt=\"Map of the top") && text.contains("all white"));
    assert_eq!(text.matches("alt=\"Ridges of the").count(), 1);
    assert!(text.contains("alt=\"Ridges of the bottom"));
    assert_eq!(text.matches("maps of the ridges show").count(), 1, "the scale is said once");
    // A slot is cut in the fork alone, and has the same number on its page as in the order.
    assert_eq!(text.matches(". cut the slots").count(), 1);
    assert_eq!(
        text.matches("top/pins.dxf").count(),
        2,
        "bored once: in the order and in its setup"
    );
    assert!(!text.contains("*/top/pins.dxf"));
    assert!(text.contains("Only fork") || text.contains("Only harvest fork."), "whose slots");
    assert!(text.contains("*/top/relief.stl") && text.contains("fork/bottom/slots.dxf"));
    assert!(!text.contains("turner/bottom/slots.dxf") && !text.contains("<script"));
}

#[test]
fn a_piece_alone_names_no_piece_and_a_body_alone_has_no_sheet() {
    let mut job = job("spoon", "cherry");
    let none = Findings::new();
    let page = |job: &Job| {
        let entries = Entry::all(job, &[String::new()], &none);
        let title = Title::default();
        let sheet = Sheet { title, job, entries: &entries, findings: &none, files: &[], maps: &[] };
        html(&sheet, pictures(job))
    };
    let alone = page(&job).expect("a sheet");
    assert!(alone.contains("<h2>Sizes</h2>") && !alone.contains("<dt>Date"));
    job.mounting = None;
    assert!(page(&job).is_none());
}
