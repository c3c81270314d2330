//! What the sheet says of the work: setups, cautions at their steps, sanding, finishing.

// Setups.
pub(in crate::sheet) const LIES_TOP: &str =
    "The board lies with its top up, its length along X, its front edge towards you.";
pub(in crate::sheet) const TURN_X: &str = "Turn the board about X, its length: its back edge comes to the front, its ends stay where \
     they are.";
pub(in crate::sheet) const TURN_Y: &str = "Turn the board about Y, its width: its right end comes to the left, its edges stay where \
     they are.";
pub(in crate::sheet) const ENTER_X: &str = "stock\u{2019}s left end";
pub(in crate::sheet) const ENTER_Y: &str = "stock\u{2019}s front edge";
pub(in crate::sheet) const ENTER_Z_TOP: &str = "stock\u{2019}s upper face";
pub(in crate::sheet) const ENTER_Z_BED: &str = "bed, under the stock";
pub(in crate::sheet) const ON_BOARD: &str = "On the board";
pub(in crate::sheet) const OVER_BED: &str = "{height} up";
pub(in crate::sheet) const STOCK_TOP: &str = "Upper face, Z";
pub(in crate::sheet) const STOCK_BOTTOM: &str = "Bed, Z";
pub(in crate::sheet) const DEEPEST: &str = "Deepest cut, Z";
pub(in crate::sheet) const PIN_PLACE: &str = "pin, {hole} hole";
pub(in crate::sheet) const HOLD_DOWN_PLACE: &str = "hold-down, {edge}";
pub(in crate::sheet) const EDGES: [&str; 4] = ["left", "right", "front", "back"];
pub(in crate::sheet) const MOUNT_TOP: &str = "Lay the board square in its corner. The bed has its pin holes already; the board gets its own \
     as the first cut.";
pub(in crate::sheet) const MOUNT_BOTTOM: &str = "Lower the board over both pins. It goes on one way only; it must lie flat without force. If \
     not, look for chips under it.";
pub(in crate::sheet) const MOUNT_HOLD_DOWNS: &str = "Set {count} hold-downs at H1 to H{count} and draw the bolts up by hand until the lips bear (a \
     printed lip: {pull} N, an estimate).";
pub(in crate::sheet) const LOW_HOLD_DOWN_PLACE: &str = "low hold-down, {edge}";
pub(in crate::sheet) const SPACER_PLACE: &str = "spacer, {edge} stop";
pub(in crate::sheet) const STOP_AGAINST: &str = "none at the {side} stop, {axis} {at}";
pub(in crate::sheet) const STOP_PRINT: &str =
    "the one marked {mark} at the {side} stop, {axis} {at}";
pub(in crate::sheet) const STOP_PRINT_BARE: &str =
    "printed, {size}, at the {side} stop, {axis} {at}";
pub(in crate::sheet) const STOP_CUT: &str = "wood cut {size} long at the {side} stop, {axis} {at}";
pub(in crate::sheet) const STOPS: &str = "Spacers: {list}. Out again when it is held.";
pub(in crate::sheet) const MOUNT_REBATES: &str =
    "The low hold-downs bear in the rebates of this face, {depth} deep.";
pub(in crate::sheet) const BEFORE_ZERO: &str =
    "X0 Y0 is where the picture has it: drive there, high above the stock, and look.";
pub(in crate::sheet) const BEFORE_FILES: &str =
    "All files are from the folder `{face}`; none is from the other side.";
pub(in crate::sheet) const BEFORE_LOOK: &str =
    "In the path program each path stays inside its limit, clear of hold-downs and pins.";
pub(in crate::sheet) const BEFORE_LIMIT: &str =
    "Spindle off, high above the stock: drive round the limit. Nothing is in the way.";
pub(in crate::sheet) const BEFORE_HEIGHT: &str =
    "Rapid moves clear the hold-downs: {height} over the bed, and the bolts\u{2019} heads.";
pub(in crate::sheet) const MIND_TOP: &str =
    "Stay by the machine with the stop in reach. A smell of scorching means stop.";
pub(in crate::sheet) const MIND_BOTTOM: &str = "Stay by the machine with the stop in reach. Near the end the tabs alone hold the piece: hands \
     out until the spindle stands still.";

// The drill chart, and how well the sides meet.
pub(in crate::sheet) const DRILL_CHART: &str = "Pins: drill chart, {unit}";
pub(in crate::sheet) const DRILL_COLUMNS: [&str; 7] =
    ["Hole", "X", "Y", "X on the machine", "Y on the machine", "Across", "Deep"];
