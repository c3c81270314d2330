//! Outlines of an SVG file: paths and plain shapes with a filling, as they are transformed.
//!
//! Not read: style sheets, clip paths, masks and filters, which are told; pictures, texts and linked copies,
//! for which the file is refused. Each file of a drawing program can be saved without them.

use super::left_out::{LeftOut, LeftOutKind};
use super::trouble::{ArtTrouble, MOST_PARTS};
use kurbo::{Affine, BezPath, Circle, Ellipse, Point, Rect, RoundedRect, Shape};
use roxmltree::{Document, Node, ParsingOptions};
use std::str::FromStr;
use svgtypes::{LengthUnit, NumberListParser};

/// Curves stand for arcs within this part of the drawing's unit.
const ARC: f64 = 1e-4;
/// Groups in groups in groups beyond this depth are no drawing.
const DEEPEST: usize = 200;
/// Most elements of a file.
const MOST_NODES: u32 = 1_000_000;

const STROKE: LeftOutKind = ("a stroke", "strokes");
const SHEET: LeftOutKind = ("a style sheet", "style sheets");
const SCRIPT: LeftOutKind = ("a script", "scripts");
const FOREIGN: LeftOutKind = ("a foreign object", "foreign objects");
/// Properties that change what is seen of an element.
const SEEN: [(&str, LeftOutKind); 3] = [
    ("clip-path", ("a clip path", "uses of clip paths")),
    ("mask", ("a mask", "uses of masks")),
    ("filter", ("a filter", "uses of filters")),
];

/// Which outlines are read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lines {
    /// Those with a filling.
    Filled,
    /// Those with a filling or a stroke, along its middle.
    Drawn,
}

/// What an element has from those round it.
#[derive(Clone, Copy)]
struct Above {
    map: Affine,
    filled: bool,
    stroked: bool,
    depth: usize,
}

/// Whether an element has more attributes than any drawing gives one: the parser compares each with all.
fn crowded(text: &str) -> bool {
    const MOST_ATTRIBUTES: usize = 1000;
    // Comments may hold anything.
    let parts = text.split("<!--").enumerate();
    let mut parts = parts.map(|(index, part)| match index {
        0 => part,
        _ => part.split_once("-->").map_or("", |(_, rest)| rest),
    });
    parts.any(|part| {
        let (mut quote, mut tag, mut count) = (None, false, 0);
        part.bytes().any(|byte| {
            match (quote, byte) {
                (Some(open), _) if open == byte => quote = None,
                (Some(_), _) => {}
                (None, b'"' | b'\'') if tag => quote = Some(byte),
                (None, b'<') => (tag, count) = (true, 0),
                (None, b'>') => tag = false,
                (None, b'=') if tag => count += 1,
                _ => {}
            }
            count > MOST_ATTRIBUTES
        })
    })
}

