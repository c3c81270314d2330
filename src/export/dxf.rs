//! Drawings as DXF, release 2000: the oldest release that has light polylines with bulges and
//! units in its header, and one that every path program reads.
//!
//! Promised: coordinates in the unit asked for, closed paths flagged closed, arcs kept as bulges,
//! the same bytes for the same drawing. Not promised: colours, line types or weights; what a line
//! is for is said by its layer.

use super::ExportError;
use crate::outline::ArcPath;
use crate::units::{Length, Unit};
use ::dxf::entities::{Circle, Entity, EntityType, LwPolyline, Text};
use ::dxf::enums::{AcadVersion, DrawingUnits, Units};
use ::dxf::{Color, Drawing, Handle, LwPolylineVertex, Point};
use glam::{DAffine2, DVec2};
use std::collections::BTreeSet;

/// What is drawn on one layer. The names in use are `outline`, `slots`, `tabs`, `pins`, `limit`,
/// `board`, `flaws` and `hold-downs`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Layer<'a> {
    /// Its name.
    pub name: &'a str,
    /// Lines and arcs. A path without segments draws nothing.
    pub paths: Vec<ArcPath>,
    /// Circles: centre in mm, radius.
    pub circles: Vec<(DVec2, Length)>,
    /// Texts: lower left corner in mm, what it says, height of the letters.
    pub texts: Vec<(DVec2, String, Length)>,
}

impl<'a> Layer<'a> {
    /// Lines and arcs alone.
    pub fn new(name: &'a str, paths: Vec<ArcPath>) -> Layer<'a> {
        Layer { name, paths, ..Layer::default() }
    }

    /// Circles alone.
    pub fn round(name: &'a str, circles: Vec<(DVec2, Length)>) -> Layer<'a> {
        Layer { name, circles, ..Layer::default() }
    }

    /// The same elsewhere; in mm.
    pub fn moved(&self, by: DVec2) -> Layer<'a> {
        let map = DAffine2::from_translation(by);
        Layer {
            name: self.name,
            paths: self.paths.iter().map(|path| path.transformed(map)).collect(),
            circles: self.circles.iter().map(|(p, r)| (*p + by, *r)).collect(),
            texts: self.texts.iter().map(|(p, w, h)| (*p + by, w.clone(), *h)).collect(),
        }
    }
}

fn not_drawn(why: &str) -> ExportError {
    let message = format!("the drawing can't be written: {why}");
    ExportError::Library { format: "DXF", message }
}

/// A DXF file of the layers, with coordinates in `unit`.
///
/// # Errors
///
/// If a coordinate is not finite.
pub fn drawing(layers: &[Layer], unit: Unit) -> Result<Vec<u8>, ExportError> {
    let mut drawing = empty(unit);
    let mut declared = BTreeSet::new();
    for layer in layers {
        let name = layer_name(layer.name);
        if declared.insert(name.clone()) && name != "0" {
            let color = Color::from_index(7);
            drawing.add_layer(::dxf::tables::Layer {
                name: name.clone(),
                color,
                ..Default::default()
            });
        }
        for specific in entities(layer, unit)? {
            let mut entity = Entity::new(specific);
            entity.common.layer.clone_from(&name);
            drawing.add_entity(entity);
        }
    }
    if let Some((low, high)) = extents(layers) {
        drawing.header.minimum_drawing_extents = point(low, unit)?;
        drawing.header.maximum_drawing_extents = point(high, unit)?;
    }
    written(drawing)
}

/// A drawing without anything in it yet.
pub(super) fn empty(unit: Unit) -> Drawing {
    let mut drawing = Drawing::new();
    drawing.header.version = AcadVersion::R2000;
    (drawing.header.default_drawing_units, drawing.header.drawing_units) = match unit {
        Unit::Millimetre => (Units::Millimeters, DrawingUnits::Metric),
        Unit::Inch => (Units::Inches, DrawingUnits::English),
    };
    // The library makes these up anew each time; the same drawing must give the same bytes.
    drawing.header.fingerprint_guid = Default::default();
    drawing.header.version_guid = Default::default();
    drawing
}

/// Its bytes.
pub(super) fn written(mut drawing: Drawing) -> Result<Vec<u8>, ExportError> {
    let free = drawing.header.next_available_handle.0;
    drawing.header.next_available_handle = Handle(free + TABLE_HEADS);
    let mut bytes = Vec::new();
    drawing.save(&mut bytes).map_err(|fault| not_drawn(&fault.to_string()))?;
    Ok(put_right(&bytes, free))
}

fn entities(layer: &Layer, unit: Unit) -> Result<Vec<EntityType>, ExportError> {
    let mut all = Vec::new();
    for path in layer.paths.iter().filter(|path| path.segments().next().is_some()) {
        let mut line = LwPolyline { flags: i32::from(path.closed), ..Default::default() };
        for vertex in &path.vertices {
            let at = point(vertex.point, unit)?;
            let bulge = finite(vertex.bulge)?;
            line.vertices.push(LwPolylineVertex { x: at.x, y: at.y, bulge, ..Default::default() });
        }
        all.push(EntityType::LwPolyline(line));
    }
    for (centre, radius) in &layer.circles {
        let radius = finite(radius.as_unit(unit))?;
        all.push(EntityType::Circle(Circle::new(point(*centre, unit)?, radius)));
    }
    for (corner, words, height) in &layer.texts {
        all.push(EntityType::Text(Text {
            location: point(*corner, unit)?,
            text_height: finite(height.as_unit(unit))?,
            value: text(words),
            ..Default::default()
        }));
    }
    Ok(all)
}

pub(super) fn finite(value: f64) -> Result<f64, ExportError> {
    // adding zero makes a negative zero a plain one
    let bad = || not_drawn("a coordinate is not a finite number");
    value.is_finite().then_some(value + 0.0).ok_or_else(bad)
}

fn point(at: DVec2, unit: Unit) -> Result<Point, ExportError> {
    Ok(Point::new(finite(at.x / unit.in_mm())?, finite(at.y / unit.in_mm())?, 0.0))
}

/// The box round all paths and circles, in mm.
pub fn extents(layers: &[Layer]) -> Option<(DVec2, DVec2)> {
    let paths = layers.iter().flat_map(|layer| &layer.paths).filter_map(ArcPath::bounds);
    let circles = layers.iter().flat_map(|layer| &layer.circles).map(|(centre, radius)| {
        let reach = DVec2::splat(radius.as_mm().abs());
        (*centre - reach, *centre + reach)
    });
    paths.chain(circles).reduce(|(low, high), (a, b)| (low.min(a), high.max(b)))
}

/// A layer's name with nothing in it that the format forbids there.
fn layer_name(name: &str) -> String {
    let allowed = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '$');
    let name: String = name.chars().map(|c| if allowed(c) { c } else { '_' }).collect();
    if name.is_empty() { "0".to_owned() } else { name }
}

