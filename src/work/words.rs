//! What the steps of the order of work say, for the sheet and `packet.json` alike. `{name}` stands for
//! what is filled in.

/// The words of a step.
pub(super) struct StepWords {
    /// What is done.
    pub(super) what: &'static str,
    /// Why it stands at this place.
    pub(super) why: &'static str,
    /// What to mind; empty for nothing of its own.
    pub(super) mind: &'static str,
}

pub(super) const SKIM: StepWords = StepWords {
    what: "Skim {top} off the top face and {bottom} off the bottom face; the stock is then {stock} high.",
    why: "All heights are counted from flat, parallel faces.",
    mind: "Short or thin stock can lift or tip in a planer; its manual says how short is too short.",
};

pub(super) const PRINT: StepWords = StepWords {
    what: "Print the hold-downs and try one on the stock: it is as tall under its lip as the stock, less the squeeze. \
           They lie on the print plate as they print without supports; the figure on the side of each is the \
           height of the stock that it is for.",
    why: "A block of the wrong height lets the board rise or cracks it.",
    mind: "A printed part can be weak between its layers and creeps when left tight. Throw away one with a crack.",
};

pub(super) const BORE_BED: StepWords = StepWords {
    what: "Bore the bed's pin holes for both setups, {hole} in diameter, with {cutter}; the drill chart has their places.",
    why: "The bed's holes are the machine's own, so that each mounting finds the same place.",
    mind: "",
};
/// What bores where the shop names no cutter for it.
pub(super) const A_DRILL: &str = "a drill";

pub(super) const REBATES: StepWords = StepWords {
    what: "Cut the rebates for the low hold-downs, {depth} deep: {top} in the top face, {bottom} in the bottom face, \
           along their outlines, on a router table, or on the machine with the board clamped across its middle.",
    why: "The low hold-downs bear in them, so they come before the first mounting, while the board can be \
          clamped anywhere.",
    mind: "",
};

pub(super) const MOUNT_TOP: StepWords = StepWords {
    what: "Setup 1, top up{at}: set the board square in its corner under {count} hold-downs.",
    why: "The first mounting has no pins yet; the corner gives the place.",
    mind: "",
};
/// Added to it when there are spacers.
pub(super) const SPACERS: &str = " Its spacers set it off from the stops.";
/// Where a setup is mounted, by the machine's word for it.
pub(super) const AT_POSITION: &str = " at {word}";

pub(super) const BORE_PINS: StepWords = StepWords {
    what: "Bore {count} pin holes of {hole} through the board.",
    why: "The pins register everything after, and the board is still whole and flat.",
    mind: "",
};

pub(super) const ROUGH_TOP: StepWords = StepWords {
    what: "Rough the top inside its limit with {cutter}.",
    why: "Most of the wood goes while the board is stiffest.",
    mind: "The hold-downs stand near the cutter's way. Run each path once above the wood before you cut.",
};

pub(super) const CLEAR: StepWords = StepWords {
    what: "Clear the skirt with {cutter} inside its own limit (clear-centre), in shallow passes, down to a \
           finishing layer.",
    why: "The roughing cutter is thicker than the skirt is wide, and the small ball must not cut there at full \
          depth.",
    mind: "",
};

pub(super) const FINISH_TOP: StepWords = StepWords {
    what: "Finish the top with {cutter}.",
    why: "Roughing leaves an even layer, so that the small cutter cuts little and does not chatter.",
    mind: "Fine dust comes from finishing: extraction on, eyes, ears and breath protected.",
};

pub(super) const TURN: StepWords = StepWords {
    what: "{turn} Setup 2, bottom up{at}: put it on its pins, where it lies flat without force, under {count} hold-downs.",
    why: "The top must be done: it is not seen again.",
    mind: "The spindle stands still and the machine is stopped before hands go on the bed. If the board does not drop on without force, look for chips under it.",
};

/// How the board is turned, by the axis that stays.
pub(super) const TURN_X: &str = "Turn the board about X, its back edge to the front.";
pub(super) const TURN_Y: &str = "Turn the board about Y, its right end to the left.";

pub(super) const ROUGH_BOTTOM: StepWords = StepWords {
    what: "Rough the bottom inside its limit with {cutter}.",
    why: "As on the top.",
    mind: "",
};

pub(super) const FINISH_BOTTOM: StepWords = StepWords {
    what: "Finish the bottom with {cutter}.",
    why: "The piece is held by its full roughed thickness until here.",
    mind: "From now on the tabs alone hold the piece. Hands out until the spindle stands still.",
};

pub(super) const CLEAN_UP: StepWords = StepWords {
    what: "Look the faces over, and go over {places} again inside the clean-up limits if they want it; the top on its pins in setup 1.",
    why: "What was left shows when both faces are finished, and the piece is still held.",
    mind: "",
};
pub(super) const ONE_PLACE: &str = "the place";
pub(super) const PLACES: &str = "the {count} places";

pub(super) const SLOTS: StepWords = StepWords {
    what: "Cut the slots with {cutter}, along their outlines, in shallow passes, down to {deep} under the stock's upper face: through the wood, into the hollow under it.",
    why: "A finishing pass over thin tines chips them, so both faces are finished while the head is whole.",
    mind: "Thin tines break, and what breaks off is small and flies. Clamp nothing on the head and hold no part of \
           it by hand; if a tine starts to hum or chatter, stop and take less at a time.",
};

pub(super) const EDGE: StepWords = StepWords {
    what: "Run once round the edge with {cutter} where a step is left between the two sides, lifting over the tabs.",
    why: "It takes the step off when both sides are there to be seen, and last, because it frees the piece most.",
    mind: "",
};

pub(super) const TABS_OFF: StepWords = StepWords {
    what: "Stop the spindle and wait until it stands still. Take the board off. Saw through the tabs along their saw lines by hand and pare the stubs flush.",
    why: "The tabs are all that holds the piece, so nothing is cut by machine after them; a tab cut by the machine lets the piece go into the cutter.",
    mind: "Hold the piece in a padded vice, not in the hand, and keep both hands behind the saw. The last tab lets go at once. Never free or hold a small piece by hand near a cutter.",
};

pub(super) const SAND: StepWords = StepWords {
    what: "Hold the gauges of templates.pdf against the handle, fair the edge where the two sides meet, then sand 100, 150, 220 (common practice, no source).",
    why: "The tabs' stubs must be off before the edge is sanded through.",
    mind: "Wear a mask made for fine dust, and draw the dust away.",
};

pub(super) const RAISE_GRAIN: StepWords = StepWords {
    what: "Wet the wood, let it dry, and sand 220 again.",
    why: "Water lifts the fibres that sanding pressed down; better now than at the first wash.",
    mind: "",
};

/// Between the last two of several.
pub(super) const AND: &str = " and ";
/// After what only some of the pieces have.
pub(super) const ONLY_FOR: &str = " Only {pieces}.";
/// How deep, where it differs from piece to piece.
pub(super) const DEEP_EACH: &str = "{deep} ({piece})";
