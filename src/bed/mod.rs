//! The board on the bed: pins, hold-downs and spacers in their places, positions of the work.
//!
//! Promised: every place is in the frame that its type names; pins let the board go back one way
//! only; hold-downs keep clear of what the cutters and their holder need.
//! Not promised: holding force. What holds also depends on the bolts, the bed and the maker.

mod anchors;
pub mod clamps;
mod hold_down_place;
mod hold_down_search;
pub mod lift;
mod lip;
pub mod mounts;
mod pins;
pub mod registration;
pub mod spacer;
mod zero_edge;

pub use clamps::{ClampOrder, Clamps, clamps};
pub use hold_down_place::{BoardEdge, HoldDownPlace};
pub use hold_down_search::{FEW_HOLD_DOWNS, WANTED, has_room};
pub use pins::{
    NO_ROOM_FOR_PINS, PIN_OUT_OF_PLACE, PINS_OUT_OF_REACH, PinGround, Pins, place_pins, saw_hits,
};
pub use registration::Registration;

use crate::finding::Code;

/// All codes of this room.
pub const CODES: &[Code] = &[
    NO_ROOM_FOR_PINS,
    FEW_HOLD_DOWNS,
    lift::BOARD_CAN_LIFT,
    lip::LIP_WEAK,
    spacer::STOP_IN_THE_WAY,
    registration::PINS_NOT_KEYED,
    registration::SIDES_MISMATCH,
    registration::PIN_TIGHT,
    registration::PIN_HOLE_SHALLOW,
    PIN_OUT_OF_PLACE,
    PINS_OUT_OF_REACH,
    zero_edge::ZERO_EDGE_UNSOUND,
    zero_edge::STOP_NOT_HELD,
    mounts::NO_POSITION,
    mounts::OUT_OF_TRAVEL,
    mounts::BOARDS_COLLIDE,
];
