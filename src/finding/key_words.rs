//! Keys of lists in words: a maker doesn't count from 0.

/// A dotted key in words: "`at` of the 2nd station of `handle.width`", and by its name what has one:
/// "`feed` of cutter "flat 1/4"". `name` is asked for the name of an entry, as the file writes it.
pub fn key_in_words(key: &str, name: &dyn Fn(&str) -> Option<String>) -> String {
    let Some((head, index, tail)) = last_entry(key) else { return format!("`{key}`") };
    let nth = ordinal(index + 1);
    let entry = match name(&format!("{head}[{index}]")) {
        Some(name) => format!("{head} {name}"),
        None if head.starts_with("handle.") => format!("the {nth} station of `{head}`"),
        None if head == "tabs.place" => format!("the {nth} tab"),
        None if head.contains(['.', '[']) => {
            format!("the {nth} entry of {}", key_in_words(head, name))
        }
        None => format!("the {nth} {head}"),
    };
    if tail.is_empty() { entry } else { format!("`{tail}` of {entry}") }
}

/// A text with the keys of lists in it, which stand between backticks, in words.
pub fn keys_in_words(text: &str, name: &dyn Fn(&str) -> Option<String>) -> String {
    let parts: Vec<&str> = text.split('`').collect();
    let last = parts.len() - 1;
    let said = |(index, part): (usize, &&str)| match index % 2 == 1 && index < last {
        true if last_entry(part).is_some() => key_in_words(part, name),
        true => format!("`{part}`"),
        // An odd mark of the text's own.
        false if index == last && index % 2 == 1 => format!("`{part}"),
        false => (*part).to_owned(),
    };
    parts.iter().enumerate().map(said).collect()
}

/// What stands before the last index of a key, that index, and what follows.
fn last_entry(key: &str) -> Option<(&str, usize, &str)> {
    let (head, rest) = key.rsplit_once('[')?;
    let (index, tail) = rest.split_once(']')?;
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '.' | '[' | ']');
    let is_key = !head.is_empty() && head.chars().all(plain) && !tail.contains(' ');
    Some((head, index.parse().ok().filter(|_| is_key)?, tail.trim_start_matches('.')))
}

/// `1st`, `2nd`, `3rd`, `11th` ...
fn ordinal(number: usize) -> String {
    let end = match (number % 10, number % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{number}{end}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn entries_are_counted_from_one_or_named() {
        let name = |key: &str| (key == "cutter[0]").then(|| "\"flat 1/4\"".to_owned());
        for (said, told) in [
            ("`cutter[0].feed` is 3", "`feed` of cutter \"flat 1/4\" is 3"),
            ("`cutter[1].feed` is 3", "`feed` of the 2nd cutter is 3"),
            ("`handle.width[1].at` is", "`at` of the 2nd station of `handle.width` is"),
            ("a key of `tabs.place[2]`", "a key of the 3rd tab"),
            ("`knot[0].polygon[10]`", "the 11th entry of `polygon` of the 1st knot"),
            ("`bowl.depth` and a ` mark", "`bowl.depth` and a ` mark"),
            ("`x [1] y`", "`x [1] y`"),
        ] {
            assert_eq!(keys_in_words(said, &name), told);
        }
    }
}
