//! The board file.

use super::value::{Celsius, Percent, Room, SIZE, SIZE_OR_NOTHING};
use super::{Item, Reader, Section, file};
use crate::finding::{Findings, Source, Spans};
use crate::params::{
    Air, Board, Flaw, FlawKind, FlawShape, Form, Nominal, Reading, codes, validate,
};
use crate::units::{Angle, Length};
use glam::DVec2;

/// Moisture, % of dry mass: near 30 % the cell walls are full (fibre saturation), and no spoon is
/// carved to measure from wetter wood.
const MOISTURE: Room = Room { least: 0.0, most: 30.0 };
/// Grain direction, either way.
const GRAIN: Room = Room { least: -90.0, most: 90.0 };

const READING: &str = "[[reading]]\nat = [\"20 mm\", \"60 mm\"]\nthickness = \"32.4 mm\"";
const FLAWS: [(&str, FlawKind); 3] =
    [("knot", FlawKind::Knot), ("check", FlawKind::Check), ("wane", FlawKind::Wane)];

/// Reads a board file.
///
/// All faults of the file are added to `findings`, each with the key and the bytes that it is
/// about. The board is returned, with the places of its keys, only if there is none. Its flaws
/// stand in this order: knots, checks, wanes, each in the order of the file.
pub fn parse_board(text: &str, findings: &mut Findings) -> Option<(Board, Spans)> {
    file(Source::Board, text, findings, |reader, root| {
        let board = board(reader, root);
        validate::board(&board, reader);
        Some(board)
    })
}

fn board(reader: &mut Reader, root: &Section<'_>) -> Board {
    reader.only(root, &["board", "reading", "knot", "check", "wane", "grain"]);
    let board = reader.section(
        root,
        "board",
        "[board]\nname = \"cherry board\"\nspecies = \"cherry\"\nlength = \"430 mm\"\n\
         width = \"120 mm\"",
    );
    reader.only(
        &board,
        &[
            "name",
            "species",
            "length",
            "width",
            "skim_top",
            "skim_bottom",
            "grain",
            "moisture_now",
            "moisture_use",
            "temperature_use",
            "humidity_use",
            "cup",
            "bow",
            "twist",
            "nominal",
        ],
    );
    let moisture = |reader: &mut Reader, name: &str| {
        reader.take::<Percent>(&board, name, "9 %", MOISTURE).map(|percent| percent.0)
    };
    let (moisture_use, air) = (moisture(reader, "moisture_use"), air(reader, &board));
    if moisture_use.is_some() && air.is_some() {
        reader.fault(
            codes::TWO_MOISTURES,
            "board.moisture_use",
            "The moisture in use is given twice: as it is, and by the air of the room.",
            "Keep `moisture_use`, or `temperature_use` with `humidity_use`.",
        );
    }
    Board {
        name: reader.text(&board, "name", "cherry board"),
        species: reader.text(&board, "species", "cherry"),
        length: reader.need(&board, "length", "430 mm", SIZE),
        width: reader.need(&board, "width", "120 mm", SIZE),
        skim_top: skim(reader, &board, "skim_top"),
        skim_bottom: skim(reader, &board, "skim_bottom"),
        moisture_now: moisture(reader, "moisture_now"),
        moisture_use: moisture_use.or(air.map(Air::moisture)),
        grain: reader.take(&board, "grain", "0 deg", GRAIN).unwrap_or(Angle::degrees(0.0)),
        readings: readings(reader, root),
        flaws: flaws(reader, root),
        form: Form {
            cup: skim(reader, &board, "cup"),
            bow: skim(reader, &board, "bow"),
            twist: skim(reader, &board, "twist"),
            nominal: nominal(reader, &board),
            air,
            grain_at: grain_at(reader, root),
        },
    }
}

/// Rooms that people eat in; the formula for the moisture holds far beyond.
const WARM: Room = Room { least: -10.0, most: 60.0 };
const HUMID: Room = Room { least: 1.0, most: 98.0 };

/// The air of the room that the piece is used in: both keys or none.
fn air(reader: &mut Reader, board: &Section<'_>) -> Option<Air> {
    let celsius = reader.take::<Celsius>(board, "temperature_use", "20 C", WARM);
    let humidity = reader.take::<Percent>(board, "humidity_use", "45 %", HUMID);
    match (celsius, humidity) {
        (Some(celsius), Some(humidity)) => Some(Air { celsius: celsius.0, humidity: humidity.0 }),
        (Some(_), None) if board.get("humidity_use").is_none() => {
            reader.missing(board, "humidity_use", "humidity_use = \"45 %\"");
            None
        }
        (None, Some(_)) if board.get("temperature_use").is_none() => {
            reader.missing(board, "temperature_use", "temperature_use = \"20 C\"");
            None
        }
        _ => None,
    }
}

/// Trade names that the published table has.
const NOMINAL: [(&str, Nominal); 4] = [
    ("4/4", Nominal { quarters: 4 }),
    ("5/4", Nominal { quarters: 5 }),
    ("6/4", Nominal { quarters: 6 }),
    ("8/4", Nominal { quarters: 8 }),
];

fn nominal(reader: &mut Reader, board: &Section<'_>) -> Option<Nominal> {
    board.get("nominal")?;
    reader.choice(board, "nominal", &NOMINAL)
}

