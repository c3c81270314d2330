//! The design: what the utensil should be.

use super::checks::REASONS;
use super::give::GIVES;
use super::keys::{
    ANGLE, COUNT, FLAG, Field, Key, KeyRange, KeyShape, Keyed, LENGTH, NUMBER, SHARE, SIZE, TEXT,
    Varying, VaryingShape, choice, field_of_part, figure, keys, part, stations, table, tables,
    varying, words,
};
use super::read::{Reader, TomlTable};
use super::{
    Accept, CleanUp, Dimension, DrawnPlan, Give, Handle, Inlay, Load, Opening, Station, Tabs,
};
use crate::units::{Angle, Length};
use serde_json::{Map, Value};

words! {
    /// What kind of utensil it is.
    pub enum Kind {
        /// A bowl with a handle.
        Spoon = "spoon",
        /// A shallow bowl with slots, and a handle.
        Fork = "fork",
        /// A flat blade with a bevelled front, and a handle.
        Turner = "turner",
        /// A blade that is thin along one side and stout along the other, and a handle.
        Spreader = "spreader",
        /// A bowl that is open and level at its front, and a handle.
        Scoop = "scoop",
    }
}

keys! {
    /// A whole design, checked: every range of its keys and in `params::validate` holds.
    #[derive(Clone, Debug, PartialEq)]
    pub struct Design {
        /// What you call it.
        name: String = TEXT.at("utensil.name").such_as("harvest spoon"),
        /// What it is.
        kind: Kind = choice::<Kind>().at("utensil.kind"),
        /// Length, from the handle's end to the tip of the head.
        length: Length = LENGTH.at("utensil.length").such_as("300 mm").gives(),
        /// A drawing of its outline, seen from above with the handle's end at the left: the name of an SVG or DXF
        /// file, seen from the design's folder. It is scaled to the length, and says the widths of handle and head, where
        /// the head is widest, and how far the middle lies to the side; those keys are then left out. The middle of the
        /// neck in it is where Y is 0, for openings and inlays too.
        plan: Option<DrawnPlan> = TEXT.at("utensil.plan").such_as("my-spoon.svg").left_out("none"),
        /// Whether its left-handed twin is made: what the file puts to the left lies to the right, and the
        /// other way round. Art of an inlay is neither turned over nor turned round, so that letters can still be
        /// read; only its place is the twin's.
        mirror: bool = FLAG.at("utensil.mirror").or("false"),
        // Thin enough to look fine, thick enough that the edge doesn't crumble across the grain
        // (common practice, no source).
        /// Height of the upright edge all round, where the two carved sides meet.
        edge: Length = LENGTH.at("utensil.edge").or("2 mm").gives(),
        // A slope of one in seven, steeper than which a thin neck breaks short (common practice,
        // no source).
        /// Greatest angle between the handle and the grain of the board.
        lean: Angle = ANGLE.at("utensil.lean").within(0.0, 45.0).or("8 deg"),
        /// The working end: a bowl or a blade.
        head: Head = part::<Head>(),
        /// The handle. A smooth line goes through the stations of each list.
        handle: Handle = table::<Handle>().needed(),
        /// The tines, of a fork.
        tines: Option<Tines> = table::<Tines>().needed(),
        /// Wood left between the utensil and the board round it, to be sawn through at the end.
        tabs: Tabs = table::<Tabs>().needed().such_as(
            "width = \"9 mm\"\nthickness = \"5 mm\"\nplace = [{ side = \"left\", at = \"12 %\" }, \
             { side = \"right\", at = \"86 %\" }]",
        ),
        /// A small area to be gone over once more, with limits of its own.
        clean_up: Vec<CleanUp> = tables::<CleanUp>(),
        /// A hole or a slot closed all round, or a pattern of them, cut through the wood when both sides
        /// are carved: for a draining spoon, a slotted turner, a hole to hang it by.
        opening: Vec<Opening> = tables::<Opening>(),
        /// An inlay: art that is let into a face.
        inlay: Vec<Inlay> = tables::<Inlay>(),
        /// What may be changed to fit a board, how far, and how unwillingly.
        give: Vec<Give> = GIVES,
        /// What it should bear, for the estimate of strength.
        load: Load = table::<Load>(),
        /// Cautions that you accept, each by its code, with a reason that the sheet repeats.
        accept: Vec<Accept> = REASONS,
    }
}

/// The working end.
#[derive(Clone, Debug, PartialEq)]
pub enum Head {
    /// A spoon's, a fork's or a scoop's.
    Bowl(Bowl),
    /// A turner's or a spreader's.
    Blade(Blade),
}

