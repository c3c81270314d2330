//! Changes of single values in the text of a file.
//!
//! Promised: a value that is there changes in its own bytes alone; every other byte of the file
//! stays, comments, order, units and blanks. What is taken out takes its own line along and leaves
//! the comments round it. What is new stands at the end of its table, written plainly.
//! Not promised: that the value is a good one; the reader of the file says that.

mod entries;
mod places;

pub use places::{alike, counts, differing, dotted, overlap, shuffled, touched, values};
use serde::Deserialize;
use std::ops::Range;
use toml_edit::{Array, ArrayOfTables, Document, DocumentMut, Item, Table, Value};

/// Longest path into a file: the files' own are much shorter, and each step is a call.
const LONGEST_PATH: usize = 16;

/// A step of a path into a file.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(untagged)]
pub enum PathStep {
    /// To an entry of a list, from 0.
    Entry(usize),
    /// To a key of a table.
    Key(String),
}

/// A place in a file, from its top.
pub type KeyPath = Vec<PathStep>;

/// What becomes of a place.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Becomes {
    /// It holds this text.
    Text(String),
    /// It holds this value, written as TOML.
    Written(String),
    /// It is taken out.
    Nothing(()),
    /// It is a list, and has this entry more: a value, or the lines of a table.
    More(String),
    /// It is an entry, and this one comes before it.
    Before(String),
}

/// One change.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
pub struct Setting {
    /// Where.
    pub path: KeyPath,
    /// What is there then.
    pub to: Becomes,
}

/// Why a change can't be made, in words.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct NoEdit(String);

fn no<T>(why: impl Into<String>) -> Result<T, NoEdit> {
    Err(NoEdit(why.into()))
}

/// The text with all changes made, one after the other.
///
/// # Errors
/// When the text can't be read, a place isn't there, or a value isn't TOML.
pub fn edited(text: &str, settings: &[Setting]) -> Result<String, NoEdit> {
    if settings.iter().any(|setting| setting.path.len() > LONGEST_PATH) {
        return no("No value lies so deep.");
    }
    let edited = settings.iter().try_fold(text.to_owned(), |text, setting| one(&text, setting))?;
    let edited = ended_like(text, edited);
    // A value with a line of its own behind it would break the file.
    match Document::parse(&edited) {
        Ok(_) => Ok(edited),
        Err(_) => no("The file could not be read with this in it."),
    }
}

/// A text with the line ends that another has throughout.
pub fn ended_like(model: &str, text: String) -> String {
    let returns = model.matches("\r\n").count();
    if returns == 0 || returns < model.matches('\n').count() {
        return text;
    }
    text.replace("\r\n", "\n").replace('\n', "\r\n")
}

fn one(text: &str, Setting { path, to }: &Setting) -> Result<String, NoEdit> {
    let document = Document::parse(text).map_err(|_| NoEdit("The file can't be read.".into()))?;
    let there = find(document.as_item(), path);
    match (to, there) {
        (Becomes::Text(_) | Becomes::Written(_), Some(item)) if item.is_value() => {
            spliced(text, item, single(to)?.to_string().trim())
        }
        (Becomes::Nothing(()), Some(_)) => taken_out(text, &document, path),
        (Becomes::Nothing(()), None) => Ok(text.to_owned()),
        (Becomes::More(lines), Some(Item::ArrayOfTables(_))) => with_table(text, path, lines),
        _ => put(text, path, to),
    }
}

/// The item at a place.
fn find<'d>(from: &'d Item, path: &[PathStep]) -> Option<&'d Item> {
    path.iter().try_fold(from, |item, at| match at {
        PathStep::Key(key) => item.as_table_like()?.get(key),
        PathStep::Entry(index) => item.get(*index),
    })
}

/// The value that a key is to have.
fn single(to: &Becomes) -> Result<Value, NoEdit> {
    match to {
        Becomes::Text(words) => Ok(Value::from(words.as_str())),
        Becomes::Written(toml) => value(toml),
        _ => no("It isn't there."),
    }
}

