//! Room on the paper: what words cover.

use glam::DVec2;

/// What a word covers on the paper: least and greatest corner.
pub(crate) type Covered = (DVec2, DVec2);

/// Where a word's place is in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// How long words are at a size, by the widths of a plain sans serif in classes (after the metrics
/// of the fonts that printers have built in, ISO 32000-1, annex D).
pub(crate) fn length(words: &str, size: f64) -> f64 {
    let wide = |c: char| match c {
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | '/' | ' ' | '\u{a0}' | '!' => 0.30,
        '-' | '(' | ')' | 'f' | 'r' | 't' | 'I' => 0.36,
        'm' | 'w' | 'M' | 'W' | '%' | '@' => 0.88,
        'A'..='Z' => 0.70,
        c if c.is_ascii() => 0.56,
        _ => 1.0,
    };
    words.chars().map(wide).sum::<f64>() * size
}

/// The box of words with their foot line at a place; see [`super::Ink::words`].
pub(crate) fn covers(at: DVec2, anchor: Anchor, turned: bool, size: f64, words: &str) -> Covered {
    let long = length(words, size);
    let before = match anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => long / 2.0,
        Anchor::End => long,
    };
    // Above and below the foot line, as fonts have it at most for letters without accents.
    let (up, down) = (0.76 * size, 0.24 * size);
    if turned {
        (DVec2::new(at.x - up, at.y + before - long), DVec2::new(at.x + down, at.y + before))
    } else {
        (DVec2::new(at.x - before, at.y - up), DVec2::new(at.x - before + long, at.y + down))
    }
}

/// Whether a straight line comes into a box: clipped by its four sides, something is left of it.
pub(super) fn crosses((low, high): Covered, [from, to]: [DVec2; 2]) -> bool {
    let way = to - from;
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for (at, step, low, high) in [(from.x, way.x, low.x, high.x), (from.y, way.y, low.y, high.y)] {
        if step.abs() < 1e-12 {
            if at < low || at > high {
                return false;
            }
        } else {
            let (a, b) = ((low - at) / step, (high - at) / step);
            (enter, leave) = (enter.max(a.min(b)), leave.min(a.max(b)));
        }
    }
    enter <= leave
}

/// Whether two boxes overlap by more than a hair.
pub(crate) fn overlap(a: Covered, b: Covered) -> bool {
    let low = a.0.max(b.0);
    let high = a.1.min(b.1);
    high.x - low.x > 0.05 && high.y - low.y > 0.05
}
