//! Values and tables of the file, with the dotted keys that they stand at.

use toml::de::{DeTable, DeValue};

/// A value with its dotted key.
#[derive(Clone)]
pub(crate) struct Item<'t> {
    pub(super) key: String,
    pub(super) value: &'t DeValue<'t>,
}

impl<'t> Item<'t> {
    /// One that stands in no file.
    pub(in crate::params) fn bare(key: &str, value: &'t DeValue<'t>) -> Item<'t> {
        Item { key: key.to_owned(), value }
    }

    pub(in crate::params) fn key(&self) -> &str {
        &self.key
    }

    pub(in crate::params) fn as_text(&self) -> Option<&'t str> {
        self.value.as_str()
    }

    pub(in crate::params) fn is_list(&self) -> bool {
        self.value.is_array()
    }

    /// The table that it is; without entries if it is none.
    pub(in crate::params) fn section(&self) -> TomlTable<'t> {
        TomlTable { key: self.key.clone(), entries: self.value.as_table() }
    }

    /// The items of the list that it is.
    pub(in crate::params) fn items(&self) -> Option<Vec<Item<'t>>> {
        let one = |(index, value): (usize, &'t toml::Spanned<DeValue<'t>>)| Item {
            key: format!("{}[{index}]", self.key),
            value: value.get_ref(),
        };
        Some(self.value.as_array()?.iter().enumerate().map(one).collect())
    }
}

/// A table with its dotted key; without entries if the file has no such table.
#[derive(Clone)]
pub(crate) struct TomlTable<'t> {
    pub(super) key: String,
    pub(super) entries: Option<&'t DeTable<'t>>,
}

impl<'t> TomlTable<'t> {
    /// One that no file has.
    #[cfg(test)]
    pub(in crate::params) fn bare() -> TomlTable<'t> {
        TomlTable { key: String::new(), entries: None }
    }

    pub(in crate::params) fn key(&self) -> &str {
        &self.key
    }

    pub(in crate::params) fn key_of(&self, name: &str) -> String {
        if self.key.is_empty() { name.to_owned() } else { format!("{}.{name}", self.key) }
    }

    pub(in crate::params) fn get(&self, name: &str) -> Option<Item<'t>> {
        let value = self.entries?.get(name)?;
        Some(Item { key: self.key_of(name), value: value.get_ref() })
    }

    pub(in crate::params) fn has(&self, name: &str) -> bool {
        self.entries.is_some_and(|entries| entries.get(name).is_some())
    }

    pub(in crate::params) fn is_there(&self) -> bool {
        self.entries.is_some()
    }

    /// The table of that name in it, or itself for no name.
    pub(in crate::params) fn under(&self, name: &str) -> TomlTable<'t> {
        match name {
            "" => self.clone(),
            _ => self.get(name).map_or_else(
                || TomlTable { key: self.key_of(name), entries: None },
                |item| item.section(),
            ),
        }
    }

    /// All that stands in it.
    pub(in crate::params) fn items(&self) -> Vec<(&'t str, Item<'t>)> {
        let entries = self.entries.into_iter().flatten();
        entries
            .map(|(name, value)| {
                let name: &str = name.get_ref();
                (name, Item { key: self.key_of(name), value: value.get_ref() })
            })
            .collect()
    }
}
