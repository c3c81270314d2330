//! One smallest file for each finding of the rules that look at the whole surface:
//! `tests/suite/rules/*.toml`, with the same head as those of `tests/suite`. Here the job is
//! planned to its end, and the expected finding must be among those that come out. What its help
//! says with a number is then done, and the finding must be gone.
//!
//! The designs in `params/designs/failing/` say in their head which findings they are for.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use treenwright::check;
use treenwright::finding::{Code, Findings, Severity, Source};
use treenwright::fit::layout::Match;
use treenwright::inlay;
use treenwright::job::{self, Job, Order, Outcome};
use treenwright::params::{Board, Design, Shop, parse_board, parse_shop, template};

#[path = "rules/advice.rs"]
mod advice;
#[path = "rules/nonsense.rs"]
mod nonsense;
#[path = "rules/widths.rs"]
mod widths;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn files(folder: &str) -> Vec<PathBuf> {
    let mut paths: Vec<PathBuf> = fs::read_dir(root().join(folder))
        .expect("the folder is there")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "toml"))
        .collect();
    paths.sort();
    paths
}

fn plan(design: &str, board: &str, shop: &str) -> (Findings, Option<Job>) {
    let (design, board, shop) = read(design, board, shop);
    let outcome = job::plan(&Order::new(vec![design], board, shop));
    (outcome.findings, outcome.job)
}

fn read(design: &str, board: &str, shop: &str) -> (Design, Board, Shop) {
    let mut findings = Findings::new();
    let (design, _) = treenwright::drawn::design(design, &lent, &mut findings);
    let board = parse_board(board, &mut findings);
    let shop = parse_shop(shop, &mut findings);
    let (Some(design), Some(board), Some(shop)) = (design, board, shop) else {
        panic!("a file can't be read: {findings:#?}")
    };
    (design, board.0, shop.0)
}

/// A file of the suite, planned.
struct Case {
    stem: String,
    file: Source,
    expected: String,
    order: Order,
    outcome: Outcome,
}

/// All files of the suite, planned once.
fn cases() -> &'static [Case] {
    static CASES: OnceLock<Vec<Case>> = OnceLock::new();
    CASES.get_or_init(|| files("tests/suite/rules").iter().map(|path| case(path)).collect())
}

/// The head's lines: `file` and `expect`; `with`, another shipped design on the same board; `match`,
/// how they go together.
fn case(path: &Path) -> Case {
    let text = fs::read_to_string(path).expect("a file of the suite");
    let head = |word: &str| {
        let start = format!("# {word}: ");
        text.lines().find_map(|line| line.strip_prefix(start.as_str())).map(str::to_owned)
    };
    let all = [Source::Design, Source::Board, Source::Shop];
    let file = head("file").and_then(|word| all.into_iter().find(|s| s.name() == word));
    let file = file.unwrap_or_else(|| panic!("{}: which file?", path.display()));
    let texts = all.map(|source| if source == file { text.as_str() } else { template(source) });
    let (design, board, shop) = read(texts[0], texts[1], texts[2]);
    let mut designs = vec![design];
    if let Some(name) = head("with") {
        let other = fs::read_to_string(root().join(format!("params/designs/{name}.toml")));
        designs.push(read(&other.expect("a design"), texts[1], texts[2]).0);
    }
    let together = match head("match").as_deref() {
        None => Match::Free,
        Some("side") => Match::Side,
        Some(other) => panic!("{}: match {other}", path.display()),
    };
    let mut said = Findings::new();
    let brought = designs.iter().map(|design| brought(design, &mut said)).collect();
    let order = Order { together, brought, ..Order::new(designs, board, shop) };
    let mut outcome = job::plan(&order);
    outcome.findings.extend(said);
    let stem = path.file_stem().expect("a name").to_string_lossy().into_owned();
    Case { stem, file, expected: head("expect").expect("an expectation"), order, outcome }
}

