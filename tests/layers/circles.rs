//! No file needs another in a circle inside its room.
//!
//! A file needs another when it names an item of it, in an import or in a path. What a parent only
//! declares and passes on (`mod x; pub use x::X;`) it doesn't need, and who asks the parent for it
//! needs the child. Tests are left out.
//!
//! What it does not see: methods of a type that have their file elsewhere, and paths made by a macro.

use super::source::{Token, sources, tokens};
use std::collections::{BTreeMap, BTreeSet};

/// Path of a module from the crate's root.
type Module = Vec<String>;

/// A name that a file brings in or passes on.
struct Brought {
    /// The name it has here; `*` for all.
    name: String,
    /// Its absolute path.
    path: Vec<String>,
    /// Whether it is passed on.
    public: bool,
}

/// What a file names.
#[derive(Default)]
struct Names {
    brought: Vec<Brought>,
    /// Absolute paths in the code.
    paths: Vec<Vec<String>>,
    /// Words in the code, outside imports.
    words: BTreeSet<String>,
    /// Items that it defines.
    items: BTreeSet<String>,
}

/// The module of a file by its path under `src/`; none for the crate's roots.
fn module_of(path: &str) -> Option<Module> {
    let path = path.strip_suffix(".rs")?;
    let path = path.strip_suffix("/mod").unwrap_or(path);
    (path != "lib" && path != "main").then(|| path.split('/').map(str::to_owned).collect())
}

/// The index past an item that begins at `i`: past its `;` or its block.
fn past_item(tokens: &[Token], mut i: usize) -> usize {
    let mut depth = 0_usize;
    while let Some(token) = tokens.get(i) {
        i += 1;
        match token.text.as_str() {
            "{" => depth += 1,
            "}" => {
                depth -= 1;
                if depth == 0 {
                    return i;
                }
            }
            ";" if depth == 0 => return i,
            _ => {}
        }
    }
    i
}

/// The tokens without tests, and the names of child files that are tests.
pub fn without_tests(tokens: &[Token]) -> (Vec<Token>, BTreeSet<String>) {
    let text = |i: usize| tokens.get(i).map_or("", |token| token.text.as_str());
    let test = ["#", "[", "cfg", "(", "test", ")", "]"];
    let (mut kept, mut files) = (Vec::new(), BTreeSet::new());
    let mut i = 0;
    while i < tokens.len() {
        if (0..test.len()).all(|k| text(i + k) == test[k]) {
            let start = i + test.len();
            i = past_item(tokens, start);
            if text(start) == "mod" && text(start + 2) == ";" {
                files.insert(text(start + 1).to_owned());
            }
        } else {
            kept.push(tokens[i].clone());
            i += 1;
        }
    }
    (kept, files)
}

/// An absolute path from one that a module names; none for one outside the crate.
fn absolute(at: &Module, path: &[String], modules: &BTreeSet<Module>) -> Option<Vec<String>> {
    let ups = path.iter().take_while(|name| *name == "super").count();
    let first = path.first()?;
    let (base, rest) = match first.as_str() {
        "crate" | "treenwright" => (&at[..0], &path[1..]),
        "self" => (&at[..], &path[1..]),
        "super" => (at.get(..at.len().checked_sub(ups)?)?, &path[ups..]),
        child => {
            let own: Module = at.iter().cloned().chain([child.to_owned()]).collect();
            (modules.contains(&own).then_some(&at[..])?, path)
        }
    };
    Some(base.iter().chain(rest).cloned().collect())
}

/// The paths of an import tree that begins at `i`, each with its name here.
fn tree(tokens: &[Token], i: &mut usize, before: &[String], out: &mut Vec<(String, Vec<String>)>) {
    let text = |i: usize| tokens.get(i).map_or("", |token| token.text.as_str());
    let mut path = before.to_vec();
    loop {
        match text(*i) {
            "{" => {
                *i += 1;
                while !matches!(text(*i), "}" | "") {
                    tree(tokens, i, &path, out);
                    if text(*i) == "," {
                        *i += 1;
                    }
                }
                *i += 1;
                return;
            }
            "self" if !path.is_empty() => *i += 1,
            name => {
                path.push(name.to_owned());
                *i += 1;
            }
        }
        match text(*i) {
            "::" => *i += 1,
            "as" => {
                out.push((text(*i + 1).to_owned(), path));
                *i += 2;
                return;
            }
            _ => {
                let name = path.last().cloned().unwrap_or_default();
                if name == "*" {
                    path.pop();
                }
                out.push((name, path));
                return;
            }
        }
    }
}

