//! What a drawing holds beside closed outlines: it isn't cut, and a maker is told.

use std::collections::BTreeMap;

/// One of it, and several.
pub(super) type LeftOutKind = (&'static str, &'static str);

/// What isn't cut, and how many of each.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct LeftOut(BTreeMap<LeftOutKind, usize>);

impl LeftOut {
    pub(super) fn note(&mut self, kind: LeftOutKind) {
        *self.0.entry(kind).or_default() += 1;
    }

    /// In words; nothing where there is none.
    pub(super) fn told(&self) -> Option<String> {
        let each = self.0.iter().map(|((one, several), count)| match count {
            1 => (*one).to_owned(),
            count => format!("{count} {several}"),
        });
        Some(each.collect::<Vec<_>>().join(", ")).filter(|told| !told.is_empty())
    }
}
