//! What fitting may change: the limits round dimensions.

use super::keys::{Field, Key, KeyShape, LENGTH, NUMBER, SHARE, TEXT};
use super::read::{Item, Reader, TomlTable};
use crate::units::Length;
use serde_json::{Map, Value, json};

/// How far fitting may move one dimension.
#[derive(Clone, Debug, PartialEq)]
pub struct Give {
    /// The key of the design file, such as `bowl.depth`.
    pub key: String,
    /// The least that it may become.
    pub least: Bound,
    /// The most that it may become.
    pub most: Bound,
    /// How unwillingly it changes: greater changes less.
    pub weight: f64,
    /// The group that it changes alike with, if any.
    pub alike: Option<String>,
}

/// A limit of a give.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Bound {
    /// A length.
    Length(Length),
    /// A fraction of what the file asks for.
    Fraction(f64),
}

/// A limit as a length.
pub(super) const LIMIT: Key = LENGTH
    .within(-500.0, 2000.0)
    .such_as("12 mm")
    .named("least", "A limit: a length, or a share of what the file asks for.");
/// A limit as a share of what the file asks for.
pub(super) const SHARE_LIMIT: Key =
    SHARE.within(0.0, 400.0).such_as("60 %").named("least", LIMIT.says);
/// How unwillingly a dimension changes.
pub(super) const WEIGHT: Key = NUMBER
    .within(0.01, 1000.0)
    .such_as("2")
    .or("1")
    .named("weight", "How unwillingly it changes: with a greater weight it changes less.");

/// The group of dimensions that change alike.
pub(super) const ALIKE: Key = TEXT.such_as("handles").left_out("it changes by itself").named(
    "alike",
    "A word of yours: dimensions with the same one, in all designs of a set, change alike, by the \
     same share of what each file asks for.",
);

/// `[give]`.
pub(super) const GIVES: Key = Key::of(KeyShape::Gives)
    .such_as("{ \"bowl.depth\" = { least = \"12 mm\", most = \"16 mm\", weight = 2 } }")
    .left_out("nothing");
const ONE: &str = "\"bowl.depth\" = { least = \"12 mm\", most = \"16 mm\", weight = 2 }";

impl Field for Vec<Give> {
    fn of(reader: &mut Reader, item: &Item<'_>, _: &Key) -> Option<Vec<Give>> {
        let table = reader.table(item, &format!("[give]\n{ONE}"));
        let mut read = Vec::new();
        entries(reader, &table, "", &mut read);
        Some(read)
    }
    fn stand_in() -> Option<Vec<Give>> {
        Some(Vec::new())
    }
    fn shown(&self, _: &Key) -> Value {
        let one = |give: &Give| {
            let mut out = Map::new();
            out.insert("key".into(), json!(give.key));
            for (name, bound) in [("least", give.least), ("most", give.most)] {
                match bound {
                    Bound::Length(at) => out.insert(format!("{name}_mm"), json!(at.as_mm())),
                    Bound::Fraction(at) => out.insert(format!("{name}_percent"), json!(at * 100.0)),
                };
            }
            out.insert("weight".into(), json!(give.weight));
            if let Some(alike) = &give.alike {
                out.insert("alike".into(), json!(alike));
            }
            Value::Object(out)
        };
        self.iter().map(one).collect()
    }
}

/// Takes `"bowl.depth" = { .. }` and, since TOML reads it as tables within tables, `bowl.depth =
/// { .. }` too.
fn entries(reader: &mut Reader, table: &TomlTable<'_>, above: &str, read: &mut Vec<Give>) {
    const KEYS: [&str; 4] = ["least", "most", "weight", "alike"];
    for (name, item) in table.items() {
        let key = if above.is_empty() { name.to_owned() } else { format!("{above}.{name}") };
        let give = reader.table(&item, ONE);
        if !give.is_there() {
            continue;
        }
        let inner = give.items();
        let leads_on =
            |(name, item): &(&str, Item<'_>)| !KEYS.contains(name) && item.section().is_there();
        if !inner.is_empty() && inner.iter().all(leads_on) {
            entries(reader, &give, &key, read);
            continue;
        }
        reader.only(&give, &KEYS);
        read.push(Give {
            key,
            least: bound(reader, &give, "least"),
            most: bound(reader, &give, "most"),
            weight: f64::take(reader, &give, &WEIGHT).unwrap_or(f64::NAN),
            alike: <Option<String> as Field>::take(reader, &give, &ALIKE).flatten(),
        });
    }
}

fn bound(reader: &mut Reader, give: &TomlTable<'_>, name: &'static str) -> Bound {
    let Some(item) = give.get(name) else {
        reader.missing(give, name, &format!("{name} = \"12 mm\""));
        return Bound::Fraction(f64::NAN);
    };
    if item.as_text().is_some_and(|text| text.contains('%')) {
        Bound::Fraction(reader.figure(&item, &SHARE_LIMIT))
    } else {
        Bound::Length(Length::mm(reader.figure(&item, &LIMIT)))
    }
}
