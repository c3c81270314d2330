//! The shop: cutters, pins, bolts and habits.

use super::bed::Bed;
use crate::units::{Angle, Length, Unit};

/// A shop.
#[derive(Clone, Debug, PartialEq)]
pub struct Shop {
    /// What the maker calls it.
    pub name: String,
    /// The unit of the DXF files.
    pub unit: Unit,
    /// The axis about which the board is turned over.
    pub turn: TurnAxis,
    /// Where Z is zero.
    pub zero: Zero,
    /// What the shop has to cut with.
    pub cutters: Vec<Cutter>,
    /// Which cutter does what.
    pub work: Work,
    /// The dowel pins that register the board.
    pub pin: Pin,
    /// The bolt that holds a hold-down.
    pub bolt: Bolt,
    /// The hold-down.
    pub hold_down: HoldDown,
    /// What a printed hole is widened by.
    pub printer_fit: Length,
    /// Thresholds of the checks.
    pub limits: Limits,
    /// What the shop prints on.
    pub paper: Paper,
    /// Bed, spindle and fits.
    pub bed: Bed,
    /// The shop's own notes on dust, guards and the like, repeated on the sheet.
    pub notes: Vec<String>,
}

/// The axis about which the board is turned over between the setups.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TurnAxis {
    /// The board's length: left goes right.
    X,
    /// The board's width: end goes for end.
    Y,
}

/// Where a setup's Z is zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Zero {
    /// On the stock's upper face, as it lies.
    Top,
    /// On the stock's lower face, as it lies: the bed.
    Bottom,
}

/// The paper of the templates.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    #[default]
    A4,
    /// 8-1/2 × 11 in (ANSI/ASME Y14.1, A).
    Letter,
}

impl Paper {
    /// Its shorter and its longer side.
    pub const fn size(self) -> [Length; 2] {
        match self {
            Paper::A4 => [Length::mm(210.0), Length::mm(297.0)],
            Paper::Letter => [Length::inches(8.5), Length::inches(11.0)],
        }
    }

    /// `A4` or `Letter`.
    pub const fn name(self) -> &'static str {
        match self {
            Paper::A4 => "A4",
            Paper::Letter => "Letter",
        }
    }
}

/// The form of a cutter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CutterForm {
    /// Square across its end.
    Flat,
    /// A half sphere at its end.
    Ball,
    /// Flat, with its edge rounded to that radius: bull-nosed.
    Bull(Length),
    /// A cone, by its included angle.
    Vee(Angle),
}

/// A cutter.
#[derive(Clone, Debug, PartialEq)]
pub struct Cutter {
    /// What the shop calls it.
    pub name: String,
    /// Its form.
    pub form: CutterForm,
    /// Diameter.
    pub diameter: Length,
    /// Length of the cutting edges.
    pub flute: Length,
    /// From the holder to the tip.
    pub stick_out: Length,
    /// Feed, mm per minute.
    pub feed_mm_min: f64,
    /// Spindle speed, turns per minute.
    pub speed_rpm: f64,
    /// Step-over in finishing, or in roughing.
    pub step_over: Length,
    /// Depth of one pass in slots and in roughing; none for the usual half diameter.
    pub pass_depth: Option<Length>,
    /// Its own holder; none for the shop's.
    pub holder: Option<super::Holder>,
}

impl Cutter {
    /// Depth of one pass: the shop's, or half of the diameter (common practice, no source).
    pub fn depth_of_pass(&self) -> Length {
        self.pass_depth.unwrap_or(self.diameter.half())
    }
}

#[cfg(test)]
impl Cutter {
    /// A cutter that cuts all along, for tests of where it goes; sizes in mm.
    pub(crate) fn bare(name: &str, form: CutterForm, diameter: f64, stick_out: f64) -> Cutter {
        let [diameter, stick_out] = [diameter, stick_out].map(Length::mm);
        Cutter {
            name: name.to_owned(),
            form,
            diameter,
            flute: stick_out,
            stick_out,
            feed_mm_min: 1000.0,
            speed_rpm: 16_000.0,
            step_over: diameter * 0.1,
            pass_depth: None,
            holder: None,
        }
    }
}

/// Which cutter does what, by name.
#[derive(Clone, Debug, PartialEq)]
pub struct Work {
    /// Roughing.
    pub rough: String,
    /// Finishing of the skins.
    pub finish: String,
    /// Slots.
    pub slots: String,
}

/// The dowel pins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pin {
    /// Diameter of the pin.
    pub diameter: Length,
    /// What the hole is greater by.
    pub play: Length,
}

/// A bolt by its series.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BoltSize {
    /// ISO metric.
    M5,
    /// ISO metric.
    M6,
    /// ISO metric.
    M8,
    /// ISO metric.
    M10,
    /// Inch series.
    QuarterInch,
    /// Inch series.
    FiveSixteenthInch,
    /// Inch series.
    ThreeEighthInch,
}

impl BoltSize {
    /// All sizes.
    pub const ALL: [BoltSize; 7] = [
        BoltSize::M5,
        BoltSize::M6,
        BoltSize::M8,
        BoltSize::M10,
        BoltSize::QuarterInch,
        BoltSize::FiveSixteenthInch,
        BoltSize::ThreeEighthInch,
    ];

    /// The word for it in the shop file.
    pub const fn name(self) -> &'static str {
        match self {
            BoltSize::M5 => "M5",
            BoltSize::M6 => "M6",
            BoltSize::M8 => "M8",
            BoltSize::M10 => "M10",
            BoltSize::QuarterInch => "1/4 in",
            BoltSize::FiveSixteenthInch => "5/16 in",
            BoltSize::ThreeEighthInch => "3/8 in",
        }
    }
}

/// How loosely a bolt sits in its hole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BoltFit {
    /// ISO 273 fine; ASME B18.2.8 close.
    Close,
    /// ISO 273 medium; ASME B18.2.8 normal.
    Normal,
    /// ISO 273 coarse; ASME B18.2.8 loose.
    Loose,
}

/// The bolt of a hold-down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bolt {
    /// Its series and size.
    pub size: BoltSize,
    /// Its fit.
    pub fit: BoltFit,
}

/// The hold-down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoldDown {
    /// How far the lip reaches over the board.
    pub lip: Length,
    /// Thickness of the lip over the bearing face.
    pub lip_thickness: Length,
    /// Length of the block behind the board's edge.
    pub body: Length,
    /// Width of the block.
    pub width: Length,
    /// By how much the bearing face lies lower than the stock is high, so that it presses.
    pub squeeze: Length,
}

/// Thresholds of the checks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Least width of a tine.
    pub tine: Length,
    /// Least wood between hollow and back.
    pub wall: Length,
    /// Least rim land.
    pub rim: Length,
    /// Spare height above which planing is advised.
    pub spare: Length,
    /// Least distance from the cutter's path to the board's edge.
    pub margin: Length,
    /// How far beyond the parting line each side carves, so that no ridge is left.
    pub overlap: Length,
    /// Thresholds of the checks of carving and use.
    pub check: super::CheckLimits,
}

impl Shop {
    /// The cutter of that name.
    pub fn cutter(&self, name: &str) -> Option<&Cutter> {
        self.cutters.iter().find(|cutter| cutter.name == name)
    }

    /// The key of a cutter's field in the shop file, such as `cutter[2].flute`.
    pub(crate) fn key_of(&self, cutter: &Cutter, field: &str) -> String {
        let index = self.cutters.iter().position(|other| other.name == cutter.name);
        format!("cutter[{}].{field}", index.unwrap_or_default())
    }
}
