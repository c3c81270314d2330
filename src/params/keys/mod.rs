//! What a key of the three files is, and the one way to declare it.
//!
//! A struct of `keys!` is a table of a file, or a part of one: each field names its kind of value,
//! its range, what holds when it is left out, and whether `[give]` may name it, and its comment is
//! the sentence that the maker reads. The reader, the range findings, the echo in `packet.json`,
//! the lookup for `[give]`, the JSON Schema and `docs/keys.md` all follow from that.
//!
//! Not promised: anything about two keys together. Such rules are functions with findings of their
//! own, in `validate` or beside the struct.

mod declare;
mod field;
pub(in crate::params) mod figure;
mod file;
mod form;
mod key;
mod keyed;
mod reference;
mod schema;
#[cfg(test)]
mod tests;
mod tree;
mod varying;

pub(in crate::params) use declare::{field_of_part, keys, named, words};
pub(in crate::params) use field::{Field, inside};
pub use form::form;
pub(in crate::params) use key::{
    ACCELERATION, ALONG, ANGLE, COUNT, FEED, FIT, FLAG, FORCE, LENGTH, LENGTH_OR_NONE, NUMBER,
    Named, PERCENT, POINT, SAFETY, SHARE, SIZE, SPEED, TEXT, TIME, WARMTH, choice, stations,
    varying,
};
pub use key::{Absent, Key, KeyRange, KeyShape, VaryingShape, Word};
#[cfg(test)]
pub(in crate::params) use keyed::usual;
pub(crate) use keyed::{Keyed, echo};
pub(in crate::params) use keyed::{part, some_tables, table, tables};
pub use reference::reference;
pub use schema::schema;
pub(in crate::params) use tree::{Node, giving, tree};
pub use varying::Varying;
