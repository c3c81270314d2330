//! TOML text to values, with every fault noted and every value's place kept.
//!
//! A value that can't be read gets a stand-in (NaN for a number) and a fault, and reading goes on,
//! so that one run shows all that is wrong. Comparisons with NaN are false, so a stand-in raises
//! no second fault as long as a check is written "fault if this is greater than that". A stand-in
//! never leaves this room: with a fault, no value is returned.

mod instead;
pub(super) mod limits;
pub(super) mod quantity;
pub(super) mod show;
mod syntax;
mod table;

use super::codes;
use super::example::in_round_inches;
use super::keys::figure::{Fault, Figure, unit_of_length};
use super::keys::{Key, KeyRange, KeyShape, Node, Word};
use crate::finding::{Code, Finding, Findings, Source, Spans, keys_in_words, nearest};
use crate::units::{Length, Unit};
use instead::instead_of;
use show::{found, short, show};
pub(crate) use table::{Item, TomlTable};
use toml::de::{DeTable, DeValue};

/// What is being read, and what was found so far.
pub(crate) struct Reader {
    source: Source,
    found: Vec<Finding>,
    /// What is far from common: no fault, so it stands apart from those.
    doubted: Vec<Finding>,
    spans: Spans,
    /// Keys that unknown ones were meant to be.
    meant: Vec<String>,
    /// Keys that needn't be there.
    spared: &'static [&'static str],
}

/// Reads a file: `read` gets its root table, and what it returns counts only if there's no fault.
pub(super) fn file<T>(
    source: Source,
    text: &str,
    findings: &mut Findings,
    read: fn(&mut Reader, &TomlTable<'_>) -> Option<T>,
) -> Option<(T, Spans)> {
    if let Some(fault) = syntax::too_long(source, text) {
        findings.push(fault);
        return None;
    }
    let (document, errors) = DeTable::parse_recoverable(text);
    if !errors.is_empty() {
        // What can be read tells which unit the maker means.
        let mut spans = Spans::new();
        note_spans(document.get_ref(), "", &mut spans);
        for fault in syntax::faults(source, text, &errors, spans.unit("")) {
            findings.push(fault);
        }
        return None;
    }
    let limits = limits::look(source, document.get_ref());
    if limits.too_much {
        let mut found = limits.found;
        limits::fewer(source, &mut found);
        found.into_iter().for_each(|finding| findings.push(finding));
        return None;
    }
    let mut reader = Reader { found: limits.found, ..Reader::bare(source) };
    note_spans(document.get_ref(), "", &mut reader.spans);
    let root = TomlTable { key: String::new(), entries: Some(document.get_ref()) };
    let value = read(&mut reader, &root);
    let clean = reader.found.is_empty();
    // One slip is said once.
    let Reader { found, meant, .. } = &mut reader;
    found.retain(|finding| {
        let key = finding.place.as_ref().map(|place| &place.key);
        finding.code != codes::MISSING_KEY || key.is_none_or(|key| !meant.contains(key))
    });
    // In the order of the file; what is about the file as a whole comes last.
    reader.found.sort_by_key(|finding| {
        finding
            .place
            .as_ref()
            .and_then(|place| place.span.as_ref())
            .map_or(usize::MAX, |span| span.start)
    });
    limits::fewer(source, &mut reader.found);
    reader.found.append(&mut reader.doubted);
    let name = |entry: &str| {
        let name = format!("{entry}.name");
        let span = reader.spans.get(&name).filter(|_| reader.spans.contains(&name))?;
        Some(short(text.get(span)?).to_owned())
    };
    let mut found = Findings::new();
    for finding in reader.found {
        let message = keys_in_words(&finding.message, &name);
        found.push(Finding { message, ..finding });
    }
    found.written_as(|place, _| Some(reader.spans.unit(&place.key)));
    findings.extend(found);
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
        DeValue::String(text) => {
            if let Some(unit) = unit_of_length(text) {
                spans.insert_unit(key, unit);
            }
        }
        _ => {}
    }
}

impl Reader {
    /// One without a text: for values that no file has.
    pub(super) fn bare(source: Source) -> Reader {
        Reader {
            source,
            found: Vec::new(),
            doubted: Vec::new(),
            spans: Spans::new(),
            meant: Vec::new(),
            spared: &[],
        }
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
        let finding = self.placed(Finding::fault(code, message, help), key);
        self.found.push(finding);
    }

    /// A finding at a key, and at its place in the text if it stands there.
    fn placed(&self, finding: Finding, key: &str) -> Finding {
        match self.spans.get(key) {
            Some(span) => finding.at_span(self.source, key, span),
            None => finding.at(self.source, key),
        }
    }

    /// How many faults were noted.
    pub(super) fn count(&self) -> usize {
        self.found.len()
    }

