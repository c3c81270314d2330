//! The kinds of finding that the three files can give, with the page that `explain` shows of each.

use crate::finding::Code;

/// All codes of this room.
pub const CODES: &[Code] = &[
    TOML_SYNTAX,
    UNKNOWN_KEY,
    MISSING_KEY,
    WRONG_TYPE,
    NOT_A_LENGTH,
    NOT_A_FRACTION,
    NOT_AN_ANGLE,
    NOT_A_RATE,
    NOT_A_FORCE,
    NOT_A_TIME,
    NOT_A_TEMPERATURE,
    TWO_MOISTURES,
    NO_SUCH_CHOICE,
    OUT_OF_RANGE,
    STATIONS,
    PLAN_CLASH,
    WRONG_SECTION,
    HOLLOW_TOO_DEEP,
    NO_HOLLOW_LEFT,
    WALL_TOO_THICK,
    EDGE_TOO_HIGH,
    NECK_TOO_WIDE,
    NO_HANDLE_LEFT,
    HANDLE_TOO_STEEP,
    BLADE_EDGE,
    NO_TINE_LEFT,
    SLOT_TOO_LONG,
    SLOT_TOO_SHORT,
    GIVE_UNKNOWN,
    GIVE_RANGE,
    GIVE_ALIKE,
    OFF_THE_BOARD,
    NO_USABLE_HEIGHT,
    ODD_READING,
    SIZE_DOUBTFUL,
    FIGURE_DOUBTFUL,
    FLAW_SHAPE,
    FLAW_CROSSES,
    WANE_OFF_EDGE,
    SAME_NAME,
    CUTTER,
    HOLD_DOWN,
    HIDDEN_CHARACTER,
    TEXT_TOO_LONG,
    TOO_MUCH,
    MORE_FAULTS,
];

/// The text isn't TOML.
pub const TOML_SYNTAX: Code = Code {
    name: "toml-syntax",
    explain: "The file can't be read as TOML, the plain text format of all three files. Usually a \
        quotation mark or a bracket is missing, or a value such as 300 mm has no quotation marks. \
        A key or a section that comes twice is refused too, because one of the two would be lost \
        without a word. Look at the line shown, and at the one before it. `treenwright new` writes \
        a good file to compare with. Until the text can be read, nothing else in the file is \
        checked.",
};

/// A key that no file of this kind has.
pub const UNKNOWN_KEY: Code = Code {
    name: "unknown-key",
    explain: "The file has a key or a section that isn't known. It is refused, not passed over: \
        with a misspelt key the dimension would stay at its default, and you would see it only in \
        the carved wood. The finding lists everything that can go there, and the known key if only \
        a slip separates the two. Correct the spelling, move the key into its own section, or take \
        it out. `treenwright keys` prints all keys.",
};

/// A key that must be there.
pub const MISSING_KEY: Code = Code {
    name: "missing-key",
    explain: "Something that the job needs isn't in the file. Only what has one sensible value for \
        nearly every utensil may be left out; the sizes that make the piece what it is have no \
        default. The thickness of a board has none either: measure it with a caliper, because \
        boards differ from their nominal sizes. Add the line that the finding shows, with your own \
        figure.",
};

/// A value of another type.
pub const WRONG_TYPE: Code = Code {
    name: "wrong-type",
    explain: "The value is of the wrong type: a list where one text belongs, a text where a plain \
        number belongs, an empty name, a place on the board with one number or three. The finding \
        says what was found and shows a value that would do. Plain numbers (such as fullness and \
        count) have no quotation marks; everything with a unit has them.",
};

/// Not a length.
pub const NOT_A_LENGTH: Code = Code {
    name: "not-a-length",
    explain: "The value should be a length but can't be read as one. A length is a number and its \
        unit, in quotation marks: \"92 mm\", \"9.2 cm\", \"1.25 in\", \"1-1/4 in\", \"7/8 in\". A \
        bare number is refused, because 1.25 could be inches or millimetres, and a board sawn to \
        the wrong one is lost. Decimals have a point; a fraction is joined to its whole number \
        with a hyphen or a space. Powers of ten, such as 1e3, are not read.",
};

