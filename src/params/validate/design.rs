//! The design's figures against each other.

use super::{down_to, give, up_to};
use crate::params::read::Reader;
use crate::params::{Blade, Bowl, Design, Handle, Head, Station, Tines, codes};
use crate::units::{Length, plain};

/// Deepest hollow, as a share of the bowl's lesser plan size: about a half sphere's 0.5, less a
/// rim and a little so that the sides aren't upright.
pub(super) const DEEPEST: f64 = 0.45;
/// Thickest wall, as a share of the bowl's lesser plan size (common practice, no source).
pub(super) const THICKEST: f64 = 0.3;
/// Widest rim land, both sides, as a share of the bowl's lesser plan size.
pub(super) const WIDEST_RIM: f64 = 0.6;
/// Highest edge, as a share of the handle's thickness: the rest is rounded over.
pub(super) const HIGHEST_EDGE: f64 = 0.8;
/// Least handle between the rounding of its end and the neck, in mm: a hand's two fingers.
pub(super) const LEAST_HANDLE: Length = Length::mm(20.0);
/// Longest bevel, as a share of the blade.
pub(super) const LONGEST_BEVEL: f64 = 0.6;
/// Longest slot, as a share of the bowl.
pub(super) const LONGEST_SLOT: f64 = 0.8;
/// Least tine for there to be a shape at all: at its root and at its tip, in mm.
pub(super) const LEAST_ROOT: f64 = 1.0;
pub(super) const LEAST_TIP: f64 = 0.5;
/// Steepest middle line: 45 degrees.
pub(super) const STEEPEST: f64 = 1.0;
/// Stations closer than this along the handle, in mm, shape nothing that a cutter could follow, and
/// bend the line through them to a radius of hundredths.
pub(super) const LEAST_APART: Length = Length::mm(1.0);
/// Two places closer than this are the same (fractions of the handle).
const SAME_PLACE: f64 = 1e-9;

/// Checks a whole design.
pub(in crate::params) fn design(design: &Design, reader: &mut Reader) {
    match &design.head {
        Head::Bowl(head) => bowl(head, design.edge, reader),
        Head::Blade(head) => blade(head, design.edge, reader),
    }
    handle(design, reader);
    if let (Some(cut), Head::Bowl(head)) = (&design.tines, &design.head) {
        tines(cut, head, reader);
    }
    give::gives(design, reader);
    for (index, place) in design.clean_up.iter().enumerate() {
        if place.size.min_element() <= 0.0 {
            reader.fault(
                codes::OUT_OF_RANGE,
                &format!("clean_up[{index}].size"),
                "A place to clean up must have a length and a width.",
                "Write size = [\"30 mm\", \"20 mm\"]",
            );
        }
    }
}

fn bowl(bowl: &Bowl, edge: Length, reader: &mut Reader) {
    // Either is no number when it could not be read, which has been said already; then nothing is
    // deeper than it.
    let lesser = if bowl.length < bowl.width { bowl.length } else { bowl.width };
    let lesser = if bowl.length.as_mm().is_nan() { bowl.length } else { lesser };
    let most = lesser * DEEPEST;
    if bowl.depth > most {
        reader.fault(
            codes::HOLLOW_TOO_DEEP,
            "bowl.depth",
            format!(
                "The hollow is {} deep in a head {} by {}; the most is {most}.",
                bowl.depth, bowl.length, bowl.width
            ),
            format!("Write depth = \"{}\" or less, or make the bowl larger.", down_to(most)),
        );
    }
    let most = lesser * THICKEST;
    if bowl.wall > most {
        reader.fault(
            codes::WALL_TOO_THICK,
            "bowl.wall",
            format!("The wall is {} thick; in this head the most is {most}.", bowl.wall),
            format!(
                "Write wall = \"{}\", or make the bowl larger.",
                down_to(most.min(Length::mm(4.5)))
            ),
        );
    }
    let most = lesser * (WIDEST_RIM / 2.0);
    if bowl.rim >= most {
        reader.fault(
            codes::NO_HOLLOW_LEFT,
            "bowl.rim",
            format!(
                "A rim land of {} on both sides leaves almost no hollow in a head {} by {}; it \
                 must be less than {most}.",
                bowl.rim, bowl.length, bowl.width
            ),
            format!(
                "Write rim = \"{}\", or make the bowl wider.",
                down_to((most * 0.5).min(Length::mm(2.5)))
            ),
        );
    }
    let height = bowl.depth + bowl.wall;
    if edge >= height {
        reader.fault(
            codes::EDGE_TOO_HIGH,
            "utensil.edge",
            format!("The edge is {edge} high, but the bowl is only {height} from rim to back."),
            format!(
                "Write edge = \"{}\", or make the bowl deeper.",
                down_to((height * 0.5).min(Length::mm(2.0)))
            ),
        );
    }
}

