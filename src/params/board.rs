//! The board: what was measured of the wood in hand.

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
    pub moisture_use: Option<f64>,
    /// Grain direction against X, seen from above.
    pub grain: Angle,
    /// What to keep clear of.
    pub flaws: Vec<Flaw>,
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
    /// The greatest height that a flat stock of this board can have: the least reading less both
    /// skims.
    pub fn usable_height(&self) -> Length {
        let least = self
            .readings
            .iter()
            .map(|reading| reading.thickness.as_mm())
            .fold(f64::INFINITY, f64::min);
        Length::mm(least) - self.skim_top - self.skim_bottom
    }

    /// Key in the board file of the flaw with that index in `flaws`, such as `knot[0]`: the index
    /// among the flaws of its kind. Empty if there's no such flaw.
    pub fn flaw_key(&self, index: usize) -> String {
        let Some(flaw) = self.flaws.get(index) else { return String::new() };
        let before = self.flaws[..index].iter().filter(|other| other.kind == flaw.kind).count();
        format!("{}[{before}]", flaw.kind.name())
    }
}
