//! 3MF: a mesh with its unit and its name, for printing.
//!
//! Promised: millimetres, one object, one build item; points shared by index as in the mesh; the
//! same bytes for the same mesh (the package's time stamps are the format's zero, 1980-01-01,
//! because the library that packs it has no clock). Not promised: more than 1e-5 mm of a
//! coordinate, which is finer than the 32-bit floats that readers use.

use super::{ExportError, facets};
use crate::mesh::Mesh;
use lib3mf::{BuildItem, Model, Object};
use std::io::Cursor;

/// Coordinates are written to this part of a millimetre: at 300 mm a 32-bit float, which readers
/// use, steps by 3e-5 mm, so no more would arrive, and the file would be twice as large.
const PARTS_OF_MM: f64 = 1e5;

/// The mesh as a 3MF package whose one object bears the name.
///
/// # Errors
/// When a triangle can't be said in 32-bit floats, or there is none.
pub fn threemf(mesh: &Mesh, name: &str) -> Result<Vec<u8>, ExportError> {
    facets(mesh, Some(PARTS_OF_MM), drop)?;
    let mut shape = lib3mf::Mesh::with_capacity(mesh.points.len(), mesh.triangles.len());
    shape.vertices.extend(mesh.points.iter().map(|point| {
        let [x, y, z] = point.to_array().map(|v| (v * PARTS_OF_MM).round() / PARTS_OF_MM + 0.0);
        lib3mf::Vertex::new(x, y, z)
    }));
    shape.triangles.extend(
        mesh.triangles
            .iter()
            .map(|&[a, b, c]| lib3mf::Triangle::new(a as usize, b as usize, c as usize)),
    );
    let mut object = Object::new(1);
    object.name = Some(sayable(name));
    object.mesh = Some(shape);
    let mut model = Model::new();
    model.unit = "millimeter".to_owned();
    model.resources.objects.push(object);
    model.build.items.push(BuildItem::new(1));
    model
        .to_writer(Cursor::new(Vec::new()))
        .map(Cursor::into_inner)
        .map_err(|error| ExportError::Library { format: "3MF", message: error.to_string() })
}

/// The name without what XML 1.0 (section 2.2, Char) can't hold even when escaped, and without
/// line ends and tabs, which an attribute would turn into blanks anyway.
fn sayable(name: &str) -> String {
    name.chars()
        .map(|c| if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') { ' ' } else { c })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::tests::brick;
    use glam::DVec3;

    #[test]
    fn a_brick_reads_back_with_its_unit_its_name_and_its_volume() {
        let name = "harvest <spoon> & \"friends\" \u{1} für 2";
        let bytes = threemf(&brick(DVec3::new(20.0, 30.0, 31.75)), name).unwrap();
        let model = Model::from_reader(Cursor::new(bytes)).unwrap();
        assert_eq!(model.unit, "millimeter");
        assert_eq!(model.resources.objects.len(), 1);
        assert_eq!(model.build.items.len(), 1);
        let object = &model.resources.objects[0];
        // As it stands in the file: this reader leaves the XML's escapes as they are.
        assert_eq!(
            object.name.as_deref(),
            Some("harvest &lt;spoon&gt; &amp; &quot;friends&quot;   für 2")
        );
        let shape = object.mesh.as_ref().unwrap();
        let at = |i: usize| {
            let v = &shape.vertices[i];
            DVec3::new(v.x, v.y, v.z)
        };
        let volume: f64 =
            shape.triangles.iter().map(|t| at(t.v1).dot(at(t.v2).cross(at(t.v3))) / 6.0).sum();
        assert!((volume - 20.0 * 30.0 * 31.75).abs() < 1e-9, "{volume}");
    }

    #[test]
    fn the_same_mesh_gives_the_same_bytes_without_a_clock() {
        let mesh = brick(DVec3::new(1.0, 2.0, 3.0));
        let bytes = threemf(&mesh, "block").unwrap();
        assert_eq!(bytes, threemf(&mesh, "block").unwrap());
        // Local header of the first part: time 0, date 1980-01-01 (APPNOTE.TXT 4.4.6).
        assert_eq!(bytes[10..14], [0x00, 0x00, 0x21, 0x00]);
    }

    #[test]
    fn points_that_merge_by_rounding_are_an_error() {
        let mut mesh = brick(DVec3::ONE);
        mesh.points.push(DVec3::new(1e-7, 0.0, 0.0));
        mesh.triangles.push([0, 8, 2]);
        assert!(matches!(threemf(&mesh, "x"), Err(ExportError::NoArea { triangle: 12 })));
    }
}