impl Head {
    /// From the neck to the tip.
    pub fn length(&self) -> Length {
        match self {
            Head::Bowl(bowl) => bowl.length,
            Head::Blade(blade) => blade.length,
        }
    }

    /// Height of its middle line over the parting plane, from the neck to the tip; none where it lies
    /// level.
    pub fn curve(&self) -> &[Station] {
        match self {
            Head::Bowl(bowl) => &bowl.curve,
            Head::Blade(blade) => &blade.curve,
        }
    }

    /// Widths at places from the neck to the tip; none where it has the plain outline.
    pub fn outline(&self) -> &[Station] {
        match self {
            Head::Bowl(bowl) => &bowl.outline,
            Head::Blade(blade) => &blade.outline,
        }
    }

    /// How far its middle lies to the left, from the neck to the tip; none where it lies straight.
    pub fn sway(&self) -> &[Station] {
        match self {
            Head::Bowl(bowl) => &bowl.sway,
            Head::Blade(blade) => &blade.sway,
        }
    }

    /// Where it is widest, as a share of its length from the neck.
    pub fn widest(&self) -> f64 {
        match self {
            Head::Bowl(bowl) => bowl.widest,
            Head::Blade(blade) => blade.widest,
        }
    }

    /// Name of its table.
    pub fn table(&self) -> &'static str {
        match self {
            Head::Bowl(_) => "bowl",
            Head::Blade(_) => "blade",
        }
    }

    /// Width at the widest place.
    pub fn width(&self) -> Length {
        match self {
            Head::Bowl(bowl) => bowl.width,
            Head::Blade(blade) => blade.width,
        }
    }
}

impl Keyed for Head {
    const KEYS: &'static [Key] = &[
        table::<Bowl>().needed().named("bowl", "The hollow head of a spoon, a fork or a scoop."),
        table::<Blade>().needed().named("blade", "The flat head of a turner or a spreader."),
    ];

    fn read(reader: &mut Reader, root: &TomlTable<'_>) -> Option<Head> {
        Some(match likely(root) {
            Kind::Turner | Kind::Spreader => {
                Head::Blade(Blade::read(reader, &root.under("blade"))?)
            }
            Kind::Spoon | Kind::Fork | Kind::Scoop => {
                Head::Bowl(Bowl::read(reader, &root.under("bowl"))?)
            }
        })
    }

    fn echo(&self, out: &mut Map<String, Value>) {
        let [bowl, blade] = Head::KEYS else { return };
        match self {
            Head::Bowl(head) => Field::echo(head, bowl, out),
            Head::Blade(head) => Field::echo(head, blade, out),
        }
    }

    fn dimension(&mut self, path: &str) -> Option<Dimension<'_>> {
        match self {
            Head::Bowl(head) => Keyed::dimension(head, path.strip_prefix("bowl.")?),
            Head::Blade(head) => Keyed::dimension(head, path.strip_prefix("blade.")?),
        }
    }
}

field_of_part!(Head);

/// Widths of a rim land, as of any size.
const RIMS: VaryingShape = VaryingShape {
    figure: &figure::LENGTH,
    room: SIZE,
    name: "size",
    such_as: "3 mm",
    says: [
        "Where it is, from the neck (0 %) to the tip (100 %).",
        "How wide the rim land is there.",
    ],
    whole: "one width for all of it",
};

/// An example of a head's outline.
const HEAD_OUTLINE: &str =
    "[{ at = \"30 %\", size = \"48 mm\" }, { at = \"85 %\", size = \"44 mm\" }]";
/// An example of a head that leaves the middle.
const HEAD_SWAY: &str =
    "[{ at = \"50 %\", shift = \"0 mm\" }, { at = \"100 %\", shift = \"12 mm\" }]";
/// An example of a head's middle line.
const HEAD_CURVE: &str =
    "[{ at = \"50 %\", rise = \"12 mm\" }, { at = \"100 %\", rise = \"16 mm\" }]";

