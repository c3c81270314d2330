//! What the sheet says of the work: setups, cautions at their steps, sanding, finishing. Short, plain
//! and safe; where a rule or a figure comes from stands in the docs.

// Setups.
pub(in crate::sheet) const LIES_TOP: &str =
    "The board lies top up, its length along X, its front edge towards you.";
pub(in crate::sheet) const TURN_X: &str =
    "Turn the board over about its length (X): the back edge comes to the front, the ends stay.";
pub(in crate::sheet) const TURN_Y: &str = "Turn the board over about its width (Y): the right end \
     comes to the left, the edges stay.";
pub(in crate::sheet) const ENTER_X: &str = "stock\u{2019}s left end";
pub(in crate::sheet) const ENTER_Y: &str = "stock\u{2019}s front edge";
pub(in crate::sheet) const ENTER_Z_TOP: &str = "stock\u{2019}s upper face, {height} above the bed";
pub(in crate::sheet) const ENTER_Z_BED: &str = "bed, under the stock";
pub(in crate::sheet) const TOUCH_OFF: &str = "touch off: 0";
pub(in crate::sheet) const STOCK_TOP: &str = "Upper face, Z";
pub(in crate::sheet) const STOCK_BOTTOM: &str = "Bed, Z";
pub(in crate::sheet) const DEEPEST: &str = "Deepest cut, Z";
pub(in crate::sheet) const PIN_PLACE: &str = "pin";
pub(in crate::sheet) const HOLD_DOWN_PLACE: &str = "bolt, {edge}";
pub(in crate::sheet) const LOW_HOLD_DOWN_PLACE: &str = "bolt, {edge}, low";
pub(in crate::sheet) const SPACER_PLACE: &str = "spacer, {edge}";
pub(in crate::sheet) const EDGES: [&str; 4] = ["left", "right", "front", "back"];
pub(in crate::sheet) const MEASURE_BOARD: &str = "Measure X from the board\u{2019}s left end and Y \
     from its front edge, as it lies now. Of a hold-down it is the middle of its bolt.";
pub(in crate::sheet) const MEASURE_BED: &str =
    "Bed X and Y are the machine\u{2019}s own, from its home corner.";
pub(in crate::sheet) const MOUNT_TOP: &str = "Lay the board square in its corner. The bed is bored \
     already; the board is bored first thing.";
pub(in crate::sheet) const MOUNT_BOTTOM: &str = "Lower the board over both dowels. It goes on one way \
     only. If it does not lie flat without force, look for chips under it.";
pub(in crate::sheet) const MOUNT_HOLD_DOWN: &str = "Set the hold-down at H1. Tighten by hand until its \
     lip touches; no wrench (a printed lip: {pull} N, an estimate).";
pub(in crate::sheet) const MOUNT_HOLD_DOWNS: &str = "Set {count} hold-downs at H1 to H{count}. Tighten \
     by hand until each lip touches; no wrench (a printed lip: {pull} N, an estimate).";
pub(in crate::sheet) const MOUNT_FEW: &str = "That is fewer than the four wanted. Before you cut, screw \
     the board down through the waste as well, clear of every limit, and pull at each corner: nothing \
     may lift.";
pub(in crate::sheet) const STOP_AGAINST: &str =
    "No spacer at the {side} stop ({axis} {at}): the board lies against it.";
pub(in crate::sheet) const STOP_PRINT: &str =
    "{count} \u{d7} the spacer marked {mark} at the {side} stop ({axis} {at}).";
pub(in crate::sheet) const STOP_PRINT_BARE: &str =
    "{count} \u{d7} the printed spacer, {size} long, at the {side} stop ({axis} {at}).";
pub(in crate::sheet) const STOP_CUT: &str =
    "{count} \u{d7} a piece of wood cut {size} long at the {side} stop ({axis} {at}).";
pub(in crate::sheet) const SPACERS_OUT: &str = "Remove the spacers once the board is clamped.";
pub(in crate::sheet) const MOUNT_REBATES: &str =
    "The low hold-downs sit in the rebates of this face, {depth} deep.";
pub(in crate::sheet) const BEFORE_ZERO: &str = "Spindle off, high above the stock: drive to X0 Y0 and \
     see that it is where the picture has it.";
pub(in crate::sheet) const BEFORE_FILES: &str =
    "Check that every file comes from the folder `{face}`.";
