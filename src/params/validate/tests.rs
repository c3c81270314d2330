//! Both sides of each limit: what is just inside passes, what is just outside is a fault.

use crate::finding::{Findings, Source};
use crate::params::{parse_board, parse_design, parse_shop, template};

const SPOON: &str = include_str!("../fixtures/spoon.toml");
const FORK: &str = include_str!("../../../params/designs/harvest-fork.toml");
const TURNER: &str = include_str!("../../../params/designs/harvest-turner.toml");

/// Codes and keys of the faults of a text in which `from` is replaced by `to`.
fn with(source: Source, text: &str, from: &str, to: &str) -> Vec<(&'static str, String)> {
    assert!(text.contains(from), "{from} isn't in the example");
    let text = text.replacen(from, to, 1);
    let mut findings = Findings::new();
    match source {
        Source::Design => drop(parse_design(&text, &mut findings)),
        Source::Board => drop(parse_board(&text, &mut findings)),
        Source::Shop => drop(parse_shop(&text, &mut findings)),
    }
    findings
        .iter()
        .map(|f| (f.code.name, f.place.as_ref().map_or(String::new(), |place| place.key.clone())))
        .collect()
}

#[test]
fn limits_are_where_they_are_said_to_be() {
    let spoon = SPOON;
    let cherry = template(Source::Board);
    let shop = template(Source::Shop);
    for (source, text, from, inside, outside, code, key) in [
        // 0.3 of 66 mm
        (
            Source::Design,
            spoon,
            "rim = \"2.5 mm\"",
            "rim = \"19.7 mm\"",
            "rim = \"19.8 mm\"",
            "no-hollow-left",
            "bowl.rim",
        ),
        (
            Source::Design,
            spoon,
            "wall = \"4.5 mm\"",
            "wall = \"19.7 mm\"",
            "wall = \"19.9 mm\"",
            "wall-too-thick",
            "bowl.wall",
        ),
        // 0.8 of the 9 mm at the handle's end
        (
            Source::Design,
            spoon,
            "edge = \"2 mm\"",
            "edge = \"7.1 mm\"",
            "edge = \"7.3 mm\"",
            "edge-too-high",
            "handle.thickness[0].size",
        ),
        (
            Source::Design,
            spoon,
            "size = \"14 mm\"",
            "size = \"65.9 mm\"",
            "size = \"66 mm\"",
            "neck-too-wide",
            "handle.width[2].size",
        ),
        // 300 - 92 - 20 = 188 mm
        (
            Source::Design,
            spoon,
            "end = \"14.4 mm\"",
            "end = \"180 mm\"",
            "end = \"188.1 mm\"",
            "no-handle-left",
            "utensil.length",
        ),
        // run 300 - 92 - 14.4 = 193.6 mm, half of it 96.8 mm, from -3 mm up
        (
            Source::Design,
            spoon,
            "rise = \"6 mm\"",
            "rise = \"93.7 mm\"",
            "rise = \"93.9 mm\"",
            "handle-too-steep",
            "handle.curve[1].rise",
        ),
        (
            Source::Design,
            spoon,
            "fullness = 2.3",
            "fullness = 6",
            "fullness = 6.01",
            "out-of-range",
            "bowl.fullness",
        ),
        (
            Source::Design,
            spoon,
            "fullness = 2.3",
            "fullness = 2",
            "fullness = 1.99",
            "out-of-range",
            "bowl.fullness",
        ),
        (
            Source::Design,
            spoon,
            "widest = \"54 %\"",
            "widest = \"35 %\"",
            "widest = \"34.9 %\"",
            "out-of-range",
            "bowl.widest",
        ),
        (
            Source::Design,
            spoon,
            "section = 2.2",
            "section = 6",
            "section = nan",
            "wrong-type",
            "handle.section",
        ),
        (
            Source::Design,
            spoon,
            "least = \"12 mm\"",
            "least = \"14 mm\"",
            "least = \"14.01 mm\"",
            "give-range",
            "give.bowl.depth.least",
        ),
        (
            Source::Design,
            spoon,
            "most = \"16 mm\"",
            "most = \"14 mm\"",
            "most = \"99 %\"",
            "give-range",
            "give.bowl.depth.most",
        ),
        (
            Source::Design,
            spoon,
            "at = \"12 %\"",
            "at = \"100 %\"",
            "at = \"100.1 %\"",
            "out-of-range",
            "tabs.place[0].at",
        ),
        (
            Source::Design,
            TURNER,
            "front = \"2.2 mm\"",
            "front = \"5 mm\"",
            "front = \"5.01 mm\"",
            "blade-edge",
            "blade.front",
        ),
        (
            Source::Design,
            TURNER,
            "bevel = \"24 mm\"",
            "bevel = \"58.7 mm\"",
            "bevel = \"58.8 mm\"",
            "blade-edge",
            "blade.bevel",
        ),
        (
            Source::Design,
            TURNER,
            "fullness = 4",
            "fullness = 8",
            "fullness = 8.01",
            "out-of-range",
            "blade.fullness",
        ),
        // 0.8 of 94 mm
        (
            Source::Design,
            FORK,
            "length = \"52 mm\"",
            "length = \"75.1 mm\"",
            "length = \"75.2 mm\"",
            "slot-too-long",
            "tines.slot.length",
        ),
        // (62 - 4) / 3 mm leaves 1 mm each; the taper is left out so that the tips keep as much
        (
            Source::Design,
            FORK,
            "slot = { width = \"6 mm\", length = \"52 mm\", taper = \"1 deg\" }",
            "slot = { width = \"19.3 mm\", length = \"52 mm\" }",
            "slot = { width = \"19.4 mm\", length = \"52 mm\" }",
            "no-tine-left",
            "tines.slot.width",
        ),
        (
            Source::Design,
            FORK,
            "count = 4",
            "count = 8",
            "count = 13",
            "out-of-range",
            "tines.count",
        ),
        (
            Source::Design,
            FORK,
            "taper = \"1 deg\"",
            "taper = \"10 deg\"",
            "taper = \"10.1 deg\"",
            "out-of-range",
            "tines.slot.taper",
        ),
        (
            Source::Board,
            cherry,
            "at = [\"450 mm\", \"15 mm\"]",
            "at = [\"470 mm\", \"0 mm\"]",
            "at = [\"470.1 mm\", \"0 mm\"]",
            "off-the-board",
            "reading[3].at",
        ),
        (
            Source::Board,
            cherry,
            "centre = [\"452 mm\", \"112 mm\"]",
            "centre = [\"476 mm\", \"112 mm\"]",
            "centre = [\"478 mm\", \"112 mm\"]",
            "off-the-board",
            "knot[0]",
        ),
        // 32.0 mm less 0.3 mm
        (
            Source::Board,
            cherry,
            "skim_top = \"0.4 mm\"",
            "skim_top = \"31.6 mm\"",
            "skim_top = \"31.8 mm\"",
            "no-usable-height",
            "reading[2].thickness",
        ),
        (
            Source::Board,
            cherry,
            "moisture_now = \"9 %\"",
            "moisture_now = \"30 %\"",
            "moisture_now = \"30.1 %\"",
            "out-of-range",
            "board.moisture_now",
        ),
        (
            Source::Shop,
            shop,
            "flute = \"1-1/2 in\"",
            "flute = \"1-3/4 in\"",
            "flute = \"1-13/16 in\"",
            "cutter-not-possible",
            "cutter[0].flute",
        ),
        (
            Source::Shop,
            shop,
            "squeeze = \"0.3 mm\"",
            "squeeze = \"0 mm\"",
            "squeeze = \"2.1 mm\"",
            "out-of-range",
            "hold_down.squeeze",
        ),
        (
            Source::Shop,
            shop,
            "lip = \"10 mm\"",
            "lip = \"37.9 mm\"",
            "lip = \"38 mm\"",
            "hold-down-too-small",
            "hold_down.lip",
        ),
        (
            Source::Shop,
            shop,
            "width = \"32 mm\"",
            "width = \"12 mm\"",
            "width = \"11.9 mm\"",
            "hold-down-too-small",
            "hold_down.width",
        ),
    ] {
        assert_eq!(with(source, text, from, inside), [], "{inside}");
        assert_eq!(with(source, text, from, outside), [(code, key.to_owned())], "{outside}");
    }
}

