//! Paper and ink for the sheet's drawings: line types, words, dimensions and hatching, as SVG in
//! millimetres of paper, Y down.
//!
//! Promised: words never take more room than their box says, whatever font draws them, because
//! each carries its length; all words are escaped; a place that is not finite draws nothing.

mod dimensions;
mod label;
mod room;

use crate::export::svg::escaped;
use crate::units::plain;
use glam::DVec2;
use std::fmt::Write;

#[cfg(test)]
pub(crate) use room::overlap;
pub(crate) use room::{Anchor, Covered, covers, length};

/// A finished drawing on paper of its own, whatever stands behind it, with the letters' look, which
/// in the sheet is its style's.
pub(crate) fn on_white(svg: &str) -> String {
    const PAPER: &str = "<style>text{fill:#000;font-family:Helvetica,Arial,'Liberation Sans',\
        sans-serif;white-space:pre;paint-order:stroke;stroke:#fff;stroke-width:.9}</style>\
        <rect width=\"100%\" height=\"100%\" fill=\"white\" stroke=\"none\"/>";
    svg.replacen("<g class=\"ink\">", &format!("{PAPER}<g class=\"ink\">"), 1)
}

/// Height of letters, as the font's size in mm: main figures and secondary ones, which are 9 points, the
/// least that is read with ease beside a machine. A capital is about 0.7 of it (so 2.5 mm and 2.2 mm;
/// ISO 3098-1 has 2.5 mm and 1.8 mm as its smallest).
pub(crate) const MAIN: f64 = 3.5;
pub(crate) const MINOR: f64 = 3.18;

/// Length of an arrow's head and half of its width: an arrow of about 20 degrees (ISO 129-1 has
/// closed filled arrows as slim as 15 degrees; chosen by eye).
const ARROW: (f64, f64) = (2.4, 0.42);

/// Between hatching lines.
const HATCH: f64 = 1.7;

/// Line types by the conventions of technical drawing (ISO 128-2): wide to narrow is 2 to 1; a
/// dash is 12 widths long, a long dash 24, a gap 3, a dot half a width.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Line {
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

/// A drawing in the making.
#[derive(Debug, Default)]
pub(crate) struct Ink {
    marks: String,
    /// Drawn last, so that no line runs through a figure.
    letters: String,
    words: Vec<(String, Covered)>,
    /// Wide lines, for a label to keep clear of.
    wide: Vec<[DVec2; 2]>,
}

impl Ink {
    /// A path by its `d`.
    pub(crate) fn path(&mut self, line: Line, d: &str) {
        let (width, dashes) = line.look();
        let _ = write!(self.marks, "<path d=\"{d}\" stroke-width=\"{width}\"");
        if !dashes.is_empty() {
            let _ = write!(self.marks, " stroke-dasharray=\"{dashes}\"");
        }
        self.marks.push_str("/>");
    }

    /// Straight lines from point to point.
    pub(crate) fn lines(&mut self, line: Line, points: &[DVec2], closed: bool) {
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
    pub(crate) fn circle(&mut self, line: Line, centre: DVec2, radius: f64) {
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
    pub(crate) fn filled(&mut self, points: &[DVec2], fill: &str) {
        if points.len() > 2 && points.iter().all(|p| p.is_finite()) {
            let d = course(points, true);
            let _ = write!(self.marks, "<path d=\"{d}\" fill=\"{fill}\" stroke=\"none\"/>");
        }
    }

    /// A closed polygon hatched the other way, for a second part in the same cut.
    pub(crate) fn hatched_back(&mut self, points: &[DVec2]) {
        self.hatching(points, true);
    }

    /// A closed polygon hatched at 45 degrees with thin lines.
    pub(crate) fn hatched(&mut self, points: &[DVec2]) {
        self.hatching(points, false);
    }

    fn hatching(&mut self, points: &[DVec2], mirrored: bool) {
        if !points.iter().all(|p| p.is_finite()) {
            return;
        }
        // Turned so that the hatching lies level: u along a line, v across.
        let flip = DVec2::new(if mirrored { -1.0 } else { 1.0 }, 1.0);
        let turned = |p: DVec2| DVec2::new(p.x * flip.x - p.y, p.x * flip.x + p.y);
        let back = |q: DVec2| flip * DVec2::new(q.x + q.y, q.y - q.x) / 2.0;
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
    pub(crate) fn words(
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

    /// A filled arrow's head with its point at `tip`, flying along `way`.
    pub(crate) fn arrow(&mut self, tip: DVec2, way: DVec2) {
        let way = way.normalize_or_zero();
        let foot = tip - way * ARROW.0;
        let side = way.perp() * ARROW.1;
        self.filled(&[tip, foot + side, foot - side], "black");
    }

    /// Where X and Y are zero: a ring on the corner, quartered.
    pub(crate) fn zero(&mut self, at: DVec2) {
        self.circle(Line::Seen, at, 1.6);
        self.filled(
            &[at, at - DVec2::Y * 1.6, at + DVec2::new(1.1, -1.1), at + DVec2::X * 1.6],
            "black",
        );
        self.filled(
            &[at, at + DVec2::Y * 1.6, at + DVec2::new(-1.1, 1.1), at - DVec2::X * 1.6],
            "black",
        );
    }

    /// What the words cover, for a look at whether they stand in each other's way.
    #[cfg(test)]
    pub(crate) fn covered(&self) -> &[(String, Covered)] {
        &self.words
    }

    /// The same, as large on paper as it is drawn.
    pub(crate) fn done_at_size(self, size: DVec2, name: &str) -> String {
        let (wide, high) = (short(size.x), short(size.y));
        let sized = format!("<svg width=\"{wide}mm\" height=\"{high}mm\"");
        self.done(size, name).replacen("<svg", &sized, 1)
    }

    /// The drawing as an SVG element of so many millimetres, with a name for those who can't see
    /// it.
    pub(crate) fn done(self, size: DVec2, name: &str) -> String {
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
pub(crate) fn short(value: f64) -> String {
    plain(value, 2)
}

#[cfg(test)]
mod tests;
