//! The board: what was measured of the wood in hand.

use super::flaw::FLAWS;
use super::keys::{
    ANGLE, Key, LENGTH, LENGTH_OR_NONE, PERCENT, POINT, TEXT, choice, keys, named, part,
    some_tables, tables,
};
use super::{Air, Flaw, FlawShape};
use crate::units::{Angle, Length};
use glam::DVec2;

/// Moisture: near 30 % the cell walls are full (fibre saturation), and no spoon is carved to
/// measure from wetter wood.
const MOISTURE: Key = PERCENT.within(0.0, 30.0).such_as("9 %").left_out("not known");
/// What is planed off, or stands off a flat bed.
const OFF: Key = LENGTH_OR_NONE.such_as("0.3 mm").or("0 mm");
/// Grain direction, either way.
const GRAIN: Key = ANGLE.within(-90.0, 90.0);

keys! {
    /// A measured board. Its frame: X along the length, Y across, the origin in the corner.
    #[derive(Clone, Debug, PartialEq)]
    pub struct Board {
        /// What you call it.
        name: String = TEXT.at("board.name").such_as("cherry board"),
        /// Common name of the wood.
        species: String = TEXT.at("board.species").such_as("cherry"),
        /// Its length.
        length: Length = LENGTH.at("board.length").such_as("430 mm"),
        /// Its width.
        width: Length = LENGTH.at("board.width").such_as("120 mm"),
        /// What is planed off the top face first.
        skim_top: Length = OFF.at("board.skim_top"),
        /// What is planed off the bottom face first.
        skim_bottom: Length = OFF.at("board.skim_bottom"),
        /// Moisture now, as the meter says.
        moisture_now: Option<f64> = MOISTURE.at("board.moisture_now"),
        /// Moisture that it will settle at in use; or the room's air says it.
        moisture_use: Option<f64> = MOISTURE.at("board.moisture_use"),
        /// Grain direction against the board's length, seen from above.
        grain: Angle = GRAIN.at("board.grain").or("0 deg"),
        /// A caliper reading of the thickness.
        readings: Vec<Reading> = some_tables::<Reading>().at("reading"),
        /// What to keep clear of.
        flaws: Vec<Flaw> = FLAWS,
        /// What else was measured or is known of it.
        form: Form = part::<Form>(),
    }
}

keys! {
    /// How a board lies on a flat bed, what it was sold as, and how its grain runs from place to
    /// place. By default flat, of no nominal size, and of one grain direction.
    #[derive(Clone, Debug, Default, PartialEq)]
    pub struct Form {
        /// Greatest gap under the board between its two long edges, hollow side down.
        cup: Length = OFF.at("board.cup"),
        /// Greatest gap under the board between its two ends, hollow side down.
        bow: Length = OFF.at("board.bow"),
        /// How high one corner stands off when the other three touch.
        twist: Length = OFF.at("board.twist"),
        /// The thickness that it was sold as; a check on the readings, never instead of them.
        nominal: Option<Nominal> = choice::<Nominal>().at("board.nominal").left_out("no check"),
        /// The air that the piece will be used in, where the file gives that.
        air: Option<Air> = part::<Air>().at("board").left_out("not known"),
        /// The grain's direction at a place, where it runs otherwise than the board's.
        grain_at: Vec<Grain> = tables::<Grain>().at("grain"),
    }
}

keys! {
    /// The grain's direction at a place.
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct Grain {
        /// Where: along and across, from the corner.
        at: DVec2 = POINT.such_as("[\"200 mm\", \"60 mm\"]"),
        /// Its direction there, against the board's length.
        angle: Angle = GRAIN.such_as("3 deg"),
    }
}

/// A trade name of a thickness: so many quarters of an inch, rough from the saw.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Nominal {
    /// How many quarters.
    pub quarters: u32,
}

impl Nominal {
    /// What it yields surfaced on two sides, of hardwood.
    ///
    /// Source: National Hardwood Lumber Association grading rules, standard surfaced thickness,
    /// as three published charts have it. These are grading minima, so a board may well be
    /// thicker.
    pub fn surfaced(self) -> Option<Length> {
        match self.quarters {
            4 => Some(Length::inches(13.0 / 16.0)),
            5 => Some(Length::inches(1.0 + 1.0 / 16.0)),
            6 => Some(Length::inches(1.0 + 5.0 / 16.0)),
            8 => Some(Length::inches(1.75)),
            _ => None,
        }
    }