    /// The faults that were noted after so many.
    pub(super) fn noted(&self, count: usize) -> impl Iterator<Item = &Finding> {
        self.found.iter().skip(count)
    }

    /// Has a fault in place of all that were noted after so many.
    pub(super) fn instead(&mut self, count: usize, finding: Finding) {
        self.found.truncate(count);
        let key = finding.place.map(|place| place.key).unwrap_or_default();
        self.fault(finding.code, &key, finding.message, finding.help);
    }

    /// Refuses keys that aren't among the known ones.
    pub(super) fn only(&mut self, section: &TomlTable<'_>, known: &[&str]) {
        let Some(entries) = section.entries else { return };
        for (name, value) in entries.iter() {
            if known.contains(&name.get_ref().as_ref()) {
                continue;
            }
            let key = section.key_of(name.get_ref());
            let (place, takes) = match section.key.as_str() {
                "" => ("a section or key of this file".to_owned(), "The file".to_owned()),
                key => (format!("a key of `{key}`"), format!("`{key}`")),
            };
            let takes = format!("{takes} takes: {}.", list(known));
            let instead = instead_of(name.get_ref(), &section.key);
            let near = nearest(name.get_ref(), known).or_else(|| {
                // In a small table the one key that isn't there is the one that was meant.
                let mut absent = known.iter().filter(|known| section.get(known).is_none());
                let absent = [absent.next(), absent.next()];
                match absent {
                    [Some(one), None] if known.len() == 2 && instead.is_none() => Some(*one),
                    _ => None,
                }
            });
            self.meant.extend(near.map(|near| section.key_of(near)));
            let help = match (near, instead) {
                (Some(near), _) => format!("Did you mean `{near}`? {takes}"),
                (None, Some(instead)) => {
                    format!("{instead} Take `{}` out. {takes}", name.get_ref())
                }
                (None, None) => format!("Take it out. {takes}"),
            };
            let at = if name.span().is_empty() { value.span() } else { name.span() };
            // What is none here may be one of another table.
            let nowhere = near.is_none() && section.key.is_empty();
            let none = if nowhere { "; the tool has none of that name" } else { "" };
            let finding = Finding::fault(
                codes::UNKNOWN_KEY,
                format!("`{}` isn't {place}{none}.", short(name.get_ref())),
                help,
            );
            self.found.push(finding.at_span(self.source, key, at));
        }
    }

    /// Whether an unknown key was probably meant to be this one.
    pub(super) fn was_meant(&self, key: &str) -> bool {
        self.meant.iter().any(|meant| meant == key)
    }

    /// An example in the unit that the file has at a key.
    fn such_as(&self, key: &str, example: &str) -> String {
        match self.spans.unit(key) {
            Unit::Millimetre => example.to_owned(),
            Unit::Inch => in_round_inches(example),
        }
    }

    pub(super) fn missing(&mut self, section: &TomlTable<'_>, name: &str, line: &str) {
        let key = section.key_of(name);
        if self.spared.contains(&key.as_str()) {
            return;
        }
        let line = self.such_as(&section.key, line);
        let (message, help) = match section.key.as_str() {
            "" => (format!("The file has no `{name}`."), format!("Add:\n{line}")),
            place => (format!("`{place}` has no `{name}`."), format!("Add to `{place}`: {line}")),
        };
        self.fault(codes::MISSING_KEY, &key, message, help);
    }

