//! TOML text to values, with every fault noted and every value's place kept.
//!
//! A value that can't be read gets a stand-in (NaN for a number) and a fault, and reading goes on,
//! so that one run shows all that is wrong. Comparisons with NaN are false, so a stand-in raises
//! no second fault as long as a check is written "fault if this is greater than that". A stand-in
//! never leaves this room: with a fault, no value is returned.

mod bed;
mod board;
mod clamp;
mod design;
mod limits;
mod quantity;
mod shop;
mod syntax;
mod value;

pub use board::parse_board;
pub use design::parse_design;
pub(super) use design::room;
pub use shop::parse_shop;
use value::Room;

use super::codes;
use crate::finding::{Code, Finding, Findings, Source, Spans};
use crate::units::Length;
use glam::DVec2;
use toml::de::{DeTable, DeValue};
use value::{Fault, Quantity};

/// Longest file that is read, in bytes. The shipped examples have about 4,000; more than this is
/// not a parameter file but something else by mistake.
const LONGEST: usize = 1_000_000;

/// What is being read, and what was found so far.
pub(super) struct Reader {
    source: Source,
    found: Vec<Finding>,
    spans: Spans,
}

/// A value with its dotted key.
#[derive(Clone)]
pub(super) struct Item<'t> {
    key: String,
    value: &'t DeValue<'t>,
}

/// A table with its dotted key; without entries if the file has no such table.
#[derive(Clone)]
pub(super) struct Section<'t> {
    key: String,
    entries: Option<&'t DeTable<'t>>,
}

impl<'t> Section<'t> {
    pub(super) fn key_of(&self, name: &str) -> String {
        if self.key.is_empty() { name.to_owned() } else { format!("{}.{name}", self.key) }
    }

    pub(super) fn get(&self, name: &str) -> Option<Item<'t>> {
        let value = self.entries?.get(name)?;
        Some(Item { key: self.key_of(name), value: value.get_ref() })
    }

    fn has(&self, name: &str) -> bool {
        self.entries.is_some_and(|entries| entries.get(name).is_some())
    }
}

