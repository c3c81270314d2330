//! Texts that are not ours, before they reach a terminal or another program.

use crate::finding::{hidden, number_of};
use std::path::Path;

/// Text from a file or a path, without what could steer a terminal or turn the writing round: each
/// such character is named instead, as in `<U+001B>`. Line ends stay.
pub(in crate::cli) fn harmless(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\n' => out.push(c),
            '\t' => out.push(' '),
            c if hidden(c) => out += &format!("<{}>", number_of(c)),
            c => out.push(c),
        }
    }
    out
}

/// A path in one line: its line ends are named, too.
pub(in crate::cli) fn harmless_path(path: &Path) -> String {
    harmless(&path.display().to_string()).replace('\n', "<U+000A>")
}

/// JSON with each such character escaped (RFC 8259, 7). None stands outside its strings but line
/// ends and blanks.
pub(in crate::cli) fn escaped(json: &str) -> String {
    let mut out = String::with_capacity(json.len());
    for c in json.chars() {
        if c != '\n' && hidden(c) {
            let mut units = [0; 2];
            c.encode_utf16(&mut units).iter().for_each(|unit| out += &format!("\\u{unit:04x}"));
        } else {
            out.push(c);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hidden_characters_are_named_and_the_rest_stays() {
        assert_eq!(harmless("a\x1b[31m\tb\n\u{202e}\u{fc}"), "a<U+001B>[31m b\n<U+202E>\u{fc}");
    }

    #[test]
    fn escaped_json_says_the_same() {
        let text = "a\u{7f}\u{9b}\u{202e}\u{e0041}\u{fc}";
        let json = escaped(&serde_json::to_string_pretty(&[text]).unwrap());
        assert!(!json.chars().any(|c| c != '\n' && hidden(c)), "{json:?}");
        assert_eq!(serde_json::from_str::<Vec<String>>(&json).unwrap(), [text]);
    }
}
