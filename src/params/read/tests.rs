//! The three readers on the shipped examples and on damaged ones.

use super::*;
use crate::params::{
    Bound, FlawShape, Head, Kind, parse_board, parse_design, parse_shop, template,
};
use crate::units::Length;
use proptest::prelude::*;

const SPOON: &str = include_str!("../fixtures/spoon.toml");

fn faults(text: &str, source: Source) -> Findings {
    let mut findings = Findings::new();
    let read = match source {
        Source::Design => parse_design(text, &mut findings).is_some(),
        Source::Board => parse_board(text, &mut findings).is_some(),
        Source::Shop => parse_shop(text, &mut findings).is_some(),
    };
    assert_eq!(read, !findings.has_fault(), "a value is returned exactly if there's no fault");
    findings
}

fn codes_of(findings: &Findings) -> Vec<(&'static str, String)> {
    findings
        .iter()
        .map(|f| (f.code.name, f.place.as_ref().map_or(String::new(), |place| place.key.clone())))
        .collect()
}

#[test]
fn the_shipped_examples_have_no_fault() {
    for (source, text) in [
        (Source::Design, include_str!("../../../params/designs/harvest-spoon.toml")),
        (Source::Design, include_str!("../../../params/designs/harvest-fork.toml")),
        (Source::Design, include_str!("../../../params/designs/harvest-turner.toml")),
        (Source::Board, include_str!("../../../params/boards/cherry.toml")),
        (Source::Board, include_str!("../../../params/boards/pear.toml")),
        (Source::Board, include_str!("../../../params/boards/beech.toml")),
        (Source::Shop, include_str!("../../../params/shop.toml")),
    ] {
        let findings = faults(text, source);
        let all: Vec<_> = findings.iter().map(|f| (&f.message, &f.help)).collect();
        assert!(all.is_empty(), "{text}\n{all:#?}");
    }
}

#[test]
fn the_spoon_is_read_as_written() {
    let mut findings = Findings::new();
    let (spoon, spans) = parse_design(SPOON, &mut findings).unwrap();
    assert_eq!(spoon.kind, Kind::Spoon);
    assert_eq!(spoon.length, Length::mm(300.0));
    let Head::Bowl(bowl) = &spoon.head else { panic!("a spoon has a bowl") };
    assert_eq!(bowl.depth, Length::mm(14.0));
    assert_eq!(bowl.widest, 0.54);
    assert_eq!(spoon.handle.width.len(), 3);
    assert_eq!(spoon.handle.width[1].at, 0.55);
    assert_eq!(spoon.handle.curve[0].size, Length::mm(-3.0));
    assert_eq!(spoon.tabs.place.len(), 4);
    assert_eq!(spoon.give[0].key, "bowl.depth");
    assert_eq!(spoon.give[0].least, Bound::Length(Length::mm(12.0)));
    assert_eq!(spoon.give[1].least, Bound::Fraction(0.4));
    assert_eq!(spoon.give[1].weight, 1.0);
    let text = SPOON;
    assert_eq!(&text[spans.get("bowl.depth").unwrap()], "\"14 mm\"");
    assert_eq!(&text[spans.get("handle.width[1].size").unwrap()], "\"15 mm\"");
    assert!(text[spans.get("tabs.place[0]").unwrap()].starts_with("{ side = \"left\""));
    assert_eq!(&text[spans.get("bowl.nothing").unwrap()], "[bowl]");
}

#[test]
fn the_beech_board_is_read_in_inches() {
    let text = include_str!("../fixtures/beech.toml");
    let (beech, _) = parse_board(text, &mut Findings::new()).unwrap();
    assert!((beech.length.as_mm() - 457.2).abs() < 1e-9);
    assert!((beech.width.as_mm() - 133.35).abs() < 1e-9);
    // 1.297 in less two sixty-fourths
    assert!((beech.usable_height().as_mm() - (32.9438 - 0.79375)).abs() < 1e-9);
    assert!(matches!(&beech.flaws[0].shape, FlawShape::Polygon(points) if points.len() == 4));
}