keys! {
    /// A hollow head.
    #[derive(Clone, Debug, PartialEq)]
    pub struct Bowl {
        /// Length, from the neck to the tip.
        length: Length = LENGTH.such_as("92 mm").gives(),
        /// Width over the rim, at the widest place.
        width: Length = LENGTH.such_as("66 mm").gives(),
        /// Depth, from the rim down to the lowest point of the hollow.
        depth: Length = LENGTH.such_as("15 mm").gives(),
        /// Thickness of the wood behind the hollow, square to it, at the least. At the hollow's edge the
        /// wood is only as thick as the rim land and `utensil.edge` let it be, about 0.77 of the one plus 0.64 of
        /// the other, and less where the rim is eased; from there it grows by about a fifth of the way in.
        /// A scoop's runs out with its rim.
        wall: Length = LENGTH.such_as("4.5 mm").gives(),
        /// Width of the rim land, the flat round the hollow, square to the outline. One width all round,
        /// or stations for one that changes, from the neck (0 %) to the tip (100 %), as for a spoon that is fine
        /// at its tip and stout at its sides. Behind the widest place, where the hollow draws in, it is wider
        /// than that.
        rim: Varying<Length> = varying(&RIMS).such_as("2.5 mm").gives(),
        /// How much lower the two edges of the rim land lie than its crest, so that it is round and not
        /// flat: full from the widest place to the tip, and less and less from there to where the hollow begins. The hollow's
        /// depth is measured from the crest. At most half of `utensil.edge` and a quarter of the land's least
        /// width.
        rim_round: Option<Length> =
            LENGTH.such_as("0.4 mm").left_out("the land is flat, and its edges are sharp").gives(),
        /// How square its plan is: 2 is an ellipse, more is squarer.
        fullness: f64 = NUMBER.within(2.0, 6.0).or("2.3").gives(),
        /// Where it is widest, from the neck, as a part of its length.
        widest: f64 = SHARE.within(35.0, 70.0).or("54 %").gives(),
        /// Where the hollow is deepest, from the neck, as a part of its length; at most half of the way
        /// from the widest place to the neck or the tip, and less where the hollow opens late. Hollow and back are drawn along to it, and stay as
        /// full. Not for a scoop, whose floor is level.
        deepest: Option<f64> =
            SHARE.within(18.0, 85.0).such_as("40 %").left_out("where it is widest"),
        /// Where the handle's top has run out into the rim, from the neck, as a part of its length;
        /// no further than where it is widest. The hollow begins at 71 % of this.
        shoulder: Option<f64> =
            SHARE.within(20.0, 60.0).such_as("38 %").left_out("38 %, or 90 % of widest if less"),
        /// Where the ridge under the neck has run out into the back, in the same way; no sooner
        /// than the shoulder.
        keel: Option<f64> =
            SHARE.within(20.0, 70.0).such_as("54 %").left_out("66 %, or widest if less"),
        /// Height of the middle line over the parting plane, from the neck (0 %) to the tip (100 %),
        /// which rim, hollow and back follow. It goes on from the handle's; a place at 0 % must be as
        /// high as the handle's at 100 %. Left out or []: level.
        curve: Vec<Station> =
            stations("rise", -500.0, 500.0).such_as(HEAD_CURVE).or("[]").gives(),
        /// Widths over the rim at places from the neck (0 %) to the tip (100 %), between 15 % and 95 %,
        /// for an outline of your own; `width` says what it is where it is widest. Left out or []: as
        /// `fullness` and `widest` have it.
        outline: Vec<Station> = stations("size", 0.1, 2000.0).such_as(HEAD_OUTLINE).or("[]"),
        /// How far the middle of the head lies to the left, from the neck (0 %) to the tip (100 %); it
        /// goes on from the handle's. With `outline` it sets left and right apart, as for a spoon with
        /// a corner. Left out or []: straight.
        sway: Vec<Station> = stations("shift", -500.0, 500.0).such_as(HEAD_SWAY).or("[]"),
    }
}

