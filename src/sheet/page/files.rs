//! The packet's files: one line for a thing in all its formats.

use super::info::{FileLine, SheetInfo};
use super::marks::text;
use crate::sheet::words::{self, fill};
use maud::{Markup, html};

/// Files that are one thing in several formats.
struct Group<'a> {
    first: &'a FileLine,
    stem: &'a str,
    formats: Vec<&'a str>,
}

pub(super) fn section(info: &SheetInfo) -> Markup {
    let parts = parts(info);
    html! {
        section .packed {
            h2 { (words::FILES) }
            table .stack .files {
                thead {
                    tr {
                        th scope="col" { (words::FILE) }
                        th scope="col" { (words::FILE_FOR) }
                        th scope="col" { (words::FRAME) }
                        th scope="col" { (words::UNIT) }
                    }
                }
                @for part in &parts {
                    tbody {
                        @if parts.len() > 1 {
                            tr .part {
                                th scope="rowgroup" colspan="4" {
                                    (text(&where_to(&part.folders, info.pieces.len())))
                                }
                            }
                        }
                        @for group in grouped(&part.files) { (row(&group)) }
                    }
                }
            }
            p .small { (words::FILES_NOTE) }
        }
    }
}

fn row(group: &Group<'_>) -> Markup {
    html! {
        tr {
            th scope="row" {
                code {
                    (group.stem) @for format in &group.formats {
                        @if *format != group.formats[0] { " " }
                        "." (format)
                    }
                }
            }
            td data-label=(words::FILE_FOR) { (group.first.role) }
            td data-label=(words::FRAME) { (or_dash(&group.first.frame)) }
            td data-label=(words::UNIT) { (or_dash(&group.first.unit)) }
        }
    }
}

/// Files that are in the same folders, by their names there.
struct FolderPart<'a> {
    folders: Vec<&'a str>,
    files: Vec<FileLine>,
}

/// The packet's own files, those that each piece has, and those that only some have.
fn parts(info: &SheetInfo) -> Vec<FolderPart<'_>> {
    let folders: Vec<&str> = info.pieces.iter().map(|piece| piece.folder.as_str()).collect();
    let mut things: Vec<(Vec<&str>, FileLine)> = Vec::new();
    for file in &info.files {
        let inside = |folder: &&str| file.name.strip_prefix(*folder)?.strip_prefix('/');
        let found = folders.iter().find_map(|folder| Some((*folder, inside(folder)?)));
        let Some((folder, name)) = found else {
            things.push((Vec::new(), file.clone()));
            continue;
        };
        let own = FileLine { name: name.to_owned(), ..file.clone() };
        match things.iter_mut().find(|(within, thing)| !within.is_empty() && *thing == own) {
            Some((within, _)) => within.push(folder),
            None => things.push((vec![folder], own)),
        }
    }
    let mut parts: Vec<FolderPart<'_>> = Vec::new();
    for (within, file) in things {
        match parts.iter_mut().find(|part| part.folders == within) {
            Some(part) => part.files.push(file),
            None => parts.push(FolderPart { folders: within, files: vec![file] }),
        }
    }
    // The packet's own, then what most pieces have.
    parts.sort_by_key(|part| match part.folders.len() {
        0 => 0,
        some => 1 + folders.len() - some,
    });
    parts
}

fn where_to(folders: &[&str], pieces: usize) -> String {
    let named = |folder: &&str| fill(words::FOLDER, &[("folder", folder)]);
    let list = folders.iter().map(named).collect::<Vec<_>>().join(", ");
    match folders.len() {
        0 => words::FILES_HERE.to_owned(),
        all if all == pieces => fill(words::FILES_EACH, &[("folders", &list)]),
        _ => fill(words::FILES_SOME, &[("folders", &list)]),
    }
}

fn grouped(files: &[FileLine]) -> Vec<Group<'_>> {
    let mut groups: Vec<Group<'_>> = Vec::new();
    for file in files {
        let Some((stem, format)) = file.name.rsplit_once('.') else { continue };
        let like = |group: &&mut Group<'_>| {
            let first = group.first;
            group.stem == stem
                && (&first.role, &first.frame, &first.unit) == (&file.role, &file.frame, &file.unit)
        };
        match groups.iter_mut().find(like) {
            Some(group) => group.formats.push(format),
            None => groups.push(Group { first: file, stem, formats: vec![format] }),
        }
    }
    groups
}

fn or_dash(text: &str) -> &str {
    if text.is_empty() { "\u{2013}" } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_thing_in_two_formats_is_one_line_and_a_thing_of_its_own_is_its_own() {
        let file = |name: &str, role: &str| FileLine {
            name: name.to_owned(),
            role: role.to_owned(),
            frame: String::new(),
            unit: String::new(),
        };
        let files = [
            file("a.dxf", "plan"),
            file("b.stl", "body"),
            file("a.svg", "plan"),
            file("b.step", "solid"),
        ];
        let groups = grouped(&files);
        let told: Vec<(&str, usize)> = groups.iter().map(|g| (g.stem, g.formats.len())).collect();
        assert_eq!(told, [("a", 2), ("b", 1), ("b", 1)]);
    }
}