#[test]
fn defaults_are_those_that_the_examples_name() {
    let text = SPOON
        .replace("edge = \"2 mm\"", "")
        .replace("fullness = 2.3 ", "")
        .replace("widest = \"54 %\"", "")
        .replace("section = 2.2 ", "")
        .replace("end = \"14.4 mm\"", "");
    let (bare, _) = parse_design(&text, &mut Findings::new()).unwrap();
    let (full, _) = parse_design(SPOON, &mut Findings::new()).unwrap();
    assert!((bare.handle.end.as_mm() - full.handle.end.as_mm()).abs() < 1e-9);
    let mut bare = bare;
    bare.handle.end = full.handle.end;
    assert_eq!(bare, full);

    let text = template(Source::Shop);
    let (full, _) = parse_shop(text, &mut Findings::new()).unwrap();
    let start = text.find("[printer]").unwrap();
    let text = text[..start]
        .lines()
        .filter(|line| !["play", "fit", "squeeze"].iter().any(|key| line.starts_with(key)))
        .collect::<Vec<_>>()
        .join("\n");
    let (bare, _) = parse_shop(&text, &mut Findings::new()).unwrap();
    assert_eq!(bare, full);
}

#[test]
fn all_faults_come_at_once_in_the_order_of_the_file() {
    let text = SPOON
        .replace("length = \"300 mm\"", "length = 300")
        .replace("width = \"66 mm\"", "widht = \"66 mm\"")
        .replace("depth = \"14 mm\"", "depth = \"1/0 in\"")
        .replace("section = 2.2", "section = \"2.2\"")
        .replace("{ at = \"55 %\", size = \"15 mm\" }", "{ at = \"0 %\", size = \"15 mm\" }")
        .replace("side = \"right\", at = \"12 %\"", "side = \"rigth\", at = \"12 %\"");
    let found = faults(&text, Source::Design);
    assert_eq!(
        codes_of(&found),
        [
            ("not-a-length", "utensil.length"),
            ("unknown-key", "bowl.widht"),
            ("not-a-length", "bowl.depth"),
            ("stations-out-of-order", "handle.width[1].at"),
            ("wrong-type", "handle.section"),
            ("no-such-choice", "tabs.place[1].side"),
        ]
        .map(|(code, key)| (code, key.to_owned()))
    );
    let first = found.iter().next().unwrap();
    assert!(first.help.contains("\"300 mm\""), "{}", first.help);
    let span = first.place.as_ref().unwrap().span.clone().unwrap();
    assert_eq!(&text[span], "300");
    let second = found.iter().nth(1).unwrap();
    assert!(second.help.contains("`width`"), "{}", second.help);
}

#[test]
fn dotted_gives_are_read_like_quoted_ones() {
    let text = SPOON.replace("\"bowl.depth\"", "bowl.depth");
    let (dotted, _) = parse_design(&text, &mut Findings::new()).unwrap();
    let (quoted, _) = parse_design(SPOON, &mut Findings::new()).unwrap();
    assert_eq!(dotted.give, quoted.give);
}

#[test]
fn nothing_and_nonsense_are_refused_with_a_place() {
    for source in [Source::Design, Source::Board, Source::Shop] {
        assert!(faults("", source).has_fault());
        assert!(faults("[utensil]\nname", source).has_fault());
        assert!(faults("\u{feff}", source).has_fault());
        assert!(faults(&"[".repeat(100_000), source).has_fault());
        assert!(faults(&format!("a = {}", "[".repeat(100_000)), source).has_fault());
        assert!(faults(&format!("{}a = 1", "a.".repeat(200_000)), source).has_fault());
        assert!(faults(&format!("[{}a]\n", "a.".repeat(200_000)), source).has_fault());
        assert!(faults(&format!("x = {{ {}a = 1 }}", "a . ".repeat(200_000)), source).has_fault());
        assert!(faults(&"x".repeat(2_000_000), source).has_fault());
    }
}

#[test]
fn an_unquoted_length_is_shown_in_quotation_marks() {
    let found = faults("[utensil]\nlength = 300 mm\n", Source::Design);
    let first = found.iter().next().unwrap();
    assert_eq!(first.code.name, "toml-syntax");
    assert!(first.help.contains("length = \"300 mm\""), "{}", first.help);
    assert!(first.message.contains("Line 2"), "{}", first.message);
}

/// A design in inches with something else in it, and what is said about that, as message and help.
fn told_in_inches(from: &str, to: &str) -> Vec<(String, String)> {
    let text = crate::params::example(crate::params::Example::Spoon, Unit::Inch);
    assert!(text.contains(from), "{from}");
    let found = faults(&text.replacen(from, to, 1), Source::Design);
    found.iter().map(|f| (f.message.clone(), f.help.clone())).collect()
}

