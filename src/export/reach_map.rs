//! A map of what the finishing cutter leaves, legible in black and white.
//!
//! The body lies along the picture, tip to the right, seen from the side that is carved. White is
//! cut clean; the darker, the more is left, in five steps whose greatest heights stand in the scale
//! beneath. A bar shows 50 mm.

use super::ExportError;
use crate::check::reach::{NOTHING, Uncut};
use crate::relief::Face;

/// Greatest heights of the steps, in mm: a stroke of sandpaper, the shop's usual limit, more.
const STEPS: [f32; 5] = [0.02, 0.05, 0.1, 0.5, f32::INFINITY];
/// Their greys, told apart in any print, and their words.
const GREYS: [u8; 5] = [255, 205, 150, 95, 0];
const WORDS: [&str; 5] = ["< 0.02", "< 0.05", "< 0.1", "< 0.5 mm", "MORE"];
/// Beside the body.
const PAPER: u8 = 255;
const LINE: u8 = 0;
/// Room for the scale under the map, and a margin round all, in pixels.
const FOOT: usize = 84;
const MARGIN: usize = 12;
/// A pixel of the letters.
const DOT: usize = 3;

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

/// The map as a PNG of grey levels.
pub(super) fn png(uncut: &Uncut) -> Result<Vec<u8>, ExportError> {
    let left = &uncut.left;
    let (columns, rows) = (left.columns, left.rows);
    let (wide, high) = ((columns + 2 * MARGIN).max(700), rows + 2 * MARGIN + FOOT);
    let mut sheet = Sheet { wide, high, grey: vec![PAPER; wide * high] };
    let on = |column: usize, row: usize| {
        left.mm.get(row * columns + column).copied().filter(|z| *z > NOTHING)
    };
    for row in 0..rows {
        for column in 0..columns {
            let Some(height) = on(column, row) else { continue };
            let edge = column == 0
                || row == 0
                || column + 1 == columns
                || [(column - 1, row), (column + 1, row), (column, row - 1), (column, row + 1)]
                    .iter()
                    .any(|(column, row)| on(*column, *row).is_none());
            let step = STEPS.iter().position(|most| height < *most).unwrap_or(STEPS.len() - 1);
            // Seen from its own side: left is up from above, and down from below.
            let y = match uncut.face {
                Face::Top => rows - 1 - row,
                Face::Bottom => row,
            };
            sheet.fill(MARGIN + column, MARGIN + y, 1, 1, if edge { LINE } else { GREYS[step] });
        }
    }
    let foot = rows + 2 * MARGIN;
    let mut x = MARGIN;
    for (grey, words) in GREYS.into_iter().zip(WORDS) {
        sheet.fill(x, foot, 24, 5 * DOT, LINE);
        sheet.fill(x + 1, foot + 1, 22, 5 * DOT - 2, grey);
        sheet.text(x + 32, foot, words);
        x += 48 + words.len() * 4 * DOT;
    }
    let bar = (50.0 / left.cell.as_mm()).round() as usize;
    sheet.fill(MARGIN, foot + 40, bar, DOT, LINE);
    for end in [MARGIN, MARGIN + bar - DOT] {
        sheet.fill(end, foot + 34, DOT, 12 + DOT, LINE);
    }
    sheet.text(MARGIN + bar + 12, foot + 34, "50 mm");
    let mut file = Vec::new();
    let (wide, high) = (u32::try_from(wide).unwrap_or(0), u32::try_from(high).unwrap_or(0));
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
