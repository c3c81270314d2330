//! Where the piece lies: how high in the stock, and where on the board.
//!
//! Promised: the same place for the same input; a piece that lies on the board with its frame,
//! or a fault that says what is missing.
//! Not promised: the best place. The first clear one, nearest to the board's middle, is taken.

mod flaw;
mod place;
mod stock;

pub(crate) use flaw::apart;
pub use flaw::{Wood, gap_to_flaw};
pub use place::{FLAW_IN_PIECE, Footprint, PIECE_OFF_BOARD, Placement, place};
pub use stock::Stock;

use crate::finding::Code;

/// All codes of the fit room.
pub const CODES: &[Code] = &[PIECE_OFF_BOARD, FLAW_IN_PIECE];