/// `depth = "9/16"` was to be written `"9/16 mm"`, in a file all in inches.
#[test]
fn what_to_write_is_in_the_unit_of_the_file() {
    let either = "Write depth = \"9/16 in\" if you mean inches, or \"9/16 mm\" if you mean mm.";
    let depth = "depth = \"9/16 in\"";
    for bare in ["depth = \"9/16\"", "depth = 9/16"] {
        let told = told_in_inches(depth, bare);
        assert!(told.len() == 1 && told[0].1.starts_with(either), "{told:?}");
    }
    let told = told_in_inches(depth, "depth = 9.16");
    assert!(told[0].1.starts_with("Write depth = \"9.16 in\" if you mean inches"), "{told:?}");
    for (from, to, help) in [
        (depth, "depth = \"2-1/2 in\"", "depth = \"1.149 in\" or less"),
        (depth, "depth = \"deep\"", "depth = \"9/16 in\""),
        (depth, "", "depth = \"9/16 in\""),
        // A value in millimetres among inches stays in millimetres.
        (depth, "depth = \"64 mm\"", "depth = \"29.2 mm\" or less"),
        (
            "most = \"5/8 in\"",
            "most = \"1/2 in\"",
            "Check `bowl.depth`: is 14.29 mm what you mean? If so, write most = \"9/16 in\" or more.",
        ),
    ] {
        let told = told_in_inches(from, to);
        assert!(told.iter().any(|(_, said)| said.contains(help)), "{to}: {told:?}");
    }
    let metric = faults(&SPOON.replace("\"14 mm\"", "\"14\""), Source::Design);
    let help = &metric.iter().next().unwrap().help;
    assert!(help.starts_with("Write depth = \"14 mm\" if you mean mm, or \"14 in\""), "{help}");
}

#[test]
fn a_feed_in_inches_is_read_and_told_in_inches() {
    let text = crate::params::example(crate::params::Example::Shop, Unit::Inch);
    let feed = "feed = \"80 in/min\"";
    let (ipm, _) =
        parse_shop(&text.replacen(feed, "feed = \"80 ipm\"", 1), &mut Findings::new()).unwrap();
    assert!((ipm.cutters[0].feed_mm_min - 80.0 * 25.4).abs() < 1e-9);
    for (written, help) in [
        ("80", "Write feed = \"80 in/min\" if you mean in/min, or \"80 mm/min\""),
        ("80 fpm", "For example, write feed = \"70 in/min\"."),
    ] {
        let found = faults(&text.replacen(feed, &format!("feed = \"{written}\""), 1), Source::Shop);
        let said = &found.iter().next().unwrap().help;
        assert!(said.starts_with(help), "{said}");
    }
}

#[test]
fn what_the_tool_has_no_key_for_is_said_with_what_is_near_in_meaning() {
    for (table, has) in [
        ("[crank]\nrise = 1\n", "`handle.curve`"),
        ("[hole]\nat = 1\n", "[[opening]]"),
        ("[outline]\nx = 1\n", "`utensil.plan`"),
        ("[engraving]\nx = 1\n", "`[[inlay]]`"),
    ] {
        let found = faults(&format!("{SPOON}\n{table}"), Source::Design);
        let first = found.iter().next().unwrap();
        assert!(first.message.contains("the tool has none of that name"), "{}", first.message);
        assert!(first.help.contains(has), "{}", first.help);
    }
}

#[test]
fn a_side_of_its_own_in_an_outline_is_said_with_where_it_stands() {
    for station in
        ["at = \"50 %\", size = \"40 mm\", shift = \"3 mm\"", "at = \"50 %\", left = \"20 mm\""]
    {
        let text = SPOON.replacen("[bowl]", &format!("[bowl]\noutline = [{{ {station} }}]"), 1);
        let found = faults(&text, Source::Design);
        let first = found.iter().find(|finding| finding.code.name == "unknown-key").unwrap();
        assert!(!first.message.contains("none of that name"), "{}", first.message);
        assert!(first.help.contains("`shift` of a station of `sway`"), "{}", first.help);
    }
}

