//! Drawings as DXF, release 2000: the oldest release that has light polylines with bulges and
//! units in its header, and one that every path program reads.
//!
//! A file is a frame of header variables and tables, `dxf/frame.txt`, with a drawing's own layers and
//! entities in its gaps (DXF Reference, release 2000).
//!
//! Promised: coordinates in the unit asked for, closed paths flagged closed, arcs kept as bulges,
//! the same bytes for the same drawing; nothing in it of a clock or of the machine. Not promised:
//! colours, line types or weights; what a line is for is said by its layer.

mod lines;
mod pairs;

pub use lines::lines;

use super::ExportError;
use crate::outline::ArcPath;
use crate::units::{Length, Unit};
use glam::{DAffine2, DVec2};
use pairs::Pairs;

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
    let mut handles = FIRST..;
    let mut handle = || handles.next().unwrap_or_default();
    let (mut declared, mut entities): (Vec<String>, Pairs) = Default::default();
    let mut table = Pairs::default();
    for layer in layers {
        let name = layer_name(layer.name);
        // The layer 0 stands in the frame.
        if name != "0" && !declared.contains(&name) {
            declare(&name, handle(), &mut table);
            declared.push(name.clone());
        }
        draw(layer, (&name, unit), &mut handle, &mut entities)?;
    }
    let (low, high) = extents(layers).unwrap_or_default();
    let [low, high] = [point(low, unit)?, point(high, unit)?];
    let mut head = handle();
    let seed = head + TABLE_HEADS;
    let mut file = Pairs::default();
    for pair in FRAME.lines().flat_map(|line| line.split('|')) {
        match pair {
            "{low}" => file.place(low),
            "{high}" => file.place(high),
            "{seed}" => file.handle(5, seed),
            // 1 is an inch, 4 a millimetre.
            "{unit}" => file.whole(70, if unit == Unit::Inch { 1 } else { 4 }),
            "{metric}" => file.whole(70, usize::from(unit == Unit::Millimetre)),
            // Of the table's head, which has no owner.
            "{table}" => {
                file.handle(5, head);
                file.handle(330, 0);
                head += 1;
            }
            "{layers}" => file.join(&table),
            "{entities}" => file.join(&entities),
            pair => file.as_written(pair),
        }
    }
    Ok(file.into_bytes())
}

/// The header's variables and the tables: a pair of code and value between two bars, in braces what a
/// drawing has of its own.
const FRAME: &str = include_str!("dxf/frame.txt");

/// The first handle that the frame leaves free.
const FIRST: u64 = 0x10;
/// Handles kept free for the heads of the tables, of which the format has nine.
const TABLE_HEADS: u64 = 16;

/// A layer's record in its table: on, white or black, its lines drawn through.
fn declare(name: &str, handle: u64, table: &mut Pairs) {
    table.word(0, "LAYER");
    table.handle(5, handle);
    table.word(100, "AcDbSymbolTableRecord");
    table.word(100, "AcDbLayerTableRecord");
    table.word(2, name);
    table.whole(70, 0);
    table.whole(62, 7);
    table.word(6, "CONTINUOUS");
    table.word(290, "1");
    table.whole(370, 0);
    table.handle(390, 0);
}

/// The entities of a layer, each with a handle of its own.
fn draw(
    layer: &Layer,
    (name, unit): (&str, Unit),
    handle: &mut impl FnMut() -> u64,
    to: &mut Pairs,
) -> Result<(), ExportError> {
    let mut begin = |to: &mut Pairs, kind: &str, class: &str| {
        to.word(0, kind);
        to.handle(5, handle());
        to.word(100, "AcDbEntity");
        to.word(8, name);
        to.whole(370, 0);
        to.word(100, class);
    };
    for path in layer.paths.iter().filter(|path| path.segments().next().is_some()) {
        begin(to, "LWPOLYLINE", "AcDbPolyline");
        to.whole(90, path.vertices.len());
        to.whole(70, usize::from(path.closed));
        for vertex in &path.vertices {
            let at = point(vertex.point, unit)?;
            to.number(10, at.x);
            to.number(20, at.y);
            let bulge = finite(vertex.bulge)?;
            if bulge != 0.0 {
                to.number(42, bulge);
            }
        }
    }
    for (centre, radius) in &layer.circles {
        begin(to, "CIRCLE", "AcDbCircle");
        to.place(point(*centre, unit)?);
        to.number(40, finite(radius.as_unit(unit))?);
    }
    for (corner, words, height) in &layer.texts {
        begin(to, "TEXT", "AcDbText");
        to.place(point(*corner, unit)?);
        to.number(40, finite(height.as_unit(unit))?);
        to.word(1, &text(words));
        // The class of its alignment, which is the usual one.
        to.word(100, "AcDbText");
    }
    Ok(())
}

