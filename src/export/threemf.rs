//! 3MF: a mesh with its unit and its name, for printing.
//!
//! A package is three small texts of fixed form in a ZIP archive (3MF Core Specification 1.4.0,
//! sections 2 to 4).
//!
//! Promised: millimetres, one object, one build item; points shared by index as in the mesh; the
//! same bytes for the same mesh (the package's time stamps are the format's zero, 1980-01-01,
//! because the library that packs it has no clock). Not promised: more than 1e-5 mm of a
//! coordinate, which is finer than the 32-bit floats that readers use.

use super::svg::escaped;
use super::{ExportError, facets};
use crate::mesh::Mesh;
use crate::units::Unit;
use std::fmt::Write as _;
use std::io::{Cursor, Write as _};
use zip::ZipWriter;
use zip::result::ZipError;
use zip::write::SimpleFileOptions;

/// Coordinates are written to this part of a millimetre: at 300 mm a 32-bit float, which readers
/// use, steps by 3e-5 mm, so no more would arrive, and the file would be twice as large.
const PARTS_OF_MM: f64 = 1e5;

/// What kinds of parts the package has (Open Packaging Conventions, ISO/IEC 29500-2).
const CONTENT_TYPES: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
  <Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
  <Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>
</Types>"#;

/// Which part is the model.
const RELATIONSHIPS: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
  <Relationship Target="/3D/3dmodel.model" Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>
</Relationships>"#;

/// The mesh as a 3MF package whose one object bears the name.
///
/// # Errors
/// When a triangle can't be said in 32-bit floats, or there is none.
pub fn threemf(mesh: &Mesh, name: &str) -> Result<Vec<u8>, ExportError> {
    facets(mesh, Unit::Millimetre, Some(PARTS_OF_MM), drop)?;
    let library = |message: String| ExportError::Library { format: "3MF", message };
    let model = model(mesh, name).map_err(|error| library(error.to_string()))?;
    packed(&[
        ("[Content_Types].xml", CONTENT_TYPES),
        ("_rels/.rels", RELATIONSHIPS),
        ("3D/3dmodel.model", &model),
    ])
    .map_err(|error| library(error.to_string()))
}

/// The model part.
fn model(mesh: &Mesh, name: &str) -> Result<String, std::fmt::Error> {
    /// About what a point and its two triangles take.
    const EACH: usize = 200;
    let mut text = String::with_capacity(1000 + mesh.points.len() * EACH);
    let name = escaped(&sayable(name));
    write!(
        text,
        r#"<?xml version="1.0" encoding="UTF-8"?>
<model unit="millimeter" xml:lang="en-US" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">
  <resources>
    <object id="1" type="model" name="{name}">
      <mesh>
        <vertices>
"#
    )?;
    for point in &mesh.points {
        for (axis, value) in ["          <vertex x=", " y=", " z="].iter().zip(point.to_array()) {
            text.push_str(axis);
            text.push('"');
            coordinate(&mut text, value)?;
            text.push('"');
        }
        text.push_str("/>\n");
    }
    text.push_str("        </vertices>\n        <triangles>\n");
    for triangle in &mesh.triangles {
        for (corner, index) in ["          <triangle v1=", " v2=", " v3="].iter().zip(triangle) {
            text.push_str(corner);
            text.push('"');
            whole(&mut text, u64::from(*index), 1);
            text.push('"');
        }
        text.push_str("/>\n");
    }
    text.push_str(
        r#"        </triangles>
      </mesh>
    </object>
  </resources>
  <build>
    <item objectid="1"/>
  </build>
</model>"#,
    );
    Ok(text)
}

/// A coordinate in as few figures as say it. Tens of thousands of them stand in a model, and those
/// of a usual size are whole numbers of the parts that are written.
fn coordinate(text: &mut String, value: f64) -> std::fmt::Result {
    /// Up to here a number of the parts has no more figures than a 64-bit float can tell apart.
    const MOST: f64 = 1e14;
    const DIGITS: usize = 5;
    let parts = (value * PARTS_OF_MM).round();
    if parts.is_nan() || parts.abs() >= MOST {
        return write!(text, "{}", parts / PARTS_OF_MM + 0.0);
    }
    if parts < 0.0 {
        text.push('-');
    }
    let (parts, each) = (parts.abs() as u64, PARTS_OF_MM as u64);
    whole(text, parts / each, 1);
    if !parts.is_multiple_of(each) {
        text.push('.');
        whole(text, parts % each, DIGITS);
        text.truncate(text.trim_end_matches('0').len());
    }
    Ok(())
}

/// A whole number, with zeros before it up to so many figures.
fn whole(text: &mut String, mut value: u64, figures: usize) {
    let mut digits = [b'0'; 20];
    let mut from = digits.len();
    while value > 0 || digits.len() - from < figures {
        from -= 1;
        digits[from] = b'0' + (value % 10) as u8;
        value /= 10;
    }
    text.extend(digits[from..].iter().map(|digit| char::from(*digit)));
}

/// An archive of named parts.
fn packed(parts: &[(&str, &str)]) -> Result<Vec<u8>, ZipError> {
    /// One less than the usual takes half of the time, and a model is a three-hundredth larger.
    const LEVEL: i64 = 5;
    let options = SimpleFileOptions::default().compression_level(Some(LEVEL));
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        archive.start_file(*name, options)?;
        archive.write_all(text.as_bytes())?;
    }
    Ok(archive.finish()?.into_inner())
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
    use std::io::Read as _;

    #[test]
    fn a_brick_stands_in_the_model_with_its_unit_its_name_and_its_corners() {
        let name = "harvest <spoon> & \"friends\" \u{1} für 2";
        let bytes = threemf(&brick(DVec3::new(20.0, 30.0, 31.75)), name).unwrap();
        let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
        let mut text = String::new();
        archive.by_name("3D/3dmodel.model").unwrap().read_to_string(&mut text).unwrap();
        assert!(text.contains("unit=\"millimeter\""));
        let said = "name=\"harvest &lt;spoon&gt; &amp; &quot;friends&quot;   für 2\"";
        assert!(text.contains(said), "{text}");
        assert_eq!(text.matches("<vertex ").count(), 8);
        assert_eq!(text.matches("<triangle ").count(), 12);
        assert!(text.contains("<vertex x=\"20\" y=\"30\" z=\"31.75\"/>"), "{text}");
        assert!(text.contains("<vertex x=\"0\" y=\"0\" z=\"0\"/>"), "{text}");
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

    #[test]
    fn a_coordinate_is_written_as_the_library_writes_it() {
        let mut state = 3_u64;
        let mut next = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (state >> 11) as f64 / (1_u64 << 53) as f64 - 0.5
        };
        let odd = [0.0, -0.0, 1e-5, -1e-5, 4e-6, -4e-6, 0.1, 120.0, 99.99999, 1e9, 2e9, -1e300];
        let many = (0..20_000).map(|i| next() * [1e-4, 1.0, 800.0, 1e8][i % 4]);
        for value in odd.into_iter().chain(many) {
            let mut text = String::new();
            coordinate(&mut text, value).unwrap();
            assert_eq!(text, format!("{}", (value * 1e5).round() / 1e5 + 0.0), "{value:?}");
        }
    }
}
