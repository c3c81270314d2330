//! Drawings as SVG at true size, for printing and for looking at.
//!
//! One unit of the picture is one millimetre; Y points up in the drawing and down in the file.
//! Layers differ by their dashes, so that a black and white print can be read.

use super::dxf::{Layer, one_line};
use crate::outline::ArcPath;
use crate::units::{Length, Unit, plain};
use glam::DVec2;
use std::fmt::Write;

/// Line width and dashes in mm of the layers that have a style of their own.
const STYLES: [(&str, f64, &str); 9] = [
    ("outline", 0.5, ""),
    ("slots", 0.35, ""),
    ("tabs", 0.35, "3 1"),
    ("saw-lines", 0.5, "4 1 0.6 1"),
    ("pins", 0.35, "0.8 0.8"),
    ("limit", 0.25, "6 1.5 1 1.5"),
    ("board", 0.7, ""),
    ("flaws", 0.25, "1.5 1.5"),
    ("hold-downs", 0.35, "8 2"),
];

/// Line width and dashes of any other layer.
const PLAIN: (f64, &str) = (0.25, "");

/// Decimals of a coordinate: a tenth of a micrometre, far under the arcs' own error.
const PLACES: usize = 4;

/// An SVG picture of the layers inside `bounds` (least and greatest corner, mm), at true size:
/// its width and height are in `unit`, its coordinates in mm. What is not finite is left out.
pub fn drawing(layers: &[Layer], unit: Unit, bounds: (DVec2, DVec2)) -> String {
    let (low, high) = (bounds.0.min(bounds.1), bounds.0.max(bounds.1));
    let (low, high) =
        if low.is_finite() && high.is_finite() { (low, high) } else { (DVec2::ZERO, DVec2::ZERO) };
    let size = high - low;
    let side = |mm: f64| plain(Length::mm(mm).as_unit(unit), PLACES + 2) + unit.symbol();
    let mut out = String::new();
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{}\" height=\"{}\" viewBox=\"{} {} {} {}\">",
        side(size.x),
        side(size.y),
        number(low.x),
        number(-high.y),
        number(size.x),
        number(size.y),
    );
    for layer in layers {
        group(&mut out, layer);
    }
    out.push_str("</svg>\n");
    out
}

fn group(out: &mut String, layer: &Layer) {
    let own = STYLES.iter().find(|(name, ..)| *name == layer.name);
    let (width, dashes) = own.map_or(PLAIN, |&(_, width, dashes)| (width, dashes));
    let _ = write!(
        out,
        "<g id=\"{}\" fill=\"none\" stroke=\"black\" stroke-width=\"{width}\" stroke-linejoin=\"round\"",
        escaped(layer.name)
    );
    if !dashes.is_empty() {
        let _ = write!(out, " stroke-dasharray=\"{dashes}\"");
    }
    out.push_str(">\n");
    for path in &layer.paths {
        if let Some(course) = course(path) {
            let _ = writeln!(out, "<path d=\"{course}\"/>");
        }
    }
    for (centre, radius) in &layer.circles {
        if centre.is_finite() && radius.as_mm().is_finite() {
            let _ = writeln!(
                out,
                "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
                number(centre.x),
                number(-centre.y),
                number(radius.as_mm().abs())
            );
        }
    }
    for (corner, words, height) in &layer.texts {
        if corner.is_finite() && height.as_mm().is_finite() {
            // letters are filled, not drawn round
            let _ = writeln!(
                out,
                "<text x=\"{}\" y=\"{}\" font-size=\"{}\" font-family=\"sans-serif\" fill=\"black\" stroke=\"none\">{}</text>",
                number(corner.x),
                number(-corner.y),
                number(height.as_mm()),
                escaped(words)
            );
        }
    }
    out.push_str("</g>\n");
}

/// A path's `d`, for pictures that put it into a page of their own. None for a path without
/// segments or with a point that is not finite.
pub fn course(path: &ArcPath) -> Option<String> {
    let finite = |v: &crate::outline::ArcVertex| v.point.is_finite() && v.bulge.is_finite();
    if !path.vertices.iter().all(finite) {
        return None;
    }
    let start = path.segments().next()?.from;
    let mut d = format!("M{} {}", number(start.x), number(-start.y));
    for segment in path.segments() {
        let (x, y) = (number(segment.to.x), number(-segment.to.y));
        let _ = if segment.bulge == 0.0 {
            write!(d, "L{x} {y}")
        } else {
            // counter-clockwise seen with Y up is against SVG's positive angle
            let (large, sweep) =
                (u8::from(segment.bulge.abs() > 1.0), u8::from(segment.bulge < 0.0));
            let radius = plain(segment.radius(), PLACES + 4);
            write!(d, "A{radius} {radius} 0 {large} {sweep} {x} {y}")
        };
    }
    if path.closed {
        d.push('Z');
    }
    Some(d)
}

fn number(value: f64) -> String {
    plain(value, PLACES)
}

/// Text with the marks of XML written out.
pub(crate) fn escaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for c in one_line(words).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_picture_is_at_true_size() {
        let bounds = (DVec2::new(-10.0, -20.0), DVec2::new(244.0, 30.8));
        let metric = drawing(&[], Unit::Millimetre, bounds);
        assert!(metric.contains("width=\"254mm\" height=\"50.8mm\""));
        assert!(metric.contains("viewBox=\"-10 -30.8 254 50.8\""));
        let inches = drawing(&[], Unit::Inch, bounds);
        assert!(inches.contains("width=\"10in\" height=\"2in\""));
        assert!(inches.contains("viewBox=\"-10 -30.8 254 50.8\""));
    }

    /// SVG 2, paths, elliptical arc: with Y down, sweep flag 0 goes against the clock on screen.
    #[test]
    fn arcs_keep_their_side() {
        let circle = ArcPath::circle(DVec2::new(0.0, 5.0), Length::mm(2.0));
        assert_eq!(course(&circle).unwrap(), "M2 -5A2 2 0 0 0 -2 -5A2 2 0 0 0 2 -5Z");
        assert!(course(&circle.reversed()).unwrap().contains("A2 2 0 0 1"));
        assert!(course(&ArcPath::polygon([DVec2::NAN, DVec2::ZERO])).is_none());
    }

    #[test]
    fn layers_differ_without_colour() {
        for (i, a) in STYLES.iter().enumerate() {
            for b in &STYLES[i + 1..] {
                assert!(a.2 != b.2 || (a.1 - b.1).abs() > 0.1, "{} and {}", a.0, b.0);
            }
        }
    }

    #[test]
    fn names_can_not_break_out_of_the_picture() {
        let words = "</text><script>\u{0}&\"'\u{202e}".to_owned();
        let texts = vec![(DVec2::ZERO, words, Length::mm(3.0))];
        let layer = Layer { name: "\"><b", texts, ..Default::default() };
        let picture = drawing(&[layer], Unit::Millimetre, (DVec2::ZERO, DVec2::ONE));
        assert!(picture.contains("&lt;/text&gt;&lt;script&gt; &amp;&quot;&#39; </text>"));
        assert!(picture.contains("id=\"&quot;&gt;&lt;b\""));
    }
}