/// A value of TOML.
fn value(toml: &str) -> Result<Value, NoEdit> {
    toml.trim().parse().map_err(|_| NoEdit(format!("{toml:?} isn't written as TOML.")))
}

/// The text with other bytes for an item.
fn spliced(text: &str, item: &Item, with: &str) -> Result<String, NoEdit> {
    let Some(span) = item.span() else { return no("The place of the value isn't known.") };
    let (Some(before), Some(after)) = (text.get(..span.start), text.get(span.end..)) else {
        return no("The place of the value isn't known.");
    };
    Ok(format!("{before}{with}{after}"))
}

/// The text without a key or an entry.
fn taken_out(text: &str, document: &Document<&str>, path: &[PathStep]) -> Result<String, NoEdit> {
    let Some((last, above)) = path.split_last() else { return no("A file can't be taken out.") };
    let Some(holder) = find(document.as_item(), above) else { return no("It isn't there.") };
    if let PathStep::Entry(index) = last {
        let lines = match (holder.as_array(), holder.as_array_of_tables()) {
            (Some(list), _) => entries::without(text, list, *index),
            (None, Some(tables)) => entries::without_table(text, tables, *index),
            (None, None) => None,
        };
        if let Some(without) = lines {
            return Ok(without);
        }
    }
    if let (PathStep::Key(key), Some(table)) = (last, holder.as_table())
        && let Some((key, item)) = table.get_key_value(key)
        && let (Some(from), Some(to), true) = (key.span(), item.span(), item.is_value())
    {
        return Ok(without_line(text, dotted_start(text, from.start)..to.end));
    }
    let mut document = parsed(text)?;
    let Some(holder) = find_mut(document.as_item_mut(), above) else {
        return no("It isn't there.");
    };
    match last {
        PathStep::Key(key) => {
            let Some(table) = holder.as_table_like_mut() else { return no("It isn't a table.") };
            table.remove(key);
        }
        PathStep::Entry(index) => {
            if let Some(tables) = holder.as_array_of_tables_mut() {
                tables.remove(*index);
            } else if let Some(list) = holder.as_array_mut() {
                list.remove(*index);
            }
        }
    }
    Ok(document.to_string())
}

/// Where a key begins on its line, with what stands before its dots.
fn dotted_start(text: &str, key: usize) -> usize {
    let line = text[..key].rfind('\n').map_or(0, |at| at + 1);
    let before = &text[line..key];
    if before.trim_end().ends_with('.') && !before.contains(['=', '{', ',']) {
        line + (before.len() - before.trim_start().len())
    } else {
        key
    }
}

/// The text without some bytes, and without their line if nothing else stands on it. A comment
/// behind them stays, as a line of its own.
fn without_line(text: &str, span: Range<usize>) -> String {
    let (before, after) = (&text[..span.start], &text[span.end..]);
    let line = after.find('\n').map_or(after.len(), |end| end + 1);
    let alone = after[..line].trim().is_empty()
        && before.rsplit('\n').next().is_none_or(|start| start.trim().is_empty());
    if !alone {
        return format!("{before}{}", after.trim_start_matches([' ', '\t']));
    }
    let start = before.rfind('\n').map_or(0, |end| end + 1);
    format!("{}{}", &before[..start], &after[line..])
}

fn parsed(text: &str) -> Result<DocumentMut, NoEdit> {
    text.parse().map_err(|_| NoEdit("The file can't be read.".into()))
}

fn find_mut<'d>(from: &'d mut Item, path: &[PathStep]) -> Option<&'d mut Item> {
    path.iter().try_fold(from, |item, at| match at {
        PathStep::Key(key) => item.as_table_like_mut()?.get_mut(key),
        PathStep::Entry(index) => item.get_mut(*index),
    })
}

