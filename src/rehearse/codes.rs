//! The codes of a rehearsal, the most harmful first: findings come in this order.

use crate::finding::Code;
use crate::program::{
    AFTER_END, DISTANCE_NOT_SAID, HEIGHT_NOT_SAID, NOT_ENDED, TOOL_LENGTH, TURNS_BACK,
    UNIT_NOT_SAID, ZERO_SHIFTED,
};

macro_rules! code {
    ($name:ident, $text:literal, $explain:literal) => {
        #[doc = concat!("`", $text, "`.")]
        pub const $name: Code = Code { name: $text, explain: $explain };
    };
}

code!(
    WRONG_POSITION,
    "wrong-position",
    "The program runs at another work position than its setup's.\n\n\
The packet gives each setup a position on the bed. A program that says G55 for the setup at G54 carves \
as far away as the two zeros are apart. It is rehearsed where it would run.\n\nChange the position in the path \
program, or take the program of the other setup out of the list."
);
code!(
    WRONG_SIDE,
    "wrong-side",
    "The program fits the other side of the piece.\n\nIts cuts follow the \
relief of the other setup far better than that of the one it was rehearsed for.\n\nRehearse and run it in \
the other setup. Two sides that are nearly alike can't be told apart."
);
code!(
    WRONG_UNIT,
    "wrong-unit",
    "The program's numbers are in another unit than it says.\n\nMultiplied or \
divided by 25.4 its cuts follow the relief; as it is it would carve a piece 25.4 times too small or too \
large.\n\nSet the unit of the path program's model and of its post processor to the same, and check the \
unit of the STL file that the sheet names."
);
code!(
    WRONG_DISTANCE,
    "wrong-distance",
    "The program counts from the last place where its numbers are places.\n\nAfter G91 each number is \
a way from where the cutter stands, and the cutter runs off. It is said when the program, run again with G91 passed \
over, does none of the harm.\n\nHave the path program write G90 there. Most often a G91 that was meant for the way home \
was left in force."
);
code!(
    WRONG_CUTTER,
    "wrong-cutter",
    "The program was made for another cutter.\n\nWith the cutter that it \
names it cuts into the piece, and with another of the shop's it does not: a cutter that is too large spoils slopes all \
round and leaves level places right, which no shift of the zero does. Or its feed, its speed, the steps of its \
layers and the limit that it fills are those of another cutter; by these alone, with nothing spoiled, it is told \
to look at.\n\nPut the right cutter in, or \
correct its number or its diameter in the path program."
);
code!(
    MIRRORED,
    "mirrored",
    "The program is the mirror image of what is to be carved.\n\nIts cuts follow \
the relief when it is turned left for right, or when X and Y change places. A mirrored model, a plan seen from \
below, or a post processor with its axes swapped makes such programs. A piece that is the same on both sides of its \
length looks alike mirrored and turned end for end; both are said then.\n\nLoad the packet's own relief, which \
needs no mirroring, and leave its axes as they are."
);
code!(
    TURNED,
    "turned",
    "The program is turned in the plan.\n\nIts cuts follow the relief when the board, or the program, is \
turned by half a turn or by a quarter.\n\nLoad the packet's own relief as it is: X runs along the board."
);
code!(
    ZERO_OFF,
    "zero-off",
    "The zero of the program is not where the packet has it.\n\nShifted as a whole \
the program's cuts follow the relief. Usual reasons are tried: the top face for the bottom one, \
the middle or another corner of the board for its front left one, the design's own zero, and any small shift. It is \
said only when the program, moved so and carved anew, cuts neither into the piece nor into its tabs, and comes down to \
where it should.\n\nSet the zero in the path program as the setup's page says. The shift is found to about a tenth \
of a millimetre. What roughing leaves for finishing is taken as the packet has it: a program that leaves more or less \
looks as if its height were off by the difference. A finishing program that leaves the same everywhere looks like a \
zero that is too high."
);
code!(
    WRONG_PACKET,
    "wrong-packet",
    "The program doesn't fit this packet as a whole.\n\nMore than a few places are cut too deep, and no shift of \
the zero, no other side, no mirror, unit or cutter puts that right. Most often it was made for another packet, or for \
the design as it was before it was changed.\n\nLoad the relief of this packet and make the path anew, or \
rehearse it with the packet it was made for."
);
code!(
    NOTHING_CUT,
    "nothing-cut",
    "The program, or one of its cutters, cuts no wood.\n\nAll its motions are over the board or \
beside it, or the wood was taken before. The holes of pins don't count. Of one cutter among others it is a caution.\n\nCheck the zero, the unit, and that the program is of this \
setup."
);
code!(
    INTO_CLAMP,
    "into-hold-down",
    "The cutter or its holder runs into a hold-down.\n\nIt breaks the \
cutter and lets the board go.\n\nKeep cuts inside the packet's limits, and rapid moves at the height \
that the setup's page gives. Blocks are taken as tall as their highest part, and as placed on the \
sheet."
);
code!(
    RAPID_IN_WOOD,
    "rapid-in-wood",
    "A rapid goes through wood.\n\nThe cutter breaks, or drags the \
board out of its hold-downs.\n\nRaise the retract height of the path program. Rapids are taken as straight; \
a machine that moves each axis for itself takes another way."
);
code!(
    ENDS_LOW,
    "ends-low",
    "The program ends with the cutter down in the wood.\n\nThe spindle stops there, and the first motion of the \
next program, or of the hand, drags the cutter through wood.\n\nHave the path program lift to the clearance height \
before it ends. A machine that lifts by itself at M5 or M30 makes no harm of it."
);
code!(
    SPINDLE_OFF,
    "spindle-off",
    "The cutter moves in wood while the spindle stands.\n\nNo M3 came before, \
or M5 or a change of tool stopped it.\n\nHave the post processor write M3 after each change of tool. A \
spindle that is switched on by hand needs it for this check all the same."
);
code!(
    INTO_BED,
    "into-bed",
    "The tip goes below the board into the bed.\n\nOnly the pins' holes may go a \
little below the board, as the packet says.\n\nCheck the zero's height and the pass's depth."
);
code!(
    INTO_DOWEL,
    "into-dowel",
    "The cutter meets a dowel that registers the board.\n\nIn setup 2 \
two dowels stand in the board.\n\nKeep cuts inside the packet's limits."
);
code!(
    HOLDER_IN_WOOD,
    "holder-in-wood",
    "The holder touches wood.\n\nIt burns and pushes the piece away. \
It is counted with the stick-out and the form that the shop file has.\n\nLet the cutter stick out further, or cut \
wood away round the deep place first."
);
code!(
    INTO_PIECE,
    "into-piece",
    "A cut goes below the surface of the piece.\n\nWood that is gone can't be \
put back. Told is what is over 0.05 mm deep, and over 0.05 mm sideways; at upright walls over \
0.15 mm, or a cell when that is more.\n\nCheck the cutter's size, the zero, and what the path program leaves."
);
code!(
    INTO_TAB,
    "into-tab",
    "A cut goes into a tab.\n\nTabs hold the piece in the frame while it is \
carved; a thin one breaks, and the piece comes loose.\n\nCarve the packet's own relief, which has the \
tabs, and lift over them when you run round the edge."
);
code!(
    BELOW_SKIRT,
    "below-skirt",
    "A cut goes below the floor of the skirt.\n\nThe floor lies a little \
beyond the middle, so that both sides meet. Deeper cuts do no good, and may come through.\n\nEnd the \
pass at the height that the setup's page gives."
);
code!(
    PAST_TRAVEL,
    "past-travel",
    "A motion leads beyond the machine's travel.\n\nThe machine stops there, \
or loses its place. Counted from the home corner with the position that the packet gives.\n\nMove the board, or the \
point that the program goes to. G53 and G28 go to the home corner, at the top of the travel with the longest cutter \
of the shop."
);
code!(
    PAST_LIMIT,
    "past-limit",
    "The cutter's middle leaves its limit while it is lower than the board's \
top.\n\nEach cutter has limits in limits.dxf. Beyond them it meets the frame, and then hold-downs.\n\nSet \
the limit of the pass as the path program's boundary. Up to 0.05 mm outside are let pass."
);
code!(
    FLUTE_PASSED,
    "flute-passed",
    "A cut is deeper than the cutter's edges are long.\n\nAbove its edges \
a cutter rubs, and burns or breaks.\n\nTake a longer cutter, or cut in layers."
);
code!(
    PASS_DEEPER,
    "pass-deeper",
    "A cut is deeper than the pass's depth, over more than a quarter of the \
cutter's width.\n\nThe packet's table of passes gives the depth, and for pins that of a peck: what bores deeper at once is a \
caution. Deeper cuts push thin cutters aside \
and pull at the hold-downs.\n\nSet the depth of a layer in the path program. Finishing has no such \
depth."
);
code!(
    FINISH_IN_SOLID,
    "finish-in-solid",
    "A finishing cutter goes through far more wood than the passes before it leave.\n\nRoughing leaves the steps of \
its layers and a little beside the surface; finishing is one pass over that. In solid wood the finishing cutter \
is pushed aside, burns or breaks, and the board is pulled at. Most often the roughing program was not run, was \
stopped, or was left out of this rehearsal.\n\nRun the programs in the order of the sheet, and give them here \
in that order; `--from` begins with wood that an earlier rehearsal kept. Told is what is cut at once deeper than the \
deepest layer before it with what that leaves, over half of a square of 5 mm, when there are at least 300 mm\u{b2} of such \
squares: strips beside walls and single wrong cuts are none. It doesn't matter whether the path comes from above or from the side."
);
code!(
    NOT_FINISHED,
    "not-finished",
    "A piece, or a part of one, stays behind the rest.\n\nWhere no cut comes down to the piece's surface, \
wood is left that finishing should have taken: the program was cut short, its boundary is too small, or one \
piece of a set was forgotten. What is only roughed all over, or not begun at all, is no finding: the figures \
say so.\n\nGive all programs of the setup in their order, with `--from` when some were rehearsed \
before. Looked at are squares of 5 mm; upright walls are not."
);
code!(
    PLUNGE_FAST,
    "plunge-fast",
    "The cutter goes straight down into full wood faster than the shop's plunge \
feed.\n\nFlat cutters hardly cut at their middle, and burn or push the board.\n\nSet the plunge \
feed, or go in on a slope. Told are moves that fall more than 2 mm for each mm of the plan, from 1 mm of wood under \
more than half of the cutter; deeper than its width it is a fault. Steps down a flank are none."
);
code!(
    PIN_HOLE,
    "pin-hole",
    "A pin's hole is missing, doesn't go through, is of the wrong size or is in the wrong place.\n\nIn setup 2 the \
board stands on two dowels; without their holes, or with holes beside their places, the two sides don't meet. Looked \
at is the wood when all programs are done: in setup 1 once one hole is bored, in setup 2 whenever it begins with \
kept wood. A hole may be 0.3 mm and a cell wider.\n\nBore the holes of pins.dxf with the cutter that the setup's \
page has."
);
code!(
    CUTTER_NOT_SAID,
    "cutter-not-said",
    "The program names no cutter that is known here.\n\nT numbers \
are the shop's `number` of a cutter, or come from `--cutter \"2=ball 1/8\"`. A program without T needs \
`--cutter \"ball 1/8\"`. Without its form nothing can be carved, and nothing is guessed.\n\nGive the cutter, and \
rehearse again."
);
code!(
    CUTTER_WITHOUT_PASS,
    "cutter-without-pass",
    "The packet has no pass with this cutter in this \
setup.\n\nIt has no limit then, so that is not checked for it.\n\nCheck the cutter's number, and that the \
program is of this setup."
);
code!(
    RAPID_LOW,
    "rapid-low",
    "A rapid travels below the height that the setup's page gives.\n\nAt that \
height it clears every hold-down.\n\nRaise the path program's clearance or retract height."
);
code!(
    FEED_OFF,
    "feed-off",
    "A cut's feed is far from the shop's for this cutter.\n\nMore than a tenth \
faster breaks thin cutters, and three times as fast is a fault; a fifteenth of it is most often a feed in inches or \
in mm/s that is read in mm/min, and burns the wood.\n\nCheck the feed and its unit in the path program."
);
code!(
    SPEED_OFF,
    "speed-off",
    "The spindle's speed is far from the shop's for this cutter.\n\nMore than 15 % over it burns the wood, and a large \
cutter may fly apart; half as fast again is a fault. Under three quarters of it each edge takes more at once than \
it should. Most often the path was made for another cutter, or S was left from the one before.\n\nCheck the cutter and \
its speed in the path program. A program without S says nothing, and nothing is said of it."
);
code!(
    OUT_OF_ORDER,
    "out-of-order",
    "A pass is cut before one that the packet's order of work has before it.\n\nSlots, openings and the edge come after \
finishing: what they free trembles under the finishing cutter, tears, or breaks off its tabs. Told is which program \
cuts it, in which line, and which comes too late.\n\nRun the programs in the order of the sheet. A slot is known by \
its limit, the edge by its line: a program of which more than half goes there is taken as that pass."
);
code!(
    PASS_MISSING,
    "pass-missing",
    "A finishing program is given, and a pass that comes before finishing is not.\n\nNo program cut with the pass's \
cutter where the pass has its limit. Another one may have cut its wood, or it was run before: then begin with that wood \
by --from. Without the pins' holes the board can't be placed again when it is turned.\n\nGive all programs of the setup, in \
the order of the sheet."
);
code!(
    SIDE_BEHIND,
    "first-side-behind",
    "The side of setup 1 is not finished in the wood that setup 2 begins with.\n\nOnce the board is turned it doesn't \
come back: what is only roughed stays so. The kept wood is turned over again and compared with the top's relief in squares \
of 5 mm.\n\nRun the finishing program of setup 1 first. If it was left out of the rehearsal only, rehearse setup 1 \
whole, and begin with that wood."
);
code!(
    COARSE_FINISH,
    "coarse-finish",
    "The rows of the finishing program are further apart than the shop's step-over.\n\nBetween two rows a ball leaves a \
ridge, as high as the square of their distance by eight radii. Told is what stands over the shop's own ridges and twice what \
may be sanded, on more than a fifth of a piece; what the cutter can't reach is no ridge.\n\nSet the step-over in \
the path program as the shop has it, or sand more."
);
code!(
    POSITION_NOT_SAID,
    "position-not-said",
    "The program does not say its work position.\n\nIt runs at \
whatever position is in force: G54 after a start, and the setup's is another.\n\nHave the post processor \
write the position of the setup. It is rehearsed at the setup's."
);

