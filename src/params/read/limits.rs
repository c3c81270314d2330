//! How much a file may hold, and what its texts may hold, before anything is made of it.

use super::show;
use crate::finding::{Code, Finding, Source, hidden, number_of};
use crate::params::codes;
use std::ops::Range;
use toml::de::{DeTable, DeValue};

/// Most entries of one list or table. The fullest files that were seen have a dozen; a board with
/// more flaws than this is firewood.
pub(in crate::params) const MOST_ENTRIES: usize = 100;

/// Most values in a file: a board with a hundred flaws of thirty points each.
const MOST_VALUES: usize = 10_000;

/// Most letters of one text: a long note.
pub(in crate::params) const LONGEST_TEXT: usize = 400;

/// Most findings that are given of one file; the rest are counted.
pub(super) const MOST_FINDINGS: usize = 30;

/// What is too much, and what can't be seen. A file that is too large isn't read further.
pub(super) struct Limits {
    pub(super) found: Vec<Finding>,
    pub(super) too_much: bool,
}

/// Looks at every key and every text of a file.
pub(super) fn look(source: Source, document: &DeTable<'_>) -> Limits {
    let mut walk = Walk { source, values: 0, out: Limits { found: Vec::new(), too_much: false } };
    walk.table(document, "", 0..0);
    if walk.values > MOST_VALUES {
        let message = format!("The file holds more than {MOST_VALUES} values.");
        walk.too_much("", 0..0, message);
    }
    walk.out
}

/// Findings beyond the most are counted, not given.
pub(super) fn fewer(source: Source, found: &mut Vec<Finding>) {
    let more = found.len().saturating_sub(MOST_FINDINGS);
    if more > 0 {
        found.truncate(MOST_FINDINGS);
        let message = match more {
            1 => "There is 1 more fault in this file.".to_owned(),
            _ => format!("There are {more} more faults in this file."),
        };
        let help = "Correct those that are shown, and check again.";
        found.push(Finding::fault(codes::MORE_FAULTS, message, help).at(source, ""));
    }
}

struct Walk {
    source: Source,
    values: usize,
    out: Limits,
}

impl Walk {
    fn say(&mut self, code: Code, key: &str, at: Range<usize>, message: String, help: String) {
        self.out.found.push(Finding::fault(code, message, help).at_span(self.source, key, at));
    }

    fn too_much(&mut self, key: &str, at: Range<usize>, message: String) {
        self.out.too_much = true;
        let help = "Check that this is the file you meant, and take out what isn't needed.";
        self.say(codes::TOO_MUCH, key, at, message, help.to_owned());
    }

    /// Whether there's room for so many more.
    fn room(&mut self, key: &str, at: &Range<usize>, count: usize) -> bool {
        self.values += count;
        if count > MOST_ENTRIES {
            let what = if key.is_empty() { "The file".to_owned() } else { show(key) };
            let message = format!("{what} has {count} entries; the most is {MOST_ENTRIES}.");
            self.too_much(key, at.clone(), message);
        }
        count <= MOST_ENTRIES && self.values <= MOST_VALUES
    }

    fn table(&mut self, table: &DeTable<'_>, key: &str, at: Range<usize>) {
        if !self.room(key, &at, table.len()) {
            return;
        }
        for (name, value) in table.iter() {
            let text: &str = name.get_ref();
            if text.chars().nth(LONGEST_TEXT).is_some() {
                self.long_key(text, key, name.span());
                continue;
            }
            let key = if key.is_empty() { text.to_owned() } else { format!("{key}.{text}") };
            if let Some(c) = text.chars().find(|c| hidden(*c)) {
                let message = format!("The key {} holds {}.", show(text), named(c));
                let help = "Type the key anew.".to_owned();
                self.say(codes::HIDDEN_CHARACTER, &key, name.span(), message, help);
            }
            self.value(value.get_ref(), &key, value.span());
        }
    }

    /// A file with such a key isn't read further: what follows would name it again and again.
    fn long_key(&mut self, text: &str, inside: &str, at: Range<usize>) {
        let letters = text.chars().count();
        let message =
            format!("The key {} has {letters} letters; the most is {LONGEST_TEXT}.", show(text));
        self.out.too_much = true;
        let help = "Check that this is the file you meant, and type the key anew.";
        self.say(codes::TEXT_TOO_LONG, inside, at, message, help.to_owned());
    }

