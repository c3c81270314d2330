//! Text that isn't TOML at all.

use super::quantity::{self, Misread};
use super::show::show;
use crate::finding::{Finding, Source, hidden};
use crate::params::codes;
use crate::params::keys::figure;
use crate::units::Unit;
use toml::de::Error;

/// Longest file that is read, in bytes. The shipped examples have about 4,000; more than this is
/// not a parameter file but something else by mistake.
const LONGEST: usize = 1_000_000;

/// Longest key that is repeated in a help.
const LONGEST_KEY: usize = 60;

/// Most syntax faults shown at once: after the first few, the rest are echoes of them.
const MOST: usize = 8;

/// A file that is too long to be a parameter file. (Nesting too deep is refused by `toml`.)
pub(super) fn too_long(source: Source, text: &str) -> Option<Finding> {
    (text.len() > LONGEST).then(|| {
        Finding::fault(
            codes::TOML_SYNTAX,
            format!("The file has {} bytes; the most is {LONGEST}.", text.len()),
            "Check that this is the file you meant. `treenwright new` writes one to start from.",
        )
        .at_span(source, "", 0..0)
    })
}

/// One fault for each line that can't be read.
pub(super) fn faults(source: Source, text: &str, errors: &[Error], usual: Unit) -> Vec<Finding> {
    let mut places: Vec<(usize, usize, &Error)> = errors
        .iter()
        .map(|error| error.span().unwrap_or(0..0))
        .zip(errors)
        .map(|(span, error)| (span.start.min(text.len()), span.end.min(text.len()), error))
        .collect();
    places.sort_by_key(|(start, ..)| *start);
    let mut found = Vec::new();
    // The end of the line that was spoken of last, and its number.
    let (mut read, mut number, mut last) = (0, 1, 0);
    for (start, end, error) in places {
        number += text.as_bytes()[read..start].iter().filter(|b| **b == b'\n').count();
        read = start;
        if number == last {
            continue;
        }
        if found.len() == MOST {
            break;
        }
        last = number;
        let begin =
            text.as_bytes()[..start].iter().rposition(|b| *b == b'\n').map_or(0, |at| at + 1);
        let line = text.get(begin..).and_then(|rest| rest.lines().next()).unwrap_or("");
        let (says, help) = words(line, error.message(), usual);
        found.push(
            Finding::fault(
                codes::TOML_SYNTAX,
                format!("Line {number} can't be read: {says}."),
                help,
            )
            .at_span(source, "", start..end.max(start)),
        );
    }
    found
}

/// What is wrong with a line, and what to do. The parser's own words are about grammar; where they
/// say what a maker can act on, they are put plainly.
fn words(line: &str, message: &str, usual: Unit) -> (&'static str, String) {
    const FORM: &str =
        "A line is `key = \"value\"`, a section is `[name]`, and a note begins with #.";
    let has = |part: &str| message.contains(part);
    if has("duplicate") {
        let help = "A key or a section can stand only once. Take one of the two out.";
        return ("it says something for the second time", help.to_owned());
    }
    if has("recurs") {
        return ("lists or tables stand too deep inside each other", FORM.to_owned());
    }
    if let Some(help) = unquoted(line, usual) {
        return ("a text needs quotation marks", help);
    }
    if has("escape") || line.contains('\\') {
        let help = "Leave the backslash out, or write two of them.";
        return ("a backslash stands where none can", help.to_owned());
    }
    if line.matches('"').count() % 2 == 1 {
        let help =
            "Put quotation marks on both sides of the text. For inches write in: \"1-1/4 in\".";
        return ("a quotation mark is missing", help.to_owned());
    }
    let open = |a: char, b: char| line.matches(a).count() != line.matches(b).count();
    if open('[', ']') || open('{', '}') {
        let help = "Each [ needs its ] and each { its }.";
        return ("a bracket is missing", help.to_owned());
    }
    if line.contains(['\u{201c}', '\u{201d}', '\u{201e}', '\u{2018}', '\u{2019}']) {
        let help = "Use the straight quotation marks of a plain text editor: \".";
        return ("it has curly quotation marks", help.to_owned());
    }
    if line.chars().any(|c| c != '\t' && hidden(c)) {
        let help = "Type the line anew.";
        return ("it holds a character that can't be seen", help.to_owned());
    }
    if has("missing comma") {
        let help = "Put a comma between each entry of a list and the next, also at the end of the line before.";
        return ("a comma is missing before it", help.to_owned());
    }
    if !line.contains('=') && !line.trim_start().starts_with('[') {
        return ("it is neither a key with its value nor a section", FORM.to_owned());
    }
    ("it isn't written as TOML, the format of these files", FORM.to_owned())
}

/// A value with a unit that stands without quotation marks, put right.
fn unquoted(line: &str, usual: Unit) -> Option<String> {
    let (key, value) = line.split_once('=')?;
    let value = value.split('#').next().unwrap_or("").trim();
    let bare = |c: char| c.is_ascii_alphanumeric() || "_-. ".contains(c);
    let key_is_bare = !key.trim().is_empty() && key.chars().all(bare) && key.len() <= LONGEST_KEY;
    let text = !value.is_empty() && !value.contains(['"', '\'', '[', ']', '{', '}']);
    // Of a fraction the unit is missing, too.
    let fraction = value.contains('/') && quantity::with_unit(value, &[]) == Err(Misread::NoUnit);
    (key_is_bare && text).then(|| match fraction {
        true => figure::either(&format!("{} = ", key.trim()), value, "", usual),
        false => format!("Write {} = {}", key.trim(), show(value)),
    })
}
