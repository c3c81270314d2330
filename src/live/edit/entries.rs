//! Entries that have their lines to themselves: they come and go with these, and every comment behind
//! or above another entry stays where it is.

use std::ops::Range;
use toml_edit::{Array, ArrayOfTables, Item};

/// The text without an entry of a list; none if it shares its line with something.
pub(super) fn without(text: &str, list: &Array, index: usize) -> Option<String> {
    let lines = own_lines(text, &list.get(index)?.span()?)?;
    Some(format!("{}{}", &text[..lines.start], &text[lines.end..]))
}

/// The text with one entry more at a place of a list; none if its neighbour shares its line.
pub(super) fn with(text: &str, list: &Array, index: usize, entry: &str) -> Option<String> {
    let last = list.len().checked_sub(1)?;
    let before = index.min(list.len()).checked_sub(1);
    let neighbour = list.get(before.unwrap_or(0))?.span()?;
    let lines = own_lines(text, &neighbour)?;
    let indent = &text[lines.start..neighbour.start];
    let Some(before) = before else {
        return Some(format!("{}{indent}{entry},\n{}", &text[..lines.start], &text[lines.start..]));
    };
    let behind = &text[neighbour.end..lines.end];
    let comma = if before == last && !behind.trim_start().starts_with(',') { "," } else { "" };
    let ends = if behind.ends_with('\n') { "" } else { "\n" };
    Some(format!(
        "{}{comma}{behind}{ends}{indent}{entry},\n{}",
        &text[..neighbour.end],
        &text[lines.end..]
    ))
}

/// The text without a table of a list: from its header to the line of its last value. Comments above
/// it stay. None if it holds tables of its own.
pub(super) fn without_table(text: &str, tables: &ArrayOfTables, index: usize) -> Option<String> {
    let table = tables.get(index)?;
    let header = table.span()?;
    let mut end = header.end.min(text.len());
    for (_, item) in table.iter() {
        if matches!(item, Item::Table(table) if !table.is_dotted()) || item.is_array_of_tables() {
            return None;
        }
        end = end.max(last_end(item)?);
    }
    let start = text[..header.start].rfind('\n').map_or(0, |at| at + 1);
    if !text[start..].trim_start().starts_with("[[") {
        return None;
    }
    let end = text[end..].find('\n').map_or(text.len(), |at| end + at + 1);
    let (mut above, below) = (&text[..start], &text[end..]);
    // One blank line between its neighbours is enough.
    if (below.is_empty() || below.starts_with(['\n', '\r'])) && above.ends_with("\n\n") {
        above = &above[..above.len() - 1];
    }
    Some(format!("{above}{below}"))
}

/// Where the last value of an item ends.
fn last_end(item: &Item) -> Option<usize> {
    match item {
        Item::Table(table) => table.iter().map(|(_, item)| last_end(item)).max().flatten(),
        item => Some(item.span()?.end),
    }
}

/// The lines of a value that has them to itself, but for a comma and a comment behind it.
fn own_lines(text: &str, value: &Range<usize>) -> Option<Range<usize>> {
    let start = text[..value.start].rfind('\n').map_or(0, |at| at + 1);
    let end = text[value.end..].find('\n').map_or(text.len(), |at| value.end + at + 1);
    let behind = text[value.end..end].trim_start();
    let behind = behind.strip_prefix(',').unwrap_or(behind).trim();
    let alone = text[start..value.start].trim().is_empty()
        && (behind.is_empty() || behind.starts_with('#'));
    alone.then_some(start..end)
}
