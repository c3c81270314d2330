//! Structs of keys: what each does with its keys, and how it stands in another's table.

use super::key::{Key, KeyShape};
#[cfg(test)]
use crate::finding::Source;
use crate::params::Dimension;
use crate::params::read::{Reader, TomlTable};
use serde_json::{Map, Value};

/// A struct of keys.
pub(crate) trait Keyed: Sized {
    /// Its keys, in the order of its fields.
    const KEYS: &'static [Key];

    /// Reads its keys from a table, which may be one that the file hasn't. None if there's a value
    /// that is no good and has no stand-in; that has had its fault.
    fn read(reader: &mut Reader, at: &TomlTable<'_>) -> Option<Self>;

    /// Its keys with their units, for programs.
    fn echo(&self, out: &mut Map<String, Value>);

    /// The dimension that a path of keys names, for `[give]`.
    fn dimension(&mut self, path: &str) -> Option<Dimension<'_>>;
}

/// What a struct is if the file says nothing of it.
#[cfg(test)]
pub(in crate::params) fn usual<P: Keyed>() -> P {
    P::read(&mut Reader::bare(Source::Design), &TomlTable::bare()).expect("all of it has a default")
}

/// All that a file says, with what holds where it says nothing, for programs: each name ends in its
/// unit.
pub(crate) fn echo(of: &impl Keyed) -> Map<String, Value> {
    let mut out = Map::new();
    of.echo(&mut out);
    out
}

/// Another struct's table.
pub(in crate::params) const fn table<P: Keyed>() -> Key {
    Key::of(KeyShape::Table(P::KEYS)).left_out("all of it as usual")
}

/// Another struct's keys, in this table.
pub(in crate::params) const fn part<P: Keyed>() -> Key {
    Key::of(KeyShape::Part(P::KEYS)).at("")
}

/// A list of another struct's tables, which may be empty.
pub(in crate::params) const fn tables<P: Keyed>() -> Key {
    Key::of(KeyShape::Tables(P::KEYS, 0)).left_out("none")
}

/// A list of another struct's tables, at least one.
pub(in crate::params) const fn some_tables<P: Keyed>() -> Key {
    Key::of(KeyShape::Tables(P::KEYS, 1))
}
