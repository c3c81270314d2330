//! STL, binary: a mesh as facets, in mm or inches (the format itself has no unit).
//!
//! Promised: 84 + 50 bytes for each triangle; a header that doesn't begin with `solid`, so that no
//! reader takes it for text; unit normals by the right hand; no facet without area. Not promised:
//! that two points closer than a 32-bit float can tell apart stay two.

use super::{ExportError, facets};
use crate::mesh::Mesh;
use crate::units::Unit;
use stl_io::{Normal, Triangle, Vertex};

/// Bytes before the first facet: 80 of header and 4 of count (STL format, Bourke 1999).
const HEAD: usize = 84;
/// Bytes of a facet: twelve 32-bit floats and two bytes of attributes (the same).
const FACET: usize = 50;

/// The mesh as a binary STL file in that unit, which the file itself can't say.
///
/// # Errors
/// When a triangle can't be said in 32-bit floats, or there is none.
pub fn stl(mesh: &Mesh, unit: Unit) -> Result<Vec<u8>, ExportError> {
    let triangles = facets(mesh, unit, None, |(corners, normal)| Triangle {
        normal: Normal::new(normal),
        vertices: corners.map(Vertex::new),
    })?;
    let mut bytes = Vec::with_capacity(HEAD + FACET * triangles.len());
    stl_io::write_stl(&mut bytes, triangles.iter())
        .map_err(|error| ExportError::Library { format: "STL", message: error.to_string() })?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::tests::brick;
    use glam::DVec3;

    #[test]
    fn a_brick_has_the_size_that_the_format_says_and_reads_back_closed() {
        let bytes = stl(&brick(DVec3::new(300.0, 66.0, 31.75)), Unit::Millimetre).unwrap();
        assert_eq!(bytes.len(), 684);
        assert!(!bytes.starts_with(b"solid"));
        assert_eq!(bytes[80..84], [12, 0, 0, 0]);
        let read = stl_io::read_stl(&mut std::io::Cursor::new(bytes)).unwrap();
        assert_eq!(read.vertices.len(), 8);
        read.validate().unwrap();
    }

    #[test]
    fn an_inch_of_wood_is_one_of_the_unit_in_a_file_in_inches() {
        let bytes = stl(&brick(DVec3::new(254.0, 50.8, 25.4)), Unit::Inch).unwrap();
        let read = stl_io::read_stl(&mut std::io::Cursor::new(bytes)).unwrap();
        let most = |axis: usize| read.vertices.iter().map(|v| v.0[axis]).fold(0.0, f32::max);
        assert_eq!([0, 1, 2].map(most), [10.0, 2.0, 1.0]);
    }

    #[test]
    fn normals_follow_the_right_hand_and_point_out() {
        let bytes = stl(&brick(DVec3::new(2.0, 3.0, 4.0)), Unit::Millimetre).unwrap();
        let read = stl_io::read_stl(&mut std::io::Cursor::new(bytes)).unwrap();
        for face in &read.faces {
            let corner =
                |i: usize| DVec3::from_array(read.vertices[face.vertices[i]].0.map(f64::from));
            let normal = DVec3::from_array(face.normal.0.map(f64::from));
            let out = (corner(0) + corner(1) + corner(2)) / 3.0 - DVec3::new(1.0, 1.5, 2.0);
            assert!((normal.length() - 1.0).abs() < 1e-6);
            assert!(normal.dot(out) > 0.0);
        }
    }

    #[test]
    fn negative_zero_joins_with_zero() {
        let mut mesh = brick(DVec3::ONE);
        // The same corner twice, once with a negative zero.
        mesh.points.push(DVec3::new(-0.0, 0.0, -0.0));
        mesh.triangles[0][0] = 8;
        let read =
            stl_io::read_stl(&mut std::io::Cursor::new(stl(&mesh, Unit::Millimetre).unwrap()))
                .unwrap();
        assert_eq!(read.vertices.len(), 8);
    }
}