/// Reads a file: `read` gets its root table, and what it returns counts only if there's no fault.
fn file<T>(
    source: Source,
    text: &str,
    findings: &mut Findings,
    read: fn(&mut Reader, &Section<'_>) -> Option<T>,
) -> Option<(T, Spans)> {
    if let Some(fault) = syntax::too_long(source, text) {
        findings.push(fault);
        return None;
    }
    let (document, errors) = DeTable::parse_recoverable(text);
    if !errors.is_empty() {
        for fault in syntax::faults(source, text, &errors) {
            findings.push(fault);
        }
        return None;
    }
    let mut reader = Reader { source, found: Vec::new(), spans: Spans::new() };
    note_spans(document.get_ref(), "", &mut reader.spans);
    let root = Section { key: String::new(), entries: Some(document.get_ref()) };
    let value = read(&mut reader, &root);
    let clean = reader.found.is_empty();
    // In the order of the file; what is about the file as a whole comes last.
    reader.found.sort_by_key(|finding| {
        finding
            .place
            .as_ref()
            .and_then(|place| place.span.as_ref())
            .map_or(usize::MAX, |span| span.start)
    });
    for finding in reader.found {
        findings.push(finding);
    }
    value.filter(|_| clean).map(|value| (value, reader.spans))
}

fn note_spans(table: &DeTable<'_>, key: &str, spans: &mut Spans) {
    for (name, value) in table.iter() {
        let key = if key.is_empty() {
            name.get_ref().to_string()
        } else {
            format!("{key}.{}", name.get_ref())
        };
        spans.insert(key.clone(), value.span());
        note_value(value.get_ref(), &key, spans);
    }
}

fn note_value(value: &DeValue<'_>, key: &str, spans: &mut Spans) {
    match value {
        DeValue::Table(table) => note_spans(table, key, spans),
        DeValue::Array(items) => {
            for (index, item) in items.iter().enumerate() {
                let key = format!("{key}[{index}]");
                spans.insert(key.clone(), item.span());
                note_value(item.get_ref(), &key, spans);
            }
        }
        _ => {}
    }
}

impl Reader {
    /// One without a text: for values that no file has.
    pub(super) fn bare(source: Source) -> Reader {
        Reader { source, found: Vec::new(), spans: Spans::new() }
    }

    /// All that was noted.
    pub(super) fn into_findings(self) -> Findings {
        let mut findings = Findings::new();
        for finding in self.found {
            findings.push(finding);
        }
        findings
    }

    /// Notes a fault at a key.
    pub(super) fn fault(
        &mut self,
        code: Code,
        key: &str,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        let finding = Finding::fault(code, message, help);
        self.found.push(match self.spans.get(key) {
            Some(span) => finding.at_span(self.source, key, span),
            None => finding.at(self.source, key),
        });
    }

    /// Refuses keys that aren't among the known ones.
    fn only(&mut self, section: &Section<'_>, known: &[&str]) {
        let Some(entries) = section.entries else { return };
        for (name, value) in entries.iter() {
            if known.contains(&name.get_ref().as_ref()) {
                continue;
            }
            let key = section.key_of(name.get_ref());
            let place = match section.key.as_str() {
                "" => "a section or key of this file".to_owned(),
                key => format!("a key of `{key}`"),
            };
            let help = match nearest(name.get_ref(), known) {
                Some(near) => format!("Did you mean `{near}`? Known are: {}.", list(known)),
                None => format!("Take it out. Known are: {}.", list(known)),
            };
            let at = if name.span().is_empty() { value.span() } else { name.span() };
            let finding = Finding::fault(
                codes::UNKNOWN_KEY,
                format!("`{}` isn't {place}.", name.get_ref()),
                help,
            );
            self.found.push(finding.at_span(self.source, key, at));
        }
    }

    fn missing(&mut self, section: &Section<'_>, name: &str, line: &str) {
        let key = section.key_of(name);
        let (message, help) = match section.key.as_str() {
            "" => (format!("The file has no `{name}`."), format!("Add:\n{line}")),
            place => (format!("`{place}` has no `{name}`."), format!("Add to `{place}`: {line}")),
        };
        self.fault(codes::MISSING_KEY, &key, message, help);
    }

    /// A section that must be there.
    fn section<'t>(&mut self, root: &Section<'t>, name: &str, line: &str) -> Section<'t> {
        match root.get(name) {
            Some(item) => self.table(&item, line),
            None => {
                self.missing(root, name, line);
                Section { key: root.key_of(name), entries: None }
            }
        }
    }

    /// A table, or a fault and a table without entries.
    fn table<'t>(&mut self, item: &Item<'t>, example: &str) -> Section<'t> {
        let entries = item.value.as_table();
        if entries.is_none() {
            self.wrong_type(item, "a table", example);
        }
        Section { key: item.key.clone(), entries }
    }

    /// The items of a list, or a fault and none.
    fn list<'t>(&mut self, item: &Item<'t>, example: &str) -> Vec<Item<'t>> {
        let Some(array) = item.value.as_array() else {
            self.wrong_type(item, "a list", example);
            return Vec::new();
        };
        array
            .iter()
            .enumerate()
            .map(|(index, value)| Item {
                key: format!("{}[{index}]", item.key),
                value: value.get_ref(),
            })
            .collect()
    }

    fn wrong_type(&mut self, item: &Item<'_>, wanted: &str, example: &str) {
        let message =
            format!("`{}` is {}; {wanted} belongs there.", item.key, value::found(item.value),);
        self.fault(codes::WRONG_TYPE, &item.key, message, format!("Write {example}"));
    }

    /// A quantity that must be there, and within its room.
    fn need<Q: Quantity>(
        &mut self,
        section: &Section<'_>,
        name: &str,
        example: &str,
        room: Room,
    ) -> Q {
        if let Some(value) = self.take(section, name, example, room) {
            return value;
        }
        // A section that isn't there has had its fault already.
        if section.entries.is_some() {
            self.missing(section, name, &format!("{name} = {}", Q::written(example)));
        }
        Q::from_figure(f64::NAN)
    }

    /// A quantity that may be left out.
    fn take<Q: Quantity>(
        &mut self,
        section: &Section<'_>,
        name: &str,
        example: &str,
        room: Room,
    ) -> Option<Q> {
        section.get(name).map(|item| self.quantity(&item, example, room))
    }

    fn quantity<Q: Quantity>(&mut self, item: &Item<'_>, example: &str, room: Room) -> Q {
        match Q::read(item.value, &line(&item.key), example) {
            Ok(figure) => {
                if figure < room.least || figure > room.most {
                    let message = format!(
                        "`{}` is {}; it must lie between {} and {}.",
                        item.key,
                        Q::shown(figure),
                        Q::shown(room.least),
                        Q::shown(room.most),
                    );
                    let help = format!(
                        "Write a value in that range, such as {}{}.",
                        line(&item.key),
                        Q::written(example),
                    );
                    self.fault(codes::OUT_OF_RANGE, &item.key, message, help);
                    return Q::from_figure(f64::NAN);
                }
                Q::from_figure(figure)
            }
            Err(Fault { code, says, help }) => {
                self.fault(code, &item.key, format!("`{}` {says}", item.key), help);
                Q::from_figure(f64::NAN)
            }
        }
    }

    /// A name or another short text that must be there and not be empty.
    fn text(&mut self, section: &Section<'_>, name: &str, example: &str) -> String {
        let written = format!("{name} = \"{example}\"");
        match section.get(name) {
            None => {
                if section.entries.is_some() {
                    self.missing(section, name, &written);
                }
                String::new()
            }
            Some(item) => self.text_of(&item, &written),
        }
    }

    fn text_of(&mut self, item: &Item<'_>, example: &str) -> String {
        match item.value.as_str() {
            None => {
                self.wrong_type(item, "a text in quotation marks", example);
                String::new()
            }
            Some(text) if text.trim().is_empty() => {
                let message = format!("`{}` is an empty text.", item.key);
                self.fault(codes::WRONG_TYPE, &item.key, message, format!("Write {example}"));
                String::new()
            }
            Some(text) => text.to_owned(),
        }
    }

    /// One of some names.
    fn choice<T: Copy>(
        &mut self,
        section: &Section<'_>,
        name: &str,
        choices: &[(&str, T)],
    ) -> Option<T> {
        let names: Vec<&str> = choices.iter().map(|(name, _)| *name).collect();
        let Some(item) = section.get(name) else {
            if section.entries.is_some() {
                let written = format!("{name} = \"{}\" (or {})", names[0], quoted(&names[1..]));
                self.missing(section, name, &written);
            }
            return None;
        };
        let Some(text) = item.value.as_str() else {
            self.wrong_type(&item, "a text", &format!("{name} = \"{}\"", names[0]));
            return None;
        };
        let found = choices.iter().find(|(name, _)| *name == text).map(|(_, value)| *value);
        if found.is_none() {
            let message = format!("`{}` is {}, which is no choice here.", item.key, show(text));
            let help = match nearest(text, &names) {
                Some(near) => {
                    format!("Did you mean \"{near}\"? The choices are {}.", quoted(&names))
                }
                None => format!("The choices are {}.", quoted(&names)),
            };
            self.fault(codes::NO_SUCH_CHOICE, &item.key, message, help);
        }
        found
    }

    /// A place on the board: two lengths.
    fn point(&mut self, item: &Item<'_>) -> DVec2 {
        let example = "[\"20 mm\", \"30 mm\"]";
        let items = self.list(item, example);
        if items.len() != 2 {
            if item.value.is_array() {
                let message = format!(
                    "`{}` has {} numbers; a place has two, along and across.",
                    item.key,
                    items.len(),
                );
                self.fault(codes::WRONG_TYPE, &item.key, message, format!("Write {example}"));
            }
            return DVec2::NAN;
        }
        let mut along = |index: usize| -> f64 {
            self.quantity::<crate::units::Length>(&items[index], "20 mm", value::PLACE).as_mm()
        };
        DVec2::new(along(0), along(1))
    }
}

