//! The drawings of the page: those of the job sheet.

use super::made::Stage;
use crate::drawing::board::{self, Shows};
use crate::drawing::piece;
use crate::finding::fill;
use crate::job::Job;

/// What must be made for a drawing; none if there is no such one.
pub(super) fn needs(name: &str) -> Option<Stage> {
    match name {
        "views" | "sections" => Some(Stage::Fine),
        "board" | "top" | "bottom" => Some(Stage::Whole),
        _ => None,
    }
}

/// A drawing of a piece, or of the board with all of them; none where the job doesn't come so far.
/// Cross-sections stand in one element, as a row of drawings.
pub(super) fn svg(job: &Job, name: &str, number: usize) -> Option<String> {
    let unit = job.shop.unit;
    let of_board = |setup, shows, named: &str| {
        job.mounting.as_ref()?;
        Some(board::svg(&job.mounted(), setup, shows, named))
    };
    let setup = |count, face| fill(board::SETUP_NAME, &[("count", count), ("face", face)]);
    let svg = match name {
        "views" => piece::views(job.pieces.get(number)?, unit),
        "sections" => {
            let all = piece::cross_sections(job.pieces.get(number)?, unit);
            format!("<g xmlns=\"http://www.w3.org/2000/svg\">{all}</g>")
        }
        "board" => of_board(0, Shows::Wood, board::LAYOUT_NAME)?,
        "top" => of_board(0, Shows::Setup, &setup("1", "top"))?,
        "bottom" => of_board(1, Shows::Setup, &setup("2", "bottom"))?,
        _ => return None,
    };
    Some(svg)
}
