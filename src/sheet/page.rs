//! `sheet.html`: one page to print, to read on a phone beside the machine, and to tick off; for
//! one piece or for a set.
//!
//! Promised: one file without script, without anything fetched; all text escaped; the same bytes
//! for the same job; readable in black and white, on A4, on Letter and at 360 pixels. Not
//! promised: that the drawings are safe to show; they are the caller's own SVG.

mod care;
mod checks;
mod drill;
mod figures;
mod files;
mod info;
mod marks;
mod piece;
mod plug;
mod said;
mod swatch;
mod work;

pub use info::{
    BedLine, BoardInfo, BoreLine, ChecksLines, DrillLine, Enter, FileLine, Labelled, Loaded,
    MapScale, PagePicture, PassLine, PieceInfo, PlaceLine, PlugPage, Sand, SetupLine, SheetInfo,
    SizeLine, StepLine,
};

use super::words::{self, fill};
use figures::{shown, with};
use marks::{heading, text};
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// The style of pages of this family.
pub const STYLE: &str = include_str!("page/style.css");

/// The whole page.
pub fn page(info: &SheetInfo) -> String {
    let footer = fill(words::MADE_BY, &[("version", env!("CARGO_PKG_VERSION"))]);
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (fill(words::TITLE, &[("name", &info.name)])) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                (head(info))
                main {
                    (said::findings(&info.findings, &str::to_owned))
                    @for piece in &info.pieces {
                        (said::findings(&piece.findings, &|title| heading(info, piece, title)))
                    }
                    (care::begin(&info.notes))
                    (work::steps(&info.steps))
                    (drill::bed(info))
                    (work::setups(info))
                    (plug::pages(info))
                    (care::sand(info))
                    (care::finish())
                    @for piece in &info.pieces { (piece::page(info, piece)) }
                    (work::board(&info.board))
                    @for piece in &info.pieces { (checks::section(info, piece)) }
                    div .kept {
                        (files::section(info))
                        footer { p { (text(&footer)) } }
                    }
                }
            }
        }
    }
    .into_string()
}

/// The title block.
fn head(info: &SheetInfo) -> Markup {
    let board = &info.board;
    let pieces: Vec<&str> = match info.pieces.as_slice() {
        [one] => vec![one.kind],
        many => many.iter().map(|piece| piece.design.as_str()).collect(),
    };
    html! {
        header {
            p .over { (words::SHEET) }
            h1 { (info.name) }
            dl .facts {
                (fact(words::KIND, &pieces.join(", ")))
                (fact(words::BOARD, &with(&board.name, &board.species)))
                (fact(words::STOCK_HEIGHT, &shown(board.stock_height, info.unit)))
                (fact(words::SHOP, &info.shop))
                @if let Some(date) = &info.date { (fact(words::DATE, date)) }
            }
        }
    }
}

fn fact(what: &str, value: &str) -> Markup {
    html! { div { dt { (what) } dd { (value) } } }
}

#[cfg(test)]
mod tests;