/// Not a fraction.
pub const NOT_A_FRACTION: Code = Code {
    name: "not-a-fraction",
    explain: "The value should be a share in per cent but can't be read as one. Write a number and \
        a per cent sign in quotation marks, such as \"55 %\". Places along the handle, tabs along \
        the utensil and moisture are written this way. A bare number is refused, because 0.5 could \
        be a half or half of one per cent.",
};

/// Not an angle.
pub const NOT_AN_ANGLE: Code = Code {
    name: "not-an-angle",
    explain: "The value should be an angle but can't be read as one. Write degrees in quotation \
        marks, such as \"1 deg\". The taper of a slot, the grain of a board and the point of a vee \
        cutter are angles. The angle of a vee cutter is the included one, from flank to flank, and \
        so is the taper of a slot.",
};

/// Not a feed or speed.
pub const NOT_A_RATE: Code = Code {
    name: "not-a-rate",
    explain: "The value should be a feed or a spindle speed but can't be read as one. Write feeds \
        as \"1800 mm/min\" or \"60 in/min\", and spindle speeds as \"16000 rpm\". The unit is \
        needed: a feed taken for inches instead of millimetres is twenty-five times too fast. \
        These figures only go onto the job sheet; this tool drives no machine.",
};

/// Not a force.
pub const NOT_A_FORCE: Code = Code {
    name: "not-a-force",
    explain: "The value should be a force but can't be read as one. Write forces as \"20 N\" or \
        \"5 lbf\". A newton is the weight of about a hundred grams, so 20 N is what two kilograms \
        pull. The unit is needed, because kilograms and pounds are easily taken for newtons. Loads \
        are only used to estimate strength.",
};

/// Not a time.
pub const NOT_A_TIME: Code = Code {
    name: "not-a-time",
    explain: "The value should be a time but can't be read as one. Write times as \"90 min\" or \
        \"8 h\". The unit is needed, because minutes and hours are easily confused. The time is \
        compared with an estimate, so whole minutes are good enough.",
};

/// Not a temperature.
pub const NOT_A_TEMPERATURE: Code = Code {
    name: "not-a-temperature",
    explain: "The value should be a temperature but can't be read as one. Write temperatures as \
        \"20 C\" or \"68 F\". The unit is needed, because 60 is a hot room in one and a cold one \
        in the other. Together with the humidity it gives the moisture that the wood will reach in \
        the room where the piece is used.",
};

/// The moisture in use is given in two ways.
pub const TWO_MOISTURES: Code = Code {
    name: "two-moistures",
    explain: "The board file gives the moisture in use as a figure, and also by the air of the \
        room from which it would be calculated. The two could disagree, so keep only one. Keep \
        `moisture_use` if you have measured wood that lies in that room. Otherwise keep \
        `temperature_use` and `humidity_use`: the moisture that wood reaches in that air is then \
        calculated by the Wood Handbook's eq. 4-5 (FPL-GTR-282, ch. 4).",
};

/// Not one of the choices.
pub const NO_SUCH_CHOICE: Code = Code {
    name: "no-such-choice",
    explain: "The key takes one of a few words, and this is none of them. The finding lists them. \
        Capital letters count: the axes are X and Y, the sides left and right.",
};

/// A single value out of its range.
pub const OUT_OF_RANGE: Code = Code {
    name: "out-of-range",
    explain: "The value can't be made, or makes no sense. The finding gives both ends of the \
        range. Sizes go from a tenth of a millimetre, which is finer than a router can cut in \
        wood, to two metres. Other figures have narrower ranges: places run from 0 % to 100 %, \
        moisture from 0 % to 30 %, a fork has 2 to 12 tines, and a piece needs two tabs or more. \
        Check first that the unit is the one you meant.",
};