keys! {
    /// A flat head.
    #[derive(Clone, Debug, PartialEq)]
    pub struct Blade {
        /// Length, from the neck to the front edge.
        length: Length = LENGTH.such_as("95 mm").gives(),
        /// Width at the widest place.
        width: Length = LENGTH.such_as("72 mm").gives(),
        /// Thickness of the flat part, in its middle.
        thickness: Length = LENGTH.such_as("5 mm").gives(),
        /// Thickness three quarters of the way from the middle to its thin side, the left one (the right one
        /// of a left-handed twin), where the blade has not begun to round off to its front. From the other side, which
        /// is stouter than the middle, it falls evenly. A spreader needs it.
        thin: Option<Length> = LENGTH.such_as("3 mm").left_out("none; both sides are alike").gives(),
        /// Thickness of the front edge.
        front: Length = LENGTH.such_as("2.2 mm").gives(),
        /// Length of the bevel on the top side, from the front edge back.
        bevel: Length = LENGTH.such_as("20 mm").gives(),
        /// How square its front is: 2 is an ellipse, more is squarer.
        fullness: f64 = NUMBER.within(2.0, 8.0).or("4").gives(),
        /// Where it is widest, from the neck, as a part of its length.
        widest: f64 = SHARE.within(55.0, 90.0).or("80 %").gives(),
        /// Where the handle's top has run out into the flat, from the neck, as a part of its length;
        /// no further than 72 % of the way to the bevel.
        shoulder: Option<f64> =
            SHARE.within(20.0, 70.0).such_as("40 %").left_out("40 %, or the most if less"),
        /// Where the handle's underside has run out, in the same way.
        keel: Option<f64> =
            SHARE.within(20.0, 70.0).such_as("50 %").left_out("60 %, or the most if less"),
        /// Height of the middle line over the parting plane, from the neck (0 %) to the front edge
        /// (100 %). It goes on from the handle's; a place at 0 % must be as high as the handle's at
        /// 100 %. Left out or []: level.
        curve: Vec<Station> =
            stations("rise", -500.0, 500.0).such_as(HEAD_CURVE).or("[]").gives(),
        /// Widths at places from the neck (0 %) to the front edge (100 %), between 15 % and 95 %,
        /// for an outline of your own; `width` says what it is where it is widest. Left out or []: as
        /// `fullness` and `widest` have it.
        outline: Vec<Station> = stations("size", 0.1, 2000.0).such_as(HEAD_OUTLINE).or("[]"),
        /// How far the middle of the head lies to the left, from the neck (0 %) to the front edge (100 %); it
        /// goes on from the handle's. With `outline` it sets left and right apart, as for a blade with
        /// a corner. Left out or []: straight.
        sway: Vec<Station> = stations("shift", -500.0, 500.0).such_as(HEAD_SWAY).or("[]"),
    }
}

keys! {
    /// A fork's tines.
    #[derive(Clone, Debug, PartialEq)]
    pub struct Tines {
        // One is no fork, and more than twelve leave no wood on a head of any size.
        /// How many.
        count: u32 = COUNT.within(2.0, 12.0).such_as("4"),
        /// What is cut out between two tines, once both sides are carved.
        slot: Slot = table::<Slot>().needed(),
        /// What their tips are like.
        tip: TineTip = choice::<TineTip>().or("square"),
        // More than that, and the outer tines run out through the sides of any head (by eye).
        /// How far they fan out: the angle between the middles of the two outermost slots, which meet
        /// behind the roots. Of two tines it does nothing.
        splay: Angle = ANGLE.within(0.0, 20.0).such_as("8 deg").or("0 deg").gives(),
    }
}

words! {
    /// What a tine's tip is like.
    pub enum TineTip {
        /// As wide as the tine, with the front's own line.
        Square = "square",
        /// Its corners rounded off, so that a tenth of the front's line is left; an outer tine ends round where two
        /// fifths of its width are left. Tines under 3.5 mm stay square.
        Round = "round",
        /// Narrowed in two arcs over one and a half times its width to a quarter of it, as even as the front's line
        /// allows, and over less on a short tine; an outer tine ends where a quarter is left. Tines under 3.5 mm stay
        /// square.
        Pointed = "pointed",
    }
}

keys! {
    /// What is cut out between two tines.
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct Slot {
        /// Width at its root.
        width: Length = LENGTH.such_as("6.5 mm").gives(),
        /// Length, from the tip of the head back to the deepest point of the root.
        length: Length = LENGTH.such_as("55 mm").gives(),
        // One that opens by more leaves pointed tines that break (common practice, no source).
        /// Angle between its two sides; it opens towards the tip.
        taper: Angle = ANGLE.within(0.0, 10.0).such_as("1 deg").or("0 deg").gives(),
    }
}

/// The tables that a kind has, and those that it hasn't, with what these are for.
type Tables = (Kind, &'static [&'static str], &'static [(&'static str, &'static str)]);

/// The kinds with a hollow head, and with a flat one.
const HOLLOW: &str = "spoon, fork or scoop";
const FLAT: &str = "turner or spreader";

/// The tables that only some kinds have.
pub(super) const HEADS: [Tables; 5] = [
    (Kind::Spoon, &["bowl"], &[("blade", FLAT), ("tines", "fork")]),
    (Kind::Fork, &["bowl", "tines"], &[("blade", FLAT)]),
    (Kind::Turner, &["blade"], &[("bowl", HOLLOW), ("tines", "fork")]),
    (Kind::Spreader, &["blade"], &[("bowl", HOLLOW), ("tines", "fork")]),
    (Kind::Scoop, &["bowl"], &[("blade", FLAT), ("tines", "fork")]),
];

