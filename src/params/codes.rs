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
    GIVE_UNKNOWN,
    GIVE_RANGE,
    GIVE_ALIKE,
    OFF_THE_BOARD,
    NO_USABLE_HEIGHT,
    FLAW_SHAPE,
    FLAW_CROSSES,
    SAME_NAME,
    CUTTER,
    HOLD_DOWN,
];

/// The text isn't TOML.
pub const TOML_SYNTAX: Code = Code {
    name: "toml-syntax",
    explain: "The file can't be read as TOML, the plain format that all three files are in. \
Mostly a quotation mark or a bracket is missing, or a value such as 300 mm stands without \
quotation marks. A key or a section that stands twice is refused too, since one of the two would \
be lost without a word. Look at the line shown, and at the one before it. \
`treenwright new` writes a file that can be read, to compare with. As long as the text can't be \
read, nothing else of the file is looked at.",
};

/// A key that no file of this kind has.
pub const UNKNOWN_KEY: Code = Code {
    name: "unknown-key",
    explain: "The file has a key or a section that isn't known here. It is refused and not \
passed over, since a misspelt key would leave its dimension at some default, and that would show \
only in the carved wood. The help names the nearest known key and all that may stand there. \
Correct the spelling, move the key into its own section, or take it out.",
};

/// A key that must be there.
pub const MISSING_KEY: Code = Code {
    name: "missing-key",
    explain: "Something that the job needs isn't in the file. Only what has one sensible value \
for nearly every utensil may be left out; sizes that make the piece what it is have no default. \
Nor has the thickness of a board: it must be read with a caliper, since boards differ from \
their nominal sizes. Add the line that the help shows, with your own figure.",
};

/// A value of another type.
pub const WRONG_TYPE: Code = Code {
    name: "wrong-type",
    explain: "The value is of another type than the key takes: a list where one text belongs, a \
text where a plain number belongs, an empty name, a place on the board with one number or three. \
The message says what was found, and the help shows a value that would do. Plain numbers (such \
as fullness and count) stand without quotation marks, everything with a unit in them.",
};

/// Not a length.
pub const NOT_A_LENGTH: Code = Code {
    name: "not-a-length",
    explain: "The value should be a length and can't be read as one. A length is a number and \
its unit, in quotation marks: \"92 mm\", \"9.2 cm\", \"1.25 in\", \"1-1/4 in\", \"7/8 in\". \
A bare number is refused, since 1.25 may be meant in inches or in millimetres, and a board \
sawn by the wrong one is lost. Decimals have a point; a fraction after a whole number is joined \
to it with a hyphen or a space. Powers of ten, such as 1e3, are not read.",
};

/// Not a fraction.
pub const NOT_A_FRACTION: Code = Code {
    name: "not-a-fraction",
    explain: "The value should be a share in per cent and can't be read as one. Write a number \
and a per cent sign in quotation marks, such as \"55 %\". Places along the handle, tabs along \
the utensil and moisture are written so. A bare number is refused, since 0.5 may be meant as \
half or as half of one per cent.",
};

/// Not an angle.
pub const NOT_AN_ANGLE: Code = Code {
    name: "not-an-angle",
    explain: "The value should be an angle and can't be read as one. Write degrees in quotation \
marks, such as \"1 deg\". The taper of a slot, the grain of a board and the point of a vee cutter \
are angles. A vee cutter's angle is the included one, from flank to flank, and so is a slot's \
taper.",
};

/// Not a feed or speed.
pub const NOT_A_RATE: Code = Code {
    name: "not-a-rate",
    explain: "The value should be a feed or a spindle speed and can't be read as one. Feeds are \
written \"1800 mm/min\" or \"60 in/min\", spindle speeds \"16000 rpm\". The unit must stand there: \
a feed taken for inches instead of millimetres is twenty-five times too fast. These figures go \
on the job sheet only; no machine is driven by them.",
};