/// The outlines of a file, Y upward, and what is left out.
pub(super) fn outlines(bytes: &[u8], seen: Lines) -> Result<(BezPath, LeftOut), ArtTrouble> {
    let broken = |why: String| ArtTrouble::Broken { format: "SVG", why };
    let holds = |what: &str| Err(ArtTrouble::Holds { what: what.to_owned() });
    let text = std::str::from_utf8(bytes).map_err(|_| broken("it is not UTF-8 text".to_owned()))?;
    if crowded(text) {
        return Err(broken("one of its elements has more than 1000 attributes".to_owned()));
    }
    let options = ParsingOptions { allow_dtd: true, nodes_limit: MOST_NODES, ..Default::default() };
    let file =
        Document::parse_with_options(text, options).map_err(|why| broken(why.to_string()))?;
    let root = file.root_element();
    if root.tag_name().name() != "svg" {
        return Err(broken("it has no <svg>".to_owned()));
    }
    let (mut all, mut left) = (BezPath::new(), LeftOut::default());
    for node in root.descendants() {
        match node.tag_name().name() {
            "style" if node.text().is_some_and(|text| !text.trim().is_empty()) => left.note(SHEET),
            "script" => left.note(SCRIPT),
            _ => {}
        }
    }
    // A drawing's Y grows downward.
    let first = Above { map: Affine::FLIP_Y, filled: true, stroked: false, depth: 0 };
    let mut open = vec![(root, first)];
    while let Some((node, above)) = open.pop() {
        if !node.is_element() || hidden(&node) {
            continue;
        }
        if above.depth > DEEPEST {
            return Err(broken(format!("its groups are nested deeper than {DEEPEST}")));
        }
        if styled(&node, "transform").is_some() {
            return holds("a transform inside a style");
        }
        for (property, kind) in SEEN {
            if says(&node, property).is_some_and(|value| value != "none") {
                left.note(kind);
            }
        }
        let own = Above {
            map: above.map * turned(&node).map_err(broken)?,
            filled: paints(&node, "fill").unwrap_or(above.filled),
            stroked: paints(&node, "stroke").unwrap_or(above.stroked),
            depth: above.depth + 1,
        };
        let name = node.tag_name().name();
        let framed = ["x", "y", "viewBox"].iter().any(|key| node.has_attribute(*key));
        match name {
            "svg" if above.depth > 0 && framed => return holds("an <svg> with a frame of its own"),
            "svg" | "g" | "a" | "switch" => {
                open.extend(node.children().rev().map(|child| (child, own)));
            }
            "text" => return holds("a text"),
            "image" => return holds("a picture (<image>)"),
            "use" => return holds("a linked copy (<use>)"),
            "foreignObject" => left.note(FOREIGN),
            "line" if own.stroked => left.note(STROKE),
            _ => {
                let Some(shape) = shape(name, &node, seen).map_err(broken)? else { continue };
                if own.stroked {
                    left.note(STROKE);
                }
                if own.filled || seen == Lines::Drawn && own.stroked {
                    all.extend(own.map * shape);
                }
            }
        }
        if all.elements().len() > MOST_PARTS {
            return Err(ArtTrouble::TooMuch);
        }
    }
    Ok((all, left))
}

/// The outline of an element; none for one that isn't a shape.
fn shape(name: &str, node: &Node<'_, '_>, seen: Lines) -> Result<Option<BezPath>, String> {
    let length = |key: &str| match node.attribute(key) {
        None => Ok(None),
        Some(text) => match svgtypes::Length::from_str(text.trim()) {
            Ok(length) => points(length).map(Some).ok_or_else(|| {
                format!("`{key}` of a <{name}> is in a unit that depends on where it is shown")
            }),
            Err(_) => Err(format!("`{key}` of a <{name}> is no length")),
        },
    };
    let given = |key: &str| Ok::<f64, String>(length(key)?.unwrap_or(0.0));
    Ok(Some(match name {
        "path" => {
            let text = node.attribute("d").unwrap_or_default();
            BezPath::from_svg(text).map_err(|why| format!("the path `{}`: {why}", start(text)))?
        }
        "rect" => {
            let (x, y, wide, high) = (given("x")?, given("y")?, given("width")?, given("height")?);
            let (rx, ry) = (length("rx")?, length("ry")?);
            let half = |one: Option<f64>, other: Option<f64>, side: f64| {
                one.or(other).unwrap_or(0.0).clamp(0.0, side.max(0.0) / 2.0)
            };
            let (rx, ry) = (half(rx, ry, wide), half(ry, rx, high));
            // Round corners that are no parts of circles are such parts, drawn out.
            let tall = if rx > 0.0 && ry > 0.0 { ry / rx } else { 1.0 };
            let rect = Rect::new(0.0, 0.0, wide.max(0.0), high.max(0.0) / tall);
            let radius = if rx > 0.0 && ry > 0.0 { rx } else { 0.0 };
            let map = Affine::translate((x, y)) * Affine::scale_non_uniform(1.0, tall);
            map * RoundedRect::from_rect(rect, radius).to_path(ARC)
        }
        "circle" => Circle::new((given("cx")?, given("cy")?), given("r")?).to_path(ARC),
        "ellipse" => {
            let radii = (given("rx")?, given("ry")?);
            Ellipse::new((given("cx")?, given("cy")?), radii, 0.0).to_path(ARC)
        }
        "polygon" | "polyline" => {
            let text = node.attribute("points").unwrap_or_default();
            let numbers: Result<Vec<f64>, _> = NumberListParser::from(text).collect();
            let numbers = numbers.ok().filter(|numbers| numbers.len().is_multiple_of(2));
            let numbers =
                numbers.ok_or_else(|| format!("the points `{}` are none", start(text)))?;
            let mut path = BezPath::new();
            for (index, pair) in numbers.chunks_exact(2).enumerate() {
                let to = Point::new(pair[0], pair[1]);
                if index == 0 { path.move_to(to) } else { path.line_to(to) }
            }
            // A filling closes it; a stroke doesn't.
            if !numbers.is_empty() && (name == "polygon" || seen == Lines::Filled) {
                path.close_path();
            }
            path
        }
        _ => return Ok(None),
    }))
}

