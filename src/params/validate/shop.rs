//! The shop's figures against each other.

use crate::params::read::Reader;
use crate::params::read::limits::alike;
use crate::params::read::show::show;
use crate::params::{Clamp, Cutter, CutterForm, Holder, Shop, codes};

/// The block is at least this many bolts long and wide (common practice, no source).
const BOLTS: f64 = 2.0;
/// Least bed of a printer, in mm: no hold-down is smaller.
const LEAST_PLATE: f64 = 20.0;
/// Inserts stand at least this far from each other, in mm: their own threads take it (no source).
const LEAST_PITCH: f64 = 5.0;
/// More inserts than any bed of this class has (no source).
const MOST_INSERTS: usize = 4000;

/// Cutting edges longer than so many diameters are doubted (common practice, no source).
pub const SLENDER: f64 = 12.0;

/// Checks a whole shop.
pub(in crate::params) fn shop(shop: &Shop, reader: &mut Reader) {
    for (index, cutter) in shop.cutters.iter().enumerate() {
        let before = &shop.cutters[..index];
        let same = before.iter().find(|other| alike(&other.name, &cutter.name));
        if let Some(other) = same.filter(|_| !cutter.name.is_empty()) {
            reader.fault(
                codes::SAME_NAME,
                &format!("cutter[{index}].name"),
                format!("There is already a cutter {}.", show(&other.name)),
                "Give each cutter a name of its own; a difference in capitals is not enough.",
            );
        }
        if let Some(number) = cutter.number
            && let Some(other) = before.iter().find(|other| other.number == Some(number))
        {
            reader.fault(
                codes::SAME_NAME,
                &format!("cutter[{index}].number"),
                format!("{} has number {number} already.", show(&other.name)),
                "Give each cutter a number of its own, as in the machine's tool table, or leave it \
                 out.",
            );
        }
        if cutter.flute > cutter.stick_out {
            reader.fault(
                codes::CUTTER,
                &format!("cutter[{index}].flute"),
                format!(
                    "The cutting edges are {} long, but only {} sticks out of the holder.",
                    cutter.flute, cutter.stick_out
                ),
                "Measure both while the cutter is chucked; stick_out is from the holder to the \
                 tip.",
            );
        }
        if let CutterForm::Bull(corner) = cutter.form
            && corner > cutter.diameter.half()
        {
            reader.fault(
                codes::CUTTER,
                &format!("cutter[{index}].corner"),
                format!(
                    "The corner has a radius of {corner}, more than half of the diameter, {}.",
                    cutter.diameter.half()
                ),
                "Write form = \"ball\" if it is rounded all the way.",
            );
        }
        step_over(cutter, &format!("cutter[{index}].step_over"), reader);
        if let Some(own) = cutter.holder {
            holder(own, &format!("cutter[{index}].holder.nose"), reader);
        }
    }
    hold_down(shop, reader);
    bed(shop, reader);
}

