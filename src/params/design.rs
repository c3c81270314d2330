//! The design: what the utensil should be.

use crate::units::{Angle, Length};

/// What kind of utensil it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A bowl with a handle.
    Spoon,
    /// A shallow bowl with slots, and a handle.
    Fork,
    /// A flat blade with a bevelled front, and a handle.
    Turner,
}

impl Kind {
    /// `spoon`, `fork` or `turner`.
    pub const fn name(self) -> &'static str {
        match self {
            Kind::Spoon => "spoon",
            Kind::Fork => "fork",
            Kind::Turner => "turner",
        }
    }
}

/// A whole design, checked: every range in `params::validate` holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Design {
    /// What the maker calls it.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// From the handle's end to the tip.
    pub length: Length,
    /// Height of the rim wall, where the two sides meet.
    pub edge: Length,
    /// Greatest angle between the handle and the grain of the board.
    pub lean: Angle,
    /// The working end.
    pub head: Head,
    /// The handle.
    pub handle: Handle,
    /// The tines, of a fork.
    pub tines: Option<Tines>,
    /// Wood left between body and frame.
    pub tabs: Tabs,
    /// Places to be gone over once more.
    pub clean_up: Vec<super::CleanUp>,
    /// What fitting may change.
    pub give: Vec<Give>,
    /// What it is loaded with.
    pub load: super::Load,
    /// Cautions that the maker accepts.
    pub accept: Vec<super::Accept>,
}

/// The working end.
#[derive(Clone, Debug, PartialEq)]
pub enum Head {
    /// A spoon's or a fork's.
    Bowl(Bowl),
    /// A turner's.
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

    /// At the widest place.
    pub fn width(&self) -> Length {
        match self {
            Head::Bowl(bowl) => bowl.width,
            Head::Blade(blade) => blade.width,
        }
    }
}

/// A hollow head.
#[derive(Clone, Debug, PartialEq)]
pub struct Bowl {
    /// From the neck to the tip.
    pub length: Length,
    /// At the widest place, over the rim.
    pub width: Length,
    /// From the rim plane down to the lowest point of the hollow.
    pub depth: Length,
    /// Wood under the lowest point.
    pub wall: Length,
    /// Width of the rim land.
    pub rim: Length,
    /// Exponent of the plan's superellipse: 2 is an ellipse, more is squarer.
    pub fullness: f64,
    /// Where it is widest: a fraction of the length, from the neck.
    pub widest: f64,
}

/// A flat head.
#[derive(Clone, Debug, PartialEq)]
pub struct Blade {
    /// From the neck to the front edge.
    pub length: Length,
    /// At the widest place.
    pub width: Length,
    /// Of the flat part, in its middle.
    pub thickness: Length,
    /// Of the front edge.
    pub front: Length,
    /// Length of the bevel on the top side, from the front edge back.
    pub bevel: Length,
    /// Exponent of the front's superellipse.
    pub fullness: f64,
    /// Where it is widest: a fraction of the length, from the neck.
    pub widest: f64,
}

/// A size or an offset at a place along the handle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Station {
    /// Fraction from 0 (where the rounding of the handle's end has died out) to 1 (the neck).
    pub at: f64,
    /// The size there.
    pub size: Length,
}

/// The handle.
#[derive(Clone, Debug, PartialEq)]
pub struct Handle {
    /// Length of the rounding of the handle's end.
    pub end: Length,
    /// Widths, at least two, first at 0 and last at 1.
    pub width: Vec<Station>,
    /// Thicknesses, at least two, first at 0 and last at 1.
    pub thickness: Vec<Station>,
    /// Height of the middle line over the parting plane; empty for a straight handle.
    pub curve: Vec<Station>,
    /// Offset of the middle line to the left; empty for a straight handle.
    pub sway: Vec<Station>,
    /// Exponent of the cross-section's superellipse.
    pub section: f64,
}

/// A fork's tines.
#[derive(Clone, Debug, PartialEq)]
pub struct Tines {
    /// How many, at least two.
    pub count: u32,
    /// What is cut out between two of them.
    pub slot: Slot,
}

/// What is cut out between two tines.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slot {
    /// At its root, across.
    pub width: Length,
    /// From the tip of the head back to the deepest point of the root.
    pub length: Length,
    /// Angle between the slot's two sides; it opens towards the tip.
    pub taper: Angle,
}

/// Which side of the body, seen from above with the tip away from the viewer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Positive Y.
    Left,
    /// Negative Y.
    Right,
}

/// Where a tab is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TabPlace {
    /// Which side.
    pub side: Side,
    /// Fraction of the utensil's length, from the handle's end.
    pub at: f64,
}

/// Wood left between body and frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Tabs {
    /// Along the outline.
    pub width: Length,
    /// In height.
    pub thickness: Length,
    /// Where they are; empty as long as the tool has yet to place them.
    pub place: Vec<TabPlace>,
    /// Whether the tool places them, and what it may choose.
    pub auto: Option<super::AutoTabs>,
}

/// How far fitting may move one dimension.
#[derive(Clone, Debug, PartialEq)]
pub struct Give {
    /// The key of the design file, such as `bowl.depth`.
    pub key: String,
    /// The least that it may become.
    pub least: Bound,
    /// The most that it may become.
    pub most: Bound,
    /// How unwillingly it changes: greater changes less.
    pub weight: f64,
}

/// A limit of a give.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Bound {
    /// A length.
    Length(Length),
    /// A fraction of what the file asks for.
    Fraction(f64),
}
