//! Paper and ink for the sheet's drawings: line types, words, dimensions and hatching, as SVG in
//! millimetres of paper, Y down.
//!
//! Promised: words never take more room than their box says, whatever font draws them, because
//! each carries its length; all words are escaped; a place that is not finite draws nothing.

use crate::export::svg::escaped;
use crate::sheet::measure::Both;
use crate::units::plain;
use glam::DVec2;
use std::fmt::Write;

/// A finished drawing on paper of its own, whatever stands behind it, with the letters' look, which
/// in the sheet is its style's.
pub(super) fn on_white(svg: &str) -> String {
    const PAPER: &str = "<style>text{fill:#000;font-family:Helvetica,Arial,'Liberation Sans',\
        sans-serif;white-space:pre;paint-order:stroke;stroke:#fff;stroke-width:.9}</style>\
        <rect width=\"100%\" height=\"100%\" fill=\"white\" stroke=\"none\"/>";
    svg.replacen("<g class=\"ink\">", &format!("{PAPER}<g class=\"ink\">"), 1)
}

/// Height of letters, as the font's size in mm: main figures and secondary ones. A capital is
/// about 0.7 of it (so 2.2 mm; ISO 3098-1 has 2.5 mm and 1.8 mm as its smallest).
pub(super) const MAIN: f64 = 3.1;
pub(super) const MINOR: f64 = 2.5;

/// Room between a figure and its dimension line.
const CLEAR: f64 = 0.9;

/// Length of an arrow's head and half of its width: an arrow of about 20 degrees (ISO 129-1 has
/// closed filled arrows as slim as 15 degrees; chosen by eye).
const ARROW: (f64, f64) = (2.4, 0.42);

/// Room between an upright dimension line and its figure beside it.
const BESIDE: f64 = 1.6;

/// From the outline to an extension line's start, and past the dimension line (common practice:
/// eight times the line's width).
const GAP: f64 = 0.8;
const PAST: f64 = 1.4;

/// Between hatching lines.
const HATCH: f64 = 1.7;

/// Line types by the conventions of technical drawing (ISO 128-2): wide to narrow is 2 to 1; a
/// dash is 12 widths long, a long dash 24, a gap 3, a dot half a width.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Line {
    /// Continuous wide: what is seen.
    Seen,
    /// Continuous, between the two: small marks.
    Outline,
    /// Continuous narrow: dimensions, extension lines, hatching.
    Thin,
    /// Dashed narrow: what is hidden, or cut away later.
    Hidden,
    /// Long-dashed dotted narrow: middle lines.
    Middle,
    /// Long-dashed double-dotted narrow: what limits or stands beside.
    Limit,
    /// Dotted: flaws.
    Dotted,
}

impl Line {
    /// Width and dashes, in mm.
    const fn look(self) -> (f64, &'static str) {
        match self {
            Line::Seen => (0.5, ""),
            Line::Outline => (0.3, ""),
            Line::Thin => (0.18, ""),
            Line::Hidden => (0.25, "3 .75"),
            Line::Middle => (0.25, "6 .75 .125 .75"),
            Line::Limit => (0.25, "6 .75 .125 .75 .125 .75"),
            Line::Dotted => (0.35, ".35 .9"),
        }
    }
}

/// Where a word's place is in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// What a word covers on the paper: least and greatest corner.
pub(super) type Covered = (DVec2, DVec2);

/// A drawing in the making.
#[derive(Debug, Default)]
pub(super) struct Ink {
    marks: String,
    /// Drawn last, so that no line runs through a figure.
    letters: String,
    words: Vec<(String, Covered)>,
    /// Wide lines, for a label to keep clear of.
    wide: Vec<[DVec2; 2]>,
}

impl Ink {
    /// A path by its `d`.
    pub(super) fn path(&mut self, line: Line, d: &str) {
        let (width, dashes) = line.look();
        let _ = write!(self.marks, "<path d=\"{d}\" stroke-width=\"{width}\"");
        if !dashes.is_empty() {
            let _ = write!(self.marks, " stroke-dasharray=\"{dashes}\"");
        }
        self.marks.push_str("/>");
    }