/// The packet can't be rehearsed with.
pub const PACKET_UNFIT: Code = Code {
    name: "packet-unfit",
    explain: "The folder is not a packet that can be rehearsed with.\n\nA rehearsal reads packet.json, \
        the setups' relief.stl, limits.dxf, outline.dxf and tabs.dxf of a packet of this version, built \
        whole.\n\nBuild the packet again.",
};

/// A packet that was changed.
pub const PACKET_CHANGED: Code = Code {
    name: "packet-changed",
    explain: "A file of the packet is not the one that was built.\n\npacket.json has the SHA-256 of each \
        file, and its own seal. A file that was edited, replaced, or copied from another packet or the other \
        setup gives a rehearsal of something else.\n\nBuild the packet again, and make the programs from its \
        files.",
};

/// Kept wood that is of another board.
pub const WOOD_UNFIT: Code = Code {
    name: "wood-unfit",
    explain: "The kept wood is not of this packet and its first setup, or its file is broken.\n\nWhat `--keep` writes after \
        setup 1 belongs to the packet it was rehearsed with, byte for byte. For setup 2 it is turned \
        over as the shop says.\n\nRehearse setup 1 of this packet again with `--keep`.",
};

/// What is said of a program's text though the line is run.
pub const ONLY_SAID: [Code; 8] = [
    HEIGHT_NOT_SAID,
    UNIT_NOT_SAID,
    DISTANCE_NOT_SAID,
    TURNS_BACK,
    NOT_ENDED,
    AFTER_END,
    ZERO_SHIFTED,
    TOOL_LENGTH,
];

