//! The house rules that a compiler does not hold: imports go downward only, each outside thing has
//! one room, files stay short, and no files of a room need each other in a circle.
//!
//! What it reads: every `.rs` file under `src/`, tests inside them too, without comments and
//! strings. What it does not see: a path made by a macro, a re-export that hides where a name
//! lives.

mod circles;
mod names;
mod source;

use source::{Token, sources, tokens};

/// The rooms, from the top down: a room may import from itself and from those after it.
const ROOMS: [&str; 29] = [
    "main", "cli", "live", "packet", "rehearse", "sheet", "drawing", "render", "export", "job",
    "drawn", "inlay", "check", "work", "bed", "blocks", "cutting", "setup", "tabs", "fit",
    "relief", "mesh", "outline", "shape", "kernel", "program", "params", "finding", "units",
];

/// The one room that names the B-rep library.
const BREP_ROOM: &str = "kernel";

/// The one room that reads files, the environment and writes to the terminal.
const OUTSIDE_ROOM: &str = "cli";

/// The one part below it that may touch files: the whole-or-nothing packet writer.
const OUTSIDE_PART: &str = "export/writer";

/// A file is meant to stay under this.
const LINES_MEANT: usize = 400;

/// A file over this fails.
const LINES_MOST: usize = 500;

/// `main.rs` only starts `cli`.
const MAIN_LINES_MOST: usize = 30;

/// Names that follow a path's start at `i` (just past a `::`): one, or those of a group.
fn heads(tokens: &[Token], i: usize) -> Vec<Token> {
    let Some(first) = tokens.get(i) else { return Vec::new() };
    if first.text != "{" {
        return vec![first.clone()];
    }
    let mut found = Vec::new();
    let (mut depth, mut fresh) = (0, false);
    for token in &tokens[i..] {
        match token.text.as_str() {
            "{" => {
                depth += 1;
                fresh = depth == 1;
            }
            "}" => {
                depth -= 1;
                if depth == 0 {
                    break;
                }
            }
            "," => fresh = depth == 1,
            _ => {
                if fresh && depth == 1 {
                    found.push(token.clone());
                }
                fresh = false;
            }
        }
    }
    found
}

/// The modules of this crate that a file names, by their names in the crate's root.
///
/// `depth` is how many modules deep the file itself is: 1 for `src/mesh/mod.rs`, 2 for
/// `src/mesh/audit.rs`.
fn rooms_named(tokens: &[Token], depth: usize) -> Vec<Token> {
    let text = |i: usize| tokens.get(i).map_or("", |token| token.text.as_str());
    let mut found = Vec::new();
    let mut braces = 0_usize;
    let mut inline = Vec::new();
    let mut i = 0;
    while i < tokens.len() {
        match text(i) {
            "mod" if text(i + 2) == "{" => inline.push(braces),
            "{" => braces += 1,
            "}" => {
                braces = braces.saturating_sub(1);
                if inline.last() == Some(&braces) {
                    inline.pop();
                }
            }
            "crate" | "treenwright" if text(i + 1) == "::" => {
                found.extend(heads(tokens, i + 2));
            }
            "super" => {
                let mut steps = 1;
                while text(i + 1) == "::" && text(i + 2) == "super" {
                    steps += 1;
                    i += 2;
                }
                if text(i + 1) == "::" && steps == depth + inline.len() {
                    found.extend(heads(tokens, i + 2));
                }
            }
            _ => {}
        }
        i += 1;
    }
    found
}

/// The room of a file, by its path under `src/`; none for the crate's root.
fn room_of(path: &str) -> Option<String> {
    let first = path.split('/').next()?;
    let name = first.strip_suffix(".rs").unwrap_or(first);
    (name != "lib").then(|| name.to_owned())
}

/// How many modules deep a file is.
fn depth_of(path: &str) -> usize {
    let parts = path.split('/').count();
    if path.ends_with("/mod.rs") { parts - 1 } else { parts }
}

/// Imports of a file that go up, one message each.
fn upward(path: &str, source: &str) -> Vec<String> {
    let Some(room) = room_of(path) else { return Vec::new() };
    let rank = |name: &str| ROOMS.iter().position(|&room| room == name);
    let Some(own) = rank(&room) else {
        return vec![format!("src/{path}: `{room}` is not in the list of rooms")];
    };
    rooms_named(&tokens(source), depth_of(path))
        .into_iter()
        .filter_map(|named| {
            let other = rank(&named.text)?;
            (other < own).then(|| {
                format!(
                    "src/{path}:{}: `{room}` imports `{}`, which is above it",
                    named.line, named.text
                )
            })
        })
        .collect()
}