/// Not a force.
pub const NOT_A_FORCE: Code = Code {
    name: "not-a-force",
    explain: "The value should be a force and can't be read as one. Forces are written \"20 N\" or \
\"5 lbf\": a newton is the weight of about a hundred grams, so 20 N is what two kilograms pull. \
The unit must stand there, since kilograms and pounds are easily mistaken for newtons. The loads \
are used for the estimate of strength only.",
};

/// Not a time.
pub const NOT_A_TIME: Code = Code {
    name: "not-a-time",
    explain: "The value should be a time and can't be read as one. Times are written \"90 min\" or \
\"8 h\". The unit must stand there, since minutes and hours are easily mistaken for each other. \
The time is compared with an estimate, so that whole minutes are good enough.",
};

/// Not a temperature.
pub const NOT_A_TEMPERATURE: Code = Code {
    name: "not-a-temperature",
    explain: "The value should be a temperature and can't be read as one. Temperatures are written \
\"20 C\" or \"68 F\". The unit must stand there, since 60 is a hot room in one and a cold one in \
the other. With the humidity it says to what moisture the wood will come in the room where the \
piece is used.",
};

/// The moisture in use is given in two ways.
pub const TWO_MOISTURES: Code = Code {
    name: "two-moistures",
    explain: "The board says the moisture in use itself, and also the air of the room from which it \
would be worked out. The two could disagree, so one has to go. Keep `moisture_use` if you have \
measured wood that lies in that room, else `temperature_use` and `humidity_use`: the moisture that \
wood comes to in that air is then worked out by the Wood Handbook's eq. 4-5 (FPL-GTR-282, ch. 4).",
};

/// Not one of the choices.
pub const NO_SUCH_CHOICE: Code = Code {
    name: "no-such-choice",
    explain: "The key takes one of a few words, and this is none of them. The help lists them and \
names the nearest. Capital letters count: the axes are X and Y, the sides left and right.",
};

/// A single value out of its range.
pub const OUT_OF_RANGE: Code = Code {
    name: "out-of-range",
    explain: "The value is a good one of its sort, but it can't be made, or makes no sense. The \
message gives both ends of the range. Sizes lie between a tenth of a millimetre, less than a \
router holds in wood, and two metres. Other figures have narrower ranges: places run from 0 % to \
100 %, moisture from 0 % to 30 %, a fork has 2 to 12 tines, and a piece needs two tabs or more. \
Look first whether the unit is the one that was meant.",
};

/// Stations that aren't in order.
pub const STATIONS: Code = Code {
    name: "stations-out-of-order",
    explain: "The handle is drawn as a smooth line through stations, each a place and a size. They \
must go from the handle's end (0 %) to the neck (100 %), each further than the one before, and \
there must be two at least. Widths and thicknesses must have one at 0 % and one at 100 %, since \
nothing else says how the handle starts and ends. A curve or a sway may leave the ends out, and \
an empty list means a straight handle. Put the stations in order, or take one of two at the same \
place out.",
};

/// A section that this kind doesn't have.
pub const WRONG_SECTION: Code = Code {
    name: "wrong-section",
    explain: "The file has a section for another kind of utensil. Spoons and forks have a [bowl], \
turners a [blade], and only forks have [tines]. Nothing would come of the section, so it is \
refused. Take it out, or change the kind. A slotted spoon with a deep bowl is written as a fork.",
};

/// A hollow too deep for its head.
pub const HOLLOW_TOO_DEEP: Code = Code {
    name: "hollow-too-deep",
    explain: "The hollow is deeper than 0.45 of the bowl's lesser plan size. Its sides would be \
so steep that a ball cutter, coming from above on a 3-axis router, cuts with its flank, leaves \
high scallops and tears the end grain at the two ends of the hollow. Such a bowl is also thick \
and hard to eat or pour from. Make it shallower or wider. Whether your own ball cutter reaches \
every place is another check.",
};