/// A text on one line, with control and direction marks as blanks, so that what a file holds is
/// what a reader sees.
pub(super) fn one_line(words: &str) -> String {
    let hidden = |c: char| {
        c.is_control()
            || matches!(c, '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200e}' | '\u{200f}')
            || matches!(c, '\u{fffe}' | '\u{ffff}' | '\u{feff}')
    };
    words.chars().map(|c| if hidden(c) { ' ' } else { c }).collect()
}

/// A text for a TEXT entity. The library writes what is beyond ASCII as `\U+XXXX`, which has
/// four digits only; what needs more becomes a question mark. A backslash or a pair of per cent
/// signs of the text's own must not start a code.
fn text(words: &str) -> String {
    one_line(words)
        .chars()
        .map(|c| if u32::from(c) > 0xffff { '?' } else { c })
        .collect::<String>()
        .replace('\\', "\\U+005C")
        .replace("%%", "% %")
}

/// Handles kept free for the heads of the tables, of which the format has nine.
const TABLE_HEADS: u64 = 16;

/// Puts right what the library can't be told.
///
/// The header's four dates become the first of January 2000: the library takes them from a clock
/// and counts them in the machine's time zone. The tables' heads get the handles, from `handle`
/// up, that the format asks for since release 13 and the library leaves out.
fn put_right(bytes: &[u8], mut handle: u64) -> Vec<u8> {
    const DATES: [&[u8]; 4] = [b"$TDCREATE", b"$TDUCREATE", b"$TDUPDATE", b"$TDUUPDATE"];
    const JULIAN_DAY: &[u8] = b"2451544.5\r\n";
    let mut out = Vec::with_capacity(bytes.len() + 256);
    let mut lines = bytes.split_inclusive(|&byte| byte == b'\n');
    // group code and value by turns; texts of our own only come in the entities, at the end
    while let (Some(code), Some(value)) = (lines.next(), lines.next()) {
        out.extend_from_slice(code);
        out.extend_from_slice(value);
        let (code, value) = (code.trim_ascii(), value.trim_ascii());
        if code == b"9" && DATES.contains(&value) {
            out.extend_from_slice(lines.next().unwrap_or_default());
            lines.next();
            out.extend_from_slice(JULIAN_DAY);
        } else if code == b"0" && value == b"TABLE" {
            for _ in 0..2 {
                out.extend_from_slice(lines.next().unwrap_or_default());
            }
            out.extend_from_slice(format!("  5\r\n{handle:X}\r\n330\r\n0\r\n").as_bytes());
            handle += 1;
        } else if code == b"2" && value == b"ENTITIES" {
            lines.by_ref().for_each(|line| out.extend_from_slice(line));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::outline::ArcVertex;

    fn half_moon() -> ArcPath {
        let v = |x, y, bulge| ArcVertex { point: DVec2::new(x, y), bulge };
        ArcPath { vertices: vec![v(0.0, 0.0, 1.0), v(25.4, 0.0, 0.0)], closed: true }
    }

    fn plan(paths: &[ArcPath]) -> Vec<Layer<'static>> {
        let pins = vec![(DVec2::new(12.7, 5.0), Length::inches(0.25))];
        let words =
            vec![(DVec2::ZERO, "Birne \u{e4} \\U+0041 %%c\nEOF".to_owned(), Length::mm(3.0))];
        vec![
            Layer { name: "outline", paths: paths.to_vec(), ..Default::default() },
            Layer { name: "pins", circles: pins, texts: words, ..Default::default() },
        ]
    }

    fn read(bytes: &[u8]) -> Drawing {
        Drawing::load(&mut std::io::Cursor::new(bytes)).unwrap()
    }

    /// Code and value by line, as the DXF Reference has them.
    fn header(bytes: &[u8], name: &str) -> String {
        let text = String::from_utf8(bytes.to_vec()).unwrap();
        let mut lines = text.lines().skip_while(|line| *line != name);
        lines.nth(2).unwrap().trim().to_owned()
    }

    /// DXF Reference, header variables: $INSUNITS 1 inch, 4 millimetre; $ACADVER AC1015 is R2000;
    /// bulge 1 is a half circle.
    #[test]
    fn the_file_says_its_release_and_its_unit() {
        let paths = [half_moon()];
        for (unit, code, width) in [(Unit::Millimetre, "4", 25.4), (Unit::Inch, "1", 1.0)] {
            let bytes = drawing(&plan(&paths), unit).unwrap();
            assert_eq!(header(&bytes, "$ACADVER"), "AC1015");
            assert_eq!(header(&bytes, "$INSUNITS"), code);
            assert_eq!(header(&bytes, "$TDCREATE"), "2451544.5");
            let file = read(&bytes);
            let entities: Vec<_> = file.entities().collect();
            assert_eq!(entities.len(), 3);
            let EntityType::LwPolyline(line) = &entities[0].specific else {
                panic!("no polyline: {:?}", entities[0]);
            };
            assert_eq!(entities[0].common.layer, "outline");
            assert!(line.flags & 1 == 1 && line.vertices.len() == 2);
            assert_eq!((line.vertices[1].x, line.vertices[0].bulge), (width, 1.0));
        }
    }

    #[test]
    fn texts_stay_on_their_line() {
        let bytes = drawing(&plan(&[half_moon()]), Unit::Millimetre).unwrap();
        assert!(bytes.iter().all(|&b| b == b'\r' || b == b'\n' || (b' '..=b'~').contains(&b)));
        let text = String::from_utf8(bytes).unwrap();
        assert_eq!(text.lines().filter(|line| line.trim() == "EOF").count(), 1);
        assert!(text.contains("Birne \\U+00E4 \\U+005CU+0041 % %c EOF"));
    }

    #[test]
    fn the_same_drawing_gives_the_same_bytes() {
        let paths = [half_moon()];
        let once = drawing(&plan(&paths), Unit::Inch).unwrap();
        // past a second, which is as fine as the format's dates are
        std::thread::sleep(std::time::Duration::from_millis(1100));
        assert_eq!(once, drawing(&plan(&paths), Unit::Inch).unwrap());
    }

    #[test]
    fn what_is_not_finite_is_refused() {
        let paths = [ArcPath::polygon([DVec2::NAN, DVec2::ZERO])];
        assert!(drawing(&plan(&paths), Unit::Millimetre).is_err());
        assert!(drawing(&[], Unit::Millimetre).is_ok());
    }
}
