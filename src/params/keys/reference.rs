//! The page of all keys, `docs/keys.md`.

use super::file::{KeyFile, file_of};
use super::{Absent, KeyShape, Node};
use crate::finding::Source;
use std::fmt::Write;

const HEAD: &str = "# All keys

Made by `treenwright keys > docs/keys.md` from the declarations in `src/params`; a test says when it
is stale. `treenwright schema design`, `board` or `shop` has the same as JSON Schema, for editors.

A length is a text with its unit: `\"300 mm\"`, `\"30 cm\"`, `\"1.25 in\"`, `\"1-1/4 in\"`. A plain
number has no quotation marks. Each key says what holds when it is left out; one that says *needed*
can't be. A key with a \u{25cf} may stand in `[give]`. A text is one line of up to 400 letters; a list
or table has up to 100 entries.
";

/// The page, as Markdown.
pub fn reference() -> String {
    let mut out = HEAD.to_owned();
    for source in [Source::Design, Source::Board, Source::Shop] {
        let file = file_of(source);
        let _ = write!(out, "\n## The {} file\n\n{}\n", source.name(), file.says);
        for node in &file.tree() {
            table(&mut out, &file, node);
        }
    }
    out
}

/// A table of a file, or a key at its top.
fn table(out: &mut String, file: &KeyFile, node: &Node) {
    let name = node.name;
    let heading = match node.list() {
        Some(_) => format!("[[{name}]]"),
        None => format!("[{name}]"),
    };
    let needed = match (node.needed(), node.list()) {
        (true, Some(_)) => " One at least.",
        (true, None) => "",
        (false, Some(_)) => " As many as there are, or none.",
        (false, None) => " May be left out.",
    };
    let _ = write!(out, "\n### `{heading}`\n\n{}{needed}\n\n", file.says(node));
    match (&node.under, node.key) {
        (Some(under), _) => {
            out.push_str("| key | what | value | left out |\n|---|---|---|---|\n");
            rows(out, file, under, "");
        }
        (None, Some(key)) => {
            let _ = writeln!(out, "Holds {}; such as `{} = {}`.", key.kind(), name, key.example());
        }
        (None, None) => {}
    }
}

fn rows(out: &mut String, file: &KeyFile, nodes: &[Node], above: &str) {
    for node in nodes {
        let name = format!("{above}{}", node.name);
        if let Some(under) = &node.under {
            rows(out, file, under, &format!("{name}."));
            continue;
        }
        let Some(key) = node.key else { continue };
        let gives = if key.gives { " \u{25cf}" } else { "" };
        let says = file.says(node).replace('|', "\\|");
        let left_out = match (key.left_out_words(), node.loose) {
            (Some(words), _) => words,
            (None, Some(words)) => format!("{words}; *needed* with the others of its group"),
            (None, None) => "*needed*".to_owned(),
        };
        let example = match (key.shape, key.absent) {
            (KeyShape::Choice(_) | KeyShape::Flag, _) | (_, Absent::Usual(_)) => String::new(),
            _ => format!(", such as `{}`", key.example()),
        };
        let _ =
            writeln!(out, "| `{name}`{gives} | {says} | {}{example} | {left_out} |", key.kind());
    }
}
