//! Places in the files: which two texts differ at, and which a change is about.

use super::{Becomes, KeyPath, PathStep, Setting};
use toml_edit::{Document, Item, TableLike, Value};

/// All that stands in a file, for the page: a text as such, any other value as `{ "=": TOML }`,
/// tables and lists as they are. None if the file can't be read.
pub fn values(text: &str) -> Option<serde_json::Value> {
    let document = Document::parse(text).ok()?;
    Some(table_values(document.as_table()))
}

fn table_values(table: &dyn TableLike) -> serde_json::Value {
    let one = |(key, item): (&str, &Item)| (key.to_owned(), item_values(item));
    serde_json::Value::Object(table.iter().map(one).collect())
}

fn item_values(item: &Item) -> serde_json::Value {
    match item {
        Item::None => serde_json::Value::Null,
        Item::Value(value) => value_values(value),
        Item::Table(table) => table_values(table),
        Item::ArrayOfTables(tables) => tables.iter().map(|table| table_values(table)).collect(),
    }
}

fn value_values(value: &Value) -> serde_json::Value {
    match value {
        Value::String(text) => text.value().as_str().into(),
        Value::Array(list) => list.iter().map(value_values).collect(),
        Value::InlineTable(table) => table_values(table),
        other => serde_json::json!({ "=": other.to_string().trim() }),
    }
}

/// The places at which two files say different things; none if one of them can't be read.
pub fn differing(one: &str, other: &str) -> Option<Vec<KeyPath>> {
    let mut found = Vec::new();
    compare(&values(one)?, &values(other)?, &mut Vec::new(), &mut found);
    Some(found)
}

/// Whether both say the same values; not if one of them can't be read.
pub fn alike(one: &str, other: &str) -> bool {
    differing(one, other).is_some_and(|places| places.is_empty())
}

fn compare(
    one: &serde_json::Value,
    other: &serde_json::Value,
    at: &mut KeyPath,
    found: &mut Vec<KeyPath>,
) {
    use serde_json::Value::{Array, Null, Object};
    match (one, other) {
        (Object(a), Object(b)) if !a.contains_key("=") && !b.contains_key("=") => {
            let more = b.keys().filter(|key| !a.contains_key(*key));
            for key in a.keys().chain(more) {
                at.push(PathStep::Key(key.clone()));
                let [one, other] = [a, b].map(|table| table.get(key).unwrap_or(&Null));
                compare(one, other, at, found);
                at.pop();
            }
        }
        (Array(a), Array(b)) if a.len() == b.len() => {
            for (index, (one, other)) in a.iter().zip(b).enumerate() {
                at.push(PathStep::Entry(index));
                compare(one, other, at, found);
                at.pop();
            }
        }
        _ if one != other => found.push(at.clone()),
        _ => {}
    }
}

/// Whether a change has an entry of a list come or go, so that those behind it have other numbers.
pub fn counts(setting: &Setting) -> bool {
    let gone = matches!(setting.to, Becomes::Nothing(()) | Becomes::Before(_));
    gone && matches!(setting.path.last(), Some(PathStep::Entry(_)))
}

/// The place that a change is about: of an entry that comes or goes, its whole list.
pub fn touched(setting: &Setting) -> KeyPath {
    let mut path = setting.path.clone();
    if counts(setting) {
        path.pop();
    }
    path
}

/// Lists of which several entries are different: they may have come and gone.
pub fn shuffled(places: &[KeyPath]) -> Vec<KeyPath> {
    let entry = |place: &KeyPath| {
        let at = place.iter().position(|step| matches!(step, PathStep::Entry(_)))?;
        Some(place[..=at].to_vec())
    };
    let mut entries: Vec<KeyPath> = places.iter().filter_map(entry).collect();
    entries.dedup();
    let lists = entries.windows(2).filter_map(|pair| {
        let [one, other] = [&pair[0], &pair[1]].map(|entry| &entry[..entry.len() - 1]);
        (one == other).then(|| one.to_vec())
    });
    lists.collect()
}

/// Whether one place is the other, holds it, or stands in it.
pub fn overlap(one: &[PathStep], other: &[PathStep]) -> bool {
    one.iter().zip(other).all(|(a, b)| a == b)
}

/// A place as findings name it: `handle.width[1].size`.
pub fn dotted(path: &[PathStep]) -> String {
    path.iter().fold(String::new(), |mut said, at| {
        match at {
            PathStep::Entry(index) => said += &format!("[{index}]"),
            PathStep::Key(key) if said.is_empty() => said += key,
            PathStep::Key(key) => said += &format!(".{key}"),
        }
        said
    })
}
