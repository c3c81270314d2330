//! Lines in space as DXF: 3D polylines, release 2000.

use super::ExportError;
use super::dxf::{empty, finite, written};
use crate::units::Unit;
use ::dxf::entities::{Entity, EntityType, Polyline, Vertex};
use ::dxf::{Color, Point};
use glam::DVec3;

/// Of a polyline in space, and of its corners (DXF Reference, POLYLINE and VERTEX, group 70).
const IN_SPACE: i32 = 8;
const CORNER_IN_SPACE: i32 = 32;
const CLOSED: i32 = 1;

/// Lines in mm, each with whether it closes, on one layer, with coordinates in `unit`.
///
/// # Errors
/// If a coordinate is not finite.
pub fn lines(
    layer: &str,
    lines: &[(Vec<DVec3>, bool)],
    unit: Unit,
) -> Result<Vec<u8>, ExportError> {
    let mut drawing = empty(unit);
    let color = Color::from_index(7);
    drawing.add_layer(::dxf::tables::Layer { name: layer.to_owned(), color, ..Default::default() });
    let (mut low, mut high) = (DVec3::INFINITY, DVec3::NEG_INFINITY);
    for (corners, closed) in lines {
        let flags = IN_SPACE | if *closed { CLOSED } else { 0 };
        let mut line = Polyline { flags, ..Default::default() };
        for corner in corners {
            let at = *corner / unit.in_mm();
            (low, high) = (low.min(at), high.max(at));
            let at = Point::new(finite(at.x)?, finite(at.y)?, finite(at.z)?);
            let corner = Vertex { flags: CORNER_IN_SPACE, ..Vertex::new(at) };
            line.add_vertex(&mut drawing, corner);
        }
        let mut entity = Entity::new(EntityType::Polyline(line));
        layer.clone_into(&mut entity.common.layer);
        drawing.add_entity(entity);
    }
    if low.is_finite() {
        drawing.header.minimum_drawing_extents = Point::new(low.x, low.y, low.z);
        drawing.header.maximum_drawing_extents = Point::new(high.x, high.y, high.z);
    }
    written(drawing)
}