/// Text of one of the examples with pieces of it taken out, doubled, swapped for others.
fn damaged() -> impl Strategy<Value = (Source, String)> {
    let pieces = prop_oneof![
        "[-0-9eE.%/\" a-z\\[\\]{}=,\n]{0,8}",
        Just("\"1e300 mm\"".to_owned()),
        Just("nan".to_owned()),
        Just("-inf".to_owned()),
        Just("[]".to_owned()),
        Just("{}".to_owned()),
        Just("\"\"".to_owned()),
        Just("1979-05-27".to_owned()),
        Just("99999999999999999999999".to_owned()),
        "\\PC{0,4}",
    ];
    let edits = proptest::collection::vec((0.0..1.0f64, 0usize..12, pieces), 1..6);
    let source = prop_oneof![Just(Source::Design), Just(Source::Board), Just(Source::Shop)];
    (source, edits).prop_map(|(source, edits)| {
        let mut text = template(source).to_owned();
        for (share, cut, piece) in edits {
            let mut start = (share * text.len() as f64) as usize;
            while !text.is_char_boundary(start) {
                start -= 1;
            }
            let mut end = (start + cut).min(text.len());
            while !text.is_char_boundary(end) {
                end += 1;
            }
            text.replace_range(start..end, &piece);
        }
        (source, text)
    })
}

/// The examples with one value swapped for another kind of value, still TOML.
fn swapped() -> impl Strategy<Value = (Source, String)> {
    let values = prop_oneof![
        Just("nan"),
        Just("inf"),
        Just("-1"),
        Just("0"),
        Just("1e300"),
        Just("0x7fffffffffffffff"),
        Just("99999999999999999999999"),
        Just("true"),
        Just("[]"),
        Just("[[]]"),
        Just("{}"),
        Just("[{}, {}]"),
        Just("\"\""),
        Just("\"0 mm\""),
        Just("\"0.1 mm\""),
        Just("\"2000 mm\""),
        Just("\"-5 mm\""),
        Just("\"1e300 mm\""),
        Just("\"NaN mm\""),
        Just("\"0 %\""),
        Just("\"100 %\""),
        Just("\"10 deg\""),
        Just("07:32:00"),
    ];
    let source = prop_oneof![Just(Source::Design), Just(Source::Board), Just(Source::Shop)];
    (source, proptest::collection::vec((0usize..200, values), 1..4)).prop_map(|(source, edits)| {
        let mut lines: Vec<String> = template(source).lines().map(str::to_owned).collect();
        for (index, value) in edits {
            let index = index % lines.len();
            let line = &lines[index];
            if let Some((start, end)) = line.find('"').zip(line.rfind('"')) {
                lines[index] = format!("{}{value}{}", &line[..start], &line[end + 1..]);
            }
        }
        (source, lines.join("\n"))
    })
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 600, failure_persistence: None, ..ProptestConfig::default()
    })]

    #[test]
    fn damaged_text_is_read_or_refused_and_every_place_is_in_the_text((source, text) in damaged()) {
        for finding in faults(&text, source).iter() {
            let place = finding.place.as_ref();
            prop_assert!(place.is_some_and(|place| place.source == source));
            if let Some(span) = place.and_then(|place| place.span.clone()) {
                prop_assert!(text.get(span).is_some());
            }
            prop_assert!(!finding.message.contains("NaN") || text.contains("NaN"));
            prop_assert!(!finding.help.contains("NaN") || text.contains("NaN"));
        }
    }

    #[test]
    fn swapped_values_are_read_or_refused((source, text) in swapped()) {
        let findings = faults(&text, source);
        for finding in findings.iter() {
            prop_assert!(!finding.message.contains("NaN") || text.contains("NaN"), "{finding:?}");
            prop_assert!(!finding.help.contains("NaN") || text.contains("NaN"), "{finding:?}");
        }
        if findings.is_empty() && source == Source::Design {
            let (mut design, _) = parse_design(&text, &mut Findings::new()).expect("no fault");
            design.name.clear(); // which may well be "NaN mm"
            prop_assert!(!format!("{design:?}").contains("NaN"), "a stand-in got out");
        }
    }
}

/// The one key of a station that isn't there is the one that was meant, and it is not asked for besides.
#[test]
fn a_stations_other_key_and_a_missing_comma_are_told_for_what_they_are() {
    let other = SPOON.replacen("rise =", "size =", 1);
    let found = faults(&other, Source::Design);
    let said: Vec<_> = found.iter().map(|f| (f.message.as_str(), f.help.as_str())).collect();
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(said[0].1.starts_with("Did you mean `rise`?"), "{said:?}");
    assert!(!said[0].0.contains("none of that name"), "{said:?}");
    let comma = SPOON.replacen("\" },\n    { at", "\" }\n    { at", 1);
    let found = faults(&comma, Source::Design);
    let said: Vec<_> = found.iter().map(|f| f.message.as_str()).collect();
    assert!(said.len() == 1 && said[0].ends_with("a comma is missing before it."), "{said:?}");
}