fn finite(value: f64) -> Result<f64, ExportError> {
    // adding zero makes a negative zero a plain one
    let bad = || not_drawn("a coordinate is not a finite number");
    value.is_finite().then_some(value + 0.0).ok_or_else(bad)
}

fn point(at: DVec2, unit: Unit) -> Result<DVec2, ExportError> {
    Ok(DVec2::new(finite(at.x / unit.in_mm())?, finite(at.y / unit.in_mm())?))
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

/// A text for a TEXT entity. What is beyond ASCII is written as `\U+XXXX`, which has four digits only;
/// what needs more becomes a question mark. A caret, a backslash or a pair of per cent signs of the
/// text's own must not start a code.
fn text(words: &str) -> String {
    let mut text = String::new();
    for c in one_line(words).chars() {
        match u32::from(c) {
            0x5c | 0x80..=0xffff => text.push_str(&format!("\\U+{:04X}", u32::from(c))),
            0x10000.. => text.push('?'),
            _ => text.push(c),
        }
    }
    text.replace('^', "^ ").replace("%%", "% %")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::outline::ArcVertex;
    use ::dxf::Drawing;
    use ::dxf::entities::EntityType;

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
    fn lines_come_back_as_they_were_in_either_unit() {
        let open = ArcPath { closed: false, ..half_moon() };
        let drawn = [half_moon(), open, ArcPath::polygon([DVec2::ZERO, DVec2::X, DVec2::ONE])];
        for unit in [Unit::Millimetre, Unit::Inch] {
            let bytes = drawing(&plan(&drawn), unit).unwrap();
            let found = lines(&bytes).unwrap();
            assert_eq!(found.len(), 3);
            for ((layer, path), drawn) in found.iter().zip(&drawn) {
                assert_eq!((layer.as_str(), path.closed), ("outline", drawn.closed));
                assert_eq!(path.vertices.len(), drawn.vertices.len());
                for (a, b) in path.vertices.iter().zip(&drawn.vertices) {
                    assert!(a.point.distance(b.point) < 1e-10 && (a.bulge - b.bulge).abs() < 1e-11);
                }
            }
            // Cut off, or no such file at all.
            assert!(lines(&bytes[..bytes.len() - 8]).is_none());
        }
        assert!(lines(b"").is_none() && lines(&[0xff; 40]).is_none());
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
    fn handles_are_each_there_once_and_the_next_is_free() {
        let bytes = drawing(&plan(&[half_moon()]), Unit::Inch).unwrap();
        let text = String::from_utf8(bytes).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        let pairs = lines.chunks_exact(2).map(|pair| (pair[0].trim(), pair[1]));
        let header = text.lines().skip_while(|line| *line != "$HANDSEED").nth(2).unwrap();
        let seed = u64::from_str_radix(header, 16).unwrap();
        let own = pairs.filter(|(code, _)| *code == "5");
        let mut handles: Vec<u64> =
            own.map(|(_, handle)| u64::from_str_radix(handle, 16).unwrap()).collect();
        handles.retain(|handle| *handle != seed);
        let count = handles.len();
        handles.sort_unstable();
        handles.dedup();
        assert_eq!(handles.len(), count);
        // Two layers, three entities and seven tables besides the fifteen records of the frame.
        assert_eq!(count, 2 + 3 + 7 + 15);
        assert!(handles.last().is_some_and(|last| *last < seed));
    }

    #[test]
    fn what_is_not_finite_is_refused() {
        let paths = [ArcPath::polygon([DVec2::NAN, DVec2::ZERO])];
        assert!(drawing(&plan(&paths), Unit::Millimetre).is_err());
        assert!(drawing(&[], Unit::Millimetre).is_ok());
    }
}
