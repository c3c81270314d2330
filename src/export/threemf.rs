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
        let [x, y, z] = point.to_array().map(|v| (v * PARTS_OF_MM).round() / PARTS_OF_MM + 0.0);
        writeln!(text, r#"          <vertex x="{x}" y="{y}" z="{z}"/>"#)?;
    }
    text.push_str("        </vertices>\n        <triangles>\n");
    for [a, b, c] in &mesh.triangles {
        writeln!(text, r#"          <triangle v1="{a}" v2="{b}" v3="{c}"/>"#)?;
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

/// An archive of named parts.
fn packed(parts: &[(&str, &str)]) -> Result<Vec<u8>, ZipError> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        archive.start_file(*name, SimpleFileOptions::default())?;
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
}