pub(in crate::sheet) const DRILL_BOARD: &str = "board, through";
pub(in crate::sheet) const DRILL_BED_TOP: &str = "bed, setup 1";
pub(in crate::sheet) const DRILL_BED_BOTTOM: &str = "bed, setup 2";
pub(in crate::sheet) const REGISTER: &str = "At the parting line the two sides may miss each other by {worst} at worst, and likely by {likely} \
     (root of the sum of squares). Where it comes from, at each pin: {causes}.";
pub(in crate::sheet) const KEYED: &str = "All {count} ways to put the board on its pins were tried. The nearest of the wrong ones, {way}, \
     misses by {misses}.";

// What the tabs bear.
pub(in crate::sheet) const TAB_BEARS: &str = "the weakest tab bears";
pub(in crate::sheet) const TIMES_PUSH: &str = "{times} times a push of {push} N in {wood}";
pub(in crate::sheet) const WEAKEST_WOOD: &str = "{wood}, the weakest wood known";
pub(in crate::sheet) const UNDER: &str = "under {least}";
pub(in crate::sheet) const GIVES_WAY: &str = "pushed so, the piece gives way by";

// Sanding and finishing. The mean grain sizes are the P series' (FEPA; ISO 6344).
pub(in crate::sheet) const SAND_RIDGES: &str = "The finishing cutter leaves ridges about {ridge} high, {step} apart, a fine line where the \
     two sides meet, and the tabs\u{2019} stubs. Where the ball cannot reach it leaves more: in \
     the corner under a rim, at the roots of slots, in tight hollows.";
pub(in crate::sheet) const SAND_CUSPS: &str = "On slopes the ridges are higher, but for passes that run straight up and down them. In the maps \
     of the ridges white keeps to the shop\u{2019}s {limit}\u{a0}mm whichever way the passes run; on dots they can be up to \
     {dots}\u{a0}mm high, on strokes {strokes}\u{a0}mm, on a lattice {lattice}\u{a0}mm, on black more. Each place is as dark as the \
     highest within {around}\u{a0}mm of it.";
pub(in crate::sheet) const SAND_WHITE: &str = "A map that would be white all over is left out.";
pub(in crate::sheet) const SAND_MAP: &str = "The maps of what is left show where. White is cut clean, to {clean}\u{a0}mm; dots say that less than {dots}\u{a0}mm is left, strokes \
     less than {strokes}\u{a0}mm, a lattice less than {lattice}\u{a0}mm, black more. What is dark wants a scraper or P100 first.";
pub(in crate::sheet) const SAND_STEPS: [[&str; 2]; 5] = [
    [
        "Pare the stubs flush, and fair the line round the edge with a scraper or a fine file. Hold \
         the gauges of `templates.pdf` against the handle as you go.",
        "A step or a flat shows more after sanding, not less.",
    ],
    ["P100, with the grain, until the ridges are gone.", "Mean grain 162 \u{b5}m."],
    [
        "P150, then P220, each until the marks of the one before are gone.",
        "100 and 68 \u{b5}m. Going finer closes the wood to oil and gains little (common \
         practice, no source).",
    ],
    [
        "Wet the wood, let it dry through, and go over it lightly with P220.",
        "Water lifts the fibres that sanding pressed down; better now than at the first wash.",
    ],
    ["Wet and sand once more if it still feels rough.", "Open-grained woods lift twice."],
];
pub(in crate::sheet) const SAND_DUST: &str = "Wear a mask made for fine dust, and draw the dust away. In the European Union hardwood dust \
     in the air at work is limited to 2 mg/m\u{b3} over eight hours (Directive (EU) 2017/2398); \
     your place may ask for less.";
pub(in crate::sheet) const FINISH: [(&str, &str); 4] = [
    (
        "Wood",
        "Sound wood of a kind that is known to be fit for food, without rot or filler. Some people \
         are allergic to some woods.",
    ),
    (
        "Oil and wax",
        "Take only a finish whose maker declares it fit for food contact, and follow its label: how \
         to put it on, and how long it must cure. The label goes before this sheet. Nut oils can \
         hurt those who are allergic to nuts. A day to soak in is usual for oil that does not dry \
         (common practice, no source).",
    ),
    (
        "Published rules",
        "For the European Union, Regulation (EC) No 1935/2004 is the frame for all that is meant to \
         touch food. For the United States, 21 CFR 175.300 covers resinous and polymeric \
         coatings. Ask the maker of the finish which rules it meets, and what holds in your place.",
    ),
    (
        "Rags",
        "Rags with oil that dries (linseed, tung, walnut) can catch fire by themselves: spread them \
         out to dry outside, or keep them in water in a closed tin.",
    ),
];
