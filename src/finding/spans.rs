//! Where each key of a file has its value.

use std::collections::BTreeMap;
use std::ops::Range;

/// Dotted keys of a file, such as `bowl.depth` or `handle.width[1].size`, and the bytes of their
/// values.
///
/// Not promised: that a key is there. A rule may ask for a key that the file leaves to its
/// default; it then gets the nearest part of the file that holds it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Spans(BTreeMap<String, Range<usize>>);

impl Spans {
    /// None yet.
    pub const fn new() -> Spans {
        Spans(BTreeMap::new())
    }

    /// Notes where a key's value is.
    pub fn insert(&mut self, key: impl Into<String>, span: Range<usize>) {
        self.0.insert(key.into(), span);
    }

    /// Bytes of the key's value, or of the nearest key above it that is in the file.
    pub fn get(&self, key: &str) -> Option<Range<usize>> {
        let mut key = key;
        loop {
            if let Some(span) = self.0.get(key) {
                return Some(span.clone());
            }
            key = parent(key)?;
        }
    }

    /// Whether this very key is in the file.
    pub fn contains(&self, key: &str) -> bool {
        self.0.contains_key(key)
    }

    /// All keys with their bytes, in the keys' order.
    pub fn iter(&self) -> impl Iterator<Item = (&str, Range<usize>)> {
        self.0.iter().map(|(key, span)| (key.as_str(), span.clone()))
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
