//! The shop's figures against each other.

use crate::params::read::Reader;
use crate::params::read::show::show;
use crate::params::{CutterForm, Holder, Shop, codes};

/// The block is at least this many bolts long and wide (common practice, no source).
const BOLTS: f64 = 2.0;
/// Least bed of a printer, in mm: no hold-down is smaller.
const LEAST_PLATE: f64 = 20.0;

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
        if let Some(own) = cutter.holder {
            holder(own, &format!("cutter[{index}].holder.nose"), reader);
        }
    }
    hold_down(shop, reader);
    bed(shop, reader);
}

fn holder(holder: Holder, key: &str, reader: &mut Reader) {
    let Holder { diameter, nose, .. } = holder;
    if nose > diameter {
        reader.fault(
            codes::OUT_OF_RANGE,
            key,
            format!("The nose, {nose}, is wider than the holder, {diameter}."),
            "`nose` is the holder's diameter at its lower end, `diameter` its greatest.",
        );
    }
}

fn bed(shop: &Shop, reader: &mut Reader) {
    let bed = &shop.bed;
    holder(bed.holder, "holder.nose", reader);
    if bed.pin.least > bed.pin.most {
        reader.fault(
            codes::OUT_OF_RANGE,
            "pin.least",
            format!(
                "The least pin, {}, is thicker than the greatest, {}.",
                bed.pin.least, bed.pin.most
            ),
            "Swap the two, or leave both out for the published limits.",
        );
    }
    for (index, position) in bed.positions.iter().enumerate() {
        if bed.positions[..index].iter().any(|other| other.name == position.name) {
            reader.fault(
                codes::SAME_NAME,
                &format!("position[{index}].name"),
                format!("There is a position {} already.", position.name),
                "Give each position a word of its own, G54 to G59.",
            );
        }
    }
    if bed.clamp.plate.min_element() < LEAST_PLATE {
        reader.fault(
            codes::OUT_OF_RANGE,
            "printer.plate",
            format!("The printer's bed is less than {LEAST_PLATE} mm long or wide."),
            "Write plate = [\"180 mm\", \"180 mm\"], or such.",
        );
    }
    for (index, stop) in bed.clamp.stops.iter().enumerate() {
        if stop.from >= stop.to {
            reader.fault(
                codes::OUT_OF_RANGE,
                &format!("stop[{index}].to"),
                format!("The stop ends at {} and begins at {}.", stop.to, stop.from),
                "Swap the two, or leave both out for a fence all along the bed.",
            );
        }
    }
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