/// `depth = ` for `bowl.depth`, nothing for an item of a list.
fn line(key: &str) -> String {
    if key.ends_with(']') {
        return String::new();
    }
    format!("{} = ", key.rsplit('.').next().unwrap_or(key))
}

/// A text in quotation marks, cut if it is long.
pub(super) fn show(text: &str) -> String {
    let mut chars = text.chars();
    let start: String = chars.by_ref().take(40).collect();
    format!("{start:?}{}", if chars.next().is_some() { "..." } else { "" })
}

/// The nearest known name, if it is near enough to be meant.
pub(super) fn nearest<'k>(name: &str, known: &[&'k str]) -> Option<&'k str> {
    known
        .iter()
        .map(|candidate| (strsim::jaro_winkler(name, candidate), *candidate))
        // 0.75 keeps `widht` for `width` and drops `colour` for `curve` (tried by hand).
        .filter(|(score, _)| *score > 0.75)
        .fold(None, |best: Option<(f64, &str)>, next| match best {
            Some(best) if best.0 >= next.0 => Some(best),
            _ => Some(next),
        })
        .map(|(_, name)| name)
}

fn list(names: &[&str]) -> String {
    names.join(", ")
}

fn quoted(names: &[&str]) -> String {
    names.iter().map(|name| format!("\"{name}\"")).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests;

/// A length by itself, outside a file.
pub(super) fn length(text: &str) -> Result<Length, &'static str> {
    quantity::length_mm(text).map(Length::mm).map_err(quantity::Misread::says)
}
