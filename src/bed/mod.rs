//! The board on the bed: pins, hold-downs and spacers in their places, positions of the work.
//!
//! Promised: every place is in the frame that its type names; pins let the board go back one way
//! only; hold-downs keep clear of what the cutters and their holder need.
//! Not promised: holding force. What holds also depends on the bolts, the bed and the maker.

pub mod clamps;
mod hold_down_place;
pub mod lift;
pub mod mounts;
mod pins;
pub mod registration;
pub mod spacer;

pub use clamps::{ClampOrder, Clamps, clamps};
pub use hold_down_place::{
    BoardEdge, FEW_HOLD_DOWNS, HoldDownGround, HoldDownPlace, has_room, place_hold_downs,
};
pub use pins::{NO_ROOM_FOR_PINS, PIN_OUT_OF_PLACE, Pins, place_pins};
pub use registration::Registration;

use crate::finding::Code;

/// All codes of this room.
pub const CODES: &[Code] = &[
    NO_ROOM_FOR_PINS,
    FEW_HOLD_DOWNS,
    lift::BOARD_CAN_LIFT,
    spacer::STOP_IN_THE_WAY,
    registration::PINS_NOT_KEYED,
    registration::SIDES_MISMATCH,
    registration::PIN_TIGHT,
    PIN_OUT_OF_PLACE,
    mounts::NO_POSITION,
    mounts::OUT_OF_TRAVEL,
    mounts::BOARDS_COLLIDE,
];