    /// From now on those keys needn't be there.
    pub(super) fn spare(&mut self, keys: &'static [&'static str]) {
        self.spared = keys;
    }

    /// Refuses what has another shape than the keys, tables within tables; what is named in
    /// `apart` is left alone.
    pub(super) fn shape(&mut self, at: &TomlTable<'_>, nodes: &[Node], apart: &[&str]) {
        let names: Vec<&str> = nodes.iter().map(|node| node.name).collect();
        self.only(at, &names);
        for node in nodes {
            let (Some(under), false) = (&node.under, apart.contains(&node.name)) else { continue };
            let example = node.lines(at.key.is_empty());
            let Some(item) = at.get(node.name) else {
                if node.needed() && at.is_there() {
                    self.missing(at, node.name, &example);
                }
                continue;
            };
            let Some(least) = node.list() else {
                let table = self.table(&item, &example);
                self.shape(&table, under, &[]);
                continue;
            };
            let items = self.list(&item, &example);
            if item.is_list() && items.len() < least {
                self.missing(at, node.name, &example);
            }
            for item in items {
                let table = self.table(&item, &example);
                self.shape(&table, under, &[]);
            }
        }
    }

    /// A table, or a fault and a table without entries.
    pub(super) fn table<'t>(&mut self, item: &Item<'t>, example: &str) -> TomlTable<'t> {
        let table = item.section();
        if !table.is_there() {
            self.wrong_type(item, "a table", example);
        }
        table
    }

    /// The items of a list, or a fault and none.
    pub(super) fn list<'t>(&mut self, item: &Item<'t>, example: &str) -> Vec<Item<'t>> {
        item.items().unwrap_or_else(|| {
            self.wrong_type(item, "a list", example);
            Vec::new()
        })
    }

    pub(super) fn wrong_type(&mut self, item: &Item<'_>, wanted: &str, example: &str) {
        let message =
            format!("`{}` is {}, but {wanted} belongs there.", item.key, found(item.value));
        let example = self.such_as(&item.key, example);
        self.fault(codes::WRONG_TYPE, &item.key, message, format!("Write {example}"));
    }

    /// A figure within its range, as it is kept; no number if it is none of these.
    pub(super) fn figure(&mut self, item: &Item<'_>, key: &Key) -> f64 {
        let KeyShape::Figure(figure, room) = key.shape else { return f64::NAN };
        let (line, example) = (line(&item.key), self.such_as(&item.key, &key.example()));
        match figure.read(item.value, &line, &example, self.spans.unit(&item.key)) {
            Ok(read) if read < room.least || read > room.most => {
                let message = format!(
                    "`{}` is {}; it must be from {} to {}.",
                    item.key,
                    figure.shown(read),
                    figure.shown(room.least),
                    figure.shown(room.most),
                );
                let help = match figure.nearest(read, room.least, room.most) {
                    Some(near) => {
                        format!("Write {line}\"{near}\", or what you mean in that range.")
                    }
                    None => format!("Write a value in that range, such as {line}{example}."),
                };
                self.fault(codes::OUT_OF_RANGE, &item.key, message, help);
                f64::NAN
            }
            Ok(read) => {
                self.doubt(item, figure, read, key.common);
                read / figure.per
            }
            Err(Fault { code, says, help }) => {
                self.fault(code, &item.key, format!("`{}` {says}", item.key), help);
                f64::NAN
            }
        }
    }

    /// Notes a figure that is far from what is common.
    fn doubt(&mut self, item: &Item<'_>, figure: &Figure, read: f64, common: Option<KeyRange>) {
        let Some(KeyRange { least, most }) = common else { return };
        if read == 0.0 || (read >= least && read <= most) {
            return;
        }
        let message = format!(
            "`{}` is {}; {} to {} is common.",
            item.key,
            figure.shown(read),
            figure.shown(least),
            figure.shown(most),
        );
        let help = "Is it a slip? Check the unit and the decimal point. If it is what you mean, \
                    leave it.";
        let finding = Finding::caution(codes::FIGURE_DOUBTFUL, message, help);
        self.doubted.push(self.placed(finding, &item.key));
    }

    /// A text that isn't empty.
    pub(super) fn text(&mut self, item: &Item<'_>, example: &str) -> String {
        let example = format!("{}{example}", line(&item.key));
        match item.value.as_str() {
            None => {
                self.wrong_type(item, "a text in quotation marks", &example);
                String::new()
            }
            Some(text) if text.trim().is_empty() => {
                let message = format!("`{}` is empty.", item.key);
                self.fault(codes::WRONG_TYPE, &item.key, message, format!("Write {example}"));
                String::new()
            }
            Some(text) => text.to_owned(),
        }
    }

    /// Whether or not.
    pub(super) fn flag(&mut self, item: &Item<'_>, example: &str) -> bool {
        match item.value {
            DeValue::Boolean(yes) => *yes,
            _ => {
                let example = format!("{}{example}", line(&item.key));
                self.wrong_type(item, "true or false, without quotation marks,", &example);
                false
            }
        }
    }

    /// Which of some words it is.
    pub(super) fn word(&mut self, item: &Item<'_>, words: &[Word]) -> Option<usize> {
        let names: Vec<&str> = words.iter().map(|word| word.name).collect();
        let Some(text) = item.value.as_str() else {
            let message =
                format!("`{}` is {}, but a word belongs there.", item.key, found(item.value));
            let help = format!("The choices are {}, in quotation marks.", quoted(&names));
            self.fault(codes::WRONG_TYPE, &item.key, message, help);
            return None;
        };
        let found = names.iter().position(|name| *name == text);
        if found.is_none() {
            let message =
                format!("`{}` is {}, which is not one of the choices.", item.key, show(text));
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
}

/// `depth = ` for `bowl.depth`, nothing for an item of a list.
fn line(key: &str) -> String {
    if key.ends_with(']') {
        return String::new();
    }
    format!("{} = ", key.rsplit('.').next().unwrap_or(key))
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
    super::keys::figure::LENGTH.parse(text).map(Length::mm).map_err(quantity::Misread::says)
}
