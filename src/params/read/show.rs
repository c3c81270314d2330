//! What stands in a file, as a message shows it.

use toml::de::DeValue;

/// What a value is, in words.
pub(in crate::params) fn found(value: &DeValue<'_>) -> String {
    let cut = |number: &str| number.chars().take(24).collect::<String>();
    match value {
        DeValue::String(text) => format!("the text {}", show(text)),
        DeValue::Integer(number) => format!("the bare number {}", cut(&number.to_string())),
        DeValue::Float(number) if number.as_str().contains("nan") => {
            format!("`{}`, which is no number", number.as_str())
        }
        DeValue::Float(number) => format!("the bare number {}", cut(number.as_str())),
        DeValue::Boolean(yes) => format!("`{yes}`"),
        DeValue::Datetime(_) => "a date or time".to_owned(),
        DeValue::Array(items) if items.is_empty() => "an empty list".to_owned(),
        DeValue::Array(items) => format!("a list of {}", items.len()),
        DeValue::Table(_) => "a table".to_owned(),
    }
}

/// A text in quotation marks, cut if it is long.
pub(in crate::params) fn show(text: &str) -> String {
    let start = short(text);
    let dots = if start.len() < text.len() { "..." } else { "" };
    format!("{start:?}{dots}")
}

/// The beginning of a text, as much of it as a message has room for.
pub(in crate::params) fn short(text: &str) -> &str {
    text.char_indices().nth(40).map_or(text, |(end, _)| &text[..end])
}
