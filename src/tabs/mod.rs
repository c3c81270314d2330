//! The tabs that hold a piece in its frame of waste: where they stand, what they bear.
//!
//! Promised: every tab stands on the body's outline or is a fault; what a tab bears is an estimate
//! by beams, and says so.
//! Not promised: that a tab survives a dull cutter or a dropped board.

mod auto;
mod hold;
mod load;
mod place;

pub use auto::{AutoGround, NO_ROOM_FOR_TABS, choose};
pub use hold::{HeldTabs, TabOrder, hold_tabs};
pub use load::{Bears, Borne, Pushed, TAB_WEAK, TABS_OFF_BALANCE, inside_supports};
pub use place::{
    TAB_AT_SLOT, TAB_MISSES_BODY, TAB_THINNED, TAB_TOO_THICK, TABS_TOUCH, TabGround, place_tabs,
    saw_line, tab_contour,
};

use crate::finding::Code;

/// All codes of this room.
pub const CODES: &[Code] = &[
    TAB_MISSES_BODY,
    TABS_TOUCH,
    TAB_THINNED,
    TAB_TOO_THICK,
    TAB_AT_SLOT,
    TAB_WEAK,
    TABS_OFF_BALANCE,
    NO_ROOM_FOR_TABS,
];