/// What a file's tokens name.
fn names(at: &Module, tokens: &[Token], modules: &BTreeSet<Module>) -> Names {
    let text = |i: usize| tokens.get(i).map_or("", |token| token.text.as_str());
    let mut names = Names::default();
    // Paths whose first word is no module here: it may be one that is brought in.
    let mut others = Vec::new();
    let mut i = 0;
    let mut public = false;
    while i < tokens.len() {
        let word = text(i);
        match word {
            "pub" => {
                public = true;
                i += 1;
                if text(i) == "(" {
                    while !matches!(text(i), ")" | "") {
                        i += 1;
                    }
                    i += 1;
                }
                continue;
            }
            "use" => {
                let mut found = Vec::new();
                i += 1;
                tree(tokens, &mut i, &[], &mut found);
                for (name, path) in found {
                    if let Some(path) = absolute(at, &path, modules) {
                        names.brought.push(Brought { name, path, public });
                    }
                }
            }
            "mod" if text(i + 2) == ";" => i += 3,
            _ => {
                if matches!(word, "struct" | "enum" | "fn" | "const" | "type" | "trait" | "static")
                {
                    names.items.insert(text(i + 1).to_owned());
                }
                let mut path = vec![word.to_owned()];
                while text(i + 1) == "::"
                    && text(i + 2).starts_with(|c: char| c.is_alphabetic() || c == '_')
                {
                    path.push(text(i + 2).to_owned());
                    i += 2;
                }
                names.words.insert(path[0].clone());
                if path.len() > 1 {
                    match absolute(at, &path, modules) {
                        Some(path) => names.paths.push(path),
                        None => others.push(path),
                    }
                }
                i += 1;
            }
        }
        public = false;
    }
    for path in others {
        let brought = names.brought.iter().find(|brought| brought.name == path[0]);
        names.paths.extend(brought.map(|by| [&by.path[..], &path[1..]].concat()));
    }
    names
}

/// The crate's modules and what each names.
struct Crate {
    modules: BTreeMap<Module, Names>,
}

impl Crate {
    /// Of files by their paths under `src/`.
    fn new(files: &[(String, String)]) -> Crate {
        let parsed: Vec<(Module, Vec<Token>, BTreeSet<String>)> = files
            .iter()
            .filter_map(|(path, text)| {
                let (kept, tests) = without_tests(&tokens(text));
                Some((module_of(path)?, kept, tests))
            })
            .collect();
        let tests: Vec<Module> = parsed
            .iter()
            .flat_map(|(at, _, tests)| {
                tests.iter().map(|name| at.iter().cloned().chain([name.clone()]).collect())
            })
            .collect();
        let all: BTreeSet<Module> = parsed
            .iter()
            .map(|(at, ..)| at.clone())
            .filter(|at| !tests.iter().any(|test| at.starts_with(test)))
            .collect();
        let modules = parsed
            .into_iter()
            .filter(|(at, ..)| all.contains(at))
            .map(|(at, kept, _)| (at.clone(), names(&at, &kept, &all)))
            .collect();
        Crate { modules }
    }

    /// The module in which the item at the end of an absolute path is defined.
    fn home(&self, path: &[String], seen: &mut BTreeSet<Vec<String>>) -> Option<Module> {
        let deep = (1..=path.len()).rev().find(|deep| self.modules.contains_key(&path[..*deep]))?;
        let (at, rest) = path.split_at(deep);
        let Some(item) = rest.first() else { return Some(at.to_vec()) };
        let names = self.modules.get(at)?;
        if names.items.contains(item) || !seen.insert(path.to_vec()) {
            return Some(at.to_vec());
        }
        let own = names.brought.iter().find(|brought| brought.name == *item);
        if let Some(brought) = own {
            let further: Vec<String> = brought.path.iter().chain(&rest[1..]).cloned().collect();
            return self.home(&further, seen);
        }
        let globs = names.brought.iter().filter(|brought| brought.name == "*");
        globs
            .filter_map(|brought| {
                let further: Vec<String> = brought.path.iter().chain(rest).cloned().collect();
                let home = self.home(&further, seen)?;
                self.modules.get(&home)?.items.contains(item).then_some(home)
            })
            .next()
            .or_else(|| Some(at.to_vec()))
    }

    /// The modules of its room that a module needs.
    fn needs(&self, at: &Module, names: &Names) -> BTreeSet<Module> {
        let brought = names
            .brought
            .iter()
            .filter(|brought| !brought.public || names.words.contains(&brought.name))
            .map(|brought| &brought.path);
        brought
            .chain(&names.paths)
            .filter_map(|path| self.home(path, &mut BTreeSet::new()))
            .filter(|home| home != at && home.first() == at.first())
            .collect()
    }

