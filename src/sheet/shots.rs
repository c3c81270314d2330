//! The shaded pictures of the finished piece that stand in the sheet.

use super::page::PagePicture;
use super::words::{self, fill};
use crate::job::Mounted;
use crate::render::{Sitter, View, Wood, inlaid};
use rayon::prelude::*;

/// Width and height of a view in the sheet, in picture elements: two beside each other on paper
/// are 88 mm wide, so some 185 to the inch.
const fn size(view: View) -> (u32, u32) {
    match view {
        View::Top | View::Bottom => (640, 192),
        View::Side => (640, 152),
        View::ThreeQuarter => (640, 320),
    }
}

const fn words_of(view: View) -> &'static str {
    match view {
        View::Top => words::FROM_ABOVE,
        View::Bottom => words::FROM_BELOW,
        View::Side => words::FROM_RIGHT,
        View::ThreeQuarter => words::FROM_CORNER,
    }
}

/// The four pictures.
pub(super) fn of(at: &Mounted<'_>) -> Vec<PagePicture> {
    let wood = Wood::of(&at.job.board.species);
    let sitter = Sitter::closed(&at.carved.finished).with(inlaid(at.piece));
    View::ALL
        .into_par_iter()
        .with_max_len(1)
        .map(|view| {
            let (width, height) = size(view);
            let png = sitter.shaded(&view, (width, height), wood);
            let seen = words_of(view);
            let kind = at.piece.design.kind.name();
            PagePicture {
                caption: seen.to_owned(),
                alt: fill(words::PICTURE_ALT, &[("kind", kind), ("view", seen)]),
                width,
                height,
                source: super::base64::picture_source(&png),
            }
        })
        .collect()
}
