//! What there is to say of an inlay.

use crate::finding::Code;

/// The art leaves the face.
pub const INLAY_OFF_FACE: Code = Code {
    name: "inlay-off-face",
    explain: "The art of an inlay does not lie on its face with a millimetre of wood round it, or it crosses \
        a line where the face breaks: the edge of the hollow, or the beginning of a blade's bevel. A rim \
        of wood thinner than that splits off while it is carved or glued. The finding names a place of \
        the art that is too far out. Move the art with `at`, turn it with `turn`, or make it smaller with \
        `size`. Whether the art looks well in its place is for you to see: `treenwright picture` shows it.",
};

/// The face is nearly as steep as the vee's flank.
pub const INLAY_STEEP: Code = Code {
    name: "inlay-steep",
    explain: "Under the art the face is so steep that the flank of the vee has no room to lean against it. \
        The flank must be a good deal steeper than the face everywhere, or the recess's wall ends in a \
        feather, and what the vee cuts is no longer what the art shows. Take a sharper vee (one of 15 \
        degrees stands nearly upright), or move the art nearer to the crest. Only the slope along the \
        art's outline is looked at.",
};

/// The recess goes too near to the other side.
pub const INLAY_TOO_DEEP: Code = Code {
    name: "inlay-too-deep",
    explain: "Between the floor of the recess and the other side of the piece is less wood than the shop's \
        limits.wall; where hardly any is left it is a fault. Thin wood under an inlay breaks, and shows \
        the glue. Make `depth` less, or move the art to a stouter place. The wood is measured upright, \
        under the whole art as if the floor reached to its outline.",
};

/// A stroke is too thin for the tip.
pub const INLAY_THIN: Code = Code {
    name: "inlay-thin",
    explain: "Somewhere a stroke of the art is no wider than the flat on the vee's tip (`tip`), so that the \
        vee can't enter it without cutting outside. Such parts are left out of the tip's line, and are \
        missing from the inlay. Of a poured inlay it means that the upright cutter gets into less than \
        97 % of the art. Make the art larger, draw the stroke wider, or take a vee with a finer \
        tip. The points of leaves always end so; a few tenths of a millimetre of them are no loss, and \
        are told only when they add up.",
};

/// A cutter of an inlay is missing or can't do it.
pub const INLAY_CUTTER: Code = Code {
    name: "inlay-cutter",
    explain: "An inlay needs a vee for its flanks and a flat cutter for its floor, and the shop has none, or \
        the one that is named is of another form. Name one with `cutter` or `clear`, or write down \
        another cutter in the shop file. A poured inlay needs a flat cutter only.",
};

/// The clearing cutter reaches little of the floor.
pub const INLAY_FLOOR: Code = Code {
    name: "inlay-floor",
    explain: "The flat cutter that clears the recess's floor (`clear`, else the shop's thinnest) is too thick for \
        most of it: where its centre can't stay a radius inside the floor's edge, nothing is cleared. What it \
        doesn't reach must be carved by the vee's tip, line by line from recess.stl, which takes longer and \
        leaves fine ridges under the plug; `under` has room for them. Name a thinner flat cutter with `clear`, \
        make the art larger, or make `depth` more, which leaves less floor. `packet.json` has the share as \
        `floor_reached`. Told when less than half is reached of a floor of 4 mm² or more.",
};

/// Walls of the handle's wood are thin.
pub const INLAY_WALL: Code = Code {
    name: "inlay-wall",
    explain: "Between two parts of the art, two letters for instance, stands a wall of the handle's own wood that \
        is thinner at the face than 0.25 mm, along 3 mm or more. It is wider at its foot, since the flanks \
        lean, but its upper edge crumbles as the vee passes, and the line between the parts comes out ragged. \
        Move the parts further apart, let them run together, or make the art larger. Parts that touch along \
        an edge are one. Where two parts meet at a point the wall between them always ends thin; that alone \
        is not told.",
};

/// The vee is too short.
pub const INLAY_VEE_SHORT: Code = Code {
    name: "inlay-vee-short",
    explain: "The vee has to go deeper than its cone or its cutting edges are long: for the recess by the \
        inlay's depth, for the plug from its foot up to where it is sawn off. Higher up the shank rubs on \
        the wall. Or it sticks out so little that its holder comes nearer to a hold-down on the plug's board \
        than the shop's limits.holder. Take a longer vee, let it stick out further, or make `depth` or `proud` \
        less. On the piece itself `holder-hits` watches the holder.",
};

/// A plug has no foot, or none that reaches its floor.
pub const INLAY_NO_FOOT: Code = Code {
    name: "inlay-no-foot",
    explain: "The art is so narrow, or the recess so deep, that the flanks meet before they reach the floor: \
        the plug is a wedge all along and has no foot. It still fits, but nothing but the flanks says how \
        deep it goes, and a hard push splits the handle. Make `depth` less or the art larger. It is a \
        fault when the room that is asked for under the foot and at the flanks leaves no plug in the \
        recess at all.",
};

/// The plug's board is too small or too thin.
pub const INLAY_BOARD_SMALL: Code = Code {
    name: "inlay-board-small",
    explain: "The board of the plug has no room for it: it is too short, too narrow, too thin to leave a \
        plate of 3 mm behind the plug, or its flaws lie in the way. The plug needs its art, the slope of \
        its flanks and the clearing cutter all round, the shop's margin, and a hold-down's lip at either \
        end. Take a larger board, or make the art smaller.",
};

/// An island of the handle's wood would break off.
pub const INLAY_ISLAND: Code = Code {
    name: "inlay-island",
    explain: "In the art stands an island of the handle's own wood that is hardly wider than the recess is \
        deep. Short grain that stands alone breaks off under the vee or when the plug is pressed in. Draw \
        the island larger, leave it out, or make `depth` less. Islands are measured by the widest circle \
        that they hold.",
};

/// The handle is too weak with the recess in it.
pub const INLAY_WEAK: Code = Code {
    name: "inlay-weak",
    explain: "With the recess in it, and with nothing counted for what fills it, the piece bears less than \
        the shop's limits.safety times its load. Glue may hold for years, but it also may not, and a \
        handle breaks where it is thinnest. Make `depth` less, move the art to a stouter place, or make \
        it narrower. An estimate, as `weak` is, by sections across the piece every half millimetre.",
};

/// Plug and handle move against each other.
pub const INLAY_MOVES: Code = Code {
    name: "inlay-moves",
    explain: "From the moisture now to that in use, plug and handle change their width by amounts that differ \
        by more than a film of glue takes up. A plug that swells more than its recess lifts or splits it; \
        one that shrinks more shows a line. Let both boards dry to the moisture of the kitchen before you \
        carve, choose woods that move alike, or make the art narrower. The change is reckoned as for \
        `moves`, across the grain in the tangential direction, the greater; along the grain wood hardly \
        moves, so a plug of end grain moves against a handle along its length as well.",
};

/// Two inlays are in each other's way.
pub const INLAY_APART: Code = Code {
    name: "inlay-apart",
    explain: "Two inlays on one face overlap, or leave less than 2 mm of wood between them. Move one of them \
        with `at`, or draw both as one art. Inlays on both sides of one place are not looked at here: \
        `inlay-too-deep` counts only the other face, not the other recess.",
};
