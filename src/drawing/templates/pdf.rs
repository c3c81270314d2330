//! Pages as PDF (ISO 32000-1), with a built-in font and nothing that changes from day to day.

use super::pages::Page;
use super::plan::{CHORD, DrawnGroup};
use crate::outline::ArcPath;
use crate::units::MM_PER_INCH;
use glam::DVec2;
use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

/// Points to the millimetre: 72 to the inch (ISO 32000-1, 8.3.2.3).
const POINTS: f64 = 72.0 / MM_PER_INCH;

/// Widths in points and dashes in points of the parts; any other is thin and whole.
const LOOKS: [(&str, f32, &[f32]); 8] = [
    ("outline", 0.9, &[]),
    ("slots", 0.7, &[]),
    ("openings", 0.7, &[]),
    ("gauges", 0.7, &[]),
    ("tabs", 0.5, &[8.0, 3.0]),
    ("saw-lines", 0.7, &[12.0, 2.0, 1.0, 2.0]),
    ("x-axis", 0.4, &[17.0, 2.0, 0.4, 2.0]),
    ("overlap", 0.4, &[2.0, 2.0]),
];
const PLAIN: (f32, &[f32]) = (0.5, &[]);

/// A document of pages.
pub(super) fn document(title: &str, pages: &[Page]) -> Vec<u8> {
    let mut pdf = Pdf::new();
    let (catalog, tree, font, info) = (Ref::new(1), Ref::new(2), Ref::new(3), Ref::new(4));
    let refs: Vec<(Ref, Ref)> =
        (0..pages.len() as i32).map(|i| (Ref::new(5 + 2 * i), Ref::new(6 + 2 * i))).collect();
    pdf.catalog(catalog).pages(tree);
    pdf.pages(tree).kids(refs.iter().map(|(page, _)| *page)).count(pages.len() as i32);
    pdf.document_info(info)
        .title(TextStr(title))
        .producer(TextStr(concat!("treenwright ", env!("CARGO_PKG_VERSION"))));
    pdf.type1_font(font)
        .base_font(Name(b"Helvetica"))
        .encoding_predefined(Name(b"WinAnsiEncoding"));
    for (page, (page_ref, content_ref)) in pages.iter().zip(refs) {
        let mut written = pdf.page(page_ref);
        let size = (page.size.x * POINTS, page.size.y * POINTS);
        written.media_box(Rect::new(0.0, 0.0, size.0 as f32, size.1 as f32));
        written.parent(tree).contents(content_ref);
        written.resources().fonts().pair(Name(b"F"), font);
        written.finish();
        pdf.stream(content_ref, &content(page));
    }
    pdf.finish()
}

fn content(page: &Page) -> Vec<u8> {
    let mut content = Content::new();
    content.save_state();
    let (low, high) = (page.window.0, page.window.1);
    let size = high - low;
    content.rect(pt(low.x), pt(low.y), pt(size.x), pt(size.y)).clip_nonzero().end_path();
    for part in &page.tile {
        draw(&mut content, part);
    }
    content.restore_state();
    for part in &page.frame {
        draw(&mut content, part);
    }
    content.finish().to_vec()
}

fn pt(mm: f64) -> f32 {
    (mm * POINTS) as f32
}

fn draw(content: &mut Content, part: &DrawnGroup) {
    let own = LOOKS.iter().find(|(name, ..)| *name == part.name);
    let (width, dashes) = own.map_or(PLAIN, |&(_, width, dashes)| (width, dashes));
    content.set_line_width(width);
    content.set_dash_pattern(dashes.iter().copied(), 0.0);
    for path in &part.paths {
        line(content, path);
    }
    for (centre, radius) in &part.circles {
        line(content, &ArcPath::circle(*centre, *radius));
    }
    for (at, words, height) in &part.texts {
        if at.is_finite() {
            // The font's size is given so that a capital is as high as asked (0.718 of it; the
            // font's metrics).
            content.begin_text();
            content.set_font(Name(b"F"), pt(height.as_mm()) / 0.718);
            content.next_line(pt(at.x), pt(at.y));
            content.show(Str(&coded(words)));
            content.end_text();
        }
    }
}

fn line(content: &mut Content, path: &ArcPath) {
    let points: Vec<DVec2> = path.to_polyline(CHORD);
    let mut points = points.iter().filter(|p| p.is_finite());
    let Some(first) = points.next() else { return };
    content.move_to(pt(first.x), pt(first.y));
    for p in points {
        content.line_to(pt(p.x), pt(p.y));
    }
    if path.closed {
        content.close_path();
    }
    content.stroke();
}

/// Words in the font's encoding (WinAnsi; ISO 32000-1, annex D): Latin letters as they are, a few
/// marks by their own codes, a question mark for what it has not. Controls become spaces.
fn coded(words: &str) -> Vec<u8> {
    words
        .chars()
        .map(|c| match c {
            ' '..='~' => c as u8,
            '\u{a0}'..='\u{ff}' => c as u32 as u8,
            '\u{2013}' => 0x96,
            '\u{2014}' => 0x97,
            '\u{2018}' => 0x91,
            '\u{2019}' => 0x92,
            '\u{201c}' => 0x93,
            '\u{201d}' => 0x94,
            '\u{2212}' => b'-',
            c if c.is_control() => b' ',
            _ => b'?',
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_coded_one_byte_each() {
        assert_eq!(coded("a(b)\\ \u{e9}\u{2013}\u{4e2d}\n"), b"a(b)\\ \xe9\x96? ");
    }
}
