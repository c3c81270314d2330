//! What holds the board and the piece: setups, tabs, pins, hold-downs, limits.
//!
//! Promised: every place is in the frame that its type names; pins let the board go back one way
//! only; hold-downs keep clear of what the cutters and their holder need.
//! Not promised: holding force. What holds also depends on the bolts, the bed and the maker.

pub mod block;
mod bolt;
pub mod clamps;
pub mod envelope;
mod hold_down;
mod hold_down_place;
pub mod lift;
mod limit;
mod mark;
pub mod mounts;
pub mod order;
pub mod order_more;
pub mod passes;
mod pins;
pub mod plan;
pub mod plate;
pub mod registration;
mod setup;
pub mod spacer;
pub mod sweep;
mod tab_auto;
mod tab_hold;
mod tab_load;
mod tabs;
mod words;

pub use bolt::clearance_hole;
pub use clamps::{ClampOrder, Clamps, HeldPiece, clamps};
pub use hold_down::{BOLT_HOLE_TOO_NEAR, HoldDownModel, Hole, hold_down, hold_downs};
pub use hold_down_place::{
    Edge, FEW_HOLD_DOWNS, Ground, HoldDownPlace, has_room, place_hold_downs,
};
pub use limit::{Limit, centre_reach};
pub use order::Step;
pub use pins::{NO_ROOM_FOR_PINS, Pins, place_pins};
pub use plan::{Boring, Hold, HoldOrder, bores, lowest, plan};
pub use registration::Registration;
pub use setup::{Frame, Setup};
pub use tab_auto::{AutoGround, NO_ROOM_FOR_TABS, choose};
pub use tab_hold::{HeldTabs, TabOrder, hold_tabs};
pub use tab_load::{Bears, Borne, Pushed, TAB_WEAK, TABS_OFF_BALANCE, inside_supports};
pub use tabs::{
    TAB_AT_SLOT, TAB_MISSES_BODY, TAB_THINNED, TABS_TOUCH, TabGround, place_tabs, saw_line,
    tab_contour,
};

use crate::finding::Code;

/// All codes of the workholding room.
pub const CODES: &[Code] = &[
    TAB_MISSES_BODY,
    TABS_TOUCH,
    TAB_THINNED,
    TAB_AT_SLOT,
    TAB_WEAK,
    TABS_OFF_BALANCE,
    NO_ROOM_FOR_TABS,
    passes::CLEAN_UP_ASTRAY,
    NO_ROOM_FOR_PINS,
    FEW_HOLD_DOWNS,
    BOLT_HOLE_TOO_NEAR,
    lift::BOARD_CAN_LIFT,
    plate::PLATE_TOO_SMALL,
    spacer::STOP_IN_THE_WAY,
    registration::PINS_NOT_KEYED,
    registration::SIDES_MISMATCH,
    registration::PIN_TIGHT,
    registration::PIN_OUT_OF_PLACE,
    mounts::NO_POSITION,
    mounts::OUT_OF_TRAVEL,
    mounts::BOARDS_COLLIDE,
    plan::NO_BORING_CUTTER,
];