/// The text with one more table of a list, behind the last of them.
fn with_table(text: &str, path: &[PathStep], lines: &str) -> Result<String, NoEdit> {
    let mut document = parsed(text)?;
    let table = table_of(lines)?;
    let list = find_mut(document.as_item_mut(), path).and_then(Item::as_array_of_tables_mut);
    let Some(list) = list else { return no("It isn't a list of tables.") };
    list.push(table);
    Ok(document.to_string())
}

/// A table from its lines, with a blank line above it.
fn table_of(lines: &str) -> Result<Table, NoEdit> {
    let mut document = parsed(lines)?;
    let mut table = std::mem::take(document.as_table_mut());
    table.set_position(None);
    table.decor_mut().set_prefix("\n");
    Ok(table)
}

/// Puts what isn't there yet, with the tables that it needs.
fn put(text: &str, path: &[PathStep], to: &Becomes) -> Result<String, NoEdit> {
    if let Some(with) = on_own_line(text, path, to).or_else(|| below_comment(text, path, to)) {
        return Ok(with);
    }
    let mut document = parsed(text)?;
    let Some((last, above)) = path.split_last() else { return no("A file is no value.") };
    let mut holder = document.as_item_mut();
    for (depth, at) in above.iter().enumerate() {
        holder = match at {
            PathStep::Key(key) => {
                let inline = holder.is_inline_table();
                let Some(table) = holder.as_table_like_mut() else {
                    return no("It isn't a table.");
                };
                // A table within one of the file's is written on a line, as in the examples.
                if table.get(key).is_none() {
                    let _ = table.insert(key, new_table(inline || depth > 0));
                }
                match table.get_mut(key) {
                    Some(next) => next,
                    None => return no("It isn't there."),
                }
            }
            PathStep::Entry(index) => match holder.get_mut(*index) {
                Some(next) => next,
                None => return no("The list has no such entry."),
            },
        };
    }
    match (to, last) {
        (Becomes::More(entry), PathStep::Key(key)) => more(holder, key, entry)?,
        (Becomes::Before(entry), PathStep::Entry(index)) => {
            let Some(list) = holder.as_array_mut() else { return no("It isn't a list.") };
            insert(list, *index, value(entry)?);
        }
        (_, PathStep::Key(key)) => set(holder, key, single(to)?)?,
        _ => return no("It isn't there."),
    }
    Ok(document.to_string())
}

/// The text with an entry more of a list whose entries have lines of their own.
fn on_own_line(text: &str, path: &[PathStep], to: &Becomes) -> Option<String> {
    let (list, index, entry) = match (to, path.split_last()?) {
        (Becomes::More(entry), _) => (path, None, entry),
        (Becomes::Before(entry), (PathStep::Entry(index), above)) => (above, Some(*index), entry),
        _ => return None,
    };
    let document = Document::parse(text).ok()?;
    let list = find(document.as_item(), list)?.as_array()?;
    let index = index.unwrap_or(list.len());
    entries::with(text, list, index, value(entry).ok()?.to_string().trim())
}

/// The text with a key more at a table's end, where a comment of its last key goes on in lines of its
/// own, which are then set in: below them.
fn below_comment(text: &str, path: &[PathStep], to: &Becomes) -> Option<String> {
    let (PathStep::Key(key), above) = path.split_last()? else { return None };
    let value = single(to).ok()?.to_string();
    let value = value.trim();
    let document = Document::parse(text).ok()?;
    let table = find(document.as_item(), above)?.as_table()?;
    if table.contains_key(key) {
        return None;
    }
    let ends = table.iter().filter(|(_, item)| item.is_value()).map(|(_, item)| item.span());
    let last = ends.collect::<Option<Vec<_>>>()?.into_iter().map(|span| span.end).max()?;
    let mut lines = text.get(last..)?.split_inclusive('\n');
    let first = lines.next().filter(|line| line.contains('#') && line.ends_with('\n'))?;
    let more = lines.take_while(|line| {
        line.starts_with([' ', '\t']) && line.trim_start().starts_with('#') && line.ends_with('\n')
    });
    let more: usize = more.map(str::len).sum();
    let (before, after) = text.split_at(last + first.len() + more);
    (more > 0).then(|| format!("{before}{} = {value}\n{after}", toml_edit::Key::new(key)))
}

