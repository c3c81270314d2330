//! What can only be a slip is told, and is a fault where nothing good can come of it: shipped files
//! with one figure or word changed.

use super::{plan, read, root, said};
use treenwright::finding::Source;
use treenwright::job::{self, Order, Scope};
use treenwright::params::{parse_board, template};

/// The file, what stands in it, what is put there, and what is told.
const NONSENSE: [(Source, &str, &str, &str); 34] = [
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
    (
        Source::Shop,
        "# plunge = \"600 mm/min\" ",
        "plunge = \"60 mm/min\" ",
        "caution feed-doubtful at cutter[0].plunge",
    ),
    (Source::Shop, "rough = \"flat 1/4\"", "rough = \"vee 60\"", "fault cutter-unfit"),
    // Nothing of a spoon is cut with the cutter for slots.
    (
        Source::Shop,
        "slots = \"flat 1/8\"",
        "slots = \"vee 60\"",
        "caution cutter-unfit at work.slots",
    ),
    (
        Source::Shop,
        "slots = \"flat 1/8\"",
        "slots = \"flat 1/3\"",
        "caution cutter-absent at work.slots",
    ),
    (Source::Shop, WORK, FLUTE_OF_5_MM, "caution flute-too-short at cutter[4].flute"),
    (Source::Shop, WORK, STICKS_OUT_25_IN, "caution out-of-travel at machine.z"),
    (Source::Shop, WORK, STICKS_OUT_25_IN, "caution cutter-doubtful at cutter[4].stick_out"),
    (
        Source::Shop,
        "# leave = \"0.5 mm\" ",
        "leave = \"5 mm\" ",
        "fault pass-too-deep at work.leave",
    ),
    (
        Source::Shop,
        "# leave = \"0.5 mm\" ",
        "leave = \"1.5 mm\" ",
        "caution pass-too-deep at work.leave",
    ),
    // It clears the skirt.
    (
        Source::Shop,
        "step_over = \"1.2 mm\"",
        "step_over = \"1.2 mm\"\npass_depth = \"15 mm\"",
        "caution pass-too-deep at cutter[2].pass_depth",
    ),
    (
        Source::Shop,
        "# safe = \"15 mm\" ",
        "safe = \"1.5 mm\" ",
        "caution figure-doubtful at machine.safe",
    ),
    (
        Source::Shop,
        "# safe = \"15 mm\" ",
        "safe = \"150 mm\" ",
        "caution out-of-travel at machine.safe",
    ),
    (
        Source::Shop,
        "step_over = \"2.5 mm\"",
        "step_over = \"0.25 mm\"",
        "caution cutter-doubtful at cutter[0].step_over",
    ),
    (
        Source::Shop,
        "step_over = \"2.5 mm\"",
        "step_over = \"6.3 mm\"",
        "caution cutter-doubtful at cutter[0].step_over",
    ),
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

const WORK: &str = "[work]                      # which of them does what\n";
/// Drills for the pins' holes, through some 32 mm of wood with 90 mm of travel.
const FLUTE_OF_5_MM: &str = "[[cutter]]\nname = \"drill\"\nform = \"drill\"\ndiameter = \"6.4 mm\"\n\
    flute = \"0.2 in\"\nstick_out = \"2-1/2 in\"\nfeed = \"300 mm/min\"\nspeed = \"3000 rpm\"\n\
    [work]\npins = \"drill\"\n";
const STICKS_OUT_25_IN: &str = "[[cutter]]\nname = \"drill\"\nform = \"drill\"\ndiameter = \"6.4 mm\"\n\
    flute = \"2 in\"\nstick_out = \"25 in\"\nfeed = \"300 mm/min\"\nspeed = \"3000 rpm\"\n\
    [work]\npins = \"drill\"\n";

/// The shipped shop with some words of it put in another way.
fn shop_with(changes: &[[&str; 2]]) -> String {
    changes.iter().fold(template(Source::Shop).to_owned(), |text, [old, new]| {
        assert!(text.contains(old), "{old}");
        text.replacen(old, new, 1)
    })
}

/// What is far from usual, but can be meant, is not told: a thick layer for the ball, a slow plunge, a
/// low lift, a drill that sticks out; and a depth of layers of the ball, which makes none.
#[test]
fn what_a_shop_may_mean_is_not_told() {
    let drill = STICKS_OUT_25_IN.replace("25 in", "2-1/2 in");
    let shop = shop_with(&[
        ["# leave = \"0.5 mm\" ", "leave = \"1 mm\" "],
        ["# plunge = \"600 mm/min\" ", "plunge = \"200 mm/min\" "],
        ["# safe = \"15 mm\" ", "safe = \"15 mm\" "],
        ["step_over = \"0.3 mm\"", "step_over = \"0.3 mm\"\npass_depth = \"15 mm\""],
        [WORK, &drill],
    ]);
    let (findings, _) = plan(template(Source::Design), template(Source::Board), &shop);
    assert!(findings.is_empty(), "{findings:#?}");
}

/// Figures of the vee that cuts an inlay: no rule looked at them.
#[test]
fn nonsense_of_an_inlays_vee_is_told() {
    let design = std::fs::read_to_string(root().join("params/designs/wheat-spoon.toml"));
    let design = design.expect("a design");
    let vee = "diameter = \"1/2 in\"\nflute = \"7/16 in\"\nstick_out = \"1-1/4 in\"\n\
               feed = \"1200 mm/min\"\nspeed = \"16000 rpm\"\nstep_over = \"0.5 mm\"";
    for (old, new, expected) in [
        ("", "", None),
        ("1200 mm/min", "12000 mm/min", Some("caution feed-doubtful at cutter[3].feed")),
        ("16000 rpm", "1600 rpm", Some("caution feed-doubtful at cutter[3].speed")),
        ("1/2 in", "5 in", Some("caution cutter-doubtful at cutter[3].diameter")),
        (
            "step_over",
            "plunge = \"6000 mm/min\"\nstep_over",
            Some("caution feed-doubtful at cutter[3].plunge"),
        ),
        (
            "step_over",
            "pass_depth = \"15 mm\"\nstep_over",
            Some("caution pass-too-deep at cutter[3].pass_depth"),
        ),
    ] {
        let shop = shop_with(&[[vee, &vee.replacen(old, new, 1)]]);
        let (design, board, shop) = read(&design, template(Source::Board), &shop);
        let order = Order { scope: Scope::Glance, ..Order::new(vec![design], board, shop) };
        let got = said(&job::plan(&order).findings, Source::Shop);
        assert_eq!(got.iter().map(String::as_str).collect::<Vec<_>>(), Vec::from_iter(expected));
    }
}

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