/// A key beside the drawing that says it.
pub const PLAN_CLASH: Code = Code {
    name: "plan-clash",
    explain: "`utensil.plan` names a drawing, and a key of the file says what the drawing says. The drawing has \
        the widths of handle and head, where and how much the two sides differ, and how square the head's front is. \
        So `handle.width`, `handle.sway` and `handle.knob` are left out, and of the head `width`, `outline`, `sway`, \
        `widest` and `fullness`; none of them can be in [give] either. The head's `length` stays: it says where the \
        neck is. `handle.end` and `handle.end_shape` may say how the end is rounded. Take out the key, or the plan.",
};

/// Stations that aren't in order.
pub const STATIONS: Code = Code {
    name: "stations-out-of-order",
    explain: "The handle is a smooth line through stations, each with a place and a size. Stations \
        go from the handle's end (0 %) to the neck (100 %), each further than the one before, and \
        there must be at least two. Widths and thicknesses need one at 0 % and one at 100 %, \
        because nothing else says how the handle starts and ends. A curve or a sway may leave out \
        the ends, and an empty list means a straight handle. The head's own curve goes on from the \
        handle's, so a station of it at 0 % is as high as the handle's at 100 %. Two stations \
        less than 1 mm apart would bend the line between them more tightly than any cutter could \
        follow, and stations of the section less than 10 mm apart would make a step of it. A rim land \
        may widen or narrow by a fifth of the way along. Put the \
        stations in order, or take out one of two that are at the same place or \
        too close together.",
};

/// A section that this kind doesn't have.
pub const WRONG_SECTION: Code = Code {
    name: "wrong-section",
    explain: "The file has a section for another kind of utensil. Spoons, forks and scoops have a \
        [bowl], turners and spreaders a [blade], and only forks have [tines]; the level floor of a scoop has no one \
        place that is deepest (bowl.deepest). It would have no effect, so it is refused. Take it out, or change the kind. A slotted spoon with a deep bowl is written as a \
        fork.",
};

/// A hollow too deep for its head.
pub const HOLLOW_TOO_DEEP: Code = Code {
    name: "hollow-too-deep",
    explain: "The hollow is deeper than 0.45 of the bowl's length or width, whichever is less. Its \
        sides would be so steep that a ball cutter on a 3-axis router cuts with its flank, leaves \
        high ridges and tears the end grain at both ends of the hollow. Such a bowl is also thick \
        and hard to eat or pour from. Make it shallower or wider. Whether your own ball cutter \
        reaches every place is another check.",
};

/// No hollow left inside the rim.
pub const NO_HOLLOW_LEFT: Code = Code {
    name: "no-hollow-left",
    explain: "The rim land, the flat round the hollow, leaves almost no hollow: both sides \
        together take 0.6 or more of the head's length or width, whichever is less. Rim lands of 2 \
        to 4 mm are usual on a serving spoon (common practice, no source). Make the rim narrower \
        or the bowl wider.",
};

/// A wall thicker than the head can have.
pub const WALL_TOO_THICK: Code = Code {
    name: "wall-too-thick",
    explain: "The wood under the lowest point of the hollow is thicker than 0.3 of the head's \
        length or width, whichever is less. Then the back can't follow the hollow: it would be a \
        block, not a bowl, and a heavy one that dries unevenly and splits. Walls of 3 to 6 mm are \
        usual (common practice, no source). Make the wall thinner, or the head larger.",
};

/// A rim wall higher than the body.
pub const EDGE_TOO_HIGH: Code = Code {
    name: "edge-too-high",
    explain: "The edge is the height of the upright rim in which the two carved sides meet. It \
        runs round the whole utensil, so everywhere it must be lower than the body is thick: lower \
        than the bowl's depth and wall together, lower than a blade, and at most 0.8 of the \
        handle's thickness at each station, so that something is left to round over. Lower the \
        edge, or make the place in the finding thicker.",
};

