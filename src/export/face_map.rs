//! A map of a figure over one side, legible in black and white.
//!
//! The body lies along the picture, tip to the right, seen from the side that is carved. White,
//! dots, strokes, a lattice and black are steps of the figure, the least first, whose greatest
//! values stand in the scale beneath. Only black and white are used, so that any printer can show
//! it. A bar shows 50 mm or 2 in. The scale is for the file by itself; the sheet leaves it out and has
//! one in its own letters.

use super::ExportError;
use crate::check::reach::{HeightGrid, NOTHING};
use crate::relief::Face;
use crate::units::{MM_PER_INCH, Unit, plain};

/// How many patterns there are.
pub(super) const COUNT: usize = 5;
/// Paper between two strokes of a pattern, in pixels: seen apart at half the size.
const PERIOD: usize = 10;
/// Beside the body.
const PAPER: u8 = 255;
const LINE: u8 = 0;

/// What a map shows.
pub(super) struct FaceMap<'a> {
    /// Which side it is.
    pub(super) face: Face,
    /// The figure in mm, cell by cell; [`NOTHING`] where there is none.
    pub(super) values: &'a HeightGrid,
    /// What each pattern's values are less than, in mm; the last is without end.
    pub(super) steps: [f32; COUNT],
    /// The unit of the scale.
    pub(super) unit: Unit,
}

/// Whether a pixel of a step's pattern is black: nothing, dots, strokes, a lattice, all.
fn inked(step: usize, x: usize, y: usize) -> bool {
    let (along, against) = ((x + y) % PERIOD, (x + PERIOD - y % PERIOD) % PERIOD);
    match step {
        0 => false,
        1 => x % PERIOD < 3 && y % PERIOD < 3,
        2 => along < 3,
        3 => along < 3 || against < 3,
        _ => true,
    }
}

/// Room for the scale under the map, and a margin round all, in pixels.
pub const FOOT: usize = 100;
const MARGIN: usize = 12;
/// A pixel of the letters.
const DOT: usize = 4;
/// Width of a step's pattern in the scale, and paper beside it and behind its words.
const SWATCH: usize = 44;
const BESIDE: usize = 10;
const BEHIND: usize = 22;
/// Least width of a map: the bar and its words fit on it.
const LEAST_WIDE: usize = 850;

struct MapSheet {
    wide: usize,
    high: usize,
    grey: Vec<u8>,
}

impl MapSheet {
    fn fill(&mut self, x: usize, y: usize, wide: usize, high: usize, grey: u8) {
        for row in y..(y + high).min(self.high) {
            for column in x..(x + wide).min(self.wide) {
                self.grey[row * self.wide + column] = grey;
            }
        }
    }

    fn text(&mut self, mut x: usize, y: usize, text: &str) {
        for c in text.chars() {
            for (row, bits) in letter(c).into_iter().enumerate() {
                for column in 0..3 {
                    if bits >> (2 - column) & 1 == 1 {
                        self.fill(x + column * DOT, y + row * DOT, DOT, DOT, LINE);
                    }
                }
            }
            x += 4 * DOT;
        }
    }

    fn encoded(&self) -> Result<Vec<u8>, ExportError> {
        let refused = |error: png::EncodingError| ExportError::Library {
            format: "PNG",
            message: error.to_string(),
        };
        let [wide, high] = [self.wide, self.high].map(|side| u32::try_from(side).unwrap_or(0));
        let mut file = Vec::new();
        let mut encoder = png::Encoder::new(&mut file, wide, high);
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_depth(png::BitDepth::One);
        let mut writer = encoder.write_header().map_err(refused)?;
        // Each row begins in a byte of its own, its first pixel in the highest bit (PNG 1.2, 2.3).
        let byte = |pixels: &[u8]| {
            let bit = |(place, grey): (usize, &u8)| (grey >> 7) << (7 - place);
            pixels.iter().enumerate().map(bit).fold(0, |byte, bit| byte | bit)
        };
        let rows = self.grey.chunks(self.wide);
        let bits: Vec<u8> = rows.flat_map(|row| row.chunks(8).map(byte)).collect();
        writer.write_image_data(&bits).map_err(refused)?;
        writer.finish().map_err(refused)?;
        Ok(file)
    }
}

/// A letter of three by five dots, row by row.
fn letter(c: char) -> [u8; 5] {
    match c {
        '0' => [7, 5, 5, 5, 7],
        '1' => [2, 6, 2, 2, 7],
        '2' => [7, 1, 7, 4, 7],
        '3' => [7, 1, 7, 1, 7],
        '4' => [5, 5, 7, 1, 1],
        '5' => [7, 4, 7, 1, 7],
        '6' => [7, 4, 7, 5, 7],
        '7' => [7, 1, 1, 2, 2],
        '8' => [7, 5, 7, 5, 7],
        '9' => [7, 5, 7, 1, 7],
        '<' => [1, 2, 4, 2, 1],
        '.' => [0, 0, 0, 0, 2],
        'm' | 'M' => [5, 7, 7, 5, 5],
        'I' | 'i' => [7, 2, 2, 2, 7],
        'N' | 'n' => [6, 5, 5, 5, 5],
        'O' => [2, 5, 5, 5, 2],
        'R' => [6, 5, 6, 5, 5],
        'E' => [7, 4, 6, 4, 7],
        _ => [0; 5],
    }
}

