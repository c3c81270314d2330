//! Where each key of a file has its value.

use crate::units::Unit;
use std::collections::BTreeMap;
use std::ops::Range;

/// Dotted keys of a file, such as `bowl.depth` or `handle.width[1].size`, and the bytes of their
/// values.
///
/// Not promised: that a key is there. A rule may ask for a key that the file leaves to its
/// default; it then gets the nearest part of the file that holds it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Spans {
    spans: BTreeMap<String, Range<usize>>,
    /// Units of the lengths that are written with one.
    units: BTreeMap<String, Unit>,
}

impl Spans {
    /// None yet.
    pub const fn new() -> Spans {
        Spans { spans: BTreeMap::new(), units: BTreeMap::new() }
    }

    /// Notes where a key's value is.
    pub fn insert(&mut self, key: impl Into<String>, span: Range<usize>) {
        self.spans.insert(key.into(), span);
    }

    /// Notes that a key's value is a length in a unit.
    pub fn insert_unit(&mut self, key: impl Into<String>, unit: Unit) {
        self.units.insert(key.into(), unit);
    }

    /// The unit that a key's value is written in, else the one of most values under it or, without any,
    /// of the file.
    pub fn unit(&self, key: &str) -> Unit {
        let own = self.units.get(key).copied();
        own.or_else(|| self.mostly(key)).or_else(|| self.mostly("")).unwrap_or_default()
    }

    /// The unit of most lengths under a key; of none and of as many of each, none.
    fn mostly(&self, key: &str) -> Option<Unit> {
        let under = |name: &str| {
            name.strip_prefix(key)
                .is_some_and(|rest| key.is_empty() || rest.starts_with(['.', '[']))
        };
        let units = self.units.iter().filter(|(name, _)| under(name)).map(|(_, unit)| *unit);
        let count = units.clone().count();
        let inches = units.filter(|unit| *unit == Unit::Inch).count();
        match (2 * inches).cmp(&count) {
            std::cmp::Ordering::Less => Some(Unit::Millimetre),
            std::cmp::Ordering::Equal => None,
            std::cmp::Ordering::Greater => Some(Unit::Inch),
        }
    }

    /// Bytes of the key's value, or of the nearest key above it that is in the file.
    pub fn get(&self, key: &str) -> Option<Range<usize>> {
        let mut key = key;
        loop {
            if let Some(span) = self.spans.get(key) {
                return Some(span.clone());
            }
            key = parent(key)?;
        }
    }

    /// Whether this very key is in the file.
    pub fn contains(&self, key: &str) -> bool {
        self.spans.contains_key(key)
    }

    /// All keys with their bytes, in the keys' order.
    pub fn iter(&self) -> impl Iterator<Item = (&str, Range<usize>)> {
        self.spans.iter().map(|(key, span)| (key.as_str(), span.clone()))
    }
}

/// The key that holds this one: `handle.width` for `handle.width[1]`.
fn parent(key: &str) -> Option<&str> {
    key.rfind(['.', '[']).map(|end| &key[..end])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_without_a_unit_has_the_one_of_its_neighbours() {
        let mut spans = Spans::new();
        assert_eq!(spans.unit("bowl.depth"), Unit::Millimetre);
        for (key, unit) in [
            ("bowl.width", Unit::Inch),
            ("bowl.wall", Unit::Millimetre),
            ("handle.width[0].size", Unit::Inch),
            ("handle.width[1].size", Unit::Inch),
        ] {
            spans.insert_unit(key, unit);
        }
        assert_eq!(spans.unit("bowl.wall"), Unit::Millimetre);
        assert_eq!(spans.unit("bowl.depth"), Unit::Inch);
        assert_eq!(spans.unit("handle.width"), Unit::Inch);
    }

    #[test]
    fn an_absent_key_falls_back_to_what_holds_it() {
        let mut spans = Spans::new();
        spans.insert("handle", 0..8);
        spans.insert("handle.width", 20..90);
        spans.insert("handle.width[1]", 30..60);
        assert_eq!(spans.get("handle.width[1].size"), Some(30..60));
        assert_eq!(spans.get("handle.width[7].size"), Some(20..90));
        assert_eq!(spans.get("handle.section"), Some(0..8));
        assert_eq!(spans.get("bowl.depth"), None);
    }
}