pub(in crate::sheet) const BEFORE_FILES_OF_SET: &str =
    "Check that every file comes from a folder `{face}`, the board\u{2019}s or a piece\u{2019}s.";
pub(in crate::sheet) const BEFORE_LOOK: &str = "Rehearse the programs: `treenwright rehearse`. See \
     in the path program that each path stays inside its limit, clear of hold-downs and pins.";
pub(in crate::sheet) const BEFORE_LIMIT: &str = "Spindle off, high above the stock: drive round the \
     limit. Check that nothing is in the way.";
pub(in crate::sheet) const BEFORE_HEIGHT: &str =
    "Check that rapid moves are at Z {height} or higher.";
pub(in crate::sheet) const LIFT: &str =
    "Lift to Z {height} between cuts: it clears hold-downs, tabs and stock.";
pub(in crate::sheet) const OVER_TABS: &str = "Over the tabs lift to Z {height} or higher.";
pub(in crate::sheet) const MIND_TOP: &str = "Stay by the machine, the emergency stop within reach. Keep \
     hands clear until the spindle has stopped. Stop at a smell of scorching.";
pub(in crate::sheet) const MIND_BOTTOM: &str = "Stay by the machine, the emergency stop within reach. \
     Keep hands clear until the spindle has stopped. Near the end only the tabs hold the piece.";

// The bed's holes, how holes are bored, and how well the sides meet.
pub(in crate::sheet) const BED_HOLES: &str = "The bed\u{2019}s holes";
pub(in crate::sheet) const BED_ZERO_HOME: &str = "Zero for these holes only: X and Y in the machine\u{2019}s own coordinates, from its home corner.";
pub(in crate::sheet) const BED_ZERO_CORNER: &str = "Zero for these holes only: X and Y where the \
     board\u{2019}s front left corner will lie. The shop file lists no work position.";
pub(in crate::sheet) const BED_ZERO_Z: &str = "Z is 0 on the bed.";
pub(in crate::sheet) const DRILL_HOLE: &str = "P{pin}, setup {setup}";
pub(in crate::sheet) const DRILL_COLUMNS: [&str; 5] =
    ["Hole", "X, {unit}", "Y, {unit}", "Diameter, {unit}", "Depth, {unit}"];
pub(in crate::sheet) const BORE_BED: &str = "bore the bed";
pub(in crate::sheet) const BORE_BOARD: &str = "bore the board";
pub(in crate::sheet) const BORE_DOWN: &str = "Drill straight down.";
pub(in crate::sheet) const BORE_PATH: &str =
    "Bore on a path of diameter {path}, {turn} down on each turn.";
pub(in crate::sheet) const BORE_BY_HAND: &str = "No cutter of the shop bores these holes.";
pub(in crate::sheet) const PECK: &str = "Peck, {unit}";
pub(in crate::sheet) const REGISTER: &str = "The two sides may miss each other by {worst} at worst, \
     likely by {likely}. At each pin that comes from: {causes}.";
pub(in crate::sheet) const KEYED: &str = "Of all {count} ways to put the board on its pins only the right ones \
     fit. The nearest of the wrong ones, {way}, misses by {misses}.";

// What the tabs bear.
pub(in crate::sheet) const TAB_BEARS: &str = "the weakest tab bears";
pub(in crate::sheet) const TIMES_PUSH: &str = "{times} times a push of {push} N in {wood}";
pub(in crate::sheet) const WEAKEST_WOOD: &str = "{wood}, the weakest wood known";
pub(in crate::sheet) const UNDER: &str = "under {least}";
pub(in crate::sheet) const GIVES_WAY: &str = "pushed so, the piece gives way by";

// Sanding and finishing.
pub(in crate::sheet) const SAND_RIDGES: &str = "The finishing cutter leaves ridges about {ridge} high, \
     {step} apart, a fine line where the two sides meet, and the tabs\u{2019} stubs. It leaves more \
     where the ball cannot reach: under a rim, at the roots of slots, in tight hollows.";
pub(in crate::sheet) const SAND_CUSPS: &str = "Ridges are higher on slopes, unless the passes run \
     straight up and down them. The maps of the ridges show how high they are at worst. Each place is \
     as dark as the highest within {around} of it.";
pub(in crate::sheet) const SAND_WHITE: &str = "A map that would be all white is left out.";
pub(in crate::sheet) const SAND_MAP: &str = "The maps of what is left show where the finishing cutter \
     does not reach. Start with a scraper or P100 where it is dark.";
