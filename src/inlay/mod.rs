//! Inlays: art let into a face that is curved along and across.
//!
//! All is worked out in a frame in which the face looks up: the design's own for the top, turned half round
//! about X for the bottom. `shore` says how deep a vee may go, `valley` and `level` find where flanks meet
//! and end, `terrain` makes triangles of the surface that they leave, `bed_of_art` puts recess and plug
//! together from them, and `making` and `plug` bring them into the frames that they are used in.
//!
//! Promised: recess and plug are the exact surfaces of an ideal vee within a hundredth of a millimetre where
//! they are measured. Not promised: what a worn or flat tip leaves in sharp corners, of which only a bound is
//! told.

mod art;
mod basin;
mod bed_of_art;
mod bring;
mod charstrings;
mod clearing;
mod codes;
mod composites;
mod dxf_art;
mod edge_places;
mod even_odd;
mod far;
mod holding;
mod inlaid;
mod kerning;
mod left_out;
mod letters;
mod level;
mod lines;
mod making;
mod one;
mod plug;
mod root;
mod rules;
mod section;
mod shore;
mod sketch;
mod solid;
mod squares;
mod standing;
mod svg_art;
mod terrain;
#[cfg(test)]
mod tests;
mod trim;
mod trouble;
mod valley;

pub use art::Art;
pub use basin::Poured;
pub use bring::{
    Brought, INLAY_ART, INLAY_BOARD, INLAY_FONT, INLAY_LEFT_OUT, INLAY_LETTERS, bring,
};
pub use holding::PlugHold;
pub use inlaid::Inlaid;
pub use making::inlays;
pub use one::InlayOrder;
pub use plug::Plug;
pub use section::{MatedSection, SectionPlace};
pub use shore::Shore;
pub use trouble::{ArtTrouble, LettersTrouble};

use crate::finding::{Code, Finding, Findings, Source};
use crate::params::Design;

/// Every code of this room.
pub const CODES: &[Code] = &[
    INLAY_ART,
    INLAY_LEFT_OUT,
    INLAY_BOARD,
    INLAY_FONT,
    INLAY_LETTERS,
    codes::INLAY_OFF_FACE,
    codes::INLAY_STEEP,
    codes::INLAY_TOO_DEEP,
    codes::INLAY_THIN,
    codes::INLAY_CUTTER,
    codes::INLAY_FLOOR,
    codes::INLAY_WALL,
    codes::INLAY_VEE_SHORT,
    codes::INLAY_NO_FOOT,
    codes::INLAY_BOARD_SMALL,
    codes::INLAY_ISLAND,
    codes::INLAY_WEAK,
    codes::INLAY_MOVES,
    codes::INLAY_APART,
];

/// Says so when a design has inlays whose files nobody brought. `number` is the piece's, of several.
pub fn unbrought(design: &Design, brought: usize, number: Option<usize>, out: &mut Findings) {
    for (index, inlay) in design.inlay.iter().enumerate().skip(brought) {
        let message = "the files of the inlay are not at hand here";
        let help = "Plan the job where its art and its plug's board can be read.";
        let finding = Finding::fault(INLAY_ART, message, help);
        let finding = finding.at(Source::Design, format!("inlay[{index}].{}", inlay.shown_by()));
        out.push(Finding { piece: number, ..finding });
    }
}
