//! What to keep clear of on a board.

use super::codes;
use super::keys::{Field, Key, KeyShape, Keyed, LENGTH, POINT, keys, tables};
use super::read::{Item, Reader, TomlTable};
use crate::units::Length;
use glam::DVec2;
use serde_json::{Map, Value, json};

/// What to keep clear of.
#[derive(Clone, Debug, PartialEq)]
pub struct Flaw {
    /// What it is.
    pub kind: FlawKind,
    /// Its extent.
    pub shape: FlawShape,
}

/// What a flaw is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FlawKind {
    /// A branch's root in the wood.
    Knot,
    /// A crack along the grain.
    Check,
    /// A missing edge, bark or the round of the log.
    Wane,
}

impl FlawKind {
    /// `knot`, `check` or `wane`.
    pub const fn name(self) -> &'static str {
        match self {
            FlawKind::Knot => "knot",
            FlawKind::Check => "check",
            FlawKind::Wane => "wane",
        }
    }
}

/// The extent of a flaw on the board, in mm in the board's frame.
#[derive(Clone, Debug, PartialEq)]
pub enum FlawShape {
    /// Round.
    Circle {
        /// Middle.
        centre: DVec2,
        /// Radius.
        radius: Length,
    },
    /// A closed polygon of at least three corners.
    Polygon(Vec<DVec2>),
    /// A line of at least two points: a crack, or the wood's edge at a wane.
    Line(Vec<DVec2>),
}

/// So many points of a flaw at least.
const fn points(least: usize) -> Key {
    Key::of(KeyShape::List(&KeyShape::Place, least, usize::MAX, codes::FLAW_SHAPE))
}
const LINE: Key = points(2)
    .such_as("[[\"0 mm\", \"20 mm\"], [\"60 mm\", \"0 mm\"]]")
    .left_out("a polygon instead");
const POLYGON: Key = points(3)
    .such_as("[[\"40 mm\", \"0 mm\"], [\"90 mm\", \"0 mm\"], [\"60 mm\", \"9 mm\"]]")
    .left_out("the other shape instead");

keys! {
    /// A knot as the file has it.
    struct Knot {
        /// Its middle: along and across, from the corner.
        centre: Option<DVec2> =
            POINT.such_as("[\"50 mm\", \"40 mm\"]").left_out("a polygon instead"),
        /// Its radius.
        radius: Option<Length> = LENGTH.commonly(1.0, 45.0).such_as("6 mm").left_out("a polygon instead"),
        /// Its corners, three at least, in order.
        polygon: Option<Vec<DVec2>> = POLYGON,
    }
}

keys! {
    /// A check or a wane as the file has it.
    struct Crack {
        /// Its points, two at least, in order: along a crack, or along the line to which the wood
        /// is sound.
        line: Option<Vec<DVec2>> = LINE,
        /// Its corners, three at least, in order.
        polygon: Option<Vec<DVec2>> = POLYGON,
    }
}

/// `[[knot]]`, `[[check]]` and `[[wane]]`.
pub(super) const FLAWS: Key = Key::of(KeyShape::Part(&[
    tables::<Knot>()
        .such_as("centre = [\"50 mm\", \"40 mm\"]\nradius = \"6 mm\"")
        .named("knot", "A branch's root in the wood: a centre and a radius, or a polygon."),
    tables::<Crack>().named("check", "A crack along the grain: a line or a polygon."),
    tables::<Crack>().named(
        "wane",
        "A missing edge, bark or the round of the log: a line up to which the wood is sound, or a \
         polygon.",
    ),
]))
.at("");

impl Field for Vec<Flaw> {
    fn take(reader: &mut Reader, root: &TomlTable<'_>, _: &'static Key) -> Option<Vec<Flaw>> {
        let mut flaws = Vec::new();
        for kind in [FlawKind::Knot, FlawKind::Check, FlawKind::Wane] {
            let items = root.get(kind.name()).and_then(|item| item.items()).unwrap_or_default();
            for table in items.iter().map(Item::section) {
                let shape = match kind {
                    FlawKind::Knot => knot(reader, &table),
                    FlawKind::Check | FlawKind::Wane => {
                        let Crack { line, polygon } = Crack::read(reader, &table)?;
                        let shapes = [line.map(FlawShape::Line), polygon.map(FlawShape::Polygon)];
                        one(reader, &table, kind, shapes)
                    }
                };
                // One that can't be read is kept without points, so that the rest keep their
                // number.
                flaws.push(Flaw { kind, shape: shape.unwrap_or(FlawShape::Line(Vec::new())) });
            }
        }
        Some(flaws)
    }
    fn of(_: &mut Reader, _: &Item<'_>, _: &Key) -> Option<Vec<Flaw>> {
        None
    }
    fn stand_in() -> Option<Vec<Flaw>> {
        None
    }
    fn echo(&self, key: &Key, out: &mut Map<String, Value>) {
        out.insert(key.field.to_owned(), self.shown(key));
    }
    fn shown(&self, _: &Key) -> Value {
        let points = |points: &[DVec2]| points.iter().map(|p| json!([p.x, p.y])).collect::<Value>();
        let one = |flaw: &Flaw| {
            let kind = flaw.kind.name();
            match &flaw.shape {
                FlawShape::Circle { centre, radius } => json!({
                    "kind": kind, "centre_mm": [centre.x, centre.y], "radius_mm": radius.as_mm(),
                }),
                FlawShape::Polygon(corners) => {
                    json!({ "kind": kind, "polygon_mm": points(corners) })
                }
                FlawShape::Line(corners) => json!({ "kind": kind, "line_mm": points(corners) }),
            }
        };
        self.iter().map(one).collect()
    }
}

fn knot(reader: &mut Reader, table: &TomlTable<'_>) -> Option<FlawShape> {
    let Knot { centre, radius, polygon } = Knot::read(reader, table)?;
    if centre.is_some() && radius.is_none() {
        reader.missing(table, "radius", "radius = \"6 mm\"");
    }
    // A radius alone has no place, and beside a polygon it is one too many.
    let centre = centre.or(radius.and(polygon.as_ref()).map(|_| DVec2::NAN));
    let radius = radius.unwrap_or(Length::mm(f64::NAN));
    let round = centre.map(|centre| FlawShape::Circle { centre, radius });
    one(reader, table, FlawKind::Knot, [round, polygon.map(FlawShape::Polygon)])
}

/// The one shape of a flaw; none, with a fault, if it has no shape or two.
fn one(
    reader: &mut Reader,
    table: &TomlTable<'_>,
    kind: FlawKind,
    shapes: [Option<FlawShape>; 2],
) -> Option<FlawShape> {
    let name = kind.name();
    let (message, help) = match (shapes, kind) {
        ([Some(shape), None] | [None, Some(shape)], _) => return Some(shape),
        ([None, None], FlawKind::Knot) => (
            format!("This {name} has no place."),
            "Write a centre and a radius, or a polygon of three or more points.",
        ),
        ([None, None], _) => (
            format!("This {name} has no place."),
            "Write a line of two or more points, or a polygon of three or more.",
        ),
        _ => (format!("This {name} has two shapes."), "Keep either the polygon or the other keys."),
    };
    if table.is_there() {
        reader.fault(codes::FLAW_SHAPE, table.key(), message, help);
    }
    None
}