pub(in crate::sheet) const UP_TO: &str = "to {most}";
pub(in crate::sheet) const MORE: &str = "more";
pub(in crate::sheet) const SAND_STEPS: [[&str; 2]; 5] = [
    [
        "Pare the stubs flush. Fair the line round the edge with a scraper or a fine file. Hold the \
         gauges of `templates.pdf` against the handle as you go.",
        "A step or a flat shows more after sanding, not less.",
    ],
    ["Sand with P100, along the grain, until the ridges are gone.", ""],
    [
        "Sand with P150, then P220, each until the marks of the one before are gone.",
        "Finer grit closes the wood to oil.",
    ],
    [
        "Wet the wood, let it dry through, and go over it lightly with P220.",
        "Water lifts the fibres that sanding pressed down.",
    ],
    ["Wet and sand once more if it still feels rough.", "Open-grained woods lift twice."],
];
pub(in crate::sheet) const SAND_DUST: &str =
    "Wear a mask made for fine dust, and draw the dust away.";
pub(in crate::sheet) const FINISH: [(&str, &str); 4] = [
    (
        "Wood",
        "Use sound wood of a kind known to be fit for food, without rot or filler. Some people are \
         allergic to some woods.",
    ),
    (
        "Oil and wax",
        "Use only a finish whose maker declares it fit for food contact. Its label takes precedence \
         over this sheet: how to put it on, how long it must cure. Nut oils can harm people who are \
         allergic to nuts.",
    ),
    (
        "Rules",
        "Ask the maker of the finish which rules for food contact it meets, and what holds where you \
         live.",
    ),
    (
        "Rags",
        "Rags with drying oil (linseed, tung, walnut) can catch fire by themselves. Spread them out \
         to dry outside, or keep them in water in a closed tin.",
    ),
];

// A plug's own setup.
pub(in crate::sheet) const PLUG_TITLE: &str = "Plug: {name}, of {wood}";
pub(in crate::sheet) const PLUG_BOARD: &str =
    "A setup of its own on the board \u{201c}{board}\u{201d}, planed to {stock}.";
/// Along, across, end grain.
pub(in crate::sheet) const PLUG_GRAIN: [&str; 3] = [
    "Its grain runs along the board and, in its place, along the handle.",
    "Its grain runs along the board and, in its place, across the handle.",
    "Its board is a slice with its end grain up.",
];
pub(in crate::sheet) const PLUG_Z_TOP: &str = "stock\u{2019}s top";
pub(in crate::sheet) const PLUG_Z_BED: &str = "bed, under the stock";
pub(in crate::sheet) const PLUG_DOWN: &str = "Carve down to, at the plate";
pub(in crate::sheet) const PLUG_PLATE: &str = "Plate left under it";
pub(in crate::sheet) const PLUG_FLANK_GAP: &str = "Gap at the flanks";
pub(in crate::sheet) const PLUG_FOOT_GAP: &str = "Gap under the foot";
pub(in crate::sheet) const PLUG_TIP: &str = "The tip leaves in sharp corners, at most";
pub(in crate::sheet) const PLUG_MOUNT: &str = "Print two hold-downs from the folder of the plug and set them on the board\u{2019}s \
     ends, their bolts where the table says. Each bears a pull of {pull} N.";
pub(in crate::sheet) const PLUG_LIE: &str =
    "The plug is carved foot up: it is turned over when it goes into its recess.";
pub(in crate::sheet) const PLUG_VEE: &str = "carve flanks and foot";
pub(in crate::sheet) const PLUG_THEN: &str = "Then";
pub(in crate::sheet) const PLUG_STEPS: [&str; 2] = [
    "Saw the plate off its board beside the plug. Dry, foot down and as the outline lies, the plug goes into its recess by \
     hand and stops with {under} under its foot.",
    "Glue it in: the order of work goes on with step {glue}.",
];
pub(in crate::sheet) const PLUG_SECTION: &str = "Plug in its recess, cut across";
pub(in crate::sheet) const PLUG_HATCHING: &str = "Hatched one way the {kind}, the other way the plug of {wood}. Dashed: \
     what is sawn off, and the face down to which the plug is trimmed.";
pub(in crate::sheet) const PLUG_MIND: &str =
    "A plug is small. Never hold it or its board by hand near a cutter.";
