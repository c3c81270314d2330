//! Names of the sizes that a file asks for, as the sheet and `packet.json` have them. `{name}` stands for
//! what is filled in.

pub(super) const LENGTH: &str = "length over all";
pub(super) const BOWL_WIDTH: &str = "width of the bowl";
pub(super) const HOLLOW_DEPTH: &str = "depth of the hollow";
/// How far it is from where the handle ends and the head begins.
pub(super) const DEEPEST: &str = "deepest place, from the neck";
pub(super) const WALL: &str = "wood behind the hollow";
pub(super) const RIM_LAND: &str = "least rim land";
/// The same of one that changes.
pub(super) const RIM_AT_STATION: &str = "rim land at {place} %";
/// The same behind the widest place, where the hollow draws in by itself.
pub(super) const RIM_BEHIND: &str = "rim land at {place} %, or wider";
/// Of a head whose outline swells beyond its `width`.
pub(super) const GREATEST_WIDTH: &str = "greatest width, at {place} %";
pub(super) const BLADE_WIDTH: &str = "width of the blade";
pub(super) const BLADE_THICKNESS: &str = "thickness of the blade";
pub(super) const BLADE_THIN: &str = "thickness of its thin side";
pub(super) const FRONT_EDGE: &str = "thickness of the front edge";
pub(super) const AT_STATION: &str = "handle {what} at {place} %";
/// The same of the head.
pub(super) const HEAD_AT_STATION: &str = "head {what} at {place} %";
/// What a knob at its end sets.
pub(super) const KNOB: [&str; 2] = ["knob width", "knob thickness"];
/// What a station of the handle sets, in the order of the file's keys.
pub(super) const STATIONS: [&str; 4] = ["width", "thickness", "rise", "shift"];
