//! How many parts a letter is put together from, where letters are made of letters: a few bytes of a font can
//! ask for more of them than any machine draws.

use std::collections::BTreeMap;
use ttf_parser::{Face, Tag};

/// A letter has no more parts: a hundred times an accented one.
pub(super) const MOST_LETTER_PARTS: u64 = 1000;
/// Letters of letters of letters are no deeper than they are drawn.
const DEEPEST: usize = 32;
/// Flags of a part (OpenType, table glyf): arguments of two bytes, a scale, more parts, two scales, a matrix.
const WORDS: u16 = 1;
const SCALE: u16 = 8;
const MORE: u16 = 0x20;
const TWO_SCALES: u16 = 0x40;
const MATRIX: u16 = 0x80;

/// The outlines of a font of quadratic curves, as its tables have them.
pub(super) struct Composites<'a> {
    places: &'a [u8],
    outlines: &'a [u8],
    long: bool,
    known: BTreeMap<u16, u64>,
}

impl<'a> Composites<'a> {
    /// None for a font of another kind.
    pub(super) fn of(face: &Face<'a>) -> Option<Composites<'a>> {
        let table = |name: &[u8; 4]| face.raw_face().table(Tag::from_bytes(name));
        let long = *table(b"head")?.get(51)? != 0;
        let (places, outlines) = (table(b"loca")?, table(b"glyf")?);
        Some(Composites { places, outlines, long, known: BTreeMap::new() })
    }

    /// How many plain outlines a letter is put together from; endlessly many where it is part of itself.
    pub(super) fn parts(&mut self, glyph: u16) -> u64 {
        self.parts_at(glyph, DEEPEST)
    }

    fn parts_at(&mut self, glyph: u16, more: usize) -> u64 {
        if let Some(known) = self.known.get(&glyph) {
            return *known;
        }
        // Whoever comes back here meanwhile is part of itself.
        self.known.insert(glyph, u64::MAX);
        let own = self.components(glyph);
        let sum = own.iter().fold(0, |sum: u64, part| match sum > MOST_LETTER_PARTS {
            true => sum,
            false if more == 0 => u64::MAX,
            false => sum.saturating_add(self.parts_at(*part, more - 1)),
        });
        let sum = sum.max(1);
        self.known.insert(glyph, sum);
        sum
    }

    /// The letters that a letter is put together from; none for a plain one.
    fn components(&self, glyph: u16) -> Vec<u16> {
        let mut found = Vec::new();
        let Some(own) =
            self.outline(glyph).filter(|own| word(own, 0).is_some_and(|n| n >> 15 == 1))
        else {
            return found;
        };
        let mut at = 10;
        while let (Some(flags), Some(part)) = (word(own, at), word(own, at + 2)) {
            found.push(part);
            let scales = match flags {
                _ if flags & SCALE != 0 => 2,
                _ if flags & TWO_SCALES != 0 => 4,
                _ if flags & MATRIX != 0 => 8,
                _ => 0,
            };
            at += if flags & WORDS != 0 { 8 } else { 6 } + scales;
            if flags & MORE == 0 || found.len() as u64 > MOST_LETTER_PARTS {
                break;
            }
        }
        found
    }

    fn outline(&self, glyph: u16) -> Option<&'a [u8]> {
        let at = usize::from(glyph);
        let place = |at: usize| match self.long {
            true => Some(
                (usize::from(word(self.places, 4 * at)?) << 16)
                    | usize::from(word(self.places, 4 * at + 2)?),
            ),
            false => Some(2 * usize::from(word(self.places, 2 * at)?)),
        };
        self.outlines.get(place(at)?..place(at + 1)?)
    }
}

fn word(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_be_bytes([*bytes.get(at)?, *bytes.get(at + 1)?]))
}
