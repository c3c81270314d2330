//! The declarations by themselves: every example and default is a good value of its key.

use super::file::file_of;
use super::{Absent, Node, Shape};
use crate::finding::{Findings, Source};
use crate::params::{parse_board, parse_design, parse_shop};
use toml::de::DeValue;

const ALL: [Source; 3] = [Source::Design, Source::Board, Source::Shop];

/// Keys that can't stand beside another of the same table.
const APART: [&str; 7] = ["blade", "tines", "angle", "corner", "polygon", "moisture_use", "count"];

/// A file with those keys of its tables that are wanted, each with its example.
fn text(source: Source, wanted: fn(&Node) -> bool) -> String {
    let mut out = String::new();
    for node in file_of(source).tree() {
        if !wanted(&node) || APART.contains(&node.name) {
            continue;
        }
        let Some(under) = &node.under else { continue };
        let brackets = if node.list().is_some() { ["[[", "]]"] } else { ["[", "]"] };
        out += &format!("{}{}{}\n", brackets[0], node.name, brackets[1]);
        for inner in under.iter().filter(|inner| wanted(inner) && !APART.contains(&inner.name)) {
            match (&inner.under, inner.key) {
                (None, Some(key)) => out += &format!("{} = {}\n", inner.name, key.example()),
                _ => out += &format!("{}\n", inner.lines(false)),
            }
        }
    }
    out
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
    for source in ALL {
        good(source, &text(source, |_| true));
    }
}

#[test]
fn a_file_of_what_is_needed_has_no_fault() {
    for source in ALL {
        good(source, &text(source, Node::needed));
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
            match key.shape {
                Shape::Figure(figure, room) => {
                    let read = figure.read(value.get_ref(), "", "").map_err(|fault| fault.says);
                    let read = read.unwrap_or_else(|says| panic!("{}: {says}", key.path));
                    assert!(read >= room.least && read <= room.most, "{}: {usual}", key.path);
                }
                Shape::Choice(words) => {
                    assert!(words.iter().any(|word| word.name == usual), "{}: {usual}", key.path);
                }
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
    fn look(file: &super::file::File, nodes: &[Node], above: &str) {
        for node in nodes {
            let says = file.says(node);
            assert!(says.ends_with('.') && says.len() > 5, "{above}.{}: {says:?}", node.name);
            look(file, node.under.as_deref().unwrap_or_default(), node.name);
        }
    }
    for source in ALL {
        let file = file_of(source);
        look(&file, &file.tree(), source.name());
    }
}