#[test]
fn a_hollow_may_be_0_45_of_the_head_deep() {
    let spoon =
        SPOON.replace("least = \"12 mm\", most = \"16 mm\"", "least = \"80 %\", most = \"120 %\"");
    let depth = "depth = \"14 mm\"";
    assert_eq!(with(Source::Design, &spoon, depth, "depth = \"29.6 mm\""), []);
    assert_eq!(
        with(Source::Design, &spoon, depth, "depth = \"29.8 mm\""),
        [("hollow-too-deep", "bowl.depth".to_owned())]
    );
}

#[test]
fn a_missing_value_does_not_hide_the_faults_beside_it() {
    let text = SPOON.replace("width = \"66 mm\"", "");
    let found = with(Source::Design, &text, "length = \"300 mm\"", "length = \"110 mm\"");
    let codes: Vec<_> = found.iter().map(|(code, _)| *code).collect();
    assert_eq!(codes, ["no-handle-left", "missing-key"]);
}

#[test]
fn each_side_of_the_board_is_an_edge() {
    let cherry = template(Source::Board);
    for (x, y) in [("-1 mm", "15 mm"), ("471 mm", "15 mm"), ("20 mm", "-1 mm"), ("20 mm", "133 mm")]
    {
        let to = format!("at = [\"{x}\", \"{y}\"]");
        assert_eq!(
            with(Source::Board, cherry, "at = [\"450 mm\", \"15 mm\"]", &to),
            [("off-the-board", "reading[3].at".to_owned())]
        );
    }
    // a knot of radius 7 mm
    for (x, y) in [("-8 mm", "15 mm"), ("478 mm", "15 mm"), ("20 mm", "-8 mm"), ("20 mm", "140 mm")]
    {
        let to = format!("centre = [\"{x}\", \"{y}\"]");
        assert_eq!(
            with(Source::Board, cherry, "centre = [\"452 mm\", \"112 mm\"]", &to),
            [("off-the-board", "knot[0]".to_owned())]
        );
    }
}