/// No hollow left inside the rim.
pub const NO_HOLLOW_LEFT: Code = Code {
    name: "no-hollow-left",
    explain: "The rim land, the flat round the hollow, takes so much of the head that hardly a \
hollow is left: both sides together take 0.6 of the head's lesser plan size or more. Rim lands of \
2 to 4 mm are usual on a serving spoon (common practice, no source). Make the rim narrower or \
the bowl wider.",
};

/// A wall thicker than the head can have.
pub const WALL_TOO_THICK: Code = Code {
    name: "wall-too-thick",
    explain: "The wood under the lowest point of the hollow is more than 0.3 of the head's lesser \
plan size. Then the back can't follow the hollow: it would be a block, not a bowl, and a heavy \
one that dries unevenly and splits. Walls of 3 to 6 mm are usual (common practice, no source). \
Make the wall thinner, or the head larger.",
};

/// A rim wall higher than the body.
pub const EDGE_TOO_HIGH: Code = Code {
    name: "edge-too-high",
    explain: "The edge is the height of the upright rim wall in which the two carved sides meet. \
It runs round the whole utensil, so it must be lower than the body is thick everywhere: lower \
than the bowl's depth and wall together, lower than a blade, and at most 0.8 of the handle's \
thickness at each station, so that something is left to round over. Lower the edge, or thicken \
the place that the message names.",
};

/// A neck as wide as the head.
pub const NECK_TOO_WIDE: Code = Code {
    name: "neck-too-wide",
    explain: "The handle is as wide at the neck as the head is at its widest, or wider. The \
outline then has no shoulders to sweep out from the neck, and the blend between the two has \
nothing to blend. Make the last width of the handle less than the width of the head.",
};

/// No length left for the handle.
pub const NO_HANDLE_LEFT: Code = Code {
    name: "no-handle-left",
    explain: "The head and the rounding of the handle's end take so much of the utensil's length \
that less than 20 mm of handle is left between them. The length counts from the handle's end to \
the tip, head and all. Make the utensil longer, or the head or the rounding shorter.",
};

/// A handle that climbs, turns or swells too steeply.
pub const HANDLE_TOO_STEEP: Code = Code {
    name: "handle-too-steep",
    explain: "Between two stations the middle line of the handle climbs, or goes sideways, by \
more than it goes forward: steeper than 45 degrees. There the wood's grain runs out of the \
handle within its own thickness, so it snaps at the first hard stir, and a flat board is wasted \
on it. The section is set upright, so it would also come out thinner than asked. In the same way \
a width or a thickness may not grow or shrink on each side by more than the way between its \
stations, or the side becomes a step that no ball cutter leaves fair. Lessen the difference, or \
move the two stations apart.",
};

/// A bevel or front edge that the blade can't have.
pub const BLADE_EDGE: Code = Code {
    name: "blade-edge",
    explain: "The front edge or the bevel of the turner doesn't go with its blade. The front edge \
can't be thicker than the blade that is bevelled down to it, and the bevel must be shorter than \
0.6 of the blade, so that a flat part is left. Make the front thinner, the bevel shorter, or the \
blade thicker or longer.",
};

/// Slots that leave no tine.
pub const NO_TINE_LEFT: Code = Code {
    name: "no-tine-left",
    explain: "The slots take so much of the head's width that nothing worth the name of a tine is \
left between them. It is reckoned at the roots with the slot's own width, and at the tips with \
what the taper adds. The least that is let through here is 1 mm at the root and 0.5 mm at the \
tip, so that there is a shape at all; what holds in the wood is far more, and the shop's limit \
says it in a check of its own. Make the slots narrower, fewer or less tapered, or the head wider.",
};

/// Slots longer than the head.
pub const SLOT_TOO_LONG: Code = Code {
    name: "slot-too-long",
    explain: "The slots reach back over more than 0.8 of the bowl's length. Near the neck the \
head narrows and the back rises into the handle, so the outer tines would be cut off from it or \
hang on a splinter of short grain. Make the slots shorter or the bowl longer.",
};

