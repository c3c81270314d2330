//! What each file of a packet is for, as the sheet and `packet.json` have it.

pub(super) const SOLID: &str = "the body, without slots and openings, as a solid of spline faces";
pub(super) const BODY: &str = "the body, without slots and openings";
pub(super) const FINISHED: &str = "the finished piece, slots and openings cut, to look at";
pub(super) const REACH_MAP: &str = "what the finishing cutter leaves on this side";
pub(super) const CUSP_MAP: &str = "how high the ridges can be on this side";
pub(super) const RELIEF_TOP: &str = "what setup 1 carves: the top, its skirt and its tabs";
pub(super) const RELIEF_BOTTOM: &str = "what setup 2 carves: the bottom, its skirt and its tabs";
pub(super) const OUTLINE: &str = "the body's outline";
pub(super) const SLOTS: &str = "the slots, to be cut when both faces are finished";
pub(super) const OPENINGS: &str = "the openings, to be cut when both faces are finished";
pub(super) const TABS: &str = "the tabs";
pub(super) const SAW: &str = "where the tabs are sawn off by hand";
pub(super) const PINS: &str = "the board's holes for the pins, bored once with its top up";
pub(super) const BED_PINS: &str =
    "the bed's holes for the pins, for each setup on a layer, from the machine's home";
pub(super) const BOARD: &str = "everything on the board, on layers of its own, to look at";
pub(super) const LOW_HOLD_DOWN: &str =
    "a block to print; its lip sits in a rebate of the board's edge";
pub(super) const HOLD_DOWN: &str = "a block to print, as tall as the stock under its lip";
pub(super) const SPACER: &str =
    "a spacer to print; it stands between a stop on the bed and the board";
pub(super) const PRINT_PLATE: &str = "all blocks, ready to print without supports";
pub(super) const REBATES: &str = "rebates in the board's edges for the low hold-downs";
pub(super) const BED: &str = "how the board lies on the bed in each setup, to look at";
pub(super) const LIMITS: &str = "limits of each pass, on layers of its own: where the cutter's centre stays, and what it may touch";
pub(super) const RECESS: &str = "the face with the recess of an inlay, to carve it from";
pub(super) const RECESS_LINES: &str = "the art on the face, and where the flanks end at the floor";
pub(super) const DAM: &str = "where the dam stands that keeps the resin in";
pub(super) const TIP_LINE: &str =
    "the line in space that the tip of the vee follows, for path programs that can follow one";
pub(super) const PLUG: &str = "what the plug\u{2019}s own setup carves, foot up";
pub(super) const PLUG_OUTLINE: &str =
    "the art\u{2019}s outline on the plug\u{2019}s board, foot up";
pub(super) const PLUG_LIMIT: &str = "limits of the plug\u{2019}s passes: where the clearing cutter\u{2019}s centre stays, and all that is carved";
pub(super) const PLUG_BLOCK: &str = "a block to print that holds down the plug\u{2019}s board";
pub(super) const SHEET: &str = "the job sheet, to print or to read beside the machine";
pub(super) const TEMPLATES_PDF: &str =
    "paper templates at true size, in pages: outline, slots, tabs, saw lines, pins, gauges";
pub(super) const TEMPLATES_SVG: &str = "the same templates on one sheet";
