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
fn a_plain_report_is_read_as_it_stands() {
    let input = input();
    let expected = "\
FAULT     `length` has no unit.
Where     spoon.toml, line 2
            length = 92
To do     Write `length = \"92 mm\"`.
More      treenwright explain bare-number

CAUTION   No place.
To do     None.
More      treenwright explain bare-number

FAULT     Second.
Where     pear.toml, length
More      treenwright explain bare-number

2 faults, 1 caution; nothing written
";
    assert_eq!(text::report(&said(&input), false, 80), expected);
}

#[test]
fn no_line_is_wider_than_the_terminal_and_no_word_is_lost() {
    let input = input();
    let message = "the body is 30.19 mm tall and the board gives 28.4 mm of flat stock: it is \
                   1.79 mm too tall";
    let help = "Take a thicker board, or lower what the design lets change: bowl.depth (may go \
                down to 12 mm).\nThen build again.";
    let mut report = Report::new(&input);
    let line = format!("width = [{}]\n", "{ at = \"50 %\", size = \"15 mm\" }, ".repeat(20));
    let at = line.match_indices("15 mm").nth(9).expect("many").0;
    report.read(Source::Design, 0, line, None);
    report.findings.push(Finding::fault(CODE, message, help).at_span(
        Source::Design,
        "handle.width",
        at..at + 5,
    ));
    for width in [40, 60, 80, 100] {
        let text = text::report(&report, false, width);
        assert!(text.lines().all(|line| line.chars().count() <= width), "{text}");
        for word in message.split_whitespace().skip(1).chain(help.split_whitespace()) {
            assert!(text.contains(word), "{word}: {text}");
        }
        let excerpt = text.lines().find(|line| line.contains("...")).expect("a part of the line");
        assert!(excerpt.contains("15 mm") && excerpt.ends_with("..."), "{excerpt}");
    }
}

#[test]
fn an_accepted_caution_says_why() {
    let input = input();
    let mut report = Report::new(&input);
    let accepted = Some("it is for show".to_owned());
    report.findings.push(Finding { accepted, ..Finding::caution(CODE, "no place", "Help.") });
    let text = text::report(&report, false, 80);
    assert!(text.contains("ACCEPTED  No place.\nWhy       it is for show\n"), "{text}");
    assert!(!text.contains("Help."), "{text}");
}

#[test]
fn a_terminal_gets_colour_and_the_same_words() {
    let input = input();
    let fancy = text::report(&said(&input), true, 80);
    assert!(fancy.contains("\x1b[1;31mFAULT"));
    assert!(fancy.contains("length = \x1b[1m92\x1b[0m"), "{fancy:?}");
    let mut plain = fancy.split("\x1b[").map(|part| part.split_once('m').map_or(part, |p| p.1));
    let first = fancy.split('\x1b').next().unwrap_or_default();
    let rest: String = plain.by_ref().skip(1).collect();
    assert_eq!(format!("{first}{rest}"), text::report(&said(&input), false, 80));
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
    assert!(!text.contains(['\x1b', '\u{9b}', '\u{202e}', '\u{85}']), "{text:?}");
    assert!(text.contains("<U+001B>[31m"), "{text}");
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
    assert!(text.contains("spoon.toml, line 1\n") && text.len() < 300, "{text}");
}

#[test]
fn lines_and_columns_count_from_one_and_in_characters() {
    assert_eq!(line_column("", 0), (1, 1));
    assert_eq!(line_column("a\n\u{fc}b", 4), (2, 2));
    assert_eq!(line_column("a\n", 99), (2, 1));
}
