//! Two rooms have no type of one name, public or not: who reads a name knows what it is.
//!
//! What it reads: structs, enums, traits and types outside tests; not what belongs to a trait or an
//! implementation, nor what stands in a function.

use super::source::{Token, sources, tokens};
use std::collections::{BTreeMap, BTreeSet};

/// The types that a file defines, at its top or in its modules.
fn types(tokens: &[Token]) -> BTreeSet<String> {
    let text = |i: usize| tokens.get(i).map_or("", |token| token.text.as_str());
    let mut found = BTreeSet::new();
    // Of each block that is open, whether it is a module.
    let mut blocks: Vec<bool> = Vec::new();
    for i in 0..tokens.len() {
        match text(i) {
            "{" => blocks.push(i >= 2 && text(i - 2) == "mod"),
            "}" => {
                blocks.pop();
            }
            "struct" | "enum" | "trait" | "type" if blocks.iter().all(|module| *module) => {
                found.insert(text(i + 1).to_owned());
            }
            _ => {}
        }
    }
    found
}

/// Names of types that stand in several rooms, with their files.
fn twice(files: &[(String, String)]) -> BTreeMap<String, BTreeSet<String>> {
    let mut all: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let of_tests = |path: &str| path.split(['/', '.']).any(|part| part.starts_with("test"));
    for (path, text) in files.iter().filter(|(path, _)| !of_tests(path)) {
        let (kept, _) = super::circles::without_tests(&tokens(text));
        for name in types(&kept) {
            all.entry(name).or_default().insert(path.clone());
        }
    }
    all.retain(|_, paths| {
        let rooms: BTreeSet<_> = paths.iter().map(|path| super::room_of(path)).collect();
        rooms.len() > 1
    });
    all
}

#[test]
fn two_rooms_have_no_type_of_one_name() {
    let twice = twice(&sources());
    super::none(twice.iter().map(|(name, paths)| format!("{name} in {paths:?}")).collect());
}

#[test]
fn a_name_that_is_used_again_is_caught() {
    let file = |path: &str, text: &str| (path.to_owned(), text.to_owned());
    let files = [
        file("mesh/a.rs", "pub struct A; struct B; enum C {} type D = u8; trait E {}"),
        file("shape/a.rs", "struct A(u8); pub(crate) enum B { X { a: u8 } } mod m { struct C; }"),
        file("shape/b.rs", "impl F for G { type D = u8; } fn f() { struct E; }"),
        file("shape/tests.rs", "struct D; struct E;"),
        file("mesh/b.rs", "struct A; #[cfg(test)] mod tests { struct G; }"),
        file("kernel/a.rs", "struct G;"),
    ];
    let found = twice(&files);
    assert_eq!(found.keys().collect::<Vec<_>>(), ["A", "B", "C"]);
    assert_eq!(found["A"].len(), 3);
}
