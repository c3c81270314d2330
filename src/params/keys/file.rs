//! The three files as wholes: their keys, and what their tables are for.

use super::{Absent, Key, KeyRange, KeyShape, Keyed, Node, Word, tree};
use crate::finding::Source;
use crate::params::{Board, Design, Shop};

/// One of the three files.
pub(in crate::params) struct KeyFile {
    /// What it is, in a sentence.
    pub(in crate::params) says: &'static str,
    /// All its keys.
    pub(in crate::params) keys: &'static [Key],
    /// What tables are for that hold keys of more than one struct.
    tables: &'static [(&'static str, &'static str)],
}

/// What there is to say of one of the three files.
pub(in crate::params) const fn file_of(source: Source) -> KeyFile {
    match source {
        Source::Design => KeyFile {
            says: "What the utensil should be.",
            keys: Design::KEYS,
            tables: &[("utensil", "The utensil as a whole.")],
        },
        Source::Board => KeyFile {
            says: "What was measured on the board.",
            keys: Board::KEYS,
            tables: &[("board", "The board as a whole.")],
        },
        Source::Shop => KeyFile {
            says: "What the shop cuts and holds with, and how it works.",
            keys: Shop::KEYS,
            tables: &[
                ("shop", "The shop as a whole."),
                ("machine", "How far the machine travels, from its home corner."),
                ("printer", "The printer of hold-downs and spacers."),
            ],
        },
    }
}

impl KeyFile {
    /// Its tables and keys.
    pub(in crate::params) fn tree(&self) -> Vec<Node> {
        tree(self.keys)
    }

    /// What a table or a key of it is.
    pub(in crate::params) fn says(&self, node: &Node) -> &'static str {
        match node.key {
            Some(key) => key.says.trim(),
            None => {
                let found = self.tables.iter().find(|(name, _)| *name == node.name);
                found.map_or("", |(_, says)| *says)
            }
        }
    }
}

impl Key {
    /// Its kind and its range, in words.
    pub(in crate::params) fn kind(&self) -> String {
        let common = match (self.shape, self.common) {
            (KeyShape::Figure(figure, _), Some(KeyRange { least, most })) => {
                format!("; commonly {} to {}", figure.shown(least), figure.shown(most))
            }
            _ => String::new(),
        };
        kind(&self.shape) + &common
    }

    /// What holds when it is left out, in words; none if it can't be.
    pub(in crate::params) fn left_out_words(&self) -> Option<String> {
        match self.absent {
            Absent::Needed => None,
            Absent::Usual("[]") => Some("none".to_owned()),
            Absent::Usual(text) => Some(text.replace('"', "")),
            Absent::Words(words) => Some(words.to_owned()),
        }
    }
}

/// A sentence within another, where it begins in lower case unless with a name such as ISO.
fn lower(says: &str) -> String {
    let says = says.trim_end_matches('.');
    let mut chars = says.chars();
    match (chars.next(), chars.next()) {
        (Some(first), second) if !second.is_some_and(char::is_uppercase) => {
            first.to_lowercase().chain(says.chars().skip(1)).collect()
        }
        _ => says.to_owned(),
    }
}

fn kind(shape: &KeyShape) -> String {
    match shape {
        KeyShape::Figure(figure, KeyRange { least, most }) => {
            format!("{}, {} to {}", figure.noun, figure.shown(*least), figure.shown(*most))
        }
        KeyShape::Text => "a text".to_owned(),
        KeyShape::Flag => "true or false".to_owned(),
        KeyShape::Choice(words) => {
            let one = |word: &Word| format!("\"{}\" ({})", word.name, lower(word.says.trim()));
            words.iter().map(one).collect::<Vec<_>>().join(", ")
        }
        KeyShape::Place => "a place: two lengths".to_owned(),
        KeyShape::List(one, least, most, _) => {
            let count = match (*least, *most) {
                (0, usize::MAX) => String::new(),
                (0, most) => format!(" of {most} at most"),
                (least, usize::MAX) => format!(" of {least} at least"),
                (least, most) => format!(" of {least} to {most}"),
            };
            format!("a list{count}, each {}", kind(one))
        }
        KeyShape::Stations(size, KeyRange { least, most }) => format!(
            "two or more stations, each {{ at, {size} }}: a place from 0 % to 100 % and a length, \
             {least} mm to {most} mm"
        ),
        KeyShape::Varying(shape) => format!(
            "{}; or two or more stations, each {{ at, {} }}: a place from 0 % to 100 % and such a {}",
            kind(&shape.figure()),
            shape.name,
            shape.figure.noun.rsplit(' ').next().unwrap_or_default(),
        ),
        KeyShape::WordOr(word, keys, least) => {
            let names: Vec<_> = keys.iter().map(|key| key.path).collect();
            format!("\"{word}\", or {least} or more of {{ {} }}", names.join(", "))
        }
        KeyShape::Gives => {
            "`least` and `most`, each a length or a share, `weight`, and `alike` (a word of yours: \
             dimensions with the same one, in all designs of a set, change by the same share), \
             for any key that may change"
                .to_owned()
        }
        KeyShape::Reasons => "a text for each code".to_owned(),
        KeyShape::Table(_) | KeyShape::Part(_) | KeyShape::Tables(..) => "a table".to_owned(),
    }
}
