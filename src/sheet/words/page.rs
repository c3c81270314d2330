//! Headings, labels and standing sentences of the page. What stands between backticks is a key, a
//! code or a file's name.

// The title block.
pub(in crate::sheet) const TITLE: &str = "Job sheet: {name}";
pub(in crate::sheet) const SHEET: &str = "Job sheet";
pub(in crate::sheet) const SET_OF: &str = "Set of {count} pieces";
pub(in crate::sheet) const KIND: &str = "Piece";
pub(in crate::sheet) const KINDS: &str = "Pieces";
pub(in crate::sheet) const BOARD: &str = "Board";
pub(in crate::sheet) const STOCK_HEIGHT: &str = "Plane the stock to";
pub(in crate::sheet) const SHOP: &str = "Shop";
pub(in crate::sheet) const DATE: &str = "Date";
pub(in crate::sheet) const MADE_BY: &str = "Made by treenwright {version}. All figures and each file\u{2019}s checksum are in `packet.json`.";
pub(in crate::sheet) const OF_PIECE: &str = "{piece}: {heading}";

// What there is to say.
pub(in crate::sheet) const FAULTS: &str = "Faults";
pub(in crate::sheet) const CAUTIONS: &str = "Look at this first";
pub(in crate::sheet) const IN_FILE: &str = "`{code}`, `{key}` in the {file} file";
pub(in crate::sheet) const CODE: &str = "`{code}`";

// The piece.
pub(in crate::sheet) const PIECE: &str = "The finished piece";
pub(in crate::sheet) const FROM_ABOVE: &str = "From above";
pub(in crate::sheet) const FROM_BELOW: &str = "From below";
pub(in crate::sheet) const FROM_RIGHT: &str = "From the right";
pub(in crate::sheet) const FROM_CORNER: &str = "From above and the right";
pub(in crate::sheet) const PICTURE_ALT: &str = "The finished {kind}, shaded. {view}.";
pub(in crate::sheet) const PICTURE_NOTE: &str =
    "Drawn from the model, in a tone of {species}; your board has its own figure.";
pub(in crate::sheet) const SIZES: &str = "Sizes";
pub(in crate::sheet) const SIZE: &str = "Asked for";
pub(in crate::sheet) const ASKED: &str = "Asked, {unit}";
pub(in crate::sheet) const MEASURED: &str = "Measured";
pub(in crate::sheet) const OFF_BY: &str = "Off by";
pub(in crate::sheet) const ALSO: &str = "Also measured";
pub(in crate::sheet) const FIGURE: &str = "Figure";
pub(in crate::sheet) const ESTIMATE: &str = "{what} (an estimate)";
pub(in crate::sheet) const SIZES_NOTE: &str = "Measured on the body\u{2019}s model, without slots and openings. Estimates are for \
     sound, straight grain.";
pub(in crate::sheet) const CHANGES: &str = "Changed to fit the board";
pub(in crate::sheet) const KEY: &str = "Key";
pub(in crate::sheet) const FROM: &str = "Asked";
pub(in crate::sheet) const TO: &str = "Fitted";
pub(in crate::sheet) const GIVE_LIMIT: &str = "Limit";
pub(in crate::sheet) const DRAWING: &str = "Drawing";
pub(in crate::sheet) const PLAN: &str = "Plan and section";
pub(in crate::sheet) const SECTIONS: &str = "Cross-sections";
pub(in crate::sheet) const WIDE: &str =
    "Wider than this screen: slide it sideways, or turn the phone.";

// Signs of units, as they stand after a figure.
pub(in crate::sheet) const UNITS: [&str; 8] = ["mm", "%", "in", "N", "g", "MPa", "mL", "minutes"];

// Measured figures.
pub(in crate::sheet) const HEIGHT: &str = "height over all";
pub(in crate::sheet) const SPARE: &str = "height to spare";
pub(in crate::sheet) const TOO_TALL: &str = "too tall for the stock by";
pub(in crate::sheet) const VOLUME: &str = "volume of the body";
pub(in crate::sheet) const WALL_LEAST: &str = "least wall between hollow and back";
pub(in crate::sheet) const FLAT: &str = "thickness of the blade\u{2019}s flat";
pub(in crate::sheet) const THIN_SIDE: &str = "thickness of the blade\u{2019}s thin side";
pub(in crate::sheet) const TINE: &str = "least width of a tine, behind its tip";
pub(in crate::sheet) const HOLDS: &str = "what the hollow holds, level";
pub(in crate::sheet) const HOLDS_OPEN: &str = "what the hollow holds, up to its rim";
pub(in crate::sheet) const TWIN: &str = "made as its left-handed twin";
pub(in crate::sheet) const TWIN_SAYS: &str = "what its file puts to the left lies to the right";
pub(in crate::sheet) const MASS: &str = "mass in {species} at 12 % moisture";
pub(in crate::sheet) const CUBIC_CM: &str = "{volume}\u{a0}cm\u{b3}";
pub(in crate::sheet) const CUBIC_IN: &str = "{volume}\u{a0}in\u{b3}";
pub(in crate::sheet) const SPOONFULS: &str = "{ml}\u{a0}mL, {spoons} US tablespoons";
pub(in crate::sheet) const GRAMS: &str = "{mass}\u{a0}g";