    /// Straight lines from point to point.
    pub(super) fn lines(&mut self, line: Line, points: &[DVec2], closed: bool) {
        if points.len() > 1 && points.iter().all(|p| p.is_finite()) {
            self.path(line, &course(points, closed));
            if line == Line::Seen {
                self.wide.extend(points.windows(2).map(|ends| [ends[0], ends[1]]));
                if closed {
                    self.wide.push([points[points.len() - 1], points[0]]);
                }
            }
        }
    }

    /// A circle.
    pub(super) fn circle(&mut self, line: Line, centre: DVec2, radius: f64) {
        if centre.is_finite() && radius.is_finite() {
            let (x, y, r) = (centre.x, centre.y, radius.abs());
            let d = format!(
                "M{} {}a{r} {r} 0 1 0 {} 0a{r} {r} 0 1 0 {} 0",
                short(x - r),
                short(y),
                short(2.0 * r),
                short(-2.0 * r),
                r = short(r),
            );
            self.path(line, &d);
        }
    }

    /// A filled shape without a line.
    pub(super) fn filled(&mut self, points: &[DVec2], fill: &str) {
        if points.len() > 2 && points.iter().all(|p| p.is_finite()) {
            let d = course(points, true);
            let _ = write!(self.marks, "<path d=\"{d}\" fill=\"{fill}\" stroke=\"none\"/>");
        }
    }

    /// A closed polygon hatched at 45 degrees with thin lines.
    pub(super) fn hatched(&mut self, points: &[DVec2]) {
        if !points.iter().all(|p| p.is_finite()) {
            return;
        }
        // Turned so that the hatching lies level: u along a line, v across.
        let turned = |p: DVec2| DVec2::new(p.x - p.y, p.x + p.y);
        let back = |q: DVec2| DVec2::new(q.x + q.y, q.y - q.x) / 2.0;
        let corners: Vec<DVec2> = points.iter().map(|p| turned(*p)).collect();
        let low = corners.iter().map(|q| q.y).fold(f64::INFINITY, f64::min);
        let high = corners.iter().map(|q| q.y).fold(f64::NEG_INFINITY, f64::max);
        let step = HATCH * std::f64::consts::SQRT_2;
        let mut d = String::new();
        let mut level = (low / step).floor() * step + step / 3.0;
        while level < high {
            let mut cuts: Vec<f64> = (0..corners.len())
                .filter_map(|i| {
                    let (a, b) = (corners[i], corners[(i + 1) % corners.len()]);
                    let crosses = (a.y <= level) != (b.y <= level);
                    crosses.then(|| a.x + (b.x - a.x) * (level - a.y) / (b.y - a.y))
                })
                .collect();
            cuts.sort_by(f64::total_cmp);
            for pair in cuts.chunks_exact(2) {
                let ends = [pair[0], pair[1]].map(|u| back(DVec2::new(u, level)));
                d.push_str(&course(&ends, false));
            }
            level += step;
        }
        if !d.is_empty() {
            self.path(Line::Thin, &d);
        }
    }

    /// Words with their foot line at a place; turned, they read from the right.
    pub(super) fn words(
        &mut self,
        at: DVec2,
        anchor: Anchor,
        turned: bool,
        size: f64,
        words: &str,
    ) {
        if words.is_empty() || !at.is_finite() {
            return;
        }
        let long = length(words, size);
        let covered = covers(at, anchor, turned, size, words);
        let (x, y) = (short(at.x), short(at.y));
        let _ = write!(self.letters, "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\"");
        let _ = write!(
            self.letters,
            " textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\"",
            short(long)
        );
        match anchor {
            Anchor::Start => {}
            Anchor::Middle => self.letters.push_str(" text-anchor=\"middle\""),
            Anchor::End => self.letters.push_str(" text-anchor=\"end\""),
        }
        if turned {
            let _ = write!(self.letters, " transform=\"rotate(-90 {x} {y})\"");
        }
        let _ = write!(self.letters, ">{}</text>", escaped(words));
        self.words.push((words.to_owned(), covered));
    }

