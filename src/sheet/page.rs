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
mod shell;
mod swatch;
mod work;

pub use info::{
    BedLine, BoardInfo, BoreLine, ChecksLines, DrillLine, Enter, FileLine, Labelled, Loaded,
    MapScale, PagePicture, PassLine, PieceInfo, PlaceLine, PlugPage, Sand, SetupLine, SheetInfo,
    SizeLine, StepLine,
};

pub use care::{map_shown, patterns};
pub use shell::{document, title_block};

use super::words::{self, fill};
use figures::{shown, with};
use marks::{heading, text};
use maud::{Markup, html};

/// The whole page.
pub fn page(info: &SheetInfo) -> String {
    let footer = fill(words::MADE_BY, &[("version", env!("CARGO_PKG_VERSION"))]);
    let title = fill(words::TITLE, &[("name", &info.name)]);
    let body = html! {
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
    };
    document(&title, &body)
}

/// The title block.
fn head(info: &SheetInfo) -> Markup {
    let board = &info.board;
    let pieces: Vec<&str> = match info.pieces.as_slice() {
        [one] => vec![one.kind],
        many => many.iter().map(|piece| piece.design.as_str()).collect(),
    };
    let mut facts = vec![
        (if pieces.len() > 1 { words::KINDS } else { words::KIND }, pieces.join(", ")),
        (words::BOARD, with(&board.name, &board.species)),
        (words::STOCK_HEIGHT, shown(board.stock_height, info.unit)),
        (words::SHOP, info.shop.clone()),
    ];
    facts.extend(info.date.clone().map(|date| (words::DATE, date)));
    title_block(words::SHEET, &info.name, &facts)
}

#[cfg(test)]
mod tests;