    /// Rough from the saw.
    pub fn rough(self) -> Length {
        Length::inches(0.25 * f64::from(self.quarters))
    }
}

named! {
    Nominal:
    Nominal { quarters: 4 }, "4/4", "One inch rough.";
    Nominal { quarters: 5 }, "5/4", "An inch and a quarter rough.";
    Nominal { quarters: 6 }, "6/4", "An inch and a half rough.";
    Nominal { quarters: 8 }, "8/4", "Two inches rough.";
}

keys! {
    /// One caliper reading.
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct Reading {
        /// Where on the board: along and across, from the corner.
        at: DVec2 = POINT.such_as("[\"20 mm\", \"60 mm\"]"),
        /// What was read there.
        thickness: Length = LENGTH.such_as("32.4 mm"),
    }
}

impl Board {
    /// Its length and width, in mm.
    pub fn size(&self) -> DVec2 {
        DVec2::new(self.length.as_mm(), self.width.as_mm())
    }

    /// The greatest height that a flat stock of this board can have: the least reading, less what
    /// cup, bow and twist take (see [`Board::crooked`]) and less both skims. Never more than the
    /// readings allow.
    pub fn usable_height(&self) -> Length {
        let least = self
            .readings
            .iter()
            .map(|reading| reading.thickness.as_mm())
            .fold(f64::INFINITY, f64::min);
        Length::mm(least) - self.crooked() - self.skim_top - self.skim_bottom
    }

    /// What must come off to make a bent board of even thickness flat, both faces together: the
    /// cup, the bow and half of the twist. A sheet that is bent by a sagitta holds a parallel slab
    /// thinner by just that; a corner that stands off by w is w/4 over and w/4 under the best
    /// plane through the four.
    pub fn crooked(&self) -> Length {
        self.form.cup + self.form.bow + self.form.twist.half()
    }

    /// A part of the board between two corners, in mm, as a board of its own: what is beyond its
    /// edges is gone, and places are counted from its own corner.
    #[must_use]
    pub fn part(&self, from: DVec2, to: DVec2) -> Board {
        let size = to - from;
        let moved = |points: &[DVec2]| points.iter().map(|p| *p - from).collect::<Vec<_>>();
        let mut part = self.clone();
        (part.length, part.width) = (Length::mm(size.x), Length::mm(size.y));
        for flaw in &mut part.flaws {
            flaw.shape = match &flaw.shape {
                FlawShape::Circle { centre, radius } => {
                    FlawShape::Circle { centre: *centre - from, radius: *radius }
                }
                FlawShape::Polygon(corners) => FlawShape::Polygon(moved(corners)),
                FlawShape::Line(points) => FlawShape::Line(moved(points)),
            };
        }
        part.readings.iter_mut().for_each(|reading| reading.at -= from);
        part.form.grain_at.iter_mut().for_each(|grain| grain.at -= from);
        part
    }

    /// The grain's direction at a place, in mm: the nearest that is given.
    pub fn grain_at(&self, at: DVec2) -> Angle {
        let near = |grain: &&Grain| grain.at.distance_squared(at);
        let given = self.form.grain_at.iter().min_by(|a, b| near(a).total_cmp(&near(b)));
        given.map_or(self.grain, |grain| grain.angle)
    }

    /// Key in the board file of the flaw with that index in `flaws`, such as `knot[0]`: the index
    /// among the flaws of its kind. Empty if there's no such flaw.
    pub fn flaw_key(&self, index: usize) -> String {
        let Some(flaw) = self.flaws.get(index) else { return String::new() };
        let before = self.flaws[..index].iter().filter(|other| other.kind == flaw.kind).count();
        format!("{}[{before}]", flaw.kind.name())
    }
}

#[cfg(test)]
impl Board {
    /// A straight board without readings, for tests of what goes on it; length and width in mm.
    pub(crate) fn bare(size: DVec2, flaws: Vec<Flaw>) -> Board {
        Board {
            name: "beech board".to_owned(),
            species: "beech".to_owned(),
            length: Length::mm(size.x),
            width: Length::mm(size.y),
            readings: Vec::new(),
            skim_top: Length::ZERO,
            skim_bottom: Length::ZERO,
            moisture_now: None,
            moisture_use: None,
            grain: Angle::degrees(0.0),
            form: Form::default(),
            flaws,
        }
    }
}