/// A length in the drawing's own unit, of which 96 are an inch; none for one that depends on something else.
fn points(length: svgtypes::Length) -> Option<f64> {
    let unit = match length.unit {
        LengthUnit::None | LengthUnit::Px => 1.0,
        LengthUnit::In => 96.0,
        LengthUnit::Cm => 96.0 / 2.54,
        LengthUnit::Mm => 96.0 / 25.4,
        LengthUnit::Pt => 96.0 / 72.0,
        LengthUnit::Pc => 16.0,
        LengthUnit::Em | LengthUnit::Ex | LengthUnit::Percent => return None,
    };
    Some(length.number * unit)
}

/// The beginning of a long text.
fn start(text: &str) -> String {
    text.chars().take(24).collect()
}

fn turned(node: &Node<'_, '_>) -> Result<Affine, String> {
    let Some(text) = node.attribute("transform") else { return Ok(Affine::IDENTITY) };
    let map = svgtypes::Transform::from_str(text)
        .map_err(|_| format!("the transform `{}` is none", start(text)))?;
    Ok(Affine::new([map.a, map.b, map.c, map.d, map.e, map.f]))
}

/// What the style of an element says of a property.
fn styled<'a>(node: &Node<'a, '_>, property: &str) -> Option<&'a str> {
    let style = node.attribute("style").unwrap_or_default().split(';');
    let mut style = style.filter_map(|one| one.split_once(':'));
    style.find(|(name, _)| name.trim() == property).map(|(_, value)| value.trim())
}

/// What an element says of a property, as an attribute or in its style.
fn says<'a>(node: &Node<'a, '_>, property: &str) -> Option<&'a str> {
    styled(node, property).or_else(|| node.attribute(property)).map(str::trim)
}

fn hidden(node: &Node<'_, '_>) -> bool {
    says(node, "display") == Some("none") || says(node, "visibility") == Some("hidden")
}

/// Whether it says that it has such a paint, or that it hasn't.
fn paints(node: &Node<'_, '_>, paint: &str) -> Option<bool> {
    says(node, paint).map(|value| value != "none")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_element_with_very_many_attributes_is_refused_and_a_comment_is_none() {
        let attributes =
            |many: usize| (0..many).map(|i| format!(" a{i}=\"1\"")).collect::<String>();
        let inside = "<path d=\"M0 0h5v6z\"/>";
        let file = |first: &str| {
            format!("<svg{first} xmlns=\"http://www.w3.org/2000/svg\">{inside}</svg>")
        };
        let read = |text: String| outlines(text.as_bytes(), Lines::Filled).map(|_| ());
        assert_eq!(read(file(&attributes(900))), Ok(()));
        let refused = read(file(&attributes(1100)));
        assert!(
            matches!(&refused, Err(ArtTrouble::Broken { why, .. }) if why.contains("1000")),
            "{refused:?}"
        );
        let banner = format!("<!-- it's {} -->{}", "=".repeat(3000), file(""));
        assert_eq!(read(banner), Ok(()));
        // A figure in quotation marks is no attribute.
        assert_eq!(read(file(&format!(" title=\"{}\"", "=".repeat(3000)))), Ok(()));
    }
}
