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
    what: "Plane {skim}, so that the stock is {stock} high.",
    why: "All heights are counted from flat, parallel faces.",
    mind: "Short or thin stock can lift or tip in a planer. Its manual says how short is too short.",
};

/// What is planed off each face that is planed.
pub(super) const OFF_FACES: [&str; 2] = ["{skim} off the top face", "{skim} off the bottom face"];

pub(super) const PRINT: StepWords = StepWords {
    what: "Print the hold-downs as they lie on the print plate, without supports. Try one on the stock: the figure \
           on its side is the height of the stock that it is for.",
    why: "A block of the wrong height lets the board rise, or cracks it.",
    mind: "Printed parts creep when left tight and can split between their layers. Throw away one with a crack.",
};

pub(super) const BORE_BED: StepWords = StepWords {
    what: "Bore the bed's pin holes for both setups, diameter {hole}, with {cutter}. Their file has a zero of its \
           own.",
    why: "The machine bores them itself, so that each setup comes back to the same place.",
    mind: "Keep hands clear until the spindle has stopped.",
};
/// What bores where the shop names no cutter for it.
pub(super) const A_DRILL: &str = "a drill";

pub(super) const REBATES: StepWords = StepWords {
    what: "Cut the rebates for the low hold-downs, {depth} deep: {top} on the top face, {bottom} on the bottom face. \
           Use a router table, or the machine with the board clamped across its middle.",
    why: "The low hold-downs sit in them, and the board can still be clamped anywhere.",
    mind: "",
};

pub(super) const MOUNT_TOP: StepWords = StepWords {
    what: "Setup 1, top up{at}: set the board square in its corner under {count} hold-downs.",
    why: "There are no pins yet; the corner gives the place.",
    mind: "",
};
/// Added to it when there are spacers.
pub(super) const SPACERS: &str =
    " Spacers set it off from the stops. Remove the spacers once the board is clamped.";
/// Where a setup is mounted, by the machine's word for it.
pub(super) const AT_POSITION: &str = " at {word}";

pub(super) const BORE_PINS: StepWords = StepWords {
    what: "Bore {count} pin holes of diameter {hole} through the board.",
    why: "All that follows is set by the pins, and the board is still whole and flat.",
    mind: "",
};

pub(super) const ROUGH_TOP: StepWords = StepWords {
    what: "Rough the top inside its limit with {cutter}.",
    why: "Most of the wood goes while the board is stiffest.",
    mind: "The hold-downs stand near the cutter's way. Run each path once above the wood before you cut.",
};

pub(super) const CLEAR_TOP: StepWords = StepWords {
    what: "Clear the skirt with {cutter} inside its own limit (layer clear-centre): rough the same model again there, \
           in shallow passes, so that the cutter rises over the tabs.",
    why: "The roughing cutter is too thick for the skirt, and the small ball must not cut there at full depth.",
    mind: "Don't clear it at one height: that cuts the tabs away.",
};

pub(super) const CLEAR_BOTTOM: StepWords = StepWords {
    mind: "Don't clear it at one height: that cuts the tabs away. From this step on only the tabs hold the piece. Keep \
           hands clear until the spindle has stopped.",
    ..CLEAR_TOP
};

pub(super) const FINISH_TOP: StepWords = StepWords {
    what: "Finish the top with {cutter}.",
    why: "Roughing has left an even layer, so that the small cutter cuts little and does not chatter.",
    mind: "Finishing makes fine dust. Extraction on; protect eyes, ears and lungs.",
};

pub(super) const DOWELS: StepWords = StepWords {
    what: "Take the board off. Put {count} dowels of {dowel}, {long} long, into the bed's holes for setup 2: {bed} go \
           into the bed, {board} stand up in the board and end {below} under its upper face.",
    why: "They set the turned board in its place, and no cutter may hit one.",
    mind: "Keep hands clear until the spindle has stopped.",
};

pub(super) const TURN: StepWords = StepWords {
    what: "{turn} Setup 2, bottom up{at}: lower it over its dowels until it lies flat, under {count} hold-downs.",
    why: "The top must be done: it is not seen again.",
    mind: "Use no force. If the board does not drop on, look for chips under it.",
};

/// How the board is turned, by the axis that stays.
pub(super) const TURN_X: &str = "Turn the board over about its length, its back edge to the front.";
pub(super) const TURN_Y: &str = "Turn the board over about its width, its right end to the left.";

pub(super) const ROUGH_BOTTOM: StepWords = StepWords {
    what: "Rough the bottom inside its limit with {cutter}.",
    why: "As on the top.",
    mind: "",
};

/// The same where the skirt is not cleared by a pass of its own.
pub(super) const ROUGH_THROUGH: StepWords = StepWords {
    mind: "From this step on only the tabs hold the piece. Keep hands clear until the spindle has stopped.",
    ..ROUGH_BOTTOM
};

pub(super) const FINISH_BOTTOM: StepWords = StepWords {
    what: "Finish the bottom with {cutter}.",
    why: "As on the top; and all that takes more force has been done.",
    mind: "Only the tabs hold the piece. Keep hands clear until the spindle has stopped.",
};

pub(super) const CLEAN_UP: StepWords = StepWords {
    what: "Look over both faces. Where they need it, go over {places} again with {cutter}, inside the clean-up limits; \
           the top on its dowels in setup 1.",
    why: "What was left shows when both faces are finished, and the piece is still held.",
    mind: "",
};
pub(super) const ONE_PLACE: &str = "the place";
pub(super) const PLACES: &str = "the {count} places";

