//! The part of the shop file about the bed, the spindle and the pins' fits.

use super::value::{Room, SIZE, SIZE_OR_NOTHING};
use super::{Item, Reader, Section, clamp};
use crate::params::bed::{Bed, Holder, Position, Serves, Travel};
use crate::params::codes;
use crate::units::Length;
use glam::DVec2;

/// The keys of `[pin]` that are read here.
pub(super) const PIN_KEYS: [&str; 8] =
    ["diameter", "play", "least", "most", "bore", "depth", "mismatch", "place"];

/// The sections that are read here.
pub(super) const SECTIONS: [&str; 4] = ["holder", "machine", "position", "stop"];

/// Fits, in mm.
const FIT: Room = Room { least: 0.0, most: 2.0 };
/// Most pins that are any use (no source); every way to put the board on them is tried.
const PINS_MOST: usize = 5;
const PLACES: &str = "place = [[\"12 mm\", \"40 mm\"], [\"428 mm\", \"25 mm\"]]";
const POSITION: &str = "[[position]]\nname = \"G54\"\nat = [\"40 mm\", \"40 mm\"]";
/// Words for work positions in RS-274 and ISO 6983.
const WORDS: [&str; 6] = ["G54", "G55", "G56", "G57", "G58", "G59"];

pub(super) fn bed(reader: &mut Reader, root: &Section<'_>, pin: Length) -> Bed {
    let mut bed = Bed::usual(pin);
    pin_fit(reader, root, &mut bed);
    if let Some(item) = root.get("holder") {
        bed.holder = holder(reader, &item, bed.holder);
    }
    if let Some(item) = root.get("machine") {
        let machine =
            reader.table(&item, "[machine]\nx = \"800 mm\"\ny = \"400 mm\"\nz = \"90 mm\"");
        reader.only(&machine, &["x", "y", "z", "nose", "repeat"]);
        bed.repeat = reader.take(&machine, "repeat", "0.02 mm", FIT).unwrap_or(bed.repeat);
        if ["x", "y", "z", "nose"].iter().any(|key| machine.has(key)) {
            bed.travel = Some(Travel {
                x: reader.need(&machine, "x", "800 mm", SIZE),
                y: reader.need(&machine, "y", "400 mm", SIZE),
                z: reader.need(&machine, "z", "90 mm", SIZE),
                nose: reader
                    .take(&machine, "nose", "10 mm", SIZE_OR_NOTHING)
                    .unwrap_or(Length::ZERO),
            });
        }
    }
    bed.clamp = clamp::clamp(reader, root);
    if let Some(item) = root.get("position") {
        let items = reader.list(&item, POSITION);
        bed.positions = items.iter().filter_map(|item| position(reader, item)).collect();
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
    }
    bed
}

/// A holder; what is left out is as the usual one has it, the nose as wide as the rest.
pub(super) fn holder(reader: &mut Reader, item: &Item<'_>, usual: Holder) -> Holder {
    let table = reader.table(item, "diameter = \"35 mm\"");
    reader.only(&table, &["diameter", "nose", "length"]);
    let diameter = reader.take(&table, "diameter", "35 mm", SIZE).unwrap_or(usual.diameter);
    let nose = reader.take(&table, "nose", "19 mm", SIZE).unwrap_or(diameter);
    if nose > diameter {
        reader.fault(
            codes::OUT_OF_RANGE,
            &table.key_of("nose"),
            format!("The nose, {nose}, is wider than the holder, {diameter}."),
            "`nose` is the holder's diameter at its lower end, `diameter` its greatest.",
        );
    }
    let length = reader.take(&table, "length", "40 mm", SIZE).unwrap_or(usual.length);
    Holder { diameter, nose, length }
}

fn pin_fit(reader: &mut Reader, root: &Section<'_>, bed: &mut Bed) {
    let Some(item) = root.get("pin").filter(|item| item.value.as_table().is_some()) else {
        return;
    };
    let pin = reader.table(&item, "[pin]");
    let usual = bed.pin.clone();
    bed.pin.least = reader.take(&pin, "least", "6.34 mm", SIZE).unwrap_or(usual.least);
    bed.pin.most = reader.take(&pin, "most", "6.36 mm", SIZE).unwrap_or(usual.most);
    bed.pin.bore = reader.take(&pin, "bore", "0.02 mm", FIT).unwrap_or(usual.bore);
    bed.pin.depth = reader.take(&pin, "depth", "12 mm", SIZE).unwrap_or(usual.depth);
    bed.pin.mismatch = reader.take(&pin, "mismatch", "0.3 mm", FIT).unwrap_or(usual.mismatch);
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
    if let Some(item) = pin.get("place") {
        let items = reader.list(&item, PLACES);
        if item.value.is_array() && !(2..=PINS_MOST).contains(&items.len()) {
            reader.fault(
                codes::OUT_OF_RANGE,
                "pin.place",
                format!("`pin.place` has {} places; 2 to {PINS_MOST} can be.", items.len()),
                format!("Write {PLACES}, or leave it out and the tool places two."),
            );
        }
        bed.pin.place = items.iter().map(|item| reader.point(item)).collect();
    }
}

fn position(reader: &mut Reader, item: &Item<'_>) -> Option<Position> {
    let position = reader.table(item, POSITION);
    position.entries?;
    reader.only(&position, &["name", "at", "serves"]);
    let words = WORDS.map(|word| (word, word));
    let name = reader.choice(&position, "name", &words);
    let at = match position.get("at") {
        Some(item) => reader.point(&item),
        None => {
            reader.missing(&position, "at", "at = [\"40 mm\", \"40 mm\"]");
            DVec2::NAN
        }
    };
    let serves = match position.has("serves") {
        true => reader.choice(
            &position,
            "serves",
            &[("both", Serves::Both), ("top", Serves::Top), ("bottom", Serves::Bottom)],
        ),
        false => Some(Serves::Both),
    };
    Some(Position { name: name?.to_owned(), at, serves: serves? })
}