/// A neck as wide as the head.
pub const NECK_TOO_WIDE: Code = Code {
    name: "neck-too-wide",
    explain: "At the neck the handle is as wide as the head at its widest, or wider. The outline \
        then has no shoulders, and the handle can't blend into the head. Make the last width of \
        the handle less than the width of the head.",
};

/// No length left for the handle.
pub const NO_HANDLE_LEFT: Code = Code {
    name: "no-handle-left",
    explain: "The head and the rounding of the handle's end leave less than 20 mm of handle \
        between them. The length of the utensil is measured from the handle's end to the tip, \
        including the head. Make the utensil longer, or the head or the rounding shorter.",
};

/// A handle that climbs, turns or swells too steeply.
pub const HANDLE_TOO_STEEP: Code = Code {
    name: "handle-too-steep",
    explain: "Between two stations the middle line of the handle goes up or sideways by more than \
        it goes forward: steeper than 45 degrees. There the grain runs out of the handle within \
        its own thickness, so it snaps at the first hard stir. Sections are upright, so the handle \
        would also come out thinner than asked. In the same way a width or a thickness may not \
        grow or shrink on each side by more than the distance between its stations, or the side \
        becomes a step that no ball cutter leaves fair. Make the difference smaller, or move the \
        two stations apart.",
};

/// A bevel or front edge that the blade can't have.
pub const BLADE_EDGE: Code = Code {
    name: "blade-edge",
    explain: "The front edge or the bevel of the turner doesn't go with its blade. The front edge \
can't be thicker than the blade that is bevelled down to it, and the bevel must be shorter than \
0.6 of the blade, so that a flat part is left. Make the front thinner, the bevel shorter, or the \
blade thicker or longer. The thin side of a spreader is thinner than its middle, but not so thin \
that it would be less than the upright edge (utensil.edge) where it ends: lower that edge.",
};

/// Slots that leave no tine.
pub const NO_TINE_LEFT: Code = Code {
    name: "no-tine-left",
    explain: "The slots take so much of the head's width that no tines are left between them. At \
        the roots the slot's own width counts, at the tips what the taper adds as well. The least \
        is 1 mm at the root and 0.5 mm at the tip, so that there is a shape at all. Tines that \
        hold need far more wood: the shop's limit for that is another check. Make the slots \
        narrower, fewer or less tapered, or the head wider.",
};

/// Slots longer than the head.
pub const SLOT_TOO_LONG: Code = Code {
    name: "slot-too-long",
    explain: "The slots are longer than 0.8 of the bowl. Near the neck the head narrows and the \
        back rises into the handle, so the outer tines would be cut off or hang on a splinter of \
        short grain. Make the slots shorter or the bowl longer.",
};

/// Slots that are shorter than they are wide.
pub const SLOT_TOO_SHORT: Code = Code {
    name: "slot-too-short",
    explain: "The slots are not longer than they are wide. Their roots are half circles, so what is cut \
        would be less than a half circle out of the tip, and no tine stands between two such. Usually a \
        point or a unit is in the wrong place. Make the slots longer, narrower, or carve a spoon.",
};

/// A give that names nothing.
pub const GIVE_UNKNOWN: Code = Code {
    name: "give-unknown",
    explain: "Each key in [give] names a dimension of the same file that fitting may change, such \
        as \"bowl.depth\" or \"handle.curve\". This one names nothing that this design has, or \
        nothing that is a number. Name a list of stations as one, \"handle.curve\", or one \
        station, \"handle.width[1].size\". Correct the name, or take the line out.",
};

/// A give whose limits don't enclose what is asked.
pub const GIVE_RANGE: Code = Code {
    name: "give-range",
    explain: "The two limits of a give must be on either side of what the file asks for: least, \
        asked, most. Otherwise the design as written would be outside its own limits. A limit is a \
        length, or a share of what is asked, such as \"80 %\". Lists of stations, angles and plain \
        numbers take shares only. Widen the limits, or change the dimension.",
};

