//! What the drawings and the templates say.

// The dimensioned drawing.
pub(in crate::sheet) const VIEWS_NAME: &str =
    "Dimensioned drawing: plan from above, and section along the middle line";
pub(in crate::sheet) const SECTION_NAME: &str =
    "Cross-section {section}, seen towards the tip, with its sizes";
pub(in crate::sheet) const PROFILE_CAPTION: &str = "Section along the middle line, before slots are cut; the chain line is where the two sides meet";
pub(in crate::sheet) const PROJECTION: &str =
    "Third-angle projection. Not to scale: read the figures.";
pub(in crate::sheet) const SECTION_HANDLE: &str = "handle at {at} %";
pub(in crate::sheet) const SECTION_HEAD: &str = "widest place";
pub(in crate::sheet) const SECTION: &str = "{letter}\u{2013}{letter}, {place}";
pub(in crate::sheet) const HOLLOW: &str = "hollow";
pub(in crate::sheet) const WALL: &str = "wall";

// The board and the setups, drawn.
pub(in crate::sheet) const LAYOUT_NAME: &str =
    "The board from above with the piece on it, its flaws, its readings and its grain";
pub(in crate::sheet) const SETUP_NAME: &str =
    "Setup {count}, {face} up: the board on the bed, seen from where you stand";
pub(in crate::sheet) const BOARD_FRONT: &str =
    "front edge, Y = 0; the left end is X = 0; readings in mm";
pub(in crate::sheet) const YOU_STAND_HERE: &str = "you stand on this side";
pub(in crate::sheet) const GRAIN: &str = "grain";
pub(in crate::sheet) const LEGEND_SEEN: &str = "board, outline, pin holes (P)";
pub(in crate::sheet) const LEGEND_SETUP: &str = "board, outline, pins P, hold-downs H";
pub(in crate::sheet) const LEGEND_TABS: &str = "tabs, beside the piece (grey)";
pub(in crate::sheet) const LEGEND_STANDS: &str = "tabs (grey), spacers S";
pub(in crate::sheet) const LEGEND_LIMIT: &str = "limit, finishing cutter's centre";
pub(in crate::sheet) const LEGEND_SLOTS: &str = "slots, cut last";
pub(in crate::sheet) const LEGEND_FLAWS: &str = "knot, check or wane";
pub(in crate::sheet) const LEGEND_READINGS: &str = "caliper reading, mm";
pub(in crate::sheet) const LEGEND_SKIRT: &str = "skirt's edge: wood up to here is cut";
pub(in crate::sheet) const LEGEND_CLEAR: &str = "clearance, skirt or body to flaw, mm";
pub(in crate::sheet) const LEGEND_ZERO: &str = "zero of X and Y, by side that is up";
pub(in crate::sheet) const ZERO_TOP: &str = "0, top up";
pub(in crate::sheet) const ZERO_BOTTOM: &str = "0, bottom up";

// The templates.
pub(in crate::sheet) const TEMPLATE_PAGE: &str =
    "{design}: template at true size, page {page} of {pages}. Join pages at the crosses.";
pub(in crate::sheet) const TEMPLATE_BAR: &str = "Measure the bar. Print at 100 %.";
pub(in crate::sheet) const TEMPLATE_LINES: &str = "Dashed: tabs. Chain: saw lines and the middle.";
pub(in crate::sheet) const TEMPLATE_GAUGES: &str = "Cut in two, hold to the handle.";
pub(in crate::sheet) const GAUGE: &str = "{letter}: {place}";
pub(in crate::sheet) const GAUGE_SIZE: &str = "{width} x {height}";
pub(in crate::sheet) const GAUGE_INCHES: &str = "{width} x {height} in";
pub(in crate::sheet) const BAR_ZERO: &str = "0";
pub(in crate::sheet) const BAR_MM: &str = "100 mm";
pub(in crate::sheet) const BAR_IN: &str = "4 in";
pub(in crate::sheet) const OFFCUT: &str = "offcut {number}";
pub(in crate::sheet) const LAYOUT_TITLE: &str =
    "{board}: {length} by {width} mm, {clear} mm clear of all that must be";
