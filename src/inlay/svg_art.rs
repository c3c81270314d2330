//! Outlines of an SVG file: paths and plain shapes with a filling, as they are transformed.
//!
//! Not read: style sheets, `use`, clip paths and masks; each file of a drawing program can be saved
//! without them.

use super::trouble::ArtTrouble;
use kurbo::{Affine, BezPath, Circle, Ellipse, Point, Rect, RoundedRect, Shape};
use roxmltree::{Document, Node, ParsingOptions};
use std::str::FromStr;

/// Curves stand for arcs within this part of the drawing's unit.
const ARC: f64 = 1e-4;
/// Groups in groups in groups beyond this depth are no drawing.
const DEEPEST: usize = 200;
/// Most elements of a file.
const MOST_NODES: u32 = 1_000_000;

/// The outlines of a file, Y upward.
pub(super) fn outlines(bytes: &[u8]) -> Result<BezPath, ArtTrouble> {
    let broken = |why: String| ArtTrouble::Broken { format: "SVG", why };
    let text = std::str::from_utf8(bytes).map_err(|_| broken("it is not UTF-8 text".to_owned()))?;
    let options = ParsingOptions { allow_dtd: true, nodes_limit: MOST_NODES, ..Default::default() };
    let file =
        Document::parse_with_options(text, options).map_err(|why| broken(why.to_string()))?;
    let root = file.root_element();
    if root.tag_name().name() != "svg" {
        return Err(broken("it has no <svg>".to_owned()));
    }
    let mut all = BezPath::new();
    // A drawing's Y grows downward.
    let mut open = vec![(root, Affine::FLIP_Y, true, 0)];
    while let Some((node, above, filled, depth)) = open.pop() {
        if !node.is_element() || hidden(&node) {
            continue;
        }
        if depth > DEEPEST {
            return Err(broken("its groups are nested too deep".to_owned()));
        }
        let map = above * turned(&node).map_err(broken)?;
        let filled = fills(&node).unwrap_or(filled);
        let name = node.tag_name().name();
        match name {
            "svg" | "g" | "a" | "switch" => {
                open.extend(node.children().rev().map(|child| (child, map, filled, depth + 1)));
            }
            "text" => return Err(ArtTrouble::Holds { what: "a text".to_owned() }),
            "image" | "use" => return Err(ArtTrouble::Holds { what: format!("<{name}>") }),
            _ if filled => {
                if let Some(shape) = shape(name, &node).map_err(broken)? {
                    all.extend(map * shape);
                }
            }
            _ => {}
        }
    }
    Ok(all)
}

/// The outline of an element; none for one that isn't a shape.
fn shape(name: &str, node: &Node<'_, '_>) -> Result<Option<BezPath>, String> {
    let length = |key: &str| match node.attribute(key) {
        None => Ok(None),
        Some(text) => match svgtypes::Length::from_str(text.trim()) {
            Ok(length) => Ok(Some(length.number)),
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
            let round = rx.or(ry).unwrap_or(0.0).min(wide / 2.0).min(high / 2.0);
            RoundedRect::from_rect(Rect::new(x, y, x + wide, y + high), round.max(0.0)).to_path(ARC)
        }
        "circle" => Circle::new((given("cx")?, given("cy")?), given("r")?).to_path(ARC),
        "ellipse" => {
            let radii = (given("rx")?, given("ry")?);
            Ellipse::new((given("cx")?, given("cy")?), radii, 0.0).to_path(ARC)
        }
        "polygon" | "polyline" => {
            let text = node.attribute("points").unwrap_or_default();
            let mut path = BezPath::new();
            for (index, (x, y)) in svgtypes::PointsParser::from(text).enumerate() {
                match index {
                    0 => path.move_to(Point::new(x, y)),
                    _ => path.line_to(Point::new(x, y)),
                }
            }
            path.close_path();
            path
        }
        _ => return Ok(None),
    }))
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

/// What an element says of a property, as an attribute or in its style.
fn says<'a>(node: &Node<'a, '_>, property: &str) -> Option<&'a str> {
    let style = node.attribute("style").unwrap_or_default().split(';');
    let mut style = style.filter_map(|one| one.split_once(':'));
    let styled = style.find(|(name, _)| name.trim() == property).map(|(_, value)| value);
    styled.or_else(|| node.attribute(property)).map(str::trim)
}

fn hidden(node: &Node<'_, '_>) -> bool {
    says(node, "display") == Some("none") || says(node, "visibility") == Some("hidden")
}

/// Whether it says that it is filled, or that it isn't.
fn fills(node: &Node<'_, '_>) -> Option<bool> {
    says(node, "fill").map(|fill| fill != "none")
}
