//! The design onto the board: made to fit its thickness, and laid on it.
//!
//! Promised: the same place for the same input; a piece that lies on the board with its frame and
//! clear of flaws. Not promised: the best place.

mod changed;
pub mod choosing;
mod flaw;
pub mod layout;
pub mod movement;
mod place;
mod stock;
pub mod thickness;
mod wood;

pub use changed::FITTED_TO_BOARD;
pub(crate) use flaw::{Region, apart};
pub use flaw::{SoundWood, gap_to_flaw};
pub use place::Placement;
pub use stock::{Stock, Thicker};
pub use thickness::{
    ALIKE_ALONE, Advice, Advising, Change, Fit, Spare, Widening, alone, fitted, to_board,
    to_board_advising,
};
pub use wood::{
    GrainAt, NOMINAL_DISAGREES, SHORT_GRAIN, THICKNESS_VARIES, grain, readings, short_grain,
};

use crate::finding::Code;

/// All codes of the fit room.
pub const CODES: &[Code] = &[
    layout::MATCH_NOT_KEPT,
    ALIKE_ALONE,
    FITTED_TO_BOARD,
    THICKNESS_VARIES,
    NOMINAL_DISAGREES,
    SHORT_GRAIN,
];
