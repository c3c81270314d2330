//! Designs whose plan is a drawing: one smallest file for each thing that can be wrong with it,
//! `tests/suite/plans/*.toml`, and what a good one gives. The drawings stand in `drawings` beside them.

use std::fs;
use std::path::{Path, PathBuf};
use treenwright::drawn;
use treenwright::finding::Findings;
use treenwright::params::{Design, Head};
use treenwright::shape::Body;
use treenwright::units::Length;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/suite/plans")
}

/// What a disk would lend; a folder is no file.
fn lent(name: &str) -> Result<Vec<u8>, String> {
    fs::read(folder().join(name)).map_err(|error| error.to_string())
}

fn read(text: &str) -> (Option<Design>, Vec<String>) {
    let mut findings = Findings::new();
    let (design, _) = drawn::design(text, &lent, &mut findings);
    let said = findings.iter().map(|finding| {
        let place = finding.place.as_ref().map_or("", |place| &place.key);
        format!("{} {} at {place}", finding.severity.name(), finding.code.name)
    });
    (design, said.collect())
}

fn good() -> String {
    fs::read_to_string(folder().join("good.toml")).expect("a file of the suite")
}

#[test]
fn each_file_gives_what_it_expects_and_each_code_has_one() {
    let mut seen = Vec::new();
    let files = fs::read_dir(folder()).expect("the suite").map(|entry| entry.expect("one").path());
    for path in files.filter(|path| path.extension().is_some_and(|form| form == "toml")) {
        let text = fs::read_to_string(&path).expect("a file of the suite");
        let expected = text.lines().find_map(|line| line.strip_prefix("# expect: "));
        let expected = expected.expect("an expectation");
        let (design, said) = read(&text);
        if expected == "nothing" {
            assert!(said.is_empty() && design.is_some(), "{}: {said:?}", path.display());
        } else {
            assert!(said.iter().any(|one| one == expected), "{}: {said:?}", path.display());
            assert!(design.is_none(), "{}", path.display());
            seen.push(expected.to_owned());
        }
    }
    for code in drawn::CODES {
        let of = format!("fault {} ", code.name);
        assert!(seen.iter().any(|one| one.starts_with(&of)), "{}", code.name);
    }
}

/// The drawing's own figures: it is 292 units long, its bowl 60 wide at 248, its handle 22 wide at 16.
#[test]
fn a_drawing_is_scaled_to_the_length_and_followed() {
    let (design, _) = read(&good());
    let design = design.expect("a good design");
    let scale = 300.0 / 292.0;
    let Head::Bowl(bowl) = &design.head else { panic!("a spoon") };
    assert!((bowl.width.as_mm() - 60.0 * scale).abs() < 0.02, "{}", bowl.width);
    let body = Body::new(&design);
    for (x, wide) in [(16.0, 22.0), (176.0, 12.0), (248.0, 60.0)] {
        let [right, left] = body.across(Length::mm((x - 4.0) * scale));
        assert!((left - right - wide * scale).abs() < 0.3, "at {x}: {}", left - right);
        assert!((left + right).abs() < 0.01);
    }
    let plan = design.plan.expect("it has one");
    assert!(plan.off.as_mm() < 0.3, "{}", plan.off);
}

#[test]
fn a_twin_of_a_drawing_leans_to_the_other_side() {
    let text = good().replace("spoon.svg", "leaning.svg");
    let (plain, said) = read(&text);
    let (twin, _) = read(&text.replace("kind = ", "mirror = true\nkind = "));
    let [plain, twin] = [plain, twin].map(|design| Body::new(&design.expect("a good design")));
    assert!(said.is_empty(), "{said:?}");
    for x in [20.0, 90.0, 150.0, 230.0, 260.0, 285.0] {
        let [a, b] = plain.across(Length::mm(x));
        let [c, d] = twin.across(Length::mm(x));
        assert!((a + d).abs() < 1e-6 && (b + c).abs() < 1e-6, "{x}");
    }
    let [right, left] = plain.across(Length::mm(285.0));
    assert!(right + left > 2.0, "the tip leans to the left: {right} {left}");
}
