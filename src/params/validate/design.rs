//! The design's figures against each other.

use super::kinds::{scoop, thin_side};
use super::line::{head_curve, head_lines, ordered, outline, rim_stations, squares, steep};
use super::{down_to, give, up_to};
use crate::finding::Code;
use crate::params::read::Reader;
use crate::params::{
    Blade, Bowl, Design, Handle, Head, Inlay, Kind, Opening, Tines, Varying, codes,
};
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
/// Where the handle has run out into a blade, at the latest, as a share of the way to its bevel: the
/// thickness is measured at three quarters.
pub const FLAT_FROM: f64 = 0.72;
/// Longest slot, as a share of the bowl.
pub(super) const LONGEST_SLOT: f64 = 0.8;
/// Most openings of all patterns together: more than any head has wood for (no source).
const MOST_OPENINGS: usize = 500;
/// Least tine for there to be a shape at all: at its root and at its tip, in mm.
pub(super) const LEAST_ROOT: f64 = 1.0;
pub(super) const LEAST_TIP: f64 = 0.5;
/// Narrower than this, in mm, no slot is advised: hardly a cutter goes in.
const LEAST_SLOT: f64 = 1.0;

/// Checks a whole design.
pub(in crate::params) fn design(design: &Design, reader: &mut Reader) {
    match &design.head {
        Head::Bowl(head) => {
            bowl(head, design.edge, reader);
            if design.kind == Kind::Scoop {
                scoop(head, reader);
            }
        }
        Head::Blade(head) => {
            blade(head, design.edge, reader);
            thin_side(head, design, reader);
        }
    }
    handle(design, reader);
    if let (Some(cut), Head::Bowl(head)) = (&design.tines, &design.head) {
        tines(cut, head, reader);
    }
    for (index, opening) in design.opening.iter().enumerate() {
        self::opening(index, opening, reader);
    }
    let openings: usize = design.opening.iter().map(Opening::many).sum();
    if openings > MOST_OPENINGS {
        reader.fault(
            codes::TOO_MUCH,
            "opening",
            format!("The design has {openings} openings in all; the most is {MOST_OPENINGS}."),
            "Leave some of the tables out, or lower `along`, `across` and `count`.",
        );
    }
    for (index, inlay) in design.inlay.iter().enumerate() {
        art_or_letters(index, inlay, reader);
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

/// An inlay shows a drawing or letters, and letters have a font.
fn art_or_letters(index: usize, inlay: &Inlay, reader: &mut Reader) {
    let mut fault = |code: Code, key: &str, message: &str, help: &str| {
        reader.fault(code, &format!("inlay[{index}].{key}"), message, help);
    };
    match (&inlay.art, &inlay.text, &inlay.font) {
        (None, None, _) => fault(
            codes::MISSING_KEY,
            "art",
            "The inlay has neither `art` nor `text`.",
            "Write art = \"oak-leaf.svg\", or text = \"A & J\" and font = \"my-font.ttf\".",
        ),
        (Some(_), Some(_), _) => fault(
            codes::OUT_OF_RANGE,
            "text",
            "The inlay has both `art` and `text`.",
            "Leave one of them out; a second [[inlay]] may have the other.",
        ),
        (None, Some(_), None) => fault(
            codes::MISSING_KEY,
            "font",
            "The text of the inlay has no `font`.",
            "Name a font file of your own: font = \"my-font.ttf\".",
        ),
        (Some(_), None, Some(_)) => fault(
            codes::OUT_OF_RANGE,
            "font",
            "The inlay has a `font` and no `text`.",
            "Leave `font` out, or write letters in `text` in place of `art`.",
        ),
        _ => {}
    }
}

fn opening(index: usize, opening: &Opening, reader: &mut Reader) {
    let mut fault = |key: &str, message: String, help: String| {
        reader.fault(codes::OUT_OF_RANGE, &format!("opening[{index}].{key}"), message, help);
    };
    if let Some(length) = opening.length.filter(|length| *length <= opening.width) {
        fault(
            "length",
            format!("The slot is {length} long over its round ends and {} wide.", opening.width),
            format!(
                "Write length = \"{}\" or more, or leave it out for a round hole.",
                opening.width * 2.0
            ),
        );
    }
    let several = opening.along > 1 || opening.across > 1;
    if opening.ring.is_some() {
        if several {
            fault(
                "ring",
                "A ring takes the place of `along` and `across`.".to_owned(),
                "Leave out either `ring` or the two.".to_owned(),
            );
        }
    } else if several {
        let pitch = opening.pitch.unwrap_or_default();
        let asked = [(opening.along, pitch.x), (opening.across, pitch.y)];
        if asked.into_iter().any(|(count, pitch)| count > 1 && pitch <= 0.0) {
            fault(
                "pitch",
                "Of several openings `pitch` says how far it is from the middle of one to the next."
                    .to_owned(),
                "Write pitch = [\"12 mm\", \"11 mm\"], along and across.".to_owned(),
            );
        }
    }
}

/// How much a rim land's edges may be eased, as one part of the edge's height and as another of the land's
/// least width: it must not end in a feather edge, nor be steeper than 45 degrees at its edges. By eye.
pub(super) fn rounds_of_rim(bowl: &Bowl, edge: Length) -> [Length; 2] {
    [edge * 0.5, bowl.rim.range()[0] * 0.25]
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
    for (index, (_, rim)) in bowl.rim.places().enumerate().filter(|(_, (_, rim))| *rim >= most) {
        let (key, name) = match bowl.rim {
            Varying::Even(_) => ("bowl.rim".to_owned(), "rim"),
            Varying::At(_) => (format!("bowl.rim[{index}].size"), "size"),
        };
        reader.fault(
            codes::NO_HOLLOW_LEFT,
            &key,
            format!(
                "A rim land of {rim} on both sides leaves almost no hollow in a head {} by {}; it \
                 must be less than {most}.",
                bowl.length, bowl.width
            ),
            format!(
                "Write {name} = \"{}\", or make the bowl wider.",
                down_to((most * 0.5).min(Length::mm(2.5)))
            ),
        );
    }
    if let Varying::At(rims) = &bowl.rim {
        rim_stations(rims, bowl.length, reader);
    }
    let [by_edge, by_width] = rounds_of_rim(bowl, edge);
    let most = by_edge.min(by_width);
    if let Some(round) = bowl.rim_round.filter(|round| *round > most) {
        reader.fault(
            codes::OUT_OF_RANGE,
            "bowl.rim_round",
            format!(
                "The edges of the rim land lie {round} lower than its crest; the most is {most}, half of \
                 `edge` in [utensil] or a quarter of the land's least width."
            ),
            match down_to(most) {
                some if some >= Length::mm(0.1) => {
                    format!("Write rim_round = \"{some}\" or less, or leave it out.")
                }
                _ => "Leave it out, or make `rim` wider and `edge` in [utensil] higher.".to_owned(),
            },
        );
    }
    let runs_out = |share: f64| format!("{} %", plain(100.0 * share, 1));
    if let Some(shoulder) = bowl.shoulder.filter(|shoulder| *shoulder > bowl.widest) {
        reader.fault(
            codes::OUT_OF_RANGE,
            "bowl.shoulder",
            format!(
                "The shoulder runs out at {}, past the widest place of the bowl at {}, where its \
                 depth is measured.",
                runs_out(shoulder),
                runs_out(bowl.widest)
            ),
            format!("Write shoulder = \"{}\" or less.", runs_out(bowl.widest)),
        );
    }
    if let (Some(shoulder), Some(keel)) = (bowl.shoulder, bowl.keel)
        && keel < shoulder
    {
        reader.fault(
            codes::OUT_OF_RANGE,
            "bowl.keel",
            format!(
                "The keel runs out at {}, before the shoulder above it at {}; the neck would be \
                 pinched.",
                runs_out(keel),
                runs_out(shoulder)
            ),
            format!("Write keel = \"{}\" or more.", runs_out(shoulder)),
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
    let most = FLAT_FROM * (1.0 - blade.bevel / blade.length);
    for (key, share) in [("shoulder", blade.shoulder), ("keel", blade.keel)] {
        if let Some(share) = share.filter(|share| *share > most) {
            reader.fault(
                codes::OUT_OF_RANGE,
                &format!("blade.{key}"),
                format!(
                    "The handle runs out at {} %, too near to the bevel: the thickness of the flat \
                     is measured before it. The most is {} %.",
                    plain(100.0 * share, 1),
                    plain(100.0 * most, 1)
                ),
                format!("Write {key} = \"{} %\" or less.", (100.0 * most).floor()),
            );
        }
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
    for line in head_lines(design) {
        ordered(line.key, line.own, false, reader);
    }
    outline(design, reader);

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
    squares(&design.handle.section, run, reader);
    let changes = "swells or thins, on each side,";
    for (key, name, does, stations, share) in [
        ("handle.width", "size", changes, width, 0.5),
        ("handle.thickness", "size", changes, thickness, 0.5),
        ("handle.curve", "rise", "climbs", curve, 1.0),
        ("handle.sway", "shift", "goes sideways", sway, 1.0),
    ] {
        steep((key, name, does), stations, share, run, reader);
    }
    for line in head_lines(design) {
        head_curve(line, design, reader);
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
            match slot.width * 2.0 {
                length if length < most => format!("Write length = \"{length}\" or more."),
                _ => "Make the slots narrower.".to_owned(),
            },
        );
    }
    if tines.count < 2 {
        return; // couldn't be read
    }
    let (count, slots) = (f64::from(tines.count), f64::from(tines.count - 1));
    let tine = |width: f64| (bowl.width.as_mm() - slots * width) / count;
    let root = tine(slot.width.as_mm());
    let opens = 2.0 * slot.length.as_mm() * (slot.taper.as_radians() / 2.0).tan();
    // So wide may a slot be at its root for both the root and the tip of a tine to have their least.
    let room = |least: f64| (bowl.width.as_mm() - count * least) / slots;
    let widest = down_to(Length::mm(room(LEAST_ROOT).min(room(LEAST_TIP) - opens)));
    let narrower = (widest.as_mm() >= LEAST_SLOT).then(|| format!("width = \"{widest}\" or less"));
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
            match &narrower {
                Some(width) => format!("Write {width}, or have fewer tines."),
                None => "Have fewer tines, less taper or a wider head.".to_owned(),
            },
        );
        return;
    }
    let open = slot.width.as_mm() + opens;
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
            match &narrower {
                Some(width) => {
                    format!("Write {width}, or lower `taper`, or make the slots shorter.")
                }
                None => "Have fewer tines or less taper, or make the slots shorter.".to_owned(),
            },
        );
    }
}
