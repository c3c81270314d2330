//! The part of the shop file about hold-downs beyond their plain sizes, the printer and the stops.

use super::value::{Room, SIZE, SIZE_OR_NOTHING};
use super::{Item, Reader, Section};
use crate::params::clamp::{BoltHead, Clamp, HoldForm, Stop, StopSide};
use crate::params::codes;
use crate::units::Length;

/// The keys of `[hold_down]`.
pub(super) const HOLD_KEYS: [&str; 12] = [
    "lip",
    "lip_thickness",
    "body",
    "width",
    "squeeze",
    "form",
    "rebate",
    "head",
    "slide",
    "wall",
    "rib",
    "stack",
];

/// Walls and ribs, in mm: thinner than one line of a nozzle can't be printed, thicker is no wall.
const WALL: Room = Room { least: 0.4, most: 30.0 };
/// How far a bolt slides, in mm: a longer slot needs a roof as high as half of it.
const SLIDE: Room = Room { least: 0.0, most: 60.0 };
/// Most heights in one stack (no source).
const STACK_MOST: usize = 12;
const STACK: &str = "stack = [\"25 mm\", \"32 mm\"]";
const STOP: &str = "[[stop]]\nside = \"left\"\nat = \"20 mm\"";

pub(super) fn clamp(reader: &mut Reader, root: &Section<'_>) -> Clamp {
    let mut clamp = Clamp::default();
    if let Some(item) = root.get("hold_down").filter(|item| item.value.as_table().is_some()) {
        let hold = reader.table(&item, "[hold_down]");
        held(reader, &hold, &mut clamp);
    }
    if let Some(item) = root.get("printer").filter(|item| item.value.as_table().is_some()) {
        let printer = reader.table(&item, "[printer]");
        if let Some(item) = printer.get("plate") {
            clamp.plate = reader.point(&item);
            if clamp.plate.min_element() < 20.0 {
                reader.fault(
                    codes::OUT_OF_RANGE,
                    "printer.plate",
                    "The printer's bed is less than 20 mm long or wide.",
                    "Write plate = [\"180 mm\", \"180 mm\"], or such.",
                );
            }
        }
    }
    if let Some(item) = root.get("stop") {
        let items = reader.list(&item, STOP);
        clamp.stops = items.iter().filter_map(|item| stop(reader, item)).collect();
    }
    clamp
}

fn held(reader: &mut Reader, hold: &Section<'_>, clamp: &mut Clamp) {
    if hold.has("form") {
        let forms = [HoldForm::Stepped, HoldForm::Low, HoldForm::Either].map(|f| (f.name(), f));
        clamp.form = reader.choice(hold, "form", &forms).unwrap_or(clamp.form);
    }
    if hold.has("head") {
        let heads = [BoltHead::Flat, BoltHead::Washer, BoltHead::Hex].map(|h| (h.name(), h));
        clamp.head = reader.choice(hold, "head", &heads).unwrap_or(clamp.head);
    }
    clamp.rebate = reader.take(hold, "rebate", "10 mm", SIZE).unwrap_or(clamp.rebate);
    clamp.slide = reader.take(hold, "slide", "8 mm", SLIDE).unwrap_or(clamp.slide);
    clamp.wall = reader.take(hold, "wall", "4 mm", WALL).unwrap_or(clamp.wall);
    clamp.rib = reader.take(hold, "rib", "3 mm", WALL);
    if let Some(item) = hold.get("stack") {
        let items = reader.list(&item, STACK);
        if items.len() > STACK_MOST {
            reader.fault(
                codes::OUT_OF_RANGE,
                "hold_down.stack",
                format!("`hold_down.stack` has {} heights; {STACK_MOST} at most.", items.len()),
                format!("Write {STACK}, or leave it out."),
            );
        }
        let one = |item: &Item<'_>| reader.quantity::<Length>(item, "32 mm", SIZE);
        clamp.stack = items.iter().map(one).collect();
    }
}

fn stop(reader: &mut Reader, item: &Item<'_>) -> Option<Stop> {
    let stop = reader.table(item, STOP);
    stop.entries?;
    reader.only(&stop, &["side", "at", "from", "to", "deep"]);
    let sides = [StopSide::Left, StopSide::Front].map(|side| (side.name(), side));
    let side = reader.choice(&stop, "side", &sides);
    let at = reader.need(&stop, "at", "20 mm", SIZE_OR_NOTHING);
    let from = reader.take(&stop, "from", "0 mm", SIZE_OR_NOTHING).unwrap_or(Length::ZERO);
    // All along, if it doesn't say: further than any bed of this class goes.
    let to = reader.take(&stop, "to", "600 mm", SIZE).unwrap_or(Length::mm(1.0e4));
    // A bar of common stock (no source).
    let deep = reader.take(&stop, "deep", "20 mm", SIZE).unwrap_or(Length::mm(20.0));
    if from >= to {
        let key = stop.key_of("to");
        reader.fault(
            codes::OUT_OF_RANGE,
            &key,
            format!("The stop ends at {to} and begins at {from}."),
            "Swap the two, or leave both out for a fence all along the bed.",
        );
    }
    Some(Stop { side: side?, at, from, to, deep })
}