/// Uses of the B-rep library and of files, environment and terminal outside their rooms.
fn misplaced(path: &str, source: &str) -> Vec<String> {
    let room = room_of(path).unwrap_or_default();
    let tokens = tokens(source);
    let mut found = Vec::new();
    let mut say = |line: usize, what: &str, home: &str| {
        found.push(format!("src/{path}:{line}: {what} belongs in {home}"));
    };
    let outside = room == OUTSIDE_ROOM || path.starts_with(OUTSIDE_PART);
    for (i, token) in tokens.iter().enumerate() {
        let next = |n: usize| tokens.get(i + n).map_or("", |token| token.text.as_str());
        if room != BREP_ROOM && (token.text == "truck" || token.text.starts_with("truck_")) {
            say(token.line, &token.text, BREP_ROOM);
        }
        if outside {
            continue;
        }
        if token.text == "std" && next(1) == "::" {
            for name in heads(&tokens, i + 2) {
                if matches!(name.text.as_str(), "fs" | "env" | "net" | "process") {
                    say(name.line, &format!("std::{}", name.text), OUTSIDE_ROOM);
                }
            }
        }
        let prints =
            matches!(token.text.as_str(), "println" | "print" | "eprintln" | "eprint" | "dbg");
        if prints && next(1) == "!" {
            say(token.line, &format!("{}!", token.text), OUTSIDE_ROOM);
        }
    }
    // `main` hands the arguments in and the exit status out, and does nothing else.
    found.retain(|said| {
        path != "main.rs" || !(said.contains("std::process") || said.contains("std::env"))
    });
    found
}

fn none(faults: Vec<String>) {
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn imports_go_downward_only() {
    let sources = sources();
    assert!(sources.len() > 5, "no sources were found");
    none(sources.iter().flat_map(|(path, text)| upward(path, text)).collect());
}

#[test]
fn each_outside_thing_has_one_room() {
    none(sources().iter().flat_map(|(path, text)| misplaced(path, text)).collect());
}

#[test]
fn files_are_short() {
    let mut faults = Vec::new();
    for (path, text) in sources() {
        let lines = text.lines().count();
        let most = if path == "main.rs" { MAIN_LINES_MOST } else { LINES_MOST };
        if lines > most {
            faults.push(format!("src/{path} has {lines} lines, at most {most}"));
        } else if lines > LINES_MEANT {
            println!("src/{path} has {lines} lines, meant to be under {LINES_MEANT}");
        }
    }
    none(faults);
}

#[test]
fn an_upward_import_is_caught() {
    let caught = upward("mesh/audit.rs", "use glam::DVec3;\nuse crate::export::stl;\n");
    assert_eq!(caught, ["src/mesh/audit.rs:2: `mesh` imports `export`, which is above it"]);
    assert_eq!(upward("units.rs", "fn f() { crate::finding::g(); }").len(), 1);
    assert_eq!(upward("shape/mod.rs", "use crate::{units::Length, job::{Job, plan}};").len(), 1);
    assert_eq!(upward("mesh/mod.rs", "use super::job::Job;").len(), 1);
    assert_eq!(upward("mesh/audit.rs", "use super::super::job::Job;").len(), 1);
    let in_tests = "#[cfg(test)]\nmod tests {\n    use crate::cli;\n}\n";
    assert_eq!(upward("params/mod.rs", in_tests).len(), 1);
    assert_eq!(upward("attic/mod.rs", "").len(), 1, "a room that nobody listed");
}

#[test]
fn a_downward_import_passes() {
    none(upward("job.rs", "use crate::{mesh::Mesh, units::Length};\nuse crate::shape;"));
    none(upward("mesh/audit.rs", "use super::Mesh;\nuse crate::mesh::measure;"));
    none(upward("relief/mod.rs", "mod tests { use super::job; }"));
    none(upward("mesh/mod.rs", "// use crate::cli;\n/* crate::cli /* x */ crate::job */"));
    none(upward(
        "mesh/mod.rs",
        r##"const A: &str = "crate::cli"; const B: &str = r#"crate::"job"#;"##,
    ));
    none(upward(
        "mesh/mod.rs",
        r"const C: char = '\''; fn f<'a>(x: &'a str) {} const D: char = '{';",
    ));
}

#[test]
fn a_misplaced_library_file_or_print_is_caught() {
    assert_eq!(misplaced("mesh/mod.rs", "use truck_modeling::Solid;").len(), 1);
    none(misplaced("kernel/step.rs", "use truck_modeling::Solid;"));
    assert_eq!(misplaced("job.rs", "use std::{fmt, fs};\nfn f() { println!(\"a\"); }").len(), 2);
    assert_eq!(misplaced("sheet/mod.rs", "let a = std::env::args();").len(), 1);
    none(misplaced("cli/mod.rs", "use std::fs; fn f() { println!(\"a\"); }"));
    none(misplaced("export/writer.rs", "use std::fs;"));
    none(misplaced("export/writer/look.rs", "use std::fs;"));
    assert_eq!(misplaced("export/stl.rs", "use std::fs;").len(), 1);
    none(misplaced("main.rs", "let a = std::env::args_os();"));
    assert_eq!(misplaced("main.rs", "use std::fs;").len(), 1);
    none(misplaced("job.rs", "use std::fmt; let s = \"println!\";"));
}
