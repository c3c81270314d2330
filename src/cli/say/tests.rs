//! Tests of what is said.

use super::report::line_column;
use super::*;
use crate::cli::args::Input;
use crate::finding::{Code, Finding, Source};
use crate::units::Length;

const CODE: Code = Code { name: "bare-number", explain: "" };

fn input() -> Input {
    Input {
        designs: vec!["spoon.toml".into()],
        board: "pear.toml".into(),
        shop: "shop.toml".into(),
        together: crate::cli::args::Together::Free,
        tolerance: Length::mm(0.02),
        json: false,
    }
}

const TEXT: &str = "[bowl]\r\nlength = 92\r\nname = \"f\u{fc}r\"\r\n";

fn said(input: &Input) -> Report<'_> {
    let mut report = Report::new(input);
    report.read(Source::Design, 0, TEXT.into(), None);
    report.findings.push(
        Finding::fault(CODE, "`length` has no unit", "Write `length = \"92 mm\"`.").at_span(
            Source::Design,
            "bowl.length",
            17..19,
        ),
    );
    report.findings.push(Finding::caution(CODE, "no place", "None."));
    report.findings.push(Finding::fault(CODE, "second", "").at(Source::Board, "length"));
    report
}

#[test]
fn a_plain_report_has_place_line_help_and_count_and_is_plain_ascii() {
    let input = input();
    let text = text::report(&said(&input), false, 80);
    for part in [
        "fault: bare-number",
        "`length` has no unit",
        "[spoon.toml:2:10]",
        "2 | length = 92",
        "help: Write `length = \"92 mm\"`.",
        "caution: bare-number",
        "second (`length` in pear.toml)",
    ] {
        assert!(text.contains(part), "{part} is not in\n{text}");
    }
    assert!(text.ends_with("\n2 faults, 1 caution; nothing written\n"), "{text}");
    let drawn = text.chars().find(|c| !c.is_ascii() && *c != '\u{fc}');
    assert_eq!(drawn, None, "{text}");
}

#[test]
fn a_terminal_gets_colour() {
    let input = input();
    assert!(text::report(&said(&input), true, 80).contains("\x1b["));
}

#[test]
fn json_has_every_key_for_every_finding() {
    let input = input();
    let json: serde_json::Value = serde_json::from_str(&json::findings(&said(&input))).unwrap();
    assert_eq!(json.as_array().unwrap().len(), 3);
    assert_eq!(json[0]["file"], "spoon.toml");
    assert_eq!((json[0]["line"].as_u64(), json[0]["column"].as_u64()), (Some(2), Some(10)));
    assert_eq!(json[0]["key"], "bowl.length");
    assert_eq!(json[1]["file"], serde_json::Value::Null);
    for finding in json.as_array().unwrap() {
        assert_eq!(finding.as_object().unwrap().len(), 12);
    }
}

#[test]
fn no_text_steers_the_terminal_and_no_span_is_out_of_bounds() {
    let input = input();
    let mut report = Report::new(&input);
    let evil = "a\x1b[31m\u{9b}\u{202e}\u{85}\u{fc}\nend";
    report.read(Source::Design, 0, evil.into(), None);
    let end = evil.len();
    for (start, stop) in [(0, end), (5, 2), (999, 2000), (8, 9), (end, end), (3, 4)] {
        report.findings.push(Finding::fault(CODE, evil, evil).at_span(
            Source::Design,
            evil,
            start..stop,
        ));
    }
    let text = text::report(&report, false, 80);
    assert!(!text.contains(['\x1b', '\u{9b}', '\u{202e}']), "{text:?}");
    assert!(text.ends_with("6 faults; nothing written\n"));
    json::findings(&report);
}

#[test]
fn a_megabyte_on_one_line_is_not_shown() {
    let input = input();
    let mut report = Report::new(&input);
    let long = format!("x = [{}]\n", "1, ".repeat(300_000));
    report.read(Source::Design, 0, long, None);
    report.findings.push(Finding::fault(CODE, "long", "").at_span(Source::Design, "x", 4..9));
    let text = text::report(&report, false, 80);
    assert!(text.contains("(spoon.toml:1:5)") && text.len() < 500, "{text}");
}

#[test]
fn lines_and_columns_count_from_one_and_in_characters() {
    assert_eq!(line_column("", 0), (1, 1));
    assert_eq!(line_column("a\n\u{fc}b", 4), (2, 2));
    assert_eq!(line_column("a\n", 99), (2, 1));
}