/// The files of a design's inlays, seen from the suite's folder.
fn brought(design: &Design, said: &mut Findings) -> Vec<Option<inlay::Brought>> {
    inlay::bring(design, &lent, said)
}

fn lent(name: &str) -> Result<Vec<u8>, String> {
    let path = root().join("tests/suite/rules").join(name);
    fs::read(path).map_err(|error| error.to_string())
}

fn said(findings: &Findings, file: Source) -> Vec<String> {
    findings
        .iter()
        .map(|finding| {
            let place = finding.place.as_ref().map_or(String::new(), |place| {
                let other = if place.source == file { "" } else { place.source.name() };
                let colon = if other.is_empty() { "" } else { ":" };
                format!(" at {other}{colon}{}", place.key)
            });
            format!("{} {}{place}", finding.severity.name(), finding.code.name)
        })
        .collect()
}

#[test]
fn each_file_gives_the_finding_that_it_is_named_after() {
    let mut wrong = String::new();
    for Case { stem, file, expected, outcome, .. } in cases() {
        let got = said(&outcome.findings, *file);
        if !got.contains(expected) || expected.split(' ').nth(1) != Some(stem.as_str()) {
            wrong += &format!("{stem}: expected {expected}, got {got:#?}\n");
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn each_code_about_a_job_has_a_file() {
    /// A fault of the tool, which no file is known to trigger.
    const OF_THE_TOOL: [&str; 2] = ["mesh-unsound", "relief-not-made"];
    /// No shipped board with a change of one place gives it; `relief::tests` makes it.
    const NOT_BY_A_SMALL_FILE: [&str; 1] = ["skirt-ridge"];
    let here: Vec<Code> = job::codes()
        .into_iter()
        .filter(|code| !treenwright::params::CODES.contains(code))
        .filter(|code| !OF_THE_TOOL.contains(&code.name))
        .filter(|code| !NOT_BY_A_SMALL_FILE.contains(&code.name))
        .collect();
    assert!(here.len() > 30);
    for code in here {
        let path = root().join(format!("tests/suite/rules/{}.toml", code.name));
        assert!(path.is_file(), "{} is missing", path.display());
        let sentences = code.explain.matches(". ").count() + 1;
        assert!((3..=12).contains(&sentences), "{}: {sentences} sentences", code.name);
        assert!(!code.explain.contains("  "), "{}", code.name);
    }
}

#[test]
fn the_shipped_examples_give_no_fault() {
    for (design, board) in
        [("harvest-spoon", "cherry"), ("harvest-fork", "beech"), ("harvest-turner", "pear")]
    {
        let read = |folder: &str, name: &str| {
            fs::read_to_string(root().join(format!("params/{folder}/{name}.toml"))).expect("a file")
        };
        let (findings, job) =
            plan(&read("designs", design), &read("boards", board), template(Source::Shop));
        assert!(!findings.has_fault(), "{design}: {findings:#?}");
        let job = job.expect("a job");
        assert!(job.pieces[0].checks.rows.len() >= 10, "{:#?}", job.pieces[0].checks.rows);
        assert_eq!(job.pieces[0].checks.uncut.len(), 2);
        assert_eq!(job.pieces[0].checks.cusps.len(), 2);
    }
}

#[test]
fn an_accepted_caution_is_kept_with_its_reason_and_marked_in_the_table() {
    let text = fs::read_to_string(root().join("tests/suite/rules/weak.toml")).expect("a file");
    let text = format!("{text}[accept]\n\"weak\" = \"it only ever stirs tea\"\n");
    let (findings, job) = plan(&text, template(Source::Board), template(Source::Shop));
    let weak = findings.iter().find(|finding| finding.code.name == "weak").expect("the caution");
    assert_eq!(weak.severity, Severity::Caution);
    assert_eq!(weak.accepted.as_deref(), Some("it only ever stirs tea"));
    let job = job.expect("a job");
    let row = job.pieces[0].checks.rows.iter().find(|row| row.rule == "strength");
    assert_eq!(row.expect("a row").verdict, check::Verdict::Accepted);
}

#[test]
fn the_designs_that_fail_on_purpose_fail_as_they_say() {
    for path in files("params/designs/failing") {
        let text = fs::read_to_string(&path).expect("a design");
        let gives = text.lines().find_map(|line| line.strip_prefix("# Gives: ")).expect("# Gives:");
        let (findings, _) = plan(&text, template(Source::Board), template(Source::Shop));
        let got: Vec<&str> = findings.iter().map(|finding| finding.code.name).collect();
        assert!(findings.has_fault(), "{} can be made: {got:?}", path.display());
        for code in gives.split(", ") {
            assert!(got.contains(&code), "{}: no {code} in {got:?}", path.display());
        }
    }
}

/// The shipped shop with another step-over of the finishing ball.
fn with_steps(step: &str) -> (Findings, Option<Job>) {
    let shop = template(Source::Shop).replace("\"0.3 mm\"", &format!("\"{step}\""));
    let read = |name: &str| fs::read_to_string(root().join(name)).expect("a file");
    let design = read("params/designs/harvest-fork.toml");
    plan(&design, &read("params/boards/beech.toml"), &shop)
}

#[test]
fn cusps_that_keep_to_the_limit_on_the_level_alone_are_cautioned_of_with_their_place() {
    // 0.5 mm leave 0.0198 mm on a level place, and the shop allows 0.02 mm.
    let (findings, job) = with_steps("0.5 mm");
    let found = findings.iter().find(|finding| finding.code == check::CUSP_TOO_HIGH);
    let found = found.expect("the caution");
    assert!(found.severity == Severity::Caution && found.message.contains("tines"), "{found:#?}");
    let spot = found.spot.as_ref().expect("a place on the piece");
    let job = job.expect("a job");
    let worst = |side: &check::Cusps| side.over.worst;
    let [top, bottom] = job.pieces[0].checks.cusps.as_slice() else { panic!("two sides") };
    let worse = if worst(bottom) > worst(top) { bottom } else { top };
    assert_eq!(spot.side, Some(worse.face.name()));
    assert_eq!(spot.along.as_mm(), worse.at.x);
    // The step-over that the help names is enough, and a little more is not.
    let (_, rest) = found.help.split_once("step-over of ").expect("a step-over");
    let step: f64 = rest.split(' ').next().and_then(|step| step.parse().ok()).expect("a figure");
    let told = |step: f64| {
        let (findings, _) = with_steps(&format!("{step} mm"));
        findings.iter().any(|finding| finding.code == check::CUSP_TOO_HIGH)
    };
    assert!(!told(step) && told(step + 0.02), "{step}");
}

#[test]
fn a_fork_has_the_parts_of_a_fork() {
    let (_, job) = with_steps("0.3 mm");
    let job = job.expect("a job");
    let parts = |side: usize| {
        let cusps = &job.pieces[0].checks.cusps[side];
        cusps.parts.iter().map(|on| on.part.name()).collect::<Vec<_>>()
    };
    let top = ["handle", "handle edge", "neck", "hollow", "rim", "tines", "head edge"];
    let bottom = ["handle", "handle edge", "neck", "back", "tines", "head edge"];
    assert_eq!((parts(0), parts(1)), (top.to_vec(), bottom.to_vec()));
    for side in &job.pieces[0].checks.cusps {
        let highest = side.parts.iter().map(|on| on.most.as_mm()).fold(0.0, f64::max);
        assert_eq!(side.most.as_mm(), highest);
        let over: f64 = side.parts.iter().map(|on| on.area_mm2 * on.over.worst).sum();
        let whole: f64 = side.parts.iter().map(|on| on.area_mm2).sum();
        assert!((over / whole - side.over.worst).abs() < 1e-9);
    }
}
