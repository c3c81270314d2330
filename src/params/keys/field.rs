//! What the types of fields do with a key: read it, echo it, lend it to `[give]`.

use super::figure;
use super::key::{ALONG, Absent, Key, KeyRange, KeyShape, LENGTH, Named, PLACE, SHARE};
use crate::finding::Source;
use crate::params::read::{Item, Reader, TomlTable};
use crate::params::{Dimension, Station, codes};
use crate::units::{Angle, Length};
use glam::DVec2;
use serde_json::{Map, Value, json};
use toml::de::DeValue;

/// The type of a field.
pub(in crate::params) trait Field: Sized {
    /// Takes a key from the table that its struct is read from.
    fn take(reader: &mut Reader, at: &TomlTable<'_>, key: &'static Key) -> Option<Self> {
        let (table, name) = key.place();
        let table = at.under(table);
        if let Some(item) = table.get(name) {
            // A choice that is none has had its fault; the usual one stands in.
            return Self::of(reader, &item, key).or_else(|| declared(key));
        }
        // Of tables that aren't there the reader speaks by itself.
        let tables = matches!(key.shape, KeyShape::Tables(..));
        if matches!(key.absent, Absent::Needed) && table.is_there() && !tables {
            reader.missing(&table, name, &key.line(name));
        }
        declared(key).or_else(Self::stand_in)
    }

    /// From a value that is there.
    fn of(reader: &mut Reader, item: &Item<'_>, key: &Key) -> Option<Self>;

    /// For one that isn't there or can't be read.
    fn stand_in() -> Option<Self>;

    /// Puts it where programs read it.
    fn echo(&self, key: &Key, out: &mut Map<String, Value>) {
        put(key, key.place().1, self.shown(key), out);
    }

    /// As programs read it.
    fn shown(&self, key: &Key) -> Value;

    /// The dimension that it is, or that the rest of a path names in it.
    fn dimension(&mut self, _key: &Key, _rest: &str) -> Option<Dimension<'_>> {
        None
    }

    /// The same of a list of it.
    fn dimension_of_list<'d>(
        _list: &'d mut Vec<Self>,
        _key: &Key,
        _rest: &str,
    ) -> Option<Dimension<'d>> {
        None
    }
}

/// What holds when the key is left out, if the declaration has a value for that.
fn declared<T: Field>(key: &'static Key) -> Option<T> {
    let Absent::Usual(text) = key.absent else { return None };
    let written = key.written(text);
    let value = DeValue::parse(&written).ok()?;
    // A test holds that every declared value is one of its key.
    T::of(&mut Reader::bare(Source::Design), &Item::bare(key.path, value.get_ref()), key)
}

/// The tables that a file is named after: their keys stand at the top where programs read them.
const FIRST: [&str; 3] = ["utensil", "board", "shop"];

/// Does something with the object of a table, where programs read it.
pub(in crate::params) fn inside(
    table: &str,
    out: &mut Map<String, Value>,
    act: impl FnOnce(&mut Map<String, Value>),
) {
    if table.is_empty() || FIRST.contains(&table) {
        return act(out);
    }
    let mut inner = match out.remove(table) {
        Some(Value::Object(inner)) => inner,
        _ => Map::new(),
    };
    act(&mut inner);
    out.insert(table.to_owned(), inner.into());
}

/// Puts a value where programs read it.
fn put(key: &Key, name: &str, value: Value, out: &mut Map<String, Value>) {
    let name = format!("{name}{}", key.suffix());
    inside(key.place().0, out, |out| drop(out.insert(name, value)));
}

/// Types that are one figure: from what is kept of the key, and back.
macro_rules! figures {
    ($($Type:ty, $variant:ident, $from:expr, $to:expr;)+) => {$(
        impl Field for $Type {
            fn of(reader: &mut Reader, item: &Item<'_>, key: &Key) -> Option<$Type> {
                Some($from(reader.figure(item, key)))
            }
            fn stand_in() -> Option<$Type> {
                Some($from(f64::NAN))
            }
            fn shown(&self, key: &Key) -> Value {
                let per = if let KeyShape::Figure(figure, _) = key.shape { figure.per } else { 1.0 };
                json!($to(*self) * per)
            }
            fn dimension(&mut self, key: &Key, rest: &str) -> Option<Dimension<'_>> {
                (key.gives && rest.is_empty()).then_some(Dimension::$variant(self))
            }
        }
    )+};
}

