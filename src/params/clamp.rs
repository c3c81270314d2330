//! What hold-downs are made like, and the stops on the bed. Every key of it may be left out.

use crate::units::Length;
use glam::DVec2;

/// How hold-downs are made, printed and kept out of the way.
#[derive(Clone, Debug, PartialEq)]
pub struct Clamp {
    /// Which of the family.
    pub form: HoldForm,
    /// Depth of the rebate in the board's edge in which a low one's lip bears.
    pub rebate: Length,
    /// What the bolt's head sits in.
    pub head: BoltHead,
    /// How far the bolt can slide in its slot, towards the board and away from it.
    pub slide: Length,
    /// Least wall of plastic round a hole.
    pub wall: Length,
    /// Thickness of the ribs in the hollowed heel; solid when absent.
    pub rib: Option<Length>,
    /// Heights of stock to print a set for; the job's own when empty.
    pub stack: Vec<Length>,
    /// The printer's bed, in mm.
    pub plate: DVec2,
    /// Stops and fences on the bed.
    pub stops: Vec<Stop>,
}

/// The family of hold-downs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HoldForm {
    /// A step as high as the stock; its lip bears on the board's face.
    Stepped,
    /// A lower step; its lip bears in a rebate.
    Low,
    /// Stepped where the holder lets them stand, low where not.
    Either,
}

impl HoldForm {
    /// The word for it in the shop file.
    pub const fn name(self) -> &'static str {
        match self {
            HoldForm::Stepped => "stepped",
            HoldForm::Low => "low",
            HoldForm::Either => "either",
        }
    }
}

/// What a bolt's head sits in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BoltHead {
    /// On a washer on the block's top.
    Flat,
    /// On a washer in a round pocket.
    Washer,
    /// In a pocket that keeps a hexagon from turning.
    Hex,
}

impl BoltHead {
    /// The word for it in the shop file.
    pub const fn name(self) -> &'static str {
        match self {
            BoltHead::Flat => "flat",
            BoltHead::Washer => "washer",
            BoltHead::Hex => "hex",
        }
    }
}

/// Which edge of the board a stop sets, as the board lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StopSide {
    /// Its left end: the stop's face is at an X.
    Left,
    /// Its front edge: the stop's face is at a Y.
    Front,
}

impl StopSide {
    /// The word for it in the shop file.
    pub const fn name(self) -> &'static str {
        match self {
            StopSide::Left => "left",
            StopSide::Front => "front",
        }
    }
}

/// A stop or fence that stands on the bed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stop {
    /// The edge that it sets.
    pub side: StopSide,
    /// Its face, from the machine's home corner: the X of a left stop, the Y of a front one.
    pub at: Length,
    /// Where it begins along the other axis.
    pub from: Length,
    /// Where it ends along the other axis.
    pub to: Length,
    /// How thick it is behind its face.
    pub deep: Length,
}

impl Default for Clamp {
    /// What holds if the shop says nothing (common practice, no source).
    fn default() -> Clamp {
        Clamp {
            form: HoldForm::Stepped,
            rebate: Length::mm(10.0),
            head: BoltHead::Flat,
            slide: Length::ZERO,
            // Ten lines of a common 0.4 mm nozzle.
            wall: Length::mm(4.0),
            rib: None,
            stack: Vec::new(),
            plate: DVec2::splat(180.0),
            stops: Vec::new(),
        }
    }
}