// The board, the work and the setups.
pub(in crate::sheet) const BOARD_HEADING: &str = "The board";
pub(in crate::sheet) const LAYOUT: &str = "The board with all that lies on it";
pub(in crate::sheet) const ORDER: &str = "Order of work";
pub(in crate::sheet) const MIND: &str = "Caution:";
pub(in crate::sheet) const LOAD: &str = "Load";
pub(in crate::sheet) const SETUP: &str = "Setup {count}: {face} up";
pub(in crate::sheet) const ZERO: &str = "Zero";
pub(in crate::sheet) const AXIS: &str = "Axis";
pub(in crate::sheet) const ZERO_AT: &str = "Is 0 at the";
pub(in crate::sheet) const ENTER: &str = "Enter";
pub(in crate::sheet) const ENTER_AT: &str = "Enter at {word}";
pub(in crate::sheet) const PLACES: &str = "Places, {unit}";
pub(in crate::sheet) const PLACE: &str = "What";
pub(in crate::sheet) const ON_BED: &str = "Bed {axis}";
pub(in crate::sheet) const MOUNT: &str = "Mount";
pub(in crate::sheet) const BEFORE: &str = "Before the spindle starts";
pub(in crate::sheet) const PASSES: &str = "Cut, in this order";
pub(in crate::sheet) const STEP: &str = "Step";
pub(in crate::sheet) const CUTTER: &str = "Cutter";
pub(in crate::sheet) const CUTTER_SIZE: &str = "{cutter}: diameter {across}, stick-out {out}.";
pub(in crate::sheet) const FEED: &str = "Feed, {feed}";
pub(in crate::sheet) const SPEED: &str = "Spindle, rpm";
pub(in crate::sheet) const PLUNGE: &str = "Plunge, {feed}";
pub(in crate::sheet) const BY_PIECE: &str = "by piece";
pub(in crate::sheet) const LEVEL_EACH: &str = "{column}: {each}.";
pub(in crate::sheet) const Z_FROM: &str = "Z from, {unit}";
pub(in crate::sheet) const Z_TO: &str = "Z to, {unit}";
pub(in crate::sheet) const PASS_COLUMNS: [&str; 5] =
    ["Step-over, {unit}", "Pass depth, {unit}", Z_FROM, Z_TO, "Leaves, {unit}"];
pub(in crate::sheet) const OF_PIECE_SHORT: &str = "{piece} {figure}";
pub(in crate::sheet) const EACH_FILE: &str = "*/{name}";
pub(in crate::sheet) const EACH_NOTE: &str = "`*` is the folder of each piece.";
pub(in crate::sheet) const FLAT_FORM: &str = "flat";
pub(in crate::sheet) const BALL_FORM: &str = "ball";
pub(in crate::sheet) const BULL_FORM: &str = "bull-nosed, corner {corner}";
pub(in crate::sheet) const VEE_FORM: &str = "V, {angle}\u{b0}";
pub(in crate::sheet) const DRILL_FORM: &str = "drill";
pub(in crate::sheet) const FEEDS_NOTE: &str = "Feeds and speeds are the shop file\u{2019}s. The limits of the machine and of the cutter take precedence over them.";

// What is left to do by hand.
pub(in crate::sheet) const SAND: &str = "Sanding";
pub(in crate::sheet) const MAP_ALT: &str =
    "Map of the {face}: the darker, the more the finishing cutter leaves. The scale is beneath it.";
pub(in crate::sheet) const MAP_CAPTION: &str =
    "The {face}, tip to the right: the darker, the more is left";
pub(in crate::sheet) const RIDGES_ALT: &str =
    "Ridges of the {face} as a map: the darker, the higher they can be. The scale is beneath it.";
pub(in crate::sheet) const RIDGES_CAPTION: &str = "The {face}: the darker, the higher the ridges";
pub(in crate::sheet) const FINISHING: &str = "Finishing";

// The files.
pub(in crate::sheet) const FILES: &str = "Files";
pub(in crate::sheet) const FILE: &str = "File";
pub(in crate::sheet) const FILE_FOR: &str = "What it is for";
pub(in crate::sheet) const FILES_HERE: &str = "In the packet itself";
pub(in crate::sheet) const FILES_EACH: &str = "In the folder of each piece: {folders}";
pub(in crate::sheet) const FILES_SOME: &str = "In {folders} alone";
pub(in crate::sheet) const FOLDER: &str = "`{folder}/`";
pub(in crate::sheet) const FRAME: &str = "Frame";
pub(in crate::sheet) const UNIT: &str = "Unit";
pub(in crate::sheet) const FILES_NOTE: &str = "Files in the frame of a setup are already turned over and moved to its zero: load them as they are. An STL file does not say its unit: read it in the one given here, or the part is cut 25.4 times too small or too large.";

// Standing cautions. They name dangers and send the reader to those who know; they are no
// instruction in the use of a machine. What belongs to one step stands at that step.
pub(in crate::sheet) const SAFETY: &str = "Before you begin";
pub(in crate::sheet) const SHOP_NOTES: &str = "This shop";
pub(in crate::sheet) const STANDING: [(&str, &str); 3] = [
    (
        "First",
        "Your machine\u{2019}s manual and the safety rules of your workshop take precedence over this \
         sheet. If you are not sure of a step, ask someone who is qualified on the machine.",
    ),
    (
        "On you",
        "Wear eye and ear protection. No gloves, loose sleeves, rings or loose long hair near a \
         turning spindle.",
    ),
    (
        "Dust",
        "Wood dust harms lungs and nose. Use extraction at the cutter and a mask made for fine \
         dust. Dust burns: no sparks, and empty the bag when you are done.",
    ),
];
pub(in crate::sheet) const IN_USE: &str = "{what} in use";
pub(in crate::sheet) const FROM_TO: &str = "{least} to {most}";