fn new_table(inline: bool) -> Item {
    if inline {
        return Item::Value(Value::InlineTable(toml_edit::InlineTable::new()));
    }
    let mut table = Table::new();
    table.decor_mut().set_prefix("\n");
    Item::Table(table)
}

fn set(holder: &mut Item, key: &str, value: Value) -> Result<(), NoEdit> {
    let Some(table) = holder.as_table_like_mut() else { return no("It isn't a table.") };
    if table.get(key).is_some_and(|item| !item.is_value()) {
        return no("A table stands there.");
    }
    let _ = table.insert(key, Item::Value(value));
    if let Some(line) = holder.as_inline_table_mut() {
        line.fmt();
    }
    Ok(())
}

/// One more entry of a list, which may not be there yet.
fn more(holder: &mut Item, key: &str, entry: &str) -> Result<(), NoEdit> {
    let Some(table) = holder.as_table_like_mut() else { return no("It isn't a table.") };
    match table.get_mut(key) {
        Some(item) => {
            let Some(list) = item.as_array_mut() else { return no("It isn't a list.") };
            let end = list.len();
            let entry = match value(entry) {
                Ok(entry) => entry,
                // A list that is written on a line has tables on it, too.
                Err(_) => Value::InlineTable(table_of(entry)?.into_inline_table()),
            };
            insert(list, end, entry);
        }
        None => {
            let item = match value(entry) {
                Ok(value) => {
                    let mut list = Array::new();
                    list.push_formatted(value);
                    Item::Value(Value::Array(list))
                }
                Err(_) => {
                    let mut list = ArrayOfTables::new();
                    list.push(table_of(entry)?);
                    Item::ArrayOfTables(list)
                }
            };
            let _ = table.insert(key, item);
        }
    }
    Ok(())
}

/// An entry at a place, on a line of its own where its neighbour has one.
fn insert(list: &mut Array, index: usize, mut value: Value) {
    let index = index.min(list.len());
    let like = list.get(index).or_else(|| list.get(index.checked_sub(1)?));
    let blanks = like.and_then(|like| like.decor().prefix()?.as_str()).unwrap_or("");
    // A neighbour's comment stays its own.
    let blanks = blanks.rfind('\n').map_or(if index == 0 { "" } else { " " }, |at| &blanks[at..]);
    value.decor_mut().set_prefix(blanks);
    value.decor_mut().set_suffix("");
    list.insert_formatted(index, value);
}

/// What stands at some places of a text, as it is written; none where there is no single value.
pub fn values_at(text: &str, places: &[KeyPath]) -> Vec<Option<String>> {
    let document = Document::parse(text).ok();
    let one = |path: &KeyPath| {
        let Item::Value(value) = find(document.as_ref()?.as_item(), path)? else { return None };
        Some(value.to_string().trim().trim_matches('"').to_owned())
    };
    places.iter().map(one).collect()
}

/// The changes that bring some places of a text to what they are in another; none if one of them
/// can't be read.
pub fn bringing(places: &[KeyPath], from: &str) -> Option<Vec<Setting>> {
    let document = Document::parse(from).ok()?;
    let one = |path: &KeyPath| {
        let to = match find(document.as_item(), path) {
            None => Becomes::Nothing(()),
            Some(Item::Value(value)) => Becomes::Written(value.to_string().trim().to_owned()),
            // A whole table or list of tables isn't carried over by itself.
            Some(_) => return None,
        };
        Some(Setting { path: path.clone(), to })
    };
    places.iter().map(one).collect()
}

#[cfg(test)]
mod tests;
