//! The declarations by themselves: every example and default is a good value of its key.

use super::file::file_of;
use super::{Absent, KeyRange, KeyShape, Node};
use crate::finding::{Findings, Source};
use crate::params::{Example, parse_board, parse_design, parse_shop};
use crate::units::Unit;
use toml::de::DeValue;

const ALL: [Source; 3] = [Source::Design, Source::Board, Source::Shop];

/// Keys that can't stand beside another of the same table.
const APART: [(&str, &str); 9] = [
    ("", "blade"),
    ("", "tines"),
    ("board", "moisture_use"),
    ("tabs", "count"),
    ("cutter", "angle"),
    ("cutter", "corner"),
    ("knot", "polygon"),
    ("check", "polygon"),
    ("wane", "polygon"),
];

/// A file with all keys of its tables, each with its example.
fn all(source: Source) -> String {
    let mut out = String::new();
    for node in file_of(source).tree() {
        let Some(under) = &node.under else { continue };
        if APART.contains(&("", node.name)) {
            continue;
        }
        let brackets = if node.list().is_some() { ["[[", "]]"] } else { ["[", "]"] };
        out += &format!("{}{}{}\n", brackets[0], node.name, brackets[1]);
        for inner in under.iter().filter(|inner| !APART.contains(&(node.name, inner.name))) {
            match (&inner.under, inner.key) {
                (None, Some(key)) => out += &format!("{} = {}\n", inner.name, key.example()),
                _ => out += &format!("{}\n", inner.lines(false)),
            }
        }
    }
    out
}

/// A file with what the help says to add when it isn't there.
fn needed(source: Source) -> String {
    let tree = file_of(source).tree();
    let needed = tree.iter().filter(|node| node.needed() && !APART.contains(&("", node.name)));
    needed.map(|node| node.lines(true) + "\n").collect()
}

/// Reads a file, which must have no fault and no stand-in.
fn good(source: Source, text: &str) {
    let mut findings = Findings::new();
    let read = match source {
        Source::Design => parse_design(text, &mut findings).map(|(read, _)| format!("{read:?}")),
        Source::Board => parse_board(text, &mut findings).map(|(read, _)| format!("{read:?}")),
        Source::Shop => parse_shop(text, &mut findings).map(|(read, _)| format!("{read:?}")),
    };
    let said: Vec<_> = findings.iter().map(|finding| &finding.message).collect();
    let read = read.unwrap_or_else(|| panic!("{text}\n{said:#?}"));
    assert!(!read.contains("NaN"), "{text}\n{read}");
}

#[test]
fn a_file_of_all_examples_has_no_fault() {
    // An inlay has art, or letters.
    const ART: &str = "art = \"oak-leaf.svg\"\n";
    const LETTERS: &str = "text = \"A & J\"\nfont = \"my-font.ttf\"\n";
    // A plan's outline stands in place of keys that are all here.
    const PLAN: &str = "plan = \"my-spoon.svg\"\n";
    for source in ALL {
        let text = all(source);
        assert_eq!(text.contains(PLAN), source == Source::Design);
        let text = text.replace(PLAN, "");
        assert_eq!([ART, LETTERS].map(|part| text.contains(part)), [source == Source::Design; 2]);
        good(source, &text.replace(LETTERS, ""));
        good(source, &text.replace(ART, ""));
    }
}

#[test]
fn a_file_of_what_is_needed_has_no_fault() {
    for source in ALL {
        // All but a drill need it, which no key by itself can say.
        let rate = "speed = \"16000 rpm\"\n";
        good(source, &needed(source).replace(rate, &format!("{rate}step_over = \"2.5 mm\"\n")));
    }
}

#[test]
fn every_default_is_a_value_of_its_key() {
    fn look(nodes: &[Node], count: &mut usize) {
        for node in nodes {
            look(node.under.as_deref().unwrap_or_default(), count);
            let Some(key) = node.key else { continue };
            let Absent::Usual(usual) = key.absent else { continue };
            let written = key.written(usual);
            let value = DeValue::parse(&written).expect(&written);
            match key.as_figure().shape {
                KeyShape::Figure(figure, room) => {
                    let read = figure
                        .read(value.get_ref(), "", "", Unit::Inch)
                        .map_err(|fault| fault.says);
                    let read = read.unwrap_or_else(|says| panic!("{}: {says}", key.path));
                    assert!(read >= room.least && read <= room.most, "{}: {usual}", key.path);
                    // A slip of the decimal point is told, in a caution or as out of its range.
                    if let Some(common) = key.common {
                        let told = |read: f64| {
                            let within = |room: KeyRange| read >= room.least && read <= room.most;
                            !within(room) || !within(common)
                        };
                        assert!(read == 0.0 || !told(read), "{}: {usual}", key.path);
                        assert!(told(0.1 * read) && told(10.0 * read), "{}: {usual}", key.path);
                    }
                }
                KeyShape::Choice(words) => {
                    assert!(words.iter().any(|word| word.name == usual), "{}: {usual}", key.path);
                }
                KeyShape::Flag => assert!(value.get_ref().is_bool(), "{}: {usual}", key.path),
                _ => assert!(value.get_ref().is_array(), "{}: {usual}", key.path),
            }
            *count += 1;
        }
    }
    let mut count = 0;
    for source in ALL {
        look(&file_of(source).tree(), &mut count);
    }
    assert!(count > 50, "{count}");
}

#[test]
fn every_key_says_what_it_is_in_a_sentence() {
    fn look(file: &super::file::KeyFile, nodes: &[Node], above: &str) {
        for node in nodes {
            let says = file.says(node);
            assert!(says.ends_with('.') && says.len() > 4, "{above}.{}: {says:?}", node.name);
            look(file, node.under.as_deref().unwrap_or_default(), node.name);
        }
    }
    for source in ALL {
        let file = file_of(source);
        look(&file, &file.tree(), source.name());
    }
}

#[test]
fn comments_of_the_examples_tell_the_declared_defaults() {
    let mut count = 0;
    for example in Example::ALL {
        let source = match example {
            Example::Board => Source::Board,
            Example::Shop => Source::Shop,
            Example::Spoon
            | Example::Fork
            | Example::Turner
            | Example::Spreader
            | Example::Scoop => Source::Design,
        };
        let tree = file_of(source).tree();
        let (mut table, mut key) = (None, None);
        for line in example.text().lines() {
            let bare = line.trim_start_matches("# ");
            if line.starts_with('[') {
                let name = line.trim_start_matches('[').split(']').next();
                table = tree.iter().find(|node| Some(node.name) == name);
                key = None;
            } else if let Some((name, _)) = bare.split_once(" = ")
                && !line.starts_with(' ')
            {
                let under = table.and_then(|node| node.under.as_ref());
                let mut under = under.into_iter().flatten();
                key = under.find(|node| node.name == name).and_then(|node| node.key);
            } else if line.starts_with('#') {
                key = None;
            }
            let Some((_, told)) = line.split_once("left out: ") else { continue };
            let Some(Absent::Usual(usual)) = key.map(|key| key.absent) else { continue };
            let is_list = usual.starts_with('[');
            let nothing = usual.starts_with("0 ") && told.starts_with("nothing");
            if !is_list && !nothing && !told.contains(" and ") {
                assert!(told.starts_with(usual), "{example:?}: {line}\ndeclared: {usual}");
                count += 1;
            }
        }
    }
    assert!(count > 30, "{count}");
}
