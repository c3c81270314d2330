//! The packet's files: one line for a thing in all its formats.

use super::FileLine;
use crate::sheet::words;
use maud::{Markup, html};

/// Files that are one thing in several formats.
struct Group<'a> {
    first: &'a FileLine,
    stem: &'a str,
    formats: Vec<&'a str>,
}

pub(super) fn section(files: &[FileLine]) -> Markup {
    html! {
        section .leaf .packed {
            h2 { (words::FILES) }
            table .stack {
                thead {
                    tr {
                        th scope="col" { (words::FILE) }
                        th scope="col" { (words::FILE_FOR) }
                        th scope="col" { (words::FRAME) }
                        th scope="col" { (words::UNIT) }
                    }
                }
                tbody {
                    @for group in grouped(files) {
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
            }
            p .small { (words::FILES_NOTE) }
        }
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