/// A key that a kind needs and others may leave out: its table and its name.
pub(super) fn needs(kind: Kind) -> Option<[&'static str; 2]> {
    (kind == Kind::Spreader).then_some(["blade", "thin"])
}

/// The kind, or the one that the sections show, so that the rest can be read without it.
pub(super) fn likely(root: &TomlTable<'_>) -> Kind {
    let written = root.under("utensil").get("kind");
    let word = written.and_then(|item| item.as_text().map(str::to_owned));
    let kind =
        HEADS.into_iter().map(|(kind, ..)| kind).find(|kind| word.as_deref() == Some(kind.name()));
    kind.unwrap_or(match (root.has("blade"), root.has("tines")) {
        (true, _) => Kind::Turner,
        (false, true) => Kind::Fork,
        (false, false) => Kind::Spoon,
    })
}

/// Least and most of where a head may be widest, as shares of its length.
pub fn widest_room(head: &Head) -> [f64; 2] {
    let keys = match head {
        Head::Bowl(_) => Bowl::KEYS,
        Head::Blade(_) => Blade::KEYS,
    };
    let room = keys.iter().find(|key| key.path == "widest").map(|key| key.shape);
    match room {
        Some(KeyShape::Figure(figure, KeyRange { least, most })) => {
            [least, most].map(|share| share / figure.per)
        }
        _ => [0.0, 1.0],
    }
}

/// The dimension that a key of the design file names, if the design has it.
pub fn dimension<'d>(design: &'d mut Design, key: &str) -> Option<Dimension<'d>> {
    Keyed::dimension(design, key)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Findings;
    use crate::params::keys::giving;
    use crate::params::parse_design;

    fn read(text: &str) -> Design {
        parse_design(text, &mut Findings::new()).expect("a shipped example has no fault").0
    }

    const SPOON: &str = include_str!("fixtures/spoon.toml");
    const CURVE: &str =
        "curve = [{ at = \"50 %\", rise = \"2 mm\" }, { at = \"100 %\", rise = \"6 mm\" }]";

    #[test]
    fn every_known_key_names_a_dimension_of_one_of_the_three_kinds() {
        let mut designs = [
            read(
                &SPOON
                    .replace(
                        "sway = []",
                        "sway = [{ at = \"0 %\", shift = \"2 mm\" }, \
                         { at = \"100 %\", shift = \"0 mm\" }]",
                    )
                    .replace("[bowl]", &format!("[bowl]\nrim_round = \"0.4 mm\"\n{CURVE}")),
            ),
            read(include_str!("../../params/designs/harvest-fork.toml")),
            read(
                &include_str!("../../params/designs/harvest-turner.toml")
                    .replace("[blade]", &format!("[blade]\n{CURVE}")),
            ),
            read(include_str!("../../params/designs/harvest-spreader.toml")),
        ];
        let keys = giving(Design::KEYS);
        assert_eq!(keys.len(), 38, "{keys:?}");
        for (key, _) in keys {
            assert!(designs.iter_mut().any(|d| dimension(d, &key).is_some()), "{key}");
        }
    }

    #[test]
    fn a_changed_dimension_is_changed_in_the_design() {
        let mut spoon = read(SPOON);
        match dimension(&mut spoon, "handle.curve[1].rise") {
            Some(Dimension::Length(rise)) => *rise = Length::mm(4.5),
            other => panic!("{other:?}"),
        }
        assert_eq!(spoon.handle.curve[1].size, Length::mm(4.5));
        assert_eq!(spoon.handle.curve[1].at, 0.5);
    }

    #[test]
    fn what_the_design_has_not_is_no_dimension() {
        let mut spoon = read(SPOON);
        for key in [
            "",
            "bowl",
            "bowl.",
            ".depth",
            "bowl.depth.x",
            "blade.front",
            "tines.slot.width",
            "handle.sway",
            "handle.curve[3].rise",
            "handle.curve[0].size",
            "handle.curve[0]",
            "handle.curve[-1].rise",
            "handle.curve[99999999999999999999].rise",
            "handle.end[0].size",
            "handle.section[0]",
            "utensil.name",
            "tabs.place",
        ] {
            assert!(dimension(&mut spoon, key).is_none(), "{key}");
        }
    }
}