/// A give that can't change alike with others.
pub const GIVE_ALIKE: Code = Code {
    name: "give-alike",
    explain: "Dimensions with the same word under `alike` change by the same share of what each \
file asks for: all to 90 %, say. A dimension of 0 stays 0 whatever its share, so it can't keep up \
with the others, and they would be held back for nothing. Take `alike` out for it, or ask for a \
size other than 0.",
};

/// Something off the board.
pub const OFF_THE_BOARD: Code = Code {
    name: "off-the-board",
    explain: "A caliper reading or a flaw is off the board. Places are measured from the board's \
        corner, first along its length, then across. Readings must be on the board; flaws must \
        touch it. Usually the two numbers are swapped, or a unit is wrong. Correct the place: a \
        flaw in the wrong place lets a utensil be laid over the true one.",
};

/// No wood left after the skims.
pub const NO_USABLE_HEIGHT: Code = Code {
    name: "no-usable-height",
    explain: "The thinnest reading less the two skims leaves no wood. The skims are what is planed \
        off each face before carving, from a few tenths of a millimetre to a few millimetres. The \
        flat stock can't be higher than the thinnest place allows. Measure the board again, or \
        skim less.",
};

/// A flaw without one clear shape.
pub const FLAW_SHAPE: Code = Code {
    name: "flaw-shape",
    explain: "A flaw needs one shape, so that pieces can be kept clear of it. A knot is a centre \
        and a radius, or a polygon; a check or a wane is a line along it, or a polygon. A polygon \
        has at least three points and a line at least two. Measure from the same corner as the \
        readings, and draw the flaw too large rather than too small: the grain is wild for some \
        way round a knot.",
};

/// A wane inside the board.
pub const WANE_OFF_EDGE: Code = Code {
    name: "wane-off-edge",
    explain: "A wane is wood that is missing at the board's edge, so its line runs from edge to edge and \
        parts what is missing from what is sound. This one ends inside the board, or touches no edge at \
        all, so it isn't clear which wood is missing, and a piece might be laid over it. Usually the \
        numbers along and across are swapped, or the last point was forgotten. Draw the line on to the \
        edge at both ends; 5 mm may be wanting. Write a hole or soft wood inside the board down as a \
        [[knot]].",
};

/// A flaw's line crosses itself.
pub const FLAW_CROSSES: Code = Code {
    name: "flaw-crosses-itself",
    explain: "The line round this flaw crosses itself, so it isn't clear which side of a wane is \
        wood, or what is inside a polygon. Usually two points are swapped, or the numbers along \
        and across are. Write the points in the order in which you go along the flaw.",
};

/// Two cutters, or two gives, of the same name.
pub const SAME_NAME: Code = Code {
    name: "same-name-twice",
    explain: "Two cutters of the shop have the same name, or names that look the same, so [work] \
        can't say which one is meant. The job sheet repeats these names and could send you to the \
        wrong cutter, and the checks of depth and slots would use the wrong diameter. Two cutters with \
        one number are refused too: a program's T word would mean either. The same dimension twice in [give], once in quotation marks and once without, is refused as well, \
        because only one of the two limits could hold. Give each cutter a name of its own, and \
        each dimension one line.",
};

/// A cutter that can't be.
pub const CUTTER: Code = Code {
    name: "cutter-not-possible",
    explain: "The figures of a cutter contradict each other. The cutting edges can't be longer \
        than what sticks out of the holder. A step-over greater than the diameter leaves standing \
        ridges. Only a vee has an angle, and only a bull-nosed cutter a corner, with a radius of \
        half the diameter at most. Measure the cutter while it is chucked. With wrong figures the \
        checks of reach and depth are worth nothing.",
};