/// A step-over no wider than the cutter, of all that make passes beside each other.
fn step_over(cutter: &Cutter, key: &str, reader: &mut Reader) {
    let drill = matches!(cutter.form, CutterForm::Drill(_));
    match cutter.step_over {
        Some(_) if drill => reader.fault(
            codes::CUTTER,
            key,
            "A drill bores and makes no passes beside each other.",
            "Take `step_over` out, or give the cutter its form.",
        ),
        None if !drill => reader.fault(
            codes::MISSING_KEY,
            key,
            format!("The cutter {} has no step_over.", show(&cutter.name)),
            format!("Add a line such as step_over = \"{}\".", cutter.diameter * 0.4),
        ),
        Some(step) if step > cutter.diameter => reader.fault(
            codes::CUTTER,
            key,
            format!("The step-over is {step}, more than the diameter of {}.", cutter.diameter),
            match cutter.flute.as_mm() > SLENDER * cutter.diameter.as_mm() {
                true => format!(
                    "Check `diameter`: the cutting edges are {} long. If it is right, write step_over = \
                     \"{}\" or less.",
                    cutter.flute,
                    cutter.diameter * 0.4
                ),
                false => format!("Write step_over = \"{}\" or less.", cutter.diameter * 0.4),
            },
        ),
        _ => {}
    }
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
                format!("There is already a position {}.", position.name),
                "Give each position a word of its own, from G54 to G59.",
            );
        }
    }
    if bed.clamp.plate.min_element() < LEAST_PLATE {
        reader.fault(
            codes::OUT_OF_RANGE,
            "printer.plate",
            format!("The printer's bed is less than {LEAST_PLATE} mm long or wide."),
            "Write plate = [\"180 mm\", \"180 mm\"], or your printer's own size.",
        );
    }
    for (index, stop) in bed.clamp.stops.iter().enumerate() {
        if stop.from >= stop.to {
            reader.fault(
                codes::OUT_OF_RANGE,
                &format!("stop[{index}].to"),
                format!("The stop ends at {} but begins at {}.", stop.to, stop.from),
                "Swap the two, or leave both out for a fence all along the bed.",
            );
        }
    }
    anchors(&bed.clamp, reader);
}

/// Most tracks of a bed (no source).
const MOST_TRACKS: u32 = 400;

/// Tracks and inserts: their ends, their pitch, and how many there are.
fn anchors(clamp: &Clamp, reader: &mut Reader) {
    let tracks: u32 = clamp.tracks.iter().fold(0, |all, track| all.saturating_add(track.count));
    if tracks > MOST_TRACKS {
        reader.fault(
            codes::TOO_MUCH,
            "track",
            format!("The bed has {tracks} tracks in all; the most is {MOST_TRACKS}."),
            "Leave out those that no board lies over.",
        );
    }
    for (index, track) in clamp.tracks.iter().enumerate() {
        if track.from >= track.to {
            reader.fault(
                codes::OUT_OF_RANGE,
                &format!("track[{index}].to"),
                format!("The track ends at {} and begins at {}.", track.to, track.from),
                "Swap the two, or leave both out for a track all along the bed.",
            );
        }
        if track.count > 1 && track.pitch.is_none() {
            reader.fault(
                codes::MISSING_KEY,
                &format!("track[{index}].count"),
                format!("There are {} tracks, and no `pitch` from one to the next.", track.count),
                "Write pitch = \"100 mm\", or such, measured from middle to middle.",
            );
        }
    }
    for (index, insert) in clamp.inserts.iter().enumerate() {
        let grid = insert.columns > 1 || insert.rows > 1;
        match insert.pitch {
            None if grid => reader.fault(
                codes::MISSING_KEY,
                &format!("insert[{index}]"),
                "A grid of inserts has no `pitch` from one to the next.".to_owned(),
                "Write pitch = [\"100 mm\", \"100 mm\"], or such, measured from middle to middle.",
            ),
            Some(pitch) if pitch.min_element() < LEAST_PITCH => reader.fault(
                codes::OUT_OF_RANGE,
                &format!("insert[{index}].pitch"),
                format!("Inserts stand less than {LEAST_PITCH} mm from each other."),
                "Write how far it is from one to the next, along X and along Y.",
            ),
            _ => {}
        }
    }
    let all: usize = clamp.inserts.iter().map(|insert| insert.places().count()).sum();
    if all > MOST_INSERTS {
        reader.fault(
            codes::OUT_OF_RANGE,
            "insert",
            format!("There are {all} inserts; at most {MOST_INSERTS} can be read."),
            "Leave out those that no board comes near.",
        );
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
                format!("`{key}` is {size}, but for this bolt the least is {least}."),
                format!("Write \"{}\" or more.", least * 2.0),
            );
        }
    }
    if hold.lip >= hold.body {
        reader.fault(
            codes::HOLD_DOWN,
            "hold_down.lip",
            format!("The lip is {} long, but the block behind it only {}.", hold.lip, hold.body),
            "For example, write lip = \"10 mm\" and body = \"38 mm\".",
        );
    }
}
