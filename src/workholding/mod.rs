//! What holds the board and the piece: setups, tabs, pins, hold-downs, limits.
//!
//! Promised: every place is in the frame that its type names; pins let the board go back one way
//! only; hold-downs keep clear of what the cutters need.
//! Not promised: holding force. What holds also depends on the bolts, the bed and the maker.

mod bolt;
mod hold_down;
mod hold_down_place;
mod limit;
pub mod mounts;
pub mod order;
pub mod passes;
mod pins;
pub mod plan;
pub mod registration;
mod setup;
mod tab_auto;
mod tab_hold;
mod tab_load;
mod tabs;

pub use bolt::clearance_hole;
pub use hold_down::{BOLT_HOLE_TOO_NEAR, HoldDownModel, Hole, hold_down};
pub use hold_down_place::{Edge, FEW_HOLD_DOWNS, HoldDownPlace, has_room, place_hold_downs};
pub use limit::{Limit, centre_reach};
pub use pins::{NO_ROOM_FOR_PINS, Pins, place_pins};
pub use plan::{Boring, Hold, HoldOrder, lowest, plan};
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
    registration::PINS_NOT_KEYED,
    registration::SIDES_MISMATCH,
    registration::PIN_TIGHT,
    registration::PIN_OUT_OF_PLACE,
    mounts::NO_POSITION,
    mounts::OUT_OF_TRAVEL,
    mounts::BOARDS_COLLIDE,
    plan::NO_BORING_CUTTER,
];