fn blade(blade: &Blade, edge: Length, reader: &mut Reader) {
    if blade.front > blade.thickness {
        reader.fault(
            codes::BLADE_EDGE,
            "blade.front",
            format!(
                "The front edge is {} thick, but the blade only {}.",
                blade.front, blade.thickness
            ),
            format!("Write front = \"{}\" or less.", down_to(blade.thickness * 0.5)),
        );
    }
    let most = blade.length * LONGEST_BEVEL;
    if blade.bevel >= most {
        reader.fault(
            codes::BLADE_EDGE,
            "blade.bevel",
            format!(
                "The bevel is {} long on a blade {} long; it must be shorter than {most}.",
                blade.bevel, blade.length
            ),
            format!("Write bevel = \"{}\".", down_to(blade.length * 0.25)),
        );
    }
    if edge >= blade.thickness {
        reader.fault(
            codes::EDGE_TOO_HIGH,
            "utensil.edge",
            format!("The edge is {edge} high, but the blade is only {} thick.", blade.thickness),
            format!(
                "Write edge = \"{}\", or make the blade thicker.",
                down_to((blade.thickness * 0.5).min(Length::mm(2.0)))
            ),
        );
    }
}

fn handle(design: &Design, reader: &mut Reader) {
    let Handle { end, width, thickness, curve, sway, .. } = &design.handle;
    ordered("handle.width", width, true, reader);
    ordered("handle.thickness", thickness, true, reader);
    ordered("handle.curve", curve, false, reader);
    ordered("handle.sway", sway, false, reader);

    for (index, station) in thickness.iter().enumerate() {
        let most = station.size * HIGHEST_EDGE;
        if design.edge > most {
            reader.fault(
                codes::EDGE_TOO_HIGH,
                &format!("handle.thickness[{index}].size"),
                format!(
                    "The edge is {} high, and the handle is {} thick here; the most is {most}.",
                    design.edge, station.size
                ),
                format!(
                    "Lower `edge` in [utensil] to \"{}\" or less, or write size = \"{}\" or more.",
                    down_to(most),
                    up_to(design.edge * (1.0 / HIGHEST_EDGE))
                ),
            );
        }
    }
    let head = design.head.width();
    if let Some(neck) = width.last().map(|station| station.size)
        && neck >= head
    {
        reader.fault(
            codes::NECK_TOO_WIDE,
            &format!("handle.width[{}].size", width.len() - 1),
            format!(
                "The handle is {neck} wide at the neck, but the head is only {head} at its widest."
            ),
            format!("Write size = \"{}\" or less, or widen the head.", down_to(head * 0.25)),
        );
    }
    let run = design.length - design.head.length() - *end;
    if run < LEAST_HANDLE {
        reader.fault(
            codes::NO_HANDLE_LEFT,
            "utensil.length",
            format!(
                "Of {}, the head takes {} and the rounding of the end {end}. {} for the handle; the \
                 least is {LEAST_HANDLE}.",
                design.length,
                design.head.length(),
                match run {
                    run if run > Length::ZERO => format!("That leaves {run}"),
                    run => format!("That is {} more than there is, and leaves nothing", -run),
                },
            ),
            format!(
                "Write length = \"{}\" or more, or shorten the head.",
                up_to(design.head.length() + *end + LEAST_HANDLE)
            ),
        );
        return;
    }
    let changes = "swells or thins, on each side,";
    for (key, name, does, stations, share) in [
        ("handle.width", "size", changes, width, 0.5),
        ("handle.thickness", "size", changes, thickness, 0.5),
        ("handle.curve", "rise", "climbs", curve, 1.0),
        ("handle.sway", "shift", "goes sideways", sway, 1.0),
    ] {
        steep((key, name, does), stations, share, run, reader);
    }
}

