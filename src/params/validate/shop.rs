//! The shop's figures against each other.

use crate::params::read::{Reader, show};
use crate::params::{BoltSize, CutterForm, Shop, codes};
use crate::units::Length;

/// The block is at least this many bolts long and wide (common practice, no source).
const BOLTS: f64 = 2.0;

/// Checks a whole shop.
pub(in crate::params) fn shop(shop: &Shop, reader: &mut Reader) {
    for (index, cutter) in shop.cutters.iter().enumerate() {
        let before = &shop.cutters[..index];
        if !cutter.name.is_empty() && before.iter().any(|other| other.name == cutter.name) {
            reader.fault(
                codes::SAME_NAME,
                &format!("cutter[{index}].name"),
                format!("There is a cutter {} already.", show(&cutter.name)),
                "Give each cutter a name of its own.",
            );
        }
        if cutter.flute > cutter.stick_out {
            reader.fault(
                codes::CUTTER,
                &format!("cutter[{index}].flute"),
                format!(
                    "The cutting edges are {} long, and only {} sticks out of the holder.",
                    cutter.flute, cutter.stick_out
                ),
                "Measure both with the cutter chucked; stick_out is from the holder to the tip.",
            );
        }
        if let CutterForm::Bull(corner) = cutter.form
            && corner > cutter.diameter.half()
        {
            reader.fault(
                codes::CUTTER,
                &format!("cutter[{index}].corner"),
                format!(
                    "The corner is rounded by {corner}, more than half of the diameter, {}.",
                    cutter.diameter.half()
                ),
                "Write form = \"ball\" if it is rounded all the way.",
            );
        }
        if cutter.step_over > cutter.diameter {
            reader.fault(
                codes::CUTTER,
                &format!("cutter[{index}].step_over"),
                format!(
                    "The step-over is {}, more than the diameter of {}.",
                    cutter.step_over, cutter.diameter
                ),
                format!("Write step_over = \"{}\" or less.", cutter.diameter * 0.4),
            );
        }
    }
    hold_down(shop, reader);
}

fn hold_down(shop: &Shop, reader: &mut Reader) {
    let hold = &shop.hold_down;
    let least = shop.bolt.size.thickness() * BOLTS;
    for (key, size) in [("hold_down.body", hold.body), ("hold_down.width", hold.width)] {
        if size < least {
            reader.fault(
                codes::HOLD_DOWN,
                key,
                format!("`{key}` is {size}; for this bolt the least is {least}."),
                format!("Write \"{}\" or so.", least * 2.0),
            );
        }
    }
    if hold.lip >= hold.body {
        reader.fault(
            codes::HOLD_DOWN,
            "hold_down.lip",
            format!("The lip is {} long, and the block behind it only {}.", hold.lip, hold.body),
            "Write lip = \"10 mm\" and body = \"38 mm\", or such.",
        );
    }
}

impl BoltSize {
    /// Nominal thickness of the bolt.
    pub const fn thickness(self) -> Length {
        match self {
            BoltSize::M5 => Length::mm(5.0),
            BoltSize::M6 => Length::mm(6.0),
            BoltSize::M8 => Length::mm(8.0),
            BoltSize::M10 => Length::mm(10.0),
            BoltSize::QuarterInch => Length::inches(0.25),
            BoltSize::FiveSixteenthInch => Length::inches(5.0 / 16.0),
            BoltSize::ThreeEighthInch => Length::inches(3.0 / 8.0),
        }
    }
}