/// The hundred tables that a list may have could ask for 14,400 openings, which took minutes to look at.
#[test]
fn openings_of_all_patterns_are_counted() {
    let tables = |many: usize| {
        let one = "[[opening]]\nat = [\"14 mm\", \"0 mm\"]\nwidth = \"2 mm\"\nalong = 10\nacross = 10\n\
                   pitch = [\"3 mm\", \"3 mm\"]\n";
        format!("{}[tabs]", one.repeat(many))
    };
    assert_eq!(with(Source::Design, SPOON, "[tabs]", &tables(5)), []);
    let over = with(Source::Design, SPOON, "[tabs]", &tables(6));
    assert_eq!(over, [("too-much", "opening".to_owned())]);
}

/// What is advised is within the limits itself: a spreader was told to write 2.1 mm, and then 3.3 mm or more.
#[test]
fn advice_holds_by_itself() {
    let told = |text: &str| {
        let mut findings = Findings::new();
        drop(parse_design(text, &mut findings));
        findings.iter().map(|finding| finding.help.clone()).collect::<Vec<_>>().join(" / ")
    };
    let thick = TURNER.replacen("[blade]\n", "[blade]\nthin = \"9 mm\"\n", 1);
    let thick = thick.replacen("edge = \"2 mm\"", "edge = \"4.2 mm\"", 1);
    assert!(told(&thick).contains("Write thin = \"4"), "{}", told(&thick));
    // With a taper the slots are narrower at their roots than at the tip.
    let slots = FORK.replacen(
        "width = \"6 mm\", length = \"52 mm\"",
        "width = \"20 mm\", length = \"52 mm\"",
        1,
    );
    let help = told(&slots);
    let width = help.split("Write width = \"").nth(1).and_then(|rest| rest.split('"').next());
    let width = width.unwrap_or_else(|| panic!("no width: {help}"));
    let cured =
        slots.replacen("width = \"20 mm\", length", &format!("width = \"{width}\", length"), 1);
    assert_eq!(told(&cured), "");
}