/// A give that names nothing.
pub const GIVE_UNKNOWN: Code = Code {
    name: "give-unknown",
    explain: "In [give], each key names a dimension of the same file that fitting may change, such \
as \"bowl.depth\" or \"handle.curve\". This one names nothing that this design has, or nothing \
that is a number. A list of stations is named as a whole, \"handle.curve\", or one by one, \
\"handle.width[1].size\". Correct the name, or take the line out.",
};

/// A give whose limits don't enclose what is asked.
pub const GIVE_RANGE: Code = Code {
    name: "give-range",
    explain: "The two limits of a give must enclose what the file asks for: least, asked, most. \
Otherwise the design as it is written would be outside its own limits, and nobody could say \
which of the two is meant. A limit is a length, or a share of what is asked, such as \"80 %\"; \
whole lists of stations, angles and plain numbers take shares only. Widen the limits, or change \
the dimension.",
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
    explain: "A caliper reading or a flaw lies off the board. Places are measured from the \
board's corner: first along its length, then across. Readings must lie on the board; flaws must \
touch it. Mostly the two numbers are swapped, or a unit is wrong. A flaw put down in the wrong \
place lets a utensil be laid over the true one.",
};

/// No wood left after the skims.
pub const NO_USABLE_HEIGHT: Code = Code {
    name: "no-usable-height",
    explain: "The thinnest reading less the two skims leaves no wood. The skims are what is planed \
off each face before carving, a few tenths of a millimetre to a few millimetres. The flat stock \
can't be higher than the thinnest place allows. Read the board again, or skim less.",
};

/// A flaw without one clear shape.
pub const FLAW_SHAPE: Code = Code {
    name: "flaw-shape",
    explain: "A flaw needs one shape, so that pieces can be kept clear of it. A knot is a centre \
and a radius, or a polygon; a check or a wane is a line along it, or a polygon. A polygon has at \
least three points and a line at least two. Measure from the same corner as the readings, and \
draw it rather too large than too small: the grain is wild for some way round a knot.",
};

/// A flaw's line crosses itself.
pub const FLAW_CROSSES: Code = Code {
    name: "flaw-crosses-itself",
    explain: "The points of this flaw are in an order in which its line crosses itself, so that it \
is not clear which side of a wane is wood, or what lies inside a polygon. Mostly two points have \
changed places, or the numbers along and across have. Write the points in the order in which you \
walk along the flaw.",
};

/// Two cutters, or two gives, of the same name.
pub const SAME_NAME: Code = Code {
    name: "same-name-twice",
    explain: "Two cutters of the shop have the same name, so [work] can't say which of them is \
meant. The job sheet repeats these names, so it could send you to the wrong cutter, and the \
checks of depth and slots would look at the wrong diameter. The same dimension twice in [give], once in quotation \
marks and once without, is refused as well: only one of the two limits could hold. Give each cutter \
a name of its own, and each dimension one line.",
};

/// A cutter that can't be.
pub const CUTTER: Code = Code {
    name: "cutter-not-possible",
    explain: "The figures of a cutter contradict each other. The cutting edges can't be longer \
than what sticks out of the holder; a step-over greater than the diameter leaves standing \
ridges; only a vee has an angle, and only a bull-nosed one a corner, which is no rounder than the \
cutter is thick. Measure the cutter as it is chucked. Wrong figures here would \
make the checks of reach and depth worthless.",
};

/// A hold-down that can't hold.
pub const HOLD_DOWN: Code = Code {
    name: "hold-down-too-small",
    explain: "The hold-down can't do its work with these figures. Its block must be at least twice \
as long and as wide as the bolt is thick, so that plastic is left round the hole, and the lip must \
be shorter than the block, or the block tips over the board's edge when the bolt is drawn tight \
(common practice, no source). Make the block larger, the lip shorter, or take a thinner bolt.",
};
