//! What the drawings and the templates say. `{name}` stands for a word or a figure that is filled
//! in.

pub(super) use crate::finding::fill;

// The dimensioned drawing.
pub(in crate::drawing) const VIEWS_NAME: &str =
    "Dimensioned drawing: plan from above, and section along the middle line";
pub(in crate::drawing) const SECTION_NAME: &str =
    "Cross-section {section}, seen towards the tip, with its sizes";
pub(in crate::drawing) const PROFILE_CAPTION: &str =
    "Section along the middle line{before}. Chain line: where the two sides meet.";
pub(in crate::drawing) const BEFORE_SLOTS: &str = ", before slots are cut";
pub(in crate::drawing) const BEFORE_OPENINGS: &str = ", before its openings are cut";
pub(in crate::drawing) const PROJECTION: &str =
    "Third-angle projection. Not to scale: read the figures.";
pub(in crate::drawing) const SECTION_HANDLE: &str = "handle at {at} %";
pub(in crate::drawing) const SECTION_HEAD: &str = "widest place";
pub(in crate::drawing) const SECTION: &str = "{letter}\u{2013}{letter}, {place}";
pub(in crate::drawing) const HOLLOW: &str = "hollow";
pub(in crate::drawing) const WALL: &str = "wall";

// The cut through an inlay.
pub(in crate::drawing) const MATED_NAME: &str =
    "Cut across the piece through the plug of {name} in its recess, with the saw\u{2019}s line";
pub(in crate::drawing) const MATED_CAPTION: &str = "Cut at {along} from the handle\u{2019}s end, seen towards the tip, face up. Scale {scale} : 1.";
pub(in crate::drawing) const MATED_SAW: &str = "saw here";
pub(in crate::drawing) const MATED_DEPTH: &str = "depth";
pub(in crate::drawing) const MATED_UNDER: &str = "under";
pub(in crate::drawing) const MATED_PROUD: &str = "proud here";

// The board and the setups, drawn.
pub(crate) const LAYOUT_NAME: &str =
    "The board from above with the piece on it, its flaws, its readings and its grain";
pub(crate) const SETUP_NAME: &str =
    "Setup {count}, {face} up: the board on the bed, seen from where you stand";
pub(in crate::drawing) const BOARD_FRONT: &str =
    "Front edge: Y = 0. Left end: X = 0. Figures: {unit}.";
pub(in crate::drawing) const YOU_STAND_HERE: &str = "You stand on this side";
pub(in crate::drawing) const GRAIN: &str = "grain";
pub(in crate::drawing) const LEGEND_SEEN: &str = "board, outline, pin holes P";
pub(in crate::drawing) const LEGEND_TABS: &str = "tabs";
pub(in crate::drawing) const LEGEND_BED: &str = "tracks; inserts as rings";
pub(in crate::drawing) const LEGEND_LIMIT: &str = "limit of the finishing cutter's centre";
pub(in crate::drawing) const LEGEND_SLOTS: &str = "slots, cut last";
pub(in crate::drawing) const LEGEND_OPENINGS: &str = "slots and openings, cut last";
pub(in crate::drawing) const LEGEND_FLAWS: &str = "knot, check or wane";
pub(in crate::drawing) const LEGEND_READINGS: &str = "caliper reading, {unit}";
pub(in crate::drawing) const LEGEND_SKIRT: &str = "skirt's edge: wood is cut up to here";
pub(in crate::drawing) const LEGEND_CLEAR: &str = "clearance to edge, skirt or flaw";
pub(in crate::drawing) const LEGEND_ZERO: &str = "zero of X and Y";
pub(in crate::drawing) const ZERO_TOP: &str = "0, top up";
pub(in crate::drawing) const ZERO_BOTTOM: &str = "0, bottom up";

// The templates.
pub(in crate::drawing) const TEMPLATE_PAGE: &str =
    "{design}: template at true size, page {page} of {pages}. Join pages at the crosses.";
pub(in crate::drawing) const TEMPLATE_BAR: &str = "Measure the bar. Print at 100 %.";
pub(in crate::drawing) const TEMPLATE_LINES: &str = "Dashed: tabs. Chain: saw lines, middle.";
pub(in crate::drawing) const TEMPLATE_GAUGES: &str = "Cut in two and hold to the handle.";
pub(in crate::drawing) const GAUGE: &str = "{letter}: {place}";
pub(in crate::drawing) const GAUGE_SIZE: &str = "{width} x {height}";
pub(in crate::drawing) const GAUGE_INCHES: &str = "{width} x {height} in";
pub(in crate::drawing) const BAR_ZERO: &str = "0";
pub(in crate::drawing) const BAR_MM: &str = "100 mm";
pub(in crate::drawing) const BAR_IN: &str = "4 in";
pub(in crate::drawing) const OFFCUT: &str = "offcut {number}";
pub(in crate::drawing) const LAYOUT_TITLE: &str =
    "{board}: {length} by {width}, {clear} to spare all round";
