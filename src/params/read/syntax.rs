//! Text that isn't TOML at all.

use super::show::show;
use crate::finding::{Finding, Source};
use crate::params::codes;
use toml::de::Error;

/// Longest file that is read, in bytes. The shipped examples have about 4,000; more than this is
/// not a parameter file but something else by mistake.
const LONGEST: usize = 1_000_000;

/// Most syntax faults shown at once: after the first few, the rest are echoes of them.
const MOST: usize = 8;

/// A file that is too long to be a parameter file. (Nesting too deep is refused by `toml`.)
pub(super) fn too_long(source: Source, text: &str) -> Option<Finding> {
    (text.len() > LONGEST).then(|| {
        Finding::fault(
            codes::TOML_SYNTAX,
            format!("The file has {} bytes; the most that is read is {LONGEST}.", text.len()),
            "Check that this is the file that you meant; `treenwright new` writes a good one.",
        )
        .at_span(source, "", 0..0)
    })
}

/// One fault for each line that can't be read.
pub(super) fn faults(source: Source, text: &str, errors: &[Error]) -> Vec<Finding> {
    let mut lines = Vec::new();
    let mut found = Vec::new();
    for error in errors {
        let span = error.span().unwrap_or(0..0);
        let span = span.start.min(text.len())..span.end.min(text.len());
        let number = text.as_bytes()[..span.start].iter().filter(|b| **b == b'\n').count() + 1;
        if lines.contains(&number) || found.len() == MOST {
            continue;
        }
        lines.push(number);
        let line = text.lines().nth(number - 1).unwrap_or("");
        let message =
            format!("Line {number} isn't TOML: {}.", error.message().trim_end_matches('.'));
        found.push(
            Finding::fault(codes::TOML_SYNTAX, message, help(line, error.message()))
                .at_span(source, "", span),
        );
    }
    found
}

fn help(line: &str, message: &str) -> String {
    if message.contains("duplicate") {
        return "Each key and each section may stand only once; take one of them out.".to_owned();
    }
    if let Some((key, value)) = line.split_once('=') {
        let value = value.split('#').next().unwrap_or("").trim();
        let bare = |c: char| c.is_ascii_alphanumeric() || "_-. ".contains(c);
        let key_is_bare = !key.trim().is_empty() && key.chars().all(bare);
        if key_is_bare && !value.is_empty() && !value.contains(['"', '\'', '[', ']', '{', '}']) {
            return format!(
                "A value with a unit stands in quotation marks: {} = {}",
                key.trim(),
                show(value),
            );
        }
    }
    "A line is `key = \"value\"`, a section `[name]`, and a note begins with #.".to_owned()
}
