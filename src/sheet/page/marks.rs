//! What all parts of the page are set with: headings, drawings, text.

use super::figures::unbroken;
use super::info::{Loaded, PieceInfo, SheetInfo};
use crate::sheet::words::{self, fill};
use maud::{Markup, PreEscaped, html};

/// A heading, with the piece's name before it in a set.
pub(super) fn heading(info: &SheetInfo, piece: &PieceInfo, heading: &str) -> String {
    match info.pieces.len() {
        0 | 1 => heading.to_owned(),
        _ => fill(words::OF_PIECE, &[("piece", &piece.design), ("heading", heading)]),
    }
}

/// A drawing, which may be wider than a phone and then moves under the finger, because its words
/// would be too small to read if it were made to fit.
pub(super) fn drawing(name: &str, svg: &str) -> Markup {
    html! {
        @if !svg.is_empty() {
            p .hint { (words::WIDE) }
            div .drawing role="region" aria-label=(name) tabindex="0" { (element(svg)) }
        }
    }
}

/// The SVG elements themselves. Whatever stands before them, such as an XML declaration, has no
/// place in HTML.
pub(super) fn element(svg: &str) -> Markup {
    PreEscaped(svg.find("<svg").map_or("", |at| &svg[at..]).to_owned())
}

/// Text in which what stands between backticks is a key, a code or a name.
pub(super) fn text(text: &str) -> Markup {
    html! {
        @for (count, part) in text.split('`').enumerate() {
            @if count % 2 == 1 { code { (part) } } @else { (unbroken(part)) }
        }
    }
}

/// Something to be ticked off: by a pen on paper, by a tap on a screen. The box keeps its tick while
/// the page is open, without any script.
pub(super) fn tick(what: Markup) -> Markup {
    html! { label .do { input type="checkbox"; " " span { (what) } } }
}

/// Files to load, each with the unit that it must be read in.
pub(super) fn listed(files: &[Loaded]) -> Markup {
    html! {
        @for (i, file) in files.iter().enumerate() {
            @if i > 0 { ", " }
            span .file {
                code { (file.name) }
                @if !file.unit.is_empty() { " (" b { (file.unit) } ")" }
            }
        }
    }
}
