//! Reads a packet's reliefs and outlines back.

use super::plan_shape::PlanShape;
use crate::export::dxf;
use crate::outline::ArcPath;
use crate::units::Length;
use glam::DVec3;

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
    let shape = |(layer, path): (String, ArcPath)| {
        (layer, PlanShape::closed(ArcPath { closed: true, ..path }.to_polyline(CHORD)))
    };
    Some(dxf::lines(bytes)?.into_iter().map(shape).collect())
}