figures! {
    Length, Length, Length::mm, Length::as_mm;
    Angle, Angle, Angle::degrees, Angle::as_degrees;
    f64, Number, f64::from, f64::from;
}

impl Field for u32 {
    fn of(reader: &mut Reader, item: &Item<'_>, key: &Key) -> Option<u32> {
        // What isn't a number becomes 0.
        Some(reader.figure(item, key) as u32)
    }
    fn stand_in() -> Option<u32> {
        Some(0)
    }
    fn shown(&self, _: &Key) -> Value {
        json!(self)
    }
}

impl Field for String {
    fn of(reader: &mut Reader, item: &Item<'_>, key: &Key) -> Option<String> {
        match key.shape {
            KeyShape::Choice(words) => {
                reader.word(item, words).map(|index| words[index].name.to_owned())
            }
            _ => Some(reader.text(item, &key.example())),
        }
    }
    fn stand_in() -> Option<String> {
        Some(String::new())
    }
    fn shown(&self, _: &Key) -> Value {
        json!(self)
    }
}

impl Field for bool {
    fn of(reader: &mut Reader, item: &Item<'_>, key: &Key) -> Option<bool> {
        Some(reader.flag(item, &key.example()))
    }
    fn stand_in() -> Option<bool> {
        Some(false)
    }
    fn shown(&self, _: &Key) -> Value {
        json!(self)
    }
}

impl<T: Named + PartialEq> Field for T {
    fn of(reader: &mut Reader, item: &Item<'_>, _: &Key) -> Option<T> {
        reader.word(item, T::WORDS).and_then(|index| T::VALUES.get(index).copied())
    }
    fn stand_in() -> Option<T> {
        None
    }
    fn shown(&self, _: &Key) -> Value {
        let index = T::VALUES.iter().position(|value| value == self);
        json!(index.map(|index| T::WORDS[index].name))
    }
}

impl Field for DVec2 {
    fn of(reader: &mut Reader, item: &Item<'_>, key: &Key) -> Option<DVec2> {
        let items = reader.list(item, &key.example());
        if items.len() != 2 {
            if item.is_list() {
                let message = format!(
                    "`{}` has {} numbers, but a place has two: along and across.",
                    item.key(),
                    items.len(),
                );
                reader.fault(
                    codes::WRONG_TYPE,
                    item.key(),
                    message,
                    format!("Write {}", key.example()),
                );
            }
            return Self::stand_in();
        }
        let one = Key { shape: KeyShape::Figure(&figure::LENGTH, PLACE), such_as: "20 mm", ..*key };
        let [along, across] = [0, 1].map(|index| reader.figure(&items[index], &one));
        Some(DVec2::new(along, across))
    }
    fn stand_in() -> Option<DVec2> {
        Some(DVec2::NAN)
    }
    fn shown(&self, _: &Key) -> Value {
        json!([self.x, self.y])
    }
}

impl<T: Field> Field for Option<T> {
    fn take(reader: &mut Reader, at: &TomlTable<'_>, key: &'static Key) -> Option<Option<T>> {
        let there = match key.shape {
            KeyShape::Part(keys) => {
                let table = at.under(key.path);
                keys.iter().any(|key| table.under(key.place().0).get(key.place().1).is_some())
            }
            _ => {
                let (table, name) = key.place();
                at.under(table).get(name).is_some()
            }
        };
        Some(if there { T::take(reader, at, key) } else { None })
    }
    fn of(reader: &mut Reader, item: &Item<'_>, key: &Key) -> Option<Option<T>> {
        Some(T::of(reader, item, key))
    }
    fn stand_in() -> Option<Option<T>> {
        Some(None)
    }
    fn echo(&self, key: &Key, out: &mut Map<String, Value>) {
        match (self, key.shape) {
            (Some(value), _) => value.echo(key, out),
            (None, KeyShape::Part(keys)) => {
                let none = |key: &Key, out: &mut _| put(key, key.place().1, Value::Null, out);
                inside(key.path, out, |out| keys.iter().for_each(|key| none(key, out)));
            }
            (None, _) => put(key, key.place().1, Value::Null, out),
        }
    }
    fn shown(&self, key: &Key) -> Value {
        self.as_ref().map_or(Value::Null, |value| value.shown(key))
    }
    fn dimension(&mut self, key: &Key, rest: &str) -> Option<Dimension<'_>> {
        self.as_mut()?.dimension(key, rest)
    }
}

