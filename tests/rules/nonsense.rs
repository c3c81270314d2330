//! What can only be a slip is told, and is a fault where nothing good can come of it: shipped files
//! with one figure or word changed.

use super::{plan, said};
use treenwright::finding::Source;
use treenwright::params::{parse_board, template};

/// The file, what stands in it, what is put there, and what is told.
const NONSENSE: [(Source, &str, &str, &str); 21] = [
    (Source::Shop, "lip_thickness = \"8 mm\"", "lip_thickness = \"0.1 mm\"", "fault lip-weak"),
    (Source::Shop, "lip_thickness = \"8 mm\"", "lip_thickness = \"1.2 mm\"", "caution lip-weak"),
    (Source::Shop, "lip = \"10 mm\"", "lip = \"1 mm\"", "caution lip-weak"),
    (
        Source::Shop,
        "# least = \"0.2501 in\"",
        "least = \"7 mm\"\nmost = \"7 mm\"",
        "fault pin-tight",
    ),
    (Source::Shop, "depth = \"12 mm\" ", "depth = \"1.2 mm\" ", "fault pin-hole-shallow"),
    (Source::Shop, "depth = \"12 mm\" ", "depth = \"5 mm\" ", "caution pin-hole-shallow"),
    (Source::Shop, "\"2000 mm/min\"", "\"20000 mm/min\"", "caution feed-doubtful"),
    (Source::Shop, "\"2000 mm/min\"", "\"200 mm/min\"", "caution feed-doubtful"),
    (Source::Shop, "\"16000 rpm\"", "\"1600 rpm\"", "caution feed-doubtful"),
    (Source::Shop, "\"18000 rpm\"", "\"90000 rpm\"", "caution feed-doubtful"),
    (
        Source::Shop,
        "# plunge = \"600 mm/min\" ",
        "plunge = \"6000 mm/min\" ",
        "caution feed-doubtful",
    ),
    (Source::Shop, "rough = \"flat 1/4\"", "rough = \"vee 60\"", "fault cutter-unfit"),
    (Source::Shop, "push = \"10 N\"", "push = \"1000 N\"", "fault tab-weak"),
    (Source::Design, "thickness = \"5 mm\" ", "thickness = \"0.5 mm\" ", "fault tab-weak"),
    (Source::Design, "thickness = \"5 mm\" ", "thickness = \"12 mm\" ", "fault tab-too-thick"),
    (Source::Board, "species = \"cherry\"", "species = \"granite\"", "caution wood-unknown"),
    (Source::Board, "species = \"cherry\"", "species = \"Oleander\"", "caution wood-harmful"),
    (Source::Board, "species = \"cherry\"", "species = \"cocobolo\"", "caution wood-harmful"),
    (
        Source::Board,
        "species = \"cherry\"",
        "species = \"western red cedar\"",
        "caution wood-harmful",
    ),
    (
        Source::Board,
        "[[\"0 mm\", \"24 mm\"], [\"16 mm\", \"25 mm\"], [\"28 mm\", \"25.5 mm\"]]",
        "[[\"0 mm\", \"66 mm\"], [\"470 mm\", \"66 mm\"]]",
        "fault set-not-placed",
    ),
    (Source::Design, "tip = \"20 N\"", "tip = \"200 N\"", "caution weak"),
];

#[test]
fn nonsense_is_told() {
    let mut silent = String::new();
    for (file, old, new, expected) in NONSENSE {
        let texts = [Source::Design, Source::Board, Source::Shop].map(|source| {
            let text = template(source);
            if source != file {
                return text.to_owned();
            }
            assert!(text.contains(old), "{old}");
            text.replacen(old, new, 1)
        });
        let (findings, _) = plan(&texts[0], &texts[1], &texts[2]);
        let got = said(&findings, file);
        if !got.iter().any(|line| line.starts_with(expected)) {
            silent += &format!("{new}: expected {expected}, got {got:#?}\n");
        }
    }
    assert!(silent.is_empty(), "\n{silent}");
}

/// A strength that nobody looked at was told as good.
#[test]
fn the_strength_of_an_unknown_wood_is_not_good() {
    let board = template(Source::Board).replace("\"cherry\"", "\"granite\"");
    let (_, job) = plan(template(Source::Design), &board, template(Source::Shop));
    let job = job.expect("a job");
    let row = job.pieces[0].checks.rows.iter().find(|row| row.rule == "strength").expect("its row");
    assert_ne!(row.verdict, treenwright::check::Verdict::Good);
    assert!(row.says.starts_with("not looked at"), "{}", row.says);
}

/// Ends of a wane on the edge, inside the board, and off it.
#[test]
fn a_wane_runs_from_edge_to_edge() {
    let told = |end: &str| {
        let board = template(Source::Board).replace("[\"470 mm\", \"126 mm\"]", end);
        let mut findings = treenwright::finding::Findings::new();
        parse_board(&board, &mut findings);
        said(&findings, Source::Board)
    };
    assert!(told("[\"471 mm\", \"126 mm\"]").is_empty());
    assert!(told("[\"466 mm\", \"120 mm\"]").is_empty());
    assert_eq!(told("[\"400 mm\", \"100 mm\"]"), ["fault wane-off-edge at wane[0]"]);
}
