//! By how much a font moves two neighbouring letters together or apart.

use std::collections::BTreeSet;
use ttf_parser::gpos::{PairAdjustment, PositioningSubtable};
use ttf_parser::opentype_layout::{Feature, LayoutTable, LookupIndex};
use ttf_parser::{Face, GlyphId, Tag, kern};

const KERN: Tag = Tag::from_bytes(b"kern");
/// Tables of kerning at most, of either kind: ten times those of a rich font.
const MOST_TABLES: usize = 2000;
/// First and last letter of a script, and what fonts call it.
const SCRIPTS: [(char, char, &[u8; 4]); 3] =
    [('\u{370}', '\u{3ff}', b"grek"), ('\u{400}', '\u{52f}', b"cyrl"), ('\0', '\u{24f}', b"latn")];

/// A font's kerning: the pairs of its layout table, or of its older table where it has no such feature there.
pub(super) struct Kerning<'a> {
    layout: Option<LayoutTable<'a>>,
    older: Option<kern::Table<'a>>,
}

impl<'a> Kerning<'a> {
    /// None where a font has so much of it that looking would not end.
    pub(super) fn of(face: &Face<'a>) -> Option<Kerning<'a>> {
        let tables = face.tables();
        let layout = tables.gpos.filter(|layout| layout.features.find(KERN).is_some());
        let older =
            tables.kern.map_or(0, |kern| kern.subtables.into_iter().take(MOST_TABLES).count());
        let ends = older < MOST_TABLES && layout.is_none_or(|layout| ends(&layout));
        ends.then_some(Kerning { layout, older: tables.kern })
    }

    /// Between two letters, in the font's units; `letter` is the second.
    pub(super) fn between(&self, left: GlyphId, right: GlyphId, letter: char) -> i32 {
        match (&self.layout, &self.older) {
            (Some(layout), _) => by_layout(layout, left, right, letter),
            (None, Some(older)) => {
                let tables = older.subtables.into_iter();
                let plain = tables.filter(|table| {
                    table.horizontal
                        && !table.variable
                        && !table.has_cross_stream
                        && !table.has_state_machine
                });
                plain.filter_map(|table| table.glyphs_kerning(left, right)).map(i32::from).sum()
            }
            (None, None) => 0,
        }
    }
}

/// Whether the tables that kern can be looked through: the same may be named over and over.
fn ends(layout: &LayoutTable<'_>) -> bool {
    let features = layout.features.into_iter().filter(|feature| feature.tag == KERN);
    let lookups = features.flat_map(|feature| feature.lookup_indices).take(MOST_TABLES);
    let tables = lookups.map(|at| {
        1 + layout.lookups.get(at).map_or(0, |lookup| usize::from(lookup.subtables.len()))
    });
    tables.sum::<usize>() < MOST_TABLES
}

/// The lookups of a letter's script that kern, each once, in the order in which they count.
fn lookups(layout: &LayoutTable<'_>, letter: char) -> Vec<LookupIndex> {
    let own = SCRIPTS.into_iter().find(|(from, to, _)| (*from..=*to).contains(&letter));
    let tags = own.map(|(_, _, tag)| tag).into_iter().chain([b"DFLT", b"latn"]);
    let script = tags
        .filter_map(|tag| layout.scripts.find(Tag::from_bytes(tag)))
        .next()
        .or_else(|| layout.scripts.get(0));
    let Some(language) = script.and_then(|script| script.default_language) else {
        return Vec::new();
    };
    // A language may name a feature over and over.
    let named: BTreeSet<u16> = language.feature_indices.into_iter().collect();
    let features = named.into_iter().filter_map(|at| layout.features.get(at));
    let own = features.filter(|feature: &Feature<'_>| feature.tag == KERN);
    let mut all: Vec<LookupIndex> = own.flat_map(|feature| feature.lookup_indices).collect();
    all.sort_unstable();
    all.dedup();
    all
}

fn by_layout(layout: &LayoutTable<'_>, left: GlyphId, right: GlyphId, letter: char) -> i32 {
    let each = lookups(layout, letter).into_iter().filter_map(|at| layout.lookups.get(at));
    // In each lookup the first table that knows the pair counts.
    let moves = each.filter_map(|lookup| {
        let mut tables = lookup.subtables.into_iter::<PositioningSubtable<'_>>();
        tables.find_map(|table| match table {
            PositioningSubtable::Pair(pairs) => pair(&pairs, left, right),
            _ => None,
        })
    });
    moves.sum()
}

/// What a table of pairs says of two letters; nothing where it doesn't know them.
fn pair(pairs: &PairAdjustment<'_>, left: GlyphId, right: GlyphId) -> Option<i32> {
    let (first, _) = match pairs {
        PairAdjustment::Format1 { coverage, sets } => sets.get(coverage.get(left)?)?.get(right)?,
        PairAdjustment::Format2 { coverage, classes, matrix } => {
            coverage.get(left)?;
            matrix.get((classes.0.get(left), classes.1.get(right)))?
        }
    };
    Some(i32::from(first.x_advance))
}
