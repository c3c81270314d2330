//! Letters: a text's outlines by a font of the maker's own.
//!
//! Promised: each letter's outline with its curves, one after the other on a line, at the font's own
//! distances with its kerning. Not promised: ligatures, marks that are letters of their own, scripts that run
//! from right to left or whose letters join; a text that needs them is refused.

use super::charstrings::CharStrings;
use super::composites::{Composites, MOST_LETTER_PARTS};
use super::kerning::Kerning;
use super::trouble::{LettersTrouble, MOST_LETTERS, MOST_PARTS};
use kurbo::{Affine, BezPath, Shape};
use ttf_parser::gdef::GlyphClass;
use ttf_parser::{Face, GlyphId, OutlineBuilder};

/// Letters of these run from right to left, or change their form and place as they join: Hebrew to the
/// scripts of India, Thai and Tibet, Burmese, Khmer and Mongolian, and the same once more as forms.
const JOINED: [(char, char); 5] = [
    ('\u{590}', '\u{109f}'),
    ('\u{1780}', '\u{18af}'),
    ('\u{fb1d}', '\u{fdff}'),
    ('\u{fe70}', '\u{feff}'),
    ('\u{10800}', '\u{11fff}'),
];

/// The outlines of a text's letters, a capital 1 high, on a line from the origin to the right.
pub(super) fn outlines(text: &str, font: &[u8]) -> Result<Vec<BezPath>, LettersTrouble> {
    let face =
        Face::parse(font, 0).map_err(|why| LettersTrouble::Broken { why: why.to_string() })?;
    let text = text.trim();
    if text.chars().count() > MOST_LETTERS {
        return Err(LettersTrouble::Long);
    }
    if let Some(c) = text.chars().find(|c| JOINED.iter().any(|(from, to)| (from..=to).contains(&c)))
    {
        return Err(LettersTrouble::Joined { letter: c });
    }
    let letters: Vec<(char, Option<GlyphId>)> =
        text.chars().map(|c| (c, face.glyph_index(c).filter(|glyph| glyph.0 > 0))).collect();
    let mut missing: Vec<char> = Vec::new();
    for (c, glyph) in &letters {
        if glyph.is_none() && !missing.contains(c) {
            missing.push(*c);
        }
    }
    if !missing.is_empty() {
        return Err(LettersTrouble::missing(&missing));
    }
    let broken = |why: &str| LettersTrouble::Broken { why: why.to_owned() };
    let mut composites = Composites::of(&face);
    let programs = CharStrings::of(&face);
    let mut endless = |glyph: GlyphId| {
        composites.as_mut().is_some_and(|own| own.parts(glyph.0) > MOST_LETTER_PARTS)
            || programs.as_ref().is_some_and(|own| !own.ends(glyph.0))
    };
    let drawn = letters.iter().filter_map(|(_, glyph)| *glyph).chain(face.glyph_index('H'));
    if drawn.into_iter().any(&mut endless) {
        return Err(broken("a letter is put together from endlessly many parts"));
    }
    let kerning = Kerning::of(&face).ok_or_else(|| broken("its kerning has no end"))?;
    let (mut parts, mut along, mut before) = (Vec::new(), 0.0, None);
    let mut drawn = 0;
    for (c, glyph) in letters.into_iter().filter_map(|(c, glyph)| Some((c, glyph?))) {
        if class(&face, glyph) == Some(GlyphClass::Mark) {
            return Err(LettersTrouble::Mark { letter: c });
        }
        along += before.map_or(0.0, |before| f64::from(kerning.between(before, glyph, c)));
        let outline = outline(&face, glyph)?;
        drawn += outline.elements().len();
        if drawn > MOST_PARTS {
            return Err(broken("its letters have too many lines and curves"));
        }
        if outline.elements().is_empty() {
            if !c.is_whitespace() {
                return Err(LettersTrouble::missing(&[c]));
            }
        } else {
            parts.push(Affine::translate((along, 0.0)) * outline);
        }
        along += f64::from(face.glyph_hor_advance(glyph).unwrap_or(0));
        before = Some(glyph);
    }
    let high = capital(&face, &parts).ok_or(LettersTrouble::Empty)?;
    Ok(parts.into_iter().map(|part| Affine::scale(1.0 / high) * part).collect())
}

fn class(face: &Face<'_>, glyph: GlyphId) -> Option<GlyphClass> {
    face.tables().gdef?.glyph_class(glyph)
}

/// How high a capital is, in the font's units: an H as it is drawn, else as the font says; else the letters
/// themselves.
fn capital(face: &Face<'_>, parts: &[BezPath]) -> Option<f64> {
    let drawn = face.glyph_index('H').filter(|glyph| glyph.0 > 0);
    let drawn = drawn.and_then(|glyph| outline(face, glyph).ok()).map(|path| path.bounding_box());
    let told = || face.capital_height().map(f64::from);
    let own = || around(parts).map(|around| around.height());
    let high = drawn.map(|around| around.height()).filter(|high| *high > 0.0);
    let high = high.or_else(|| told().filter(|high| *high > 0.0)).or_else(own);
    high.filter(|high| high.is_finite() && *high > 0.0)
}

/// The box of outlines.
pub(super) fn around(parts: &[BezPath]) -> Option<kurbo::Rect> {
    parts.iter().map(Shape::bounding_box).reduce(|one, other| one.union(other))
}

/// A pen that draws a letter's outline.
struct Pen(BezPath);

impl Pen {
    fn room(&self) -> bool {
        self.0.elements().len() <= MOST_PARTS
    }
}

impl OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        if self.room() {
            self.0.move_to((f64::from(x), f64::from(y)));
        }
    }

    fn line_to(&mut self, x: f32, y: f32) {
        if self.room() {
            self.0.line_to((f64::from(x), f64::from(y)));
        }
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        if self.room() {
            let on = (f64::from(x), f64::from(y));
            self.0.quad_to((f64::from(x1), f64::from(y1)), on);
        }
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        if self.room() {
            let [a, b, on] =
                [(x1, y1), (x2, y2), (x, y)].map(|(x, y)| (f64::from(x), f64::from(y)));
            self.0.curve_to(a, b, on);
        }
    }

    fn close(&mut self) {
        if self.room() {
            self.0.close_path();
        }
    }
}

/// A letter's outline in the font's units, Y upward; nothing for a space.
fn outline(face: &Face<'_>, glyph: GlyphId) -> Result<BezPath, LettersTrouble> {
    let mut pen = Pen(BezPath::new());
    let around = face.outline_glyph(glyph, &mut pen);
    let finite = pen.0.is_finite();
    // A font of quadratic curves says where a letter's left end lies, which need not be where it was drawn.
    let left = around.filter(|_| face.tables().glyf.is_some()).and_then(|around| {
        Some(f64::from(face.glyph_hor_side_bearing(glyph)?) - f64::from(around.x_min))
    });
    match pen.room() && finite {
        true => Ok(Affine::translate((left.unwrap_or(0.0), 0.0)) * pen.0),
        false => Err(LettersTrouble::Broken { why: "a letter has no sound outline".to_owned() }),
    }
}