    /// A short word beside a mark of that radius, at the first place round it that is on the paper,
    /// free of other words and of wide lines, and on the mark's side of them; over a line if there
    /// is none, and left out when other words stand everywhere.
    pub(super) fn label(&mut self, mark: DVec2, radius: f64, paper: DVec2, words: &str) {
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
    pub(super) fn is_free(&self, covered: Covered) -> bool {
        self.words.iter().all(|(_, other)| !overlap(covered, *other))
    }

    /// A line that labels keep clear of, as they do of wide ones.
    pub(super) fn keep_clear(&mut self, ends: [DVec2; 2]) {
        self.wide.push(ends);
    }

    /// A filled arrow's head with its point at `tip`, flying along `way`.
    pub(super) fn arrow(&mut self, tip: DVec2, way: DVec2) {
        let way = way.normalize_or_zero();
        let foot = tip - way * ARROW.0;
        let side = way.perp() * ARROW.1;
        self.filled(&[tip, foot + side, foot - side], "black");
    }

    /// A level dimension between two places of the piece, its line at height `y`.
    pub(super) fn across(&mut self, from: DVec2, to: DVec2, y: f64, figure: &Both) {
        self.extend(from, DVec2::new(from.x, y));
        self.extend(to, DVec2::new(to.x, y));
        let (a, b) = (DVec2::new(from.x, y), DVec2::new(to.x, y));
        self.between(a, b);
        let middle = (a + b) / 2.0;
        self.words(middle - DVec2::Y * CLEAR, Anchor::Middle, false, MAIN, &figure.main);
        let under = CLEAR + 0.76 * MINOR;
        self.words(middle + DVec2::Y * under, Anchor::Middle, false, MINOR, &figure.minor);
    }

    /// An upright dimension between two places of the piece, its line at `x`, its figure level
    /// and on that side of the line which `side` says: all figures read from the foot of the sheet.
    pub(super) fn upright(
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
    pub(super) fn dimension(&mut self, from: DVec2, to: DVec2, x: f64) {
        self.extend(from, DVec2::new(x, from.y));
        self.extend(to, DVec2::new(x, to.y));
        self.between(DVec2::new(x, from.y), DVec2::new(x, to.y));
    }

    /// A figure in two lines beside a place, with what it is before it.
    pub(super) fn beside(&mut self, at: DVec2, side: Anchor, what: &str, figure: &Both) {
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

    /// What the words cover, for a look at whether they stand in each other's way.
    #[cfg(test)]
    pub(super) fn covered(&self) -> &[(String, Covered)] {
        &self.words
    }

    /// The drawing as an SVG element of so many millimetres, with a name for those who can't see
    /// it.
    pub(super) fn done(self, size: DVec2, name: &str) -> String {
        let (wide, high) = (short(size.x), short(size.y));
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" aria-label=\"{}\" \
             viewBox=\"0 0 {wide} {high}\" fill=\"none\" stroke=\"black\" stroke-linejoin=\"round\">\
             <g class=\"ink\">{}{}</g></svg>",
            escaped(name),
            self.marks,
            self.letters
        )
    }
}

fn course(points: &[DVec2], closed: bool) -> String {
    let mut d = String::new();
    for (i, p) in points.iter().enumerate() {
        let _ = write!(d, "{}{} {}", if i == 0 { 'M' } else { 'L' }, short(p.x), short(p.y));
    }
    if closed {
        d.push('Z');
    }
    d
}

/// A hundredth of a millimetre of paper is finer than any printer.
pub(super) fn short(value: f64) -> String {
    plain(value, 2)
}

/// How long words are at a size, by the widths of a plain sans serif in classes (after the metrics
/// of the fonts that printers have built in, ISO 32000-1, annex D).
pub(super) fn length(words: &str, size: f64) -> f64 {
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
pub(super) fn covers(at: DVec2, anchor: Anchor, turned: bool, size: f64, words: &str) -> Covered {
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
pub(super) fn overlap(a: Covered, b: Covered) -> bool {
    let low = a.0.max(b.0);
    let high = a.1.min(b.1);
    high.x - low.x > 0.05 && high.y - low.y > 0.05
}

#[cfg(test)]
mod tests;
