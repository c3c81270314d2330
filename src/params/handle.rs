//! What the design says of the handle: its line, its section, flats along it, and its end.

use super::Station;
use super::keys::{
    KeyRange, LENGTH, SHARE, Varying, VaryingShape, choice, figure, keys, stations, table, varying,
    words,
};
use crate::units::Length;

/// An example of a handle that rises and falls.
const HANDLE_CURVE: &str = "[{ at = \"0 %\", rise = \"0 mm\" }, { at = \"50 %\", rise = \"4 mm\" }, \
                            { at = \"100 %\", rise = \"0 mm\" }]";
/// An example of a handle that leaves the middle and comes back.
const HANDLE_SWAY: &str = "[{ at = \"0 %\", shift = \"0 mm\" }, { at = \"50 %\", shift = \"2 mm\" }, \
                           { at = \"100 %\", shift = \"0 mm\" }]";

keys! {
    /// The handle.
    #[derive(Clone, Debug, PartialEq)]
    pub struct Handle {
        /// Length of the rounding of the handle's end.
        end: Length =
            LENGTH.such_as("14 mm").left_out("60 % of the first width, or half of a knob's").gives(),
        /// What its end is like, seen from above and from the side.
        end_shape: Option<EndShape> = choice::<EndShape>().left_out("as square as its section"),
        /// Widths, the first at 0 % and the last at 100 %.
        width: Vec<Station> = stations("size", 0.1, 2000.0).gives(),
        /// Thicknesses, the first at 0 % and the last at 100 %.
        thickness: Vec<Station> = stations("size", 0.1, 2000.0).gives(),
        /// Height of the handle's middle line over the parting plane.
        curve: Vec<Station> =
            stations("rise", -500.0, 500.0).such_as(HANDLE_CURVE).or("[]").gives(),
        /// How far the middle line lies to the left.
        sway: Vec<Station> =
            stations("shift", -500.0, 500.0).such_as(HANDLE_SWAY).or("[]").gives(),
        /// How square its cross-section is: 2 is an ellipse, more is squarer. One number for the whole
        /// handle, or stations for one that runs from the one into the other.
        section: Varying<f64> = varying(&SQUARES).or("2.2").gives(),
        /// Flats along it, in place of the round section.
        facets: Option<Facets> = table::<Facets>().left_out("none"),
        /// A knob at its end: the handle swells to it. Width and thickness at 0 % are the knob's then.
        knob: Option<Knob> = table::<Knob>().left_out("none"),
    }
}

words! {
    /// What a handle's end is like.
    pub enum EndShape {
        /// An ellipse.
        Round = "round",
        /// Nearly square across, with rounded corners.
        Blunt = "blunt",
        /// Narrowed to a point, which is eased so that it doesn't break off.
        Pointed = "pointed",
    }
}

words! {
    /// How many flats a handle has all round.
    pub enum Flats {
        /// One on top, one below, and two on each side that meet at the edge.
        Six = "six",
        /// One on top, one below, one upright on each side, and four that slope at 45 degrees.
        Eight = "eight",
    }
}

keys! {
    /// Flats along the handle. Their edges are sharp; ease them by hand.
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct Facets {
        /// How many all round.
        flats: Flats = choice::<Flats>().or("eight"),
        /// How far the sloping flats reach in from each side, seen from above.
        chamfer: Option<Length> = LENGTH.such_as("4 mm").left_out("29 % of the thickness for eight, a quarter of the width for six"),
        /// Where along the handle they begin, between its end (0 %) and the neck (100 %).
        from: f64 = SHARE.or("0 %"),
        /// Where along the handle they end.
        to: f64 = SHARE.or("100 %"),
        // What looks like a sweep of the knife and not like a step. By eye.
        /// Length over which they come out of the round section, and over which they go back into it.
        run: Length = LENGTH.within(5.0, 500.0).or("25 mm"),
    }
}

keys! {
    /// A knob at the handle's end.
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct Knob {
        /// Its width.
        width: Option<Length> = LENGTH.such_as("24 mm").left_out("one and a half times the first width"),
        /// Its thickness.
        thickness: Option<Length> = LENGTH.such_as("18 mm").left_out("one and a half times the first thickness"),
        /// From the very end of the handle to where it has run out.
        length: Option<Length> = LENGTH.such_as("36 mm").left_out("its width past the rounding of the end"),
    }
}

/// A knob's size where the file doesn't say, over the handle's. By eye.
const KNOB: f64 = 1.5;

impl Knob {
    /// Its width.
    pub fn width_of(&self, handle: &Handle) -> Length {
        self.width.unwrap_or(first(&handle.width) * KNOB)
    }

    /// Its thickness.
    pub fn thickness_of(&self, handle: &Handle) -> Length {
        self.thickness.unwrap_or(first(&handle.thickness) * KNOB)
    }

    /// From where the rounding of the end has died out to where it has run out.
    pub fn runs_out(&self, handle: &Handle) -> Length {
        self.length.map_or(self.width_of(handle), |length| length - handle.end)
    }
}

fn first(stations: &[Station]) -> Length {
    stations.first().map_or(Length::mm(f64::NAN), |first| first.size)
}

/// How square a section is: from an ellipse to what is as good as a rectangle.
const SQUARES: VaryingShape = VaryingShape {
    figure: &figure::NUMBER,
    room: KeyRange { least: 2.0, most: 6.0 },
    name: "square",
    such_as: "3",
    says: [
        "Where it is, from the handle's end (0 %) to the neck (100 %).",
        "How square it is there.",
    ],
    whole: "one number for the whole handle",
};
