//! Labels: words that stand in nothing's way.

use super::room::{Anchor, Covered, covers, crosses, overlap};
use super::{Ink, MINOR};
use glam::DVec2;

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
        // Where all that is in the way, aslant.
        let aslant = [0.8, 2.0].into_iter().flat_map(|far| {
            let off = radius * 0.7 + far;
            let (over, under) = (-off, off + 0.76 * MINOR);
            [
                place(DVec2::new(off, under), Anchor::Start),
                place(DVec2::new(-off, under), Anchor::End),
                place(DVec2::new(off, over), Anchor::Start),
                place(DVec2::new(-off, over), Anchor::End),
            ]
        });
        let free: Vec<_> = ways
            .chain(aslant)
            .filter(|(_, _, covered)| {
                covered.0.min_element() >= 0.0
                    && covered.1.cmple(paper).all()
                    && self.is_free(*covered)
            })
            .collect();
        // No line may part a word from its mark either: the way to it is level or upright, a box
        // without width, or one that it goes through from corner to corner.
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
