//! Room on the paper: what words cover, and where a label stands in nothing's way.

use super::{Anchor, Ink, MINOR};
use glam::DVec2;

/// What a word covers on the paper: least and greatest corner.
pub(crate) type Covered = (DVec2, DVec2);

impl Ink {
    /// A short word beside a mark of that radius, at the first place round it that is on the paper,
    /// free of other words and of wide lines, and on the mark's side of them; over a line if there
    /// is none, and left out when other words stand everywhere.
    pub(crate) fn label(&mut self, mark: DVec2, radius: f64, paper: DVec2, words: &str) {
        let place = |way: DVec2, anchor: Anchor| {
            let at = mark + way;
            (at, anchor, covers(at, anchor, false, MINOR, words))
        };
        let ways = [1.0, 2.2, 3.5, 6.0].into_iter().flat_map(|far| {
            let off = radius + far;
            [
                place(DVec2::new(off, 0.26 * MINOR), Anchor::Start),
                place(DVec2::new(-off, 0.26 * MINOR), Anchor::End),
                place(DVec2::new(0.0, -off), Anchor::Middle),
                place(DVec2::new(0.0, off + 0.76 * MINOR), Anchor::Middle),
            ]
        });
        let free: Vec<_> = ways
            .filter(|(_, _, covered)| {
                covered.0.min_element() >= 0.0
                    && covered.1.cmple(paper).all()
                    && self.is_free(*covered)
            })
            .collect();
        // No line may part a word from its mark either; the way to it is level or upright, so it is
        // a box without width.
        let clear = |at: DVec2, covered: Covered| {
            let start = mark + (at - mark).normalize_or_zero() * 0.3;
            let way = (start.min(at), start.max(at));
            !self.wide.iter().any(|ends| crosses(covered, *ends) || crosses(way, *ends))
        };
        let best = free.iter().find(|(at, _, covered)| clear(*at, *covered)).or(free.first());
        if let Some(&(at, anchor, _)) = best {
            self.words(at, anchor, false, MINOR, words);
        }
    }

    /// Whether no words stand in a box.
    pub(crate) fn is_free(&self, covered: Covered) -> bool {
        self.words.iter().all(|(_, other)| !overlap(covered, *other))
    }

    /// A line that labels keep clear of, as they do of wide ones.
    pub(crate) fn keep_clear(&mut self, ends: [DVec2; 2]) {
        self.wide.push(ends);
    }
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

/// The box of words with their foot line at a place; see [`Ink::words`].
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
fn crosses((low, high): Covered, [from, to]: [DVec2; 2]) -> bool {
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