/// Stations in order; `whole`: from 0 % to 100 %.
fn ordered(key: &str, stations: &[Station], whole: bool, reader: &mut Reader) {
    let percent = |at: f64| format!("{} %", plain(at * 100.0, 2));
    for (index, pair) in stations.windows(2).enumerate() {
        if pair[1].at <= pair[0].at + SAME_PLACE {
            reader.fault(
                codes::STATIONS,
                &format!("{key}[{}].at", index + 1),
                format!(
                    "This station is at {}, after one at {}; each must be further along.",
                    percent(pair[1].at),
                    percent(pair[0].at)
                ),
                "Put the stations in order from 0 % (the handle's end) to 100 % (the neck).",
            );
        }
    }
    if !whole || stations.len() < 2 {
        return;
    }
    let mut end = |index: usize, wanted: f64, which: &str| {
        if (stations[index].at - wanted).abs() > SAME_PLACE {
            reader.fault(
                codes::STATIONS,
                &format!("{key}[{index}].at"),
                format!(
                    "The {which} station is at {}; it must be at {}.",
                    percent(stations[index].at),
                    percent(wanted)
                ),
                format!("Write at = \"{}\".", percent(wanted)),
            );
        }
    };
    end(0, 0.0, "first");
    end(stations.len() - 1, 1.0, "last");
}

/// No two stations too close together, or steeper than 45 degrees; `share` of the difference counts.
fn steep(
    (key, name, does): (&str, &str, &str),
    stations: &[Station],
    share: f64,
    run: Length,
    reader: &mut Reader,
) {
    for (index, pair) in stations.windows(2).enumerate() {
        let along = run * (pair[1].at - pair[0].at);
        if pair[1].at <= pair[0].at + SAME_PLACE {
            continue; // out of order, which has its own fault
        }
        if along < LEAST_APART {
            reader.fault(
                codes::STATIONS,
                &format!("{key}[{}].at", index + 1),
                format!(
                    "This station is {along} after the one before; the least is {LEAST_APART}."
                ),
                "Leave one of the two out, or move them apart.",
            );
            continue;
        }
        let off = (pair[1].size - pair[0].size).as_mm().abs() * share;
        if off > along.as_mm() * STEEPEST {
            reader.fault(
                codes::HANDLE_TOO_STEEP,
                &format!("{key}[{}].{name}", index + 1),
                format!(
                    "From the station before to this one the handle {does} by {} over {along}; the \
                     most is {}.",
                    Length::mm(off),
                    along * STEEPEST,
                ),
                "Make the difference smaller, or move the two stations apart.",
            );
        }
    }
}

fn tines(tines: &Tines, bowl: &Bowl, reader: &mut Reader) {
    let slot = &tines.slot;
    let most = bowl.length * LONGEST_SLOT;
    if slot.length >= most {
        reader.fault(
            codes::SLOT_TOO_LONG,
            "tines.slot.length",
            format!(
                "The slots are {} long in a bowl of {}; they must be shorter than {most}.",
                slot.length, bowl.length
            ),
            format!("Write length = \"{}\".", down_to(bowl.length * 0.6)),
        );
    }
    if slot.length <= slot.width {
        reader.fault(
            codes::SLOT_TOO_SHORT,
            "tines.slot.length",
            format!("The slots are {} long and {} wide.", slot.length, slot.width),
            format!("Write length = \"{}\" or more.", slot.width * 2.0),
        );
    }
    if tines.count < 2 {
        return; // couldn't be read
    }
    let (count, slots) = (f64::from(tines.count), f64::from(tines.count - 1));
    let tine = |width: f64| (bowl.width.as_mm() - slots * width) / count;
    let root = tine(slot.width.as_mm());
    if root < LEAST_ROOT {
        reader.fault(
            codes::NO_TINE_LEFT,
            "tines.slot.width",
            format!(
                "{} slots of {} in a head {} wide leave {} for each of {} tines; the least is {}.",
                tines.count - 1,
                slot.width,
                bowl.width,
                Length::mm(root.max(0.0)),
                tines.count,
                Length::mm(LEAST_ROOT),
            ),
            format!(
                "Write width = \"{}\" or less, or have fewer tines.",
                down_to(Length::mm((bowl.width.as_mm() - count * LEAST_ROOT) / slots))
            ),
        );
        return;
    }
    let open =
        slot.width.as_mm() + 2.0 * slot.length.as_mm() * (slot.taper.as_radians() / 2.0).tan();
    let tip = tine(open);
    if tip < LEAST_TIP {
        reader.fault(
            codes::NO_TINE_LEFT,
            "tines.slot.taper",
            format!(
                "With a taper of {} over {} the slots open to {} and leave {} for each tine at the \
                 tip; the least is {}.",
                slot.taper,
                slot.length,
                Length::mm(open),
                Length::mm(tip.max(0.0)),
                Length::mm(LEAST_TIP),
            ),
            "Write taper = \"1 deg\", or make the slots narrower or shorter.",
        );
    }
}
