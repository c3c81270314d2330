//! Reads a packet's reliefs and outlines back.

use super::plan_shape::PlanShape;
use crate::outline::{ArcPath, ArcVertex};
use crate::units::{Length, MM_PER_INCH};
use dxf::entities::EntityType;
use dxf::enums::Units;
use glam::{DVec2, DVec3};

/// Arcs of limits as chords: well under the least distance that is told.
const CHORD: Length = Length::mm(0.005);

/// Triangles of a binary STL file, in mm; none when it is not one.
pub fn triangles(bytes: &[u8], unit_mm: f64) -> Option<Vec<[DVec3; 3]>> {
    stl_io::create_stl_reader(&mut std::io::Cursor::new(bytes))
        .ok()?
        .map(|triangle| {
            let corner = |i: usize| {
                let v = triangle.as_ref().ok()?.vertices.get(i)?;
                let p = DVec3::new(v[0].into(), v[1].into(), v[2].into()) * unit_mm;
                p.is_finite().then_some(p)
            };
            Some([corner(0)?, corner(1)?, corner(2)?])
        })
        .collect()
}

/// Closed paths of a DXF file with their layers, in mm; none when it is not one.
pub fn outlines(bytes: &[u8]) -> Option<Vec<(String, PlanShape)>> {
    let drawing = dxf::Drawing::load(&mut std::io::Cursor::new(bytes)).ok()?;
    let inches = drawing.header.default_drawing_units == Units::Inches;
    let unit = if inches { MM_PER_INCH } else { 1.0 };
    let mut shapes = Vec::new();
    for entity in drawing.entities() {
        let EntityType::LwPolyline(line) = &entity.specific else { continue };
        let vertices = line
            .vertices
            .iter()
            .map(|v| ArcVertex { point: DVec2::new(v.x, v.y) * unit, bulge: v.bulge });
        let path = ArcPath { vertices: vertices.collect(), closed: true };
        shapes.push((entity.common.layer.clone(), PlanShape::closed(path.to_polyline(CHORD))));
    }
    Some(shapes)
}
