//! A map of what the finishing cutter leaves, legible in black and white.
//!
//! The body lies along the picture, tip to the right, seen from the side that is carved. White is
//! cut clean; dots, strokes, a lattice and black say that more is left, in steps whose greatest
//! heights stand in the scale beneath. Only black and white are used, so that any printer can show
//! it. A bar shows 50 mm.

use super::ExportError;
use crate::check::reach::{Heights, NOTHING, Uncut};
use crate::relief::Face;

/// Greatest heights of the steps, in mm: a stroke of sandpaper, the shop's usual limit, more.
pub const STEPS: [f32; 5] = [0.02, 0.05, 0.1, 0.5, f32::INFINITY];
/// Their words.
const WORDS: [&str; 5] = ["< 0.02", "< 0.05", "< 0.1", "< 0.5 mm", "MORE"];
/// Paper between two strokes of a pattern, in pixels: seen apart at half the size.
const PERIOD: usize = 10;
/// Beside the body.
const PAPER: u8 = 255;
const LINE: u8 = 0;

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
const FOOT: usize = 100;
const MARGIN: usize = 12;
/// A pixel of the letters.
const DOT: usize = 4;
/// Width of a step's pattern in the scale.
const SWATCH: usize = 44;

struct Sheet {
    wide: usize,
    high: usize,
    grey: Vec<u8>,
}

impl Sheet {
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
        'O' => [2, 5, 5, 5, 2],
        'R' => [6, 5, 6, 5, 5],
        'E' => [7, 4, 6, 4, 7],
        _ => [0; 5],
    }
}

/// Columns and rows of the cells that the body reaches to, least and greatest: no more paper than
/// it needs.
fn extent(left: &Heights) -> [[usize; 2]; 2] {
    let on = (0..left.mm.len()).filter(|at| left.mm[*at] > NOTHING);
    let found = on.fold(None, |found: Option<[[usize; 2]; 2]>, at| {
        let at = [at % left.columns, at / left.columns];
        let [low, high] = found.unwrap_or([at, at]);
        Some([[0, 1].map(|i| low[i].min(at[i])), [0, 1].map(|i| high[i].max(at[i]))])
    });
    found.unwrap_or_default()
}

fn pixels(left: &Heights) -> [usize; 2] {
    let [low, high] = extent(left);
    let (columns, rows) = (high[0] - low[0] + 1, high[1] - low[1] + 1);
    [(columns + 2 * MARGIN).max(850), rows + 2 * MARGIN + FOOT]
}

/// Width and height of the map, in pixels.
pub fn size(uncut: &Uncut) -> (u32, u32) {
    let [wide, high] = pixels(&uncut.left);
    (u32::try_from(wide).unwrap_or(0), u32::try_from(high).unwrap_or(0))
}

/// The map as a PNG.
///
/// # Errors
/// When the picture can't be encoded; a fault of the tool.
pub fn png(uncut: &Uncut) -> Result<Vec<u8>, ExportError> {
    let left = &uncut.left;
    let on = |column: usize, row: usize| {
        left.mm.get(row * left.columns + column).copied().filter(|z| *z > NOTHING)
    };
    let [low, high] = extent(left);
    let rows = high[1] - low[1] + 1;
    let [wide, tall] = pixels(left);
    let mut sheet = Sheet { wide, high: tall, grey: vec![PAPER; wide * tall] };
    for row in low[1]..=high[1] {
        for column in low[0]..=high[0] {
            let Some(height) = on(column, row) else { continue };
            let around = [
                (column.wrapping_sub(1), row),
                (column + 1, row),
                (column, row.wrapping_sub(1)),
                (column, row + 1),
            ];
            let inside = |(column, row): &(usize, usize)| {
                *column < left.columns && *row < left.rows && on(*column, *row).is_some()
            };
            let edge = !around.iter().all(inside);
            let step = STEPS.iter().position(|most| height < *most).unwrap_or(STEPS.len() - 1);
            // Seen from its own side: left is up from above, and down from below.
            let y = match uncut.face {
                Face::Top => high[1] - row,
                Face::Bottom => row - low[1],
            };
            let (x, y) = (MARGIN + column - low[0], MARGIN + y);
            if edge || inked(step, x, y) {
                let thick = if edge { 2 } else { 1 };
                sheet.fill(x, y, thick, thick, LINE);
            }
        }
    }
    let foot = rows + 2 * MARGIN;
    let mut x = MARGIN;
    for (step, words) in WORDS.into_iter().enumerate() {
        sheet.fill(x, foot, SWATCH, 5 * DOT, LINE);
        sheet.fill(x + 2, foot + 2, SWATCH - 4, 5 * DOT - 4, PAPER);
        for (row, column) in (2..5 * DOT - 2).flat_map(|row| (2..SWATCH - 2).map(move |c| (row, c)))
        {
            if inked(step, x + column, foot + row) {
                sheet.fill(x + column, foot + row, 1, 1, LINE);
            }
        }
        sheet.text(x + SWATCH + 10, foot, words);
        x += SWATCH + 32 + words.len() * 4 * DOT;
    }
    let bar = (50.0 / left.cell.as_mm()).round() as usize;
    sheet.fill(MARGIN, foot + 48, bar, DOT, LINE);
    for end in [MARGIN, MARGIN + bar - DOT] {
        sheet.fill(end, foot + 42, DOT, 12 + DOT, LINE);
    }
    sheet.text(MARGIN + bar + 12, foot + 40, "50 mm");
    let mut file = Vec::new();
    let (wide, high) = size(uncut);
    let mut encoder = png::Encoder::new(&mut file, wide, high);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::Eight);
    let refused = |error: png::EncodingError| ExportError::Library {
        format: "PNG",
        message: error.to_string(),
    };
    let mut writer = encoder.write_header().map_err(refused)?;
    writer.write_image_data(&sheet.grey).map_err(refused)?;
    writer.finish().map_err(refused)?;
    Ok(file)
}