    /// The shortest circle through each module that stands in one, each circle once.
    fn circles(&self) -> BTreeSet<Vec<Module>> {
        let needs: BTreeMap<&Module, BTreeSet<Module>> =
            self.modules.iter().map(|(at, names)| (at, self.needs(at, names))).collect();
        let circle = |start: &Module| {
            let mut ways = vec![vec![start.clone()]];
            let mut seen = BTreeSet::new();
            while !ways.is_empty() {
                let mut further = Vec::new();
                for way in ways {
                    for next in way.last().and_then(|at| needs.get(at)).into_iter().flatten() {
                        if next == start {
                            return Some(way);
                        }
                        if seen.insert(next.clone()) {
                            further.push([&way[..], std::slice::from_ref(next)].concat());
                        }
                    }
                }
                ways = further;
            }
            None
        };
        let first = |mut way: Vec<Module>| {
            let least = (0..way.len()).min_by_key(|i| way[*i].clone()).unwrap_or(0);
            way.rotate_left(least);
            way
        };
        needs.keys().filter_map(|at| circle(at)).map(first).collect()
    }
}

/// Each circle as a line.
fn told(files: &[(String, String)]) -> Vec<String> {
    let name = |module: &Module| module.join("/");
    Crate::new(files)
        .circles()
        .iter()
        .map(|way| {
            let names: Vec<String> = way.iter().chain(way.first()).map(name).collect();
            format!("a circle: {}", names.join(" -> "))
        })
        .collect()
}

#[test]
fn no_file_needs_another_in_a_circle() {
    super::none(told(&sources()));
}

fn of(files: &[(&str, &str)]) -> Vec<String> {
    let files: Vec<(String, String)> =
        files.iter().map(|(path, text)| ((*path).to_owned(), (*text).to_owned())).collect();
    told(&files)
}

#[test]
fn a_circle_is_caught_however_it_is_written() {
    let two = ["a circle: mesh/a -> mesh/b -> mesh/a"];
    let b = ("mesh/b.rs", "use crate::mesh::a::A; pub struct B(A);");
    assert_eq!(of(&[("mesh/mod.rs", "mod a; mod b;"), ("mesh/a.rs", "use super::b::B;"), b]), two);
    assert_eq!(of(&[("mesh/mod.rs", ""), ("mesh/a.rs", "fn f() -> super::b::B {}"), b]), two);
    let through = ("mesh/mod.rs", "mod a; pub mod m;");
    let m = ("mesh/m.rs", "pub use super::b::B;");
    assert_eq!(of(&[through, m, ("mesh/a.rs", "use super::m; fn f() -> m::B {}"), b]), two);
    let passes_on = ("mesh/mod.rs", "mod a; mod b; pub use b::{B, C as D};");
    assert_eq!(of(&[passes_on, ("mesh/a.rs", "use super::{B};"), b]), two);
    assert_eq!(of(&[passes_on, ("mesh/a.rs", "use super::*; fn f() -> super::D {}"), b]), two);
    let all = ("mesh/mod.rs", "mod a; mod b; pub(crate) use b::*;");
    assert_eq!(of(&[all, ("mesh/a.rs", "use crate::mesh::B;"), b]), two);
    let parent =
        [("mesh/mod.rs", "mod a; pub struct M; fn f() { a::g() }"), ("mesh/a.rs", "use super::M;")];
    assert_eq!(of(&parent), ["a circle: mesh -> mesh/a -> mesh"]);
    let parent =
        [("mesh/mod.rs", "mod a; pub use a::A; pub struct M(A);"), ("mesh/a.rs", "use super::M;")];
    assert_eq!(of(&parent).len(), 1);
    let three = [
        ("mesh/a.rs", "use super::b;"),
        ("mesh/b.rs", "use super::{c::{self, C}};"),
        ("mesh/c.rs", "fn f() { crate::mesh::a::g() }"),
    ];
    assert_eq!(of(&three), ["a circle: mesh/a -> mesh/b -> mesh/c -> mesh/a"]);
}

#[test]
fn what_is_no_circle_passes() {
    let none: &[&[(&str, &str)]] = &[
        &[("mesh/mod.rs", "mod a; pub use a::A; pub struct M;"), ("mesh/a.rs", "use super::M;")],
        &[("mesh/mod.rs", "mod a; use a::A; fn f(a: A) {}"), ("mesh/a.rs", "pub struct A;")],
        &[
            ("mesh/mod.rs", "mod a; mod b; pub use b::B; fn f() { a::g() }"),
            ("mesh/a.rs", "use super::B;"),
            ("mesh/b.rs", "pub struct B;"),
        ],
        &[
            ("mesh/a.rs", "use super::b::B; #[cfg(test)] mod tests { use super::*; }"),
            ("mesh/b.rs", "#[cfg(test)] use super::a::A; #[cfg(test)] mod tests;"),
            ("mesh/b/tests.rs", "use super::super::a::A;"),
        ],
        &[("mesh/a.rs", "use super::b::B;"), ("mesh/b.rs", "// use super::a::A;")],
    ];
    for files in none {
        super::none(of(files));
    }
}