/// What explains the rest of a program.
pub const CAUSES: &[Code] = &[
    WRONG_SIDE,
    WRONG_POSITION,
    WRONG_DISTANCE,
    WRONG_UNIT,
    MIRRORED,
    TURNED,
    ZERO_OFF,
    WRONG_CUTTER,
    WRONG_PACKET,
];

/// What comes of a wrong cutter besides.
pub const OF_A_CUTTER: &[Code] = &[FEED_OFF, SPEED_OFF, CUTTER_WITHOUT_PASS, NOT_FINISHED];

/// What spoils the piece.
pub const SPOILS: &[Code] = &[INTO_PIECE, INTO_TAB];

/// What comes of it.
pub const FOLLOWS: &[Code] = &[
    INTO_CLAMP,
    RAPID_IN_WOOD,
    INTO_BED,
    INTO_DOWEL,
    PIN_HOLE,
    HOLDER_IN_WOOD,
    INTO_PIECE,
    INTO_TAB,
    PAST_TRAVEL,
    PAST_LIMIT,
    FLUTE_PASSED,
    PLUNGE_FAST,
    PASS_DEEPER,
    BELOW_SKIRT,
    NOTHING_CUT,
    FINISH_IN_SOLID,
    RAPID_LOW,
];

/// Every code of this room, in the order of harm.
pub const CODES: &[Code] = &[
    PACKET_UNFIT,
    PACKET_CHANGED,
    WOOD_UNFIT,
    WRONG_SIDE,
    WRONG_POSITION,
    WRONG_DISTANCE,
    WRONG_UNIT,
    MIRRORED,
    TURNED,
    ZERO_OFF,
    WRONG_CUTTER,
    WRONG_PACKET,
    CUTTER_NOT_SAID,
    INTO_CLAMP,
    RAPID_IN_WOOD,
    SPINDLE_OFF,
    INTO_BED,
    INTO_DOWEL,
    PIN_HOLE,
    HOLDER_IN_WOOD,
    INTO_PIECE,
    INTO_TAB,
    PAST_TRAVEL,
    PAST_LIMIT,
    FLUTE_PASSED,
    PLUNGE_FAST,
    PASS_DEEPER,
    BELOW_SKIRT,
    NOTHING_CUT,
    FINISH_IN_SOLID,
    OUT_OF_ORDER,
    PASS_MISSING,
    SIDE_BEHIND,
    NOT_FINISHED,
    COARSE_FINISH,
    ENDS_LOW,
    FEED_OFF,
    SPEED_OFF,
    POSITION_NOT_SAID,
    CUTTER_WITHOUT_PASS,
    RAPID_LOW,
];

/// All codes that a slip can have, the most harmful first: what is not run makes all that comes after
/// it unsure, so it stands before what is seen in the wood.
pub fn in_order() -> impl Iterator<Item = Code> {
    let causes = CODES.iter().position(|code| *code == INTO_CLAMP).unwrap_or(0);
    let (first, rest) = CODES.split_at(causes);
    first.iter().chain(crate::program::CODES).chain(rest).copied()
}
