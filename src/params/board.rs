//! The board: what was measured of the wood in hand.

use super::Air;
use crate::units::{Angle, Length};
use glam::DVec2;

/// A measured board. Its frame: X along the length, Y across, the origin in the corner.
#[derive(Clone, Debug, PartialEq)]
pub struct Board {
    /// What the maker calls it.
    pub name: String,
    /// Common name of the wood, as the file says it.
    pub species: String,
    /// Along X.
    pub length: Length,
    /// Along Y.
    pub width: Length,
    /// Caliper readings of the thickness, at least one.
    pub readings: Vec<Reading>,
    /// What is planed off the top face first.
    pub skim_top: Length,
    /// What is planed off the bottom face first.
    pub skim_bottom: Length,
    /// Moisture now, % of dry mass.
    pub moisture_now: Option<f64>,
    /// Moisture in use, % of dry mass.
    /// As the file says it, or what the air of the room makes of it.
    pub moisture_use: Option<f64>,
    /// Grain direction against X, seen from above.
    pub grain: Angle,
    /// What to keep clear of.
    pub flaws: Vec<Flaw>,
    /// What else was measured or is known of it.
    pub form: Form,
}

/// How a board lies on a flat bed, what it was sold as, and how its grain runs from place to
/// place. By default flat, of no nominal size, and of one grain direction.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Form {
    /// Greatest gap under the board between its two long edges, hollow side down.
    pub cup: Length,
    /// Greatest gap under the board between its two ends, hollow side down.
    pub bow: Length,
    /// How high one corner stands off when the other three touch.
    pub twist: Length,
    /// The thickness that it was sold as.
    pub nominal: Option<Nominal>,
    /// The air that the piece will be used in, where the file gives that.
    pub air: Option<Air>,
    /// Grain directions at places, against X; they go before the board's one direction.
    pub grain_at: Vec<(DVec2, Angle)>,
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

/// One caliper reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Where on the board, in mm.
    pub at: DVec2,
    /// What was read.
    pub thickness: Length,
}

/// What to keep clear of.
#[derive(Clone, Debug, PartialEq)]
pub struct Flaw {
    /// What it is.
    pub kind: FlawKind,
    /// Its extent.
    pub shape: FlawShape,
}

/// What a flaw is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FlawKind {
    /// A branch's root in the wood.
    Knot,
    /// A crack along the grain.
    Check,
    /// A missing edge, bark or the round of the log.
    Wane,
}

impl FlawKind {
    /// `knot`, `check` or `wane`.
    pub const fn name(self) -> &'static str {
        match self {
            FlawKind::Knot => "knot",
            FlawKind::Check => "check",
            FlawKind::Wane => "wane",
        }
    }
}

/// The extent of a flaw on the board, in mm in the board's frame.
#[derive(Clone, Debug, PartialEq)]
pub enum FlawShape {
    /// Round.
    Circle {
        /// Middle.
        centre: DVec2,
        /// Radius.
        radius: Length,
    },
    /// A closed polygon of at least three corners.
    Polygon(Vec<DVec2>),
    /// A line of at least two points: a crack, or the wood's edge at a wane.
    Line(Vec<DVec2>),
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
        part.form.grain_at.iter_mut().for_each(|(at, _)| *at -= from);
        part
    }

    /// The grain's direction at a place, in mm: the nearest that is given.
    pub fn grain_at(&self, at: DVec2) -> Angle {
        let near = |(place, _): &&(DVec2, Angle)| place.distance_squared(at);
        let given = self.form.grain_at.iter().min_by(|a, b| near(a).total_cmp(&near(b)));
        given.map_or(self.grain, |(_, angle)| *angle)
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