pub(super) const SLOTS: StepWords = StepWords {
    what: "Cut the slots with {cutter} along their outlines, in shallow passes, down to {deep} under the stock's upper \
           face: {through}.",
    why: "A finishing pass over thin tines chips them, so both faces are finished while the head is whole.",
    mind: "Thin tines break, and the pieces fly. Clamp nothing on the head and hold no part of it by hand. If a tine \
           starts to hum or chatter, stop and take less at a time.",
};

pub(super) const OPENINGS: StepWords = StepWords {
    what: "Cut the openings with {cutter} along their outlines, in shallow passes, down to {deep} under the stock's upper \
           face: {through}. Go in on a ramp or along the outline, not straight down.",
    why: "The wood round them is stiffest while both faces are finished and nothing else has been cut free.",
    mind: "What is cut out of a large opening comes loose and can fly: clear it as a pocket, or stop before the last \
           pass and break it out by hand.",
};

pub(super) const EDGE: StepWords = StepWords {
    what: "If there is a step between the two sides, run once round the edge with {cutter}. Lift over the tabs.",
    why: "The step shows only now; and it comes last, because it frees the piece most.",
    mind: "",
};

pub(super) const TABS_OFF: StepWords = StepWords {
    what: "Stop the spindle and wait until it has stopped. Take the board off. Saw through the tabs along their saw \
           lines by hand, and pare the stubs flush.",
    why: "Only the tabs hold the piece. A tab cut by the machine lets the piece go into the cutter.",
    mind: "Hold the piece in a padded vice, not in the hand, and keep both hands behind the saw. The last tab lets go \
           suddenly. Never free or hold a small piece by hand near a cutter.",
};

pub(super) const SAND: StepWords = StepWords {
    what: "Sand and finish by hand, as the sheet tells under Sanding and Finishing.",
    why: "The tabs' stubs must be off before the edge is sanded through.",
    mind: "Wear a mask made for fine dust, and draw the dust away.",
};

/// Where slots and openings end.
pub(super) const INTO_SPACE: &str = "through the wood, into the space under it";
/// The same where there is hardly any space.
pub(super) const TO_BED: &str =
    "through the wood and no lower than the bed. If a skin is left, cut it through by hand";

/// Between the last two of several.
pub(super) const AND: &str = " and ";
/// After what only some of the pieces have.
pub(super) const ONLY_FOR: &str = " Only {pieces}.";
/// How deep, where it differs from piece to piece.
pub(super) const DEEP_EACH: &str = "{deep} ({piece})";

pub(super) const INLAY_VEE: StepWords = StepWords {
    what: "Cut the flanks of the inlay with {cutter}: let its tip follow the line in space, or carve the model of \
           the recess inside the vee's limit.",
    why: "The face is finished, and the board still lies where it was carved: the recess fits the face.",
    mind: "The point of a vee is thin. Take it down in shallow passes.",
};

pub(super) const INLAY_FLOOR: StepWords = StepWords {
    what: "Clear the floor of the recess with {cutter} inside its limit (layer inlay-floor-centre). The floor follows \
           the face: carve the model of the recess.",
    why: "Where a vee cuts the flanks it goes first, so that the flat cutter takes away what stands between them.",
    mind: "",
};

pub(super) const PLUGS: StepWords = StepWords {
    what: "Carve the plug of {wood} on its own board, planed to {stock}, as its page tells: clear round it with {clear}, \
           then carve its flanks and its foot with {vee}.",
    why: "The same vee cuts both, so that flank lies on flank. The foot is as curved as the recess's floor.",
    mind: "Leave the plug on its plate, and hold it by the plate. Keep hands clear until the spindle has stopped. Draw the \
           dust away.",
};

pub(super) const GLUE: StepWords = StepWords {
    what: "Blow recess and plug clean and try them dry. Spread glue thinly on flanks and floor, put the plug in, foot \
           down, and press it evenly over a soft pad. When the glue has set, saw along the underside of the plate, so \
           that {proud} stands over the face's highest place.",
    why: "A plug that is sawn before the glue holds tears out of its recess.",
    mind: "Saw away from your hands. Take a waterproof glue. How long to press, when it bears a saw, when it may get \
           wet and whether it may touch food is for its maker to say; it can be days, and longer in the cold.",
};

pub(super) const POUR: StepWords = StepWords {
    what: "Set a dam round the recess as its outline shows. Up to the face the recess takes {resin} mL: mix some more, \
           and pour it in thin layers, as its maker says, until it stands over the face.",
    why: "The dam keeps it in on the curved face; thin layers stay cool and clear.",
    mind: "Gloves, mask and fresh air: the resin's own sheet goes first. Thick layers can get hot enough to smoke. Whether \
           it may touch food, and after how many days, is for its maker to say.",
};

pub(super) const INLAY_TRIM: StepWords = StepWords {
    what: "Put the board back as it lay for this face, on its dowels, and go over the inlay with {cutter} inside its \
           rectangle (layer inlay-trim-centre), down to the face.",
    why: "The finishing model is the face itself, so the inlay ends level with it.",
    mind: "Wait until glue or resin is as hard as its maker says. Its dust is as bad as wood's: extraction and mask.",
};