impl<T: Field> Field for Vec<T> {
    fn of(reader: &mut Reader, item: &Item<'_>, key: &Key) -> Option<Vec<T>> {
        let items = match key.shape {
            KeyShape::Tables(..) => item.items().unwrap_or_default(),
            _ => reader.list(item, &key.line(key.place().1)),
        };
        let (least, most, code) = key.count();
        let count = items.len();
        if let KeyShape::Stations(..) = key.shape
            && item.is_list()
            && (count == 1 || count < least)
        {
            let message = format!(
                "`{}` has too few stations ({count}); at least two are needed.",
                item.key()
            );
            reader.fault(code, item.key(), message, format!("Write {}", key.line(key.place().1)));
        } else if item.is_list() && (count < least || count > most) {
            let message = match most {
                usize::MAX => {
                    format!("`{}` has {count} entries; at least {least} are needed.", item.key())
                }
                _ => format!("`{}` has {count} entries; it takes {least} to {most}.", item.key()),
            };
            reader.fault(code, item.key(), message, format!("Write {}", key.line(key.place().1)));
        }
        let one = key.one();
        Some(items.iter().filter_map(|item| T::of(reader, item, &one)).collect())
    }
    fn stand_in() -> Option<Vec<T>> {
        Some(Vec::new())
    }
    fn echo(&self, key: &Key, out: &mut Map<String, Value>) {
        // Lists of tables are named after what they hold.
        let tables = matches!(key.shape, KeyShape::Tables(..));
        let name = if tables { key.field } else { key.place().1 };
        put(key, name, self.shown(key), out);
    }
    fn shown(&self, key: &Key) -> Value {
        let one = key.one();
        self.iter().map(|value| value.shown(&one)).collect()
    }
    fn dimension(&mut self, key: &Key, rest: &str) -> Option<Dimension<'_>> {
        T::dimension_of_list(self, key, rest)
    }
}

impl Field for Station {
    fn of(reader: &mut Reader, item: &Item<'_>, key: &Key) -> Option<Station> {
        let KeyShape::Stations(size, room) = key.shape else { return None };
        let (at, size) = station_of(reader, item, &station_keys(size, room))?;
        Some(Station { at, size })
    }
    fn stand_in() -> Option<Station> {
        None
    }
    fn shown(&self, _: &Key) -> Value {
        json!({ "at_percent": self.at * 100.0, "size_mm": self.size.as_mm() })
    }
    fn dimension_of_list<'d>(
        list: &'d mut Vec<Station>,
        key: &Key,
        rest: &str,
    ) -> Option<Dimension<'d>> {
        if !key.gives {
            return None;
        }
        if rest.is_empty() {
            // A straight handle has no curve to flatten.
            return (!list.is_empty()).then_some(Dimension::Stations(list));
        }
        let (index, field) = rest.strip_prefix('[')?.split_once("].")?;
        let station = list.get_mut(index.parse::<usize>().ok()?)?;
        match key.shape {
            KeyShape::Stations(size, _) if field == size => {
                Some(Dimension::Length(&mut station.size))
            }
            _ if field == "at" => Some(Dimension::Number(&mut station.at)),
            _ => None,
        }
    }
}

/// A place and what is there, from a table with these two keys.
pub(super) fn station_of<T: Field>(
    reader: &mut Reader,
    item: &Item<'_>,
    keys: &[Key; 2],
) -> Option<(f64, T)> {
    let such_as = format!("{{ {} }}", keys.map(|key| key.line(key.path)).join(", "));
    let table = reader.table(item, &such_as);
    reader.only(&table, &keys.map(|key| key.path));
    let [place, value] = keys;
    Some((value_of(reader, &table, place)?, value_of(reader, &table, value)?))
}

/// A value of a table that must have it.
fn value_of<T: Field>(reader: &mut Reader, table: &TomlTable<'_>, key: &Key) -> Option<T> {
    if let Some(item) = table.get(key.path) {
        return T::of(reader, &item, key);
    }
    if table.is_there() {
        reader.missing(table, key.path, &key.line(key.path));
    }
    T::stand_in()
}

/// The two keys of a station.
pub(in crate::params) fn station_keys(size: &'static str, room: KeyRange) -> [Key; 2] {
    let such_as = if room.least < 0.0 { "6 mm" } else { "15 mm" };
    [
        SHARE
            .within(ALONG.least, ALONG.most)
            .such_as("50 %")
            .named("at", "Where it is, from the handle's end (0 %) to the neck (100 %)."),
        LENGTH.within(room.least, room.most).such_as(such_as).named(size, "The size there."),
    ]
}