    fn value(&mut self, value: &DeValue<'_>, key: &str, at: Range<usize>) {
        match value {
            DeValue::Table(table) => self.table(table, key, at),
            DeValue::Array(items) if self.room(key, &at, items.len()) => {
                for (index, item) in items.iter().enumerate() {
                    self.value(item.get_ref(), &format!("{key}[{index}]"), item.span());
                }
            }
            DeValue::String(text) => self.text(text, key, at),
            _ => {}
        }
    }

    fn text(&mut self, text: &str, key: &str, at: Range<usize>) {
        if let Some(c) = text.chars().find(|c| hidden(*c)) {
            let message = format!("`{key}` is {}, which holds {}.", show(text), named(c));
            let help = "Type the text anew: one line, in letters that can be seen.".to_owned();
            self.say(codes::HIDDEN_CHARACTER, key, at, message, help);
        } else if text.chars().nth(LONGEST_TEXT).is_some() {
            let letters = text.chars().count();
            let message = format!("`{key}` has {letters} letters; the most is {LONGEST_TEXT}.");
            let help = "Shorten it.".to_owned();
            self.say(codes::TEXT_TOO_LONG, key, at, message, help);
        }
    }
}

/// A character that can't be seen, in words.
fn named(c: char) -> String {
    match c {
        '\n' | '\r' | '\u{85}' | '\u{2028}' | '\u{2029}' => "a line break".to_owned(),
        '\t' => "a tab".to_owned(),
        c => format!("a character that can't be seen ({})", number_of(c)),
    }
}

/// Two names that a reader takes for one: the same but for capitals, blanks, and marks that only
/// join or vary letters.
pub(in crate::params) fn alike(one: &str, other: &str) -> bool {
    let seen = |text: &str| -> String {
        let joins = |c: &char| !matches!(c, '\u{200c}' | '\u{200d}' | '\u{fe00}'..='\u{fe0f}');
        let words: Vec<&str> = text.split_whitespace().collect();
        words.join(" ").chars().filter(joins).flat_map(char::to_lowercase).collect()
    };
    seen(one) == seen(other)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_look_the_same_are_alike() {
        assert!(alike("Ball 1/8", " ball\u{a0}1/8"));
        assert!(alike("a\u{200d}b", "AB"));
        assert!(!alike("ball 1/8", "ball 1/4"));
    }

    fn codes_of(text: &str) -> Vec<(&'static str, String)> {
        let document = DeTable::parse(text).expect("TOML");
        let found = look(Source::Board, document.get_ref()).found;
        let key = |f: &Finding| f.place.as_ref().map(|at| at.key.clone()).unwrap_or_default();
        found.iter().map(|f| (f.code.name, key(f))).collect()
    }

    #[test]
    fn what_cannot_be_seen_is_a_fault_in_any_text_and_key() {
        for c in ["\\u0000", "\\u001b", "\\n", "\\t", "\u{9b}", "\u{202e}", "\\ufffe", "\u{feff}"] {
            let text = format!("a.b = [{{ c = \"x{c}\" }}]");
            assert_eq!(codes_of(&text), [("hidden-character", "a.b[0].c".to_owned())], "{c}");
            assert_eq!(codes_of(&format!("\"x{c}\" = 1"))[0].0, "hidden-character");
        }
        assert!(codes_of("a = \"F\u{fc}r \u{6728}\"").is_empty());
    }

    #[test]
    fn long_lists_tables_and_texts_are_faults() {
        let list = |count: usize| format!("a.b = [{}]", "1, ".repeat(count));
        assert!(codes_of(&list(MOST_ENTRIES)).is_empty());
        assert_eq!(codes_of(&list(MOST_ENTRIES + 1)), [("too-much", "a.b".to_owned())]);
        let keys: String = (0..=MOST_ENTRIES).map(|n| format!("k{n} = 1\n")).collect();
        assert_eq!(codes_of(&keys), [("too-much", String::new())]);
        let rows = format!("[{}]", "1, ".repeat(MOST_ENTRIES));
        let square = format!("[{}]", format!("{rows}, ").repeat(MOST_ENTRIES));
        assert_eq!(codes_of(&format!("a = {square}\nb = {square}"))[0].0, "too-much");
        let text = |letters: usize| format!("a = \"{}\"", "\u{e9}".repeat(letters));
        assert!(codes_of(&text(LONGEST_TEXT)).is_empty());
        assert_eq!(codes_of(&text(LONGEST_TEXT + 1))[0].0, "text-too-long");
        let key = |letters: usize| format!("[a]\n{} = 1", "k".repeat(letters));
        assert!(codes_of(&key(LONGEST_TEXT)).is_empty());
        assert_eq!(codes_of(&key(LONGEST_TEXT + 1)), [("text-too-long", "a".to_owned())]);
    }
}