fn grain_at(reader: &mut Reader, root: &Section<'_>) -> Vec<(DVec2, Angle)> {
    const GRAIN_AT: &str = "[[grain]]\nat = [\"200 mm\", \"60 mm\"]\nangle = \"3 deg\"";
    let Some(item) = root.get("grain") else { return Vec::new() };
    reader
        .list(&item, GRAIN_AT)
        .iter()
        .map(|item| {
            let grain = reader.table(item, GRAIN_AT);
            reader.only(&grain, &["at", "angle"]);
            let at = match grain.get("at") {
                Some(item) => reader.point(&item),
                None => {
                    if grain.entries.is_some() {
                        reader.missing(&grain, "at", "at = [\"200 mm\", \"60 mm\"]");
                    }
                    DVec2::NAN
                }
            };
            (at, reader.need(&grain, "angle", "3 deg", GRAIN))
        })
        .collect()
}

fn skim(reader: &mut Reader, board: &Section<'_>, name: &str) -> Length {
    reader.take(board, name, "0.3 mm", SIZE_OR_NOTHING).unwrap_or(Length::ZERO)
}

fn readings(reader: &mut Reader, root: &Section<'_>) -> Vec<Reading> {
    let items = match root.get("reading") {
        Some(item) => {
            let items = reader.list(&item, READING);
            if item.value.is_array() && items.is_empty() {
                reader.missing(root, "reading", READING);
            }
            items
        }
        None => {
            reader.missing(root, "reading", READING);
            Vec::new()
        }
    };
    items
        .iter()
        .map(|item| {
            let reading = reader.table(item, READING);
            reader.only(&reading, &["at", "thickness"]);
            let at = match reading.get("at") {
                Some(item) => reader.point(&item),
                None => {
                    if reading.entries.is_some() {
                        reader.missing(&reading, "at", "at = [\"20 mm\", \"60 mm\"]");
                    }
                    DVec2::NAN
                }
            };
            Reading { at, thickness: reader.need(&reading, "thickness", "32.4 mm", SIZE) }
        })
        .collect()
}

fn flaws(reader: &mut Reader, root: &Section<'_>) -> Vec<Flaw> {
    let mut read = Vec::new();
    for (name, kind) in FLAWS {
        let Some(item) = root.get(name) else { continue };
        for item in reader.list(&item, &format!("[[{name}]]\n{}", example(kind))) {
            // One that can't be read is kept without points, so that the rest keep their number.
            let shape = flaw(reader, &item, kind).unwrap_or(FlawShape::Line(Vec::new()));
            read.push(Flaw { kind, shape });
        }
    }
    read
}

fn example(kind: FlawKind) -> &'static str {
    match kind {
        FlawKind::Knot => "centre = [\"50 mm\", \"40 mm\"]\nradius = \"6 mm\"",
        FlawKind::Check | FlawKind::Wane => {
            "line = [[\"0 mm\", \"60 mm\"], [\"30 mm\", \"62 mm\"]]"
        }
    }
}

fn flaw(reader: &mut Reader, item: &Item<'_>, kind: FlawKind) -> Option<FlawShape> {
    let flaw = reader.table(item, example(kind));
    flaw.entries?;
    let known: &[&str] = match kind {
        FlawKind::Knot => &["centre", "radius", "polygon"],
        FlawKind::Check | FlawKind::Wane => &["line", "polygon"],
    };
    reader.only(&flaw, known);
    let line = flaw.get("line").filter(|_| kind != FlawKind::Knot);
    let centre = flaw.get("centre").filter(|_| kind == FlawKind::Knot);
    let radius = flaw.has("radius") && kind == FlawKind::Knot;
    match (flaw.get("polygon"), line, centre) {
        (Some(polygon), None, None) if !radius => {
            Some(FlawShape::Polygon(points(reader, &polygon, 3)))
        }
        (None, Some(line), _) => Some(FlawShape::Line(points(reader, &line, 2))),
        (None, None, Some(centre)) => Some(FlawShape::Circle {
            centre: reader.point(&centre),
            radius: reader.need(&flaw, "radius", "6 mm", SIZE),
        }),
        (None, None, None) => {
            let lines = example(kind).replace('\n', " and ");
            let message = format!("This {} has no place.", kind.name());
            reader.fault(
                codes::FLAW_SHAPE,
                &item.key,
                message,
                format!("Write {lines}, or a polygon of three or more points."),
            );
            None
        }
        _ => {
            let message = format!("This {} has more than one shape.", kind.name());
            let help = "Keep either the polygon or the other keys.";
            reader.fault(codes::FLAW_SHAPE, &item.key, message, help);
            None
        }
    }
}

fn points(reader: &mut Reader, item: &Item<'_>, least: usize) -> Vec<DVec2> {
    let example = match least {
        2 => "[[\"0 mm\", \"60 mm\"], [\"30 mm\", \"62 mm\"]]",
        _ => "[[\"40 mm\", \"0 mm\"], [\"90 mm\", \"0 mm\"], [\"60 mm\", \"9 mm\"]]",
    };
    let items = reader.list(item, example);
    if item.value.is_array() && items.len() < least {
        let message = format!("`{}` has {} points; the least is {least}.", item.key, items.len());
        reader.fault(codes::FLAW_SHAPE, &item.key, message, format!("Write {example}"));
    }
    items.iter().map(|item| reader.point(item)).collect()
}