/// A hold-down that can't hold.
pub const HOLD_DOWN: Code = Code {
    name: "hold-down-too-small",
    explain: "The hold-down can't do its work with these figures. Its block must be at least twice \
        as long and as wide as the bolt is thick, so that plastic is left round the hole, and the \
        lip must be shorter than the block, or the block tips over the board's edge when the bolt \
        is tightened (common practice, no source). Make the block larger or the lip shorter, or \
        use a thinner bolt.",
};

/// A size that looks like a slip.
pub const SIZE_DOUBTFUL: Code = Code {
    name: "size-doubtful",
    explain: "A size is far from what such utensils usually have, and it would be usual in \
        the other unit or with its decimal point elsewhere: `65 in` for `65 mm`, `6.5 mm` for `65 \
        mm`. Most likely it is a slip of the pen. While the design has a fault, the slip of a length, a \
        width, the bowl's depth or the handle's thickness is told alone, as a fault, because the other faults follow \
        from it, and so is that of another size with a fault of its own; else it is a caution. Correct the size; if it \
        is what you mean, correct the others to go with it. What is usual is common practice, without a source.",
};

/// A figure far from what is common.
pub const FIGURE_DOUBTFUL: Code = Code {
    name: "figure-doubtful",
    explain: "A figure is far from what is common in its place: a limit, a load, a push, a part of the \
        machine or of the holder. Such a figure is taken as it is written, and nothing else would \
        tell you: a holder of 3.5 mm in place of 35 mm keeps clear of everything, and a safety of \
        30 refuses every tab. Often it is a slip of the decimal point or of the unit. Correct it; \
        or leave it, if it is what you mean. What is common is common practice, without a source; \
        a zero, where one may be written, is not doubted. `machine.safe` is doubted where a tip at that \
        height would not clear the hold-downs by 1 mm. docs/keys.md says what is common for \
        each key.",
};

/// One reading far from the others.
pub const ODD_READING: Code = Code {
    name: "odd-reading",
    explain: "One caliper reading is far from all the others, which agree with each other: it \
        differs by more than a third from their median, and they by less than a fifth. A board \
        that is so uneven at one place is rare, and a slip of the pen is not: a decimal point, a unit, \
        a fraction read wrongly. All that is said of a board's height would follow from that reading, so \
        nothing else is told. Measure there again. If the board is so at that place, keep clear of it: \
        leave the reading out and write the place down as a [[wane]]. The rule needs four readings.",
};

/// A character that can't be seen.
pub const HIDDEN_CHARACTER: Code = Code {
    name: "hidden-character",
    explain: "A text of the file holds something that can't be seen: a line break, a tab, a control \
character, a blank without width, or a mark that turns the writing round. Names and notes go onto \
the job sheet, into drawings and into file names, where such a character hides what is really \
there. Often it came along when a text was copied from a web page. Type the text anew, on one line.",
};

/// A text too long for a name or a note.
pub const TEXT_TOO_LONG: Code = Code {
    name: "text-too-long",
    explain: "A name or a note has more than 400 letters. Names stand in the margin of drawings and \
at the head of the job sheet, where so long a text has no room. Shorten it, or split a note in two.",
};

/// More than a file can hold.
pub const TOO_MUCH: Code = Code {
    name: "too-much",
    explain: "A list or a section has more than 100 entries, or the file holds more than 10,000 \
values in all. No design, board or shop needs so many, so it is most likely another file, or a list \
that a program wrote. The rest of the file is not read. Take out what isn't needed: a flaw drawn \
with a hundred points is no better placed than one with ten.",
};

/// Faults that are counted, not shown.
pub const MORE_FAULTS: Code = Code {
    name: "more-faults",
    explain: "There is more to say than is shown. Of a file's faults the first 30 are listed, of one kind of \
finding the first 20, and the rest are counted. Many may have one cause, such as a section under a wrong name. \
Correct those that are shown, and check again.",
};