/// Columns and rows of the cells that have a value, least and greatest: no more paper than it needs.
fn extent(values: &HeightGrid) -> [[usize; 2]; 2] {
    let on = |z: &f32| *z > NOTHING;
    let mut found: Option<[[usize; 2]; 2]> = None;
    for (row, cells) in values.mm.chunks(values.columns.max(1)).enumerate() {
        let ends = cells.iter().position(on).zip(cells.iter().rposition(on));
        let Some((first, last)) = ends else { continue };
        let [low, high] = found.unwrap_or([[first, row], [last, row]]);
        found = Some([[low[0].min(first), low[1]], [high[0].max(last), row]]);
    }
    found.unwrap_or_default()
}

/// A step's greatest value, without its unit, as fine as sanding can tell.
pub fn step(most: f32, unit: Unit) -> String {
    let places = match unit {
        Unit::Millimetre => 3,
        Unit::Inch => 4,
    };
    plain(f64::from(most) / unit.in_mm(), places)
}

impl FaceMap<'_> {
    /// What the scale says of each step. The unit stands once.
    fn words(&self) -> [String; COUNT] {
        let mut words = self.steps.map(|most| format!("< {}", step(most, self.unit)));
        words[COUNT - 2].push_str(&format!(" {}", self.unit.symbol()));
        words[COUNT - 1] = "MORE".to_owned();
        words
    }

    /// The map as a PNG.
    ///
    /// # Errors
    /// When the picture can't be encoded; a fault of the tool.
    pub(super) fn png(&self) -> Result<Vec<u8>, ExportError> {
        let [low, high] = extent(self.values);
        let (columns, rows) = (high[0] - low[0] + 1, high[1] - low[1] + 1);
        let words = self.words();
        let letters: usize = words.iter().map(|words| words.len() * 4 * DOT).sum();
        let scale = 2 * MARGIN + letters + COUNT * (SWATCH + BESIDE + BEHIND) - BEHIND;
        let wide = (columns + 2 * MARGIN).max(LEAST_WIDE).max(scale);
        let tall = rows + 2 * MARGIN + FOOT;
        let mut sheet = MapSheet { wide, high: tall, grey: vec![PAPER; wide * tall] };
        self.side(&mut sheet, low, high);
        self.scale(&mut sheet, rows + 2 * MARGIN, &words);
        sheet.encoded()
    }

    /// The side itself.
    fn side(&self, sheet: &mut MapSheet, low: [usize; 2], high: [usize; 2]) {
        let HeightGrid { columns, mm, .. } = self.values;
        let row = |row: usize| mm.get(row * columns..(row + 1) * columns).unwrap_or_default();
        let on = |cells: &[f32], column: usize| cells.get(column).is_some_and(|z| *z > NOTHING);
        for at in low[1]..=high[1] {
            let (own, after) = (row(at), row(at + 1));
            let before = at.checked_sub(1).map(row).unwrap_or_default();
            for column in low[0]..=high[0] {
                if !on(own, column) {
                    continue;
                }
                let value = own[column];
                let inside = on(before, column)
                    && on(after, column)
                    && on(own, column + 1)
                    && column > 0
                    && on(own, column - 1);
                let step = self.steps.iter().position(|most| value < *most).unwrap_or(COUNT - 1);
                // Seen from its own side: left is up from above, and down from below.
                let y = match self.face {
                    Face::Top => high[1] - at,
                    Face::Bottom => at - low[1],
                };
                let (x, y) = (MARGIN + column - low[0], MARGIN + y);
                if !inside {
                    sheet.fill(x, y, 2, 2, LINE);
                } else if inked(step, x, y) {
                    sheet.grey[y * sheet.wide + x] = LINE;
                }
            }
        }
    }

    /// The scale, and the bar under it.
    fn scale(&self, sheet: &mut MapSheet, foot: usize, words: &[String; COUNT]) {
        let mut x = MARGIN;
        for (step, words) in words.iter().enumerate() {
            sheet.fill(x, foot, SWATCH, 5 * DOT, LINE);
            sheet.fill(x + 2, foot + 2, SWATCH - 4, 5 * DOT - 4, PAPER);
            for (row, column) in
                (2..5 * DOT - 2).flat_map(|row| (2..SWATCH - 2).map(move |c| (row, c)))
            {
                if inked(step, x + column, foot + row) {
                    sheet.fill(x + column, foot + row, 1, 1, LINE);
                }
            }
            sheet.text(x + SWATCH + BESIDE, foot, words);
            x += SWATCH + BESIDE + BEHIND + words.len() * 4 * DOT;
        }
        let (long, said) = match self.unit {
            Unit::Millimetre => (50.0, "50 mm"),
            Unit::Inch => (2.0 * MM_PER_INCH, "2 in"),
        };
        let bar = (long / self.values.cell.as_mm()).round() as usize;
        sheet.fill(MARGIN, foot + 48, bar, DOT, LINE);
        for end in [MARGIN, MARGIN + bar - DOT] {
            sheet.fill(end, foot + 42, DOT, 12 + DOT, LINE);
        }
        sheet.text(MARGIN + bar + 12, foot + 40, said);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    /// The pixels of a PNG, and its width.
    fn pixels(png: &[u8]) -> (usize, Vec<u8>) {
        let mut decoder = png::Decoder::new(std::io::Cursor::new(png));
        decoder.set_transformations(png::Transformations::EXPAND);
        let mut reader = decoder.read_info().expect("a PNG");
        assert_eq!(reader.info().bit_depth, png::BitDepth::One);
        let mut grey = vec![0; reader.output_buffer_size().expect("a size")];
        let frame = reader.next_frame(&mut grey).expect("a frame");
        assert_eq!(frame.color_type, png::ColorType::Grayscale);
        (frame.width as usize, grey)
    }

    /// Five fields beside each other, each of a step's own value, with nothing round them.
    fn fields(steps: [f32; COUNT]) -> HeightGrid {
        let (columns, rows) = (5 * 40 + 2, 42);
        let value = |index: usize| {
            let (column, row) = (index % columns, index / columns);
            let on = (1..columns - 1).contains(&column) && (1..rows - 1).contains(&row);
            let step = (column.max(1) - 1) / 40;
            let least = if step == 0 { 0.0 } else { steps[step - 1] };
            if on { least } else { NOTHING }
        };
        let mm = (0..columns * rows).map(value).collect();
        HeightGrid { columns, rows, cell: Length::mm(0.2), mm }
    }

    #[test]
    fn each_step_is_darker_than_the_one_before_in_black_and_white() {
        let steps = [0.02, 0.04, 0.08, 0.16, f32::INFINITY];
        let values = fields(steps);
        for face in Face::BOTH {
            let map = FaceMap { face, values: &values, steps, unit: Unit::Millimetre };
            let (wide, grey) = pixels(&map.png().expect("a map"));
            assert!(grey.iter().all(|pixel| matches!(pixel, 0 | 255)));
            // A square of whole periods inside each field.
            let dark = |step: usize| {
                let from = MARGIN + 40 * step + 5;
                let rows = MARGIN + 5..MARGIN + 35;
                let row = |y: usize| &grey[y * wide + from..y * wide + from + 30];
                rows.flat_map(row).filter(|pixel| **pixel == LINE).count()
            };
            let shares = [0, 1, 2, 3, 4].map(dark);
            assert_eq!(shares[0], 0);
            assert_eq!(shares[4], 900);
            assert!(shares.windows(2).all(|pair| pair[1] > pair[0] + 70), "{shares:?}");
        }
    }

    #[test]
    fn the_scale_names_each_step_and_fits_on_the_paper_however_long_its_words_are() {
        let map =
            |values, steps| FaceMap { face: Face::Top, values, steps, unit: Unit::Millimetre };
        let usual = [0.02, 0.05, 0.1, 0.5, f32::INFINITY];
        let values = fields(usual);
        let told = map(&values, usual).words();
        assert_eq!(told, ["< 0.02", "< 0.05", "< 0.1", "< 0.5 mm", "MORE"]);
        for letter_of in told
            .iter()
            .chain(&["2 in".to_owned()])
            .flat_map(|words| words.chars())
            .filter(|c| *c != ' ')
        {
            assert_ne!(letter(letter_of), [0; 5], "{letter_of} can't be written");
        }
        let inch = FaceMap { unit: Unit::Inch, ..map(&values, usual) }.words();
        assert_eq!(inch, ["< 0.0008", "< 0.002", "< 0.0039", "< 0.0197 in", "MORE"]);
        let (wide, _) = pixels(&map(&values, usual).png().expect("a map"));
        assert_eq!(wide, LEAST_WIDE);
        let long = [0.123, 0.246, 0.492, 0.984, f32::INFINITY];
        let (wide, grey) = pixels(&map(&values, long).png().expect("a map"));
        assert!(wide > LEAST_WIDE);
        let at_edge = |row: &[u8]| row[wide - MARGIN..].iter().all(|pixel| *pixel == PAPER);
        assert!(grey.chunks(wide).all(at_edge), "the last word ends before the margin");
    }
}
