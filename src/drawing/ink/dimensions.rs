//! Dimensions: extension lines, a line with arrows, and figures in both units.

use super::{ARROW, Anchor, Ink, Line, MAIN, MINOR, length};
use crate::drawing::measure::Both;
use glam::DVec2;

/// Room between a figure and its dimension line.
const CLEAR: f64 = 0.9;

/// Room between an upright dimension line and its figure beside it.
const BESIDE: f64 = 1.6;

/// From the outline to an extension line's start, and past the dimension line (common practice:
/// eight times the line's width).
const GAP: f64 = 0.8;
const PAST: f64 = 1.4;

impl Ink {
    /// A level dimension between two places of the piece, its line at height `y`.
    pub(crate) fn across(&mut self, from: DVec2, to: DVec2, y: f64, figure: &Both) {
        self.extend(from, DVec2::new(from.x, y));
        self.extend(to, DVec2::new(to.x, y));
        let (a, b) = (DVec2::new(from.x, y), DVec2::new(to.x, y));
        self.between(a, b);
        // Figures that are wider than their dimension stand beside it, off its extension lines.
        let long = length(&figure.main, MAIN).max(length(&figure.minor, MINOR));
        if a.distance(b) < long + 2.0 * CLEAR {
            let right = if a.x > b.x { a } else { b };
            return self.beside(right, Anchor::Start, "", figure);
        }
        let middle = (a + b) / 2.0;
        self.words(middle - DVec2::Y * CLEAR, Anchor::Middle, false, MAIN, &figure.main);
        let under = CLEAR + 0.76 * MINOR;
        self.words(middle + DVec2::Y * under, Anchor::Middle, false, MINOR, &figure.minor);
    }

    /// An upright dimension between two places of the piece, its line at `x`, its figure level
    /// and on that side of the line which `side` says: all figures read from the foot of the sheet.
    pub(crate) fn upright(
        &mut self,
        from: DVec2,
        to: DVec2,
        x: f64,
        side: Anchor,
        what: &str,
        figure: &Both,
    ) {
        self.dimension(from, to, x);
        self.beside(DVec2::new(x, (from.y + to.y) / 2.0), side, what, figure);
    }

    /// An upright dimension's lines, without its figure.
    pub(crate) fn dimension(&mut self, from: DVec2, to: DVec2, x: f64) {
        self.extend(from, DVec2::new(x, from.y));
        self.extend(to, DVec2::new(x, to.y));
        self.between(DVec2::new(x, from.y), DVec2::new(x, to.y));
    }

    /// A figure in two lines beside a place, with what it is before it.
    pub(crate) fn beside(&mut self, at: DVec2, side: Anchor, what: &str, figure: &Both) {
        let off = match side {
            Anchor::End => -BESIDE,
            _ => BESIDE,
        };
        let main =
            if what.is_empty() { figure.main.clone() } else { format!("{what} {}", figure.main) };
        let at = at + DVec2::X * off;
        self.words(at - DVec2::Y * 0.3, side, false, MAIN, &main);
        self.words(at + DVec2::Y * (0.76 * MINOR + 0.6), side, false, MINOR, &figure.minor);
    }

    /// An extension line, from just off the piece to just past the dimension line.
    fn extend(&mut self, piece: DVec2, line: DVec2) {
        let way = (line - piece).normalize_or_zero();
        if piece.distance(line) > GAP {
            self.lines(Line::Thin, &[piece + way * GAP, line + way * PAST], false);
        }
    }

    /// A dimension line with its arrows, from outside where there is no room between.
    fn between(&mut self, a: DVec2, b: DVec2) {
        let way = (b - a).normalize_or_zero();
        if a.distance(b) > 2.6 * ARROW.0 {
            self.lines(Line::Thin, &[a, b], false);
            self.arrow(a, -way);
            self.arrow(b, way);
        } else {
            let out = way * 2.2 * ARROW.0;
            self.lines(Line::Thin, &[a - out, b + out], false);
            self.arrow(a, way);
            self.arrow(b, -way);
        }
    }
}
