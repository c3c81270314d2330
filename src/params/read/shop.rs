//! The shop file.

use super::value::{Feed, Room, SIZE, Speed};
use super::{Item, Reader, Section, bed, clamp, file, limits};
use crate::finding::{Findings, Source, Spans};
use crate::params::bed::usual_holder;
use crate::params::{
    Bolt, BoltFit, BoltSize, Cutter, CutterForm, HoldDown, Paper, Pin, Shop, TurnAxis, Work, Zero,
    codes, validate,
};
use crate::units::{Angle, Length, Unit};

/// Included angles of vee cutters that are sold.
const VEE: Room = Room { least: 10.0, most: 170.0 };
/// Feeds in mm/min, from hand-slow to the fastest router of this class.
const FEED: Room = Room { least: 1.0, most: 50_000.0 };
/// Spindle speeds in rpm.
const SPEED: Room = Room { least: 100.0, most: 100_000.0 };
/// Fits and plays, in mm: more than this is no longer a fit.
const FIT: Room = Room { least: 0.0, most: 2.0 };

/// What a printed hole is widened by, if the shop doesn't say: printed holes come out small by
/// about this much (common practice, no source).
const PRINTER_FIT: Length = Length::mm(0.2);
/// A pin's hole: a push fit by hand (common practice, no source).
const PLAY: Length = Length::mm(0.05);
/// The hold-down's bearing face lies this much lower than the stock (common practice, no source).
const SQUEEZE: Length = Length::mm(0.3);
const CUTTER: &str = "[[cutter]]\nname = \"flat 1/4\"\nform = \"flat\"\ndiameter = \"1/4 in\"\n\
                      flute = \"1-1/4 in\"\nstick_out = \"1-3/4 in\"\nfeed = \"1800 mm/min\"\n\
                      speed = \"16000 rpm\"\nstep_over = \"2.5 mm\"";
const NOTES: &str = "notes = [\"Dust hose on, ear muffs on.\"]";

/// Reads a shop file.
///
/// All faults of the file are added to `findings`, each with the key and the bytes that it is
/// about. The shop is returned, with the places of its keys, only if there is none. Whether the
/// cutters named in `[work]` exist is not asked here.
pub fn parse_shop(text: &str, findings: &mut Findings) -> Option<(Shop, Spans)> {
    file(Source::Shop, text, findings, |reader, root| {
        let shop = shop(reader, root)?;
        validate::shop(&shop, reader);
        Some(shop)
    })
}

fn shop(reader: &mut Reader, root: &Section<'_>) -> Option<Shop> {
    let known = ["shop", "cutter", "work", "pin", "bolt", "hold_down", "printer", "limits"];
    reader.only(root, &[&known[..], &bed::SECTIONS].concat());
    let shop = reader.section(
        root,
        "shop",
        "[shop]\nname = \"village shop\"\nunit = \"mm\"\nturn = \"X\"\nzero = \"bottom\"",
    );
    reader.only(&shop, &["name", "unit", "turn", "zero", "paper", "notes"]);
    let name = reader.text(&shop, "name", "village shop");
    let unit = reader.choice(&shop, "unit", &[("mm", Unit::Millimetre), ("in", Unit::Inch)]);
    let turn = reader.choice(&shop, "turn", &[("X", TurnAxis::X), ("Y", TurnAxis::Y)]);
    let zero = reader.choice(&shop, "zero", &[("top", Zero::Top), ("bottom", Zero::Bottom)]);
    let paper = match shop.get("paper") {
        Some(_) => reader.choice(&shop, "paper", &[("A4", Paper::A4), ("Letter", Paper::Letter)]),
        None => Some(Paper::default()),
    };
    let notes = match shop.get("notes") {
        Some(item) => reader
            .list(&item, NOTES)
            .iter()
            .map(|item| reader.text_of(item, "\"Dust hose on.\""))
            .collect(),
        None => Vec::new(),
    };
    let cutters = cutters(reader, root);
    let work = work(reader, root);
    let pin = pin(reader, root);
    let bolt = bolt(reader, root);
    let hold_down = hold_down(reader, root);
    let printer_fit = match root.get("printer") {
        Some(item) => {
            let printer = reader.table(&item, "[printer]\nfit = \"0.2 mm\"");
            reader.only(&printer, &["fit", "plate"]);
            reader.take(&printer, "fit", "0.2 mm", FIT).unwrap_or(PRINTER_FIT)
        }
        None => PRINTER_FIT,
    };
    let limits = limits::limits(reader, root);
    let bed = bed::bed(reader, root, pin.diameter);
    Some(Shop {
        name,
        unit: unit?,
        turn: turn?,
        zero: zero?,
        cutters,
        work,
        pin,
        bolt: bolt?,
        hold_down,
        printer_fit,
        limits,
        paper: paper?,
        bed,
        notes,
    })
}

fn cutters(reader: &mut Reader, root: &Section<'_>) -> Vec<Cutter> {
    let items = match root.get("cutter") {
        Some(item) => {
            let items = reader.list(&item, CUTTER);
            if item.value.is_array() && items.is_empty() {
                reader.missing(root, "cutter", CUTTER);
            }
            items
        }
        None => {
            reader.missing(root, "cutter", CUTTER);
            Vec::new()
        }
    };
    items.iter().map(|item| cutter(reader, item)).collect()
}

fn cutter(reader: &mut Reader, item: &Item<'_>) -> Cutter {
    #[derive(Clone, Copy, PartialEq)]
    enum Form {
        Flat,
        Ball,
        Bull,
        Vee,
    }
    let cutter = reader.table(item, CUTTER);
    reader.only(
        &cutter,
        &[
            "name",
            "form",
            "diameter",
            "flute",
            "stick_out",
            "feed",
            "speed",
            "step_over",
            "angle",
            "corner",
            "pass_depth",
            "holder",
        ],
    );
    let name = reader.text(&cutter, "name", "flat 1/4");
    let form = reader.choice(
        &cutter,
        "form",
        &[("flat", Form::Flat), ("ball", Form::Ball), ("bull", Form::Bull), ("vee", Form::Vee)],
    );
    let angle = reader.take::<Angle>(&cutter, "angle", "60 deg", VEE);
    let key = cutter.key_of("angle");
    match (form, angle) {
        (Some(Form::Vee), None) => {
            reader.missing(&cutter, "angle", "angle = \"60 deg\" (its included angle)");
        }
        (Some(Form::Flat | Form::Ball | Form::Bull), Some(_)) => reader.fault(
            codes::CUTTER,
            &key,
            "Only a vee cutter has an angle.",
            "Take `angle` out, or write form = \"vee\".",
        ),
        _ => {}
    }
    let corner = reader.take::<Length>(&cutter, "corner", "1 mm", SIZE);
    let key = cutter.key_of("corner");
    match (form, corner) {
        (Some(Form::Bull), None) => {
            reader.missing(&cutter, "corner", "corner = \"1 mm\" (the radius of its edge)");
        }
        (Some(Form::Flat | Form::Ball | Form::Vee), Some(_)) => reader.fault(
            codes::CUTTER,
            &key,
            "Only a bull-nosed cutter has a corner.",
            "Take `corner` out, or write form = \"bull\".",
        ),
        _ => {}
    }
    let form = match form {
        Some(Form::Bull) => CutterForm::Bull(corner.unwrap_or(Length::mm(f64::NAN))),
        Some(Form::Vee) => CutterForm::Vee(angle.unwrap_or(Angle::degrees(f64::NAN))),
        Some(Form::Ball) => CutterForm::Ball,
        Some(Form::Flat) | None => CutterForm::Flat,
    };
    Cutter {
        name,
        form,
        diameter: reader.need(&cutter, "diameter", "1/4 in", SIZE),
        flute: reader.need(&cutter, "flute", "1-1/4 in", SIZE),
        stick_out: reader.need(&cutter, "stick_out", "1-3/4 in", SIZE),
        feed_mm_min: reader.need::<Feed>(&cutter, "feed", "1800 mm/min", FEED).0,
        speed_rpm: reader.need::<Speed>(&cutter, "speed", "16000 rpm", SPEED).0,
        step_over: reader.need(&cutter, "step_over", "2.5 mm", Room { least: 0.01, ..SIZE }),
        pass_depth: reader.take(&cutter, "pass_depth", "3 mm", SIZE),
        holder: cutter.get("holder").map(|item| bed::holder(reader, &item, usual_holder())),
    }
}

fn work(reader: &mut Reader, root: &Section<'_>) -> Work {
    let work = reader.section(
        root,
        "work",
        "[work]\nrough = \"flat 1/4\"\nfinish = \"ball 1/8\"\nslots = \"flat 1/8\"",
    );
    reader.only(&work, &["rough", "finish", "slots"]);
    Work {
        rough: reader.text(&work, "rough", "flat 1/4"),
        finish: reader.text(&work, "finish", "ball 1/8"),
        slots: reader.text(&work, "slots", "flat 1/8"),
    }
}

fn pin(reader: &mut Reader, root: &Section<'_>) -> Pin {
    let pin = reader.section(root, "pin", "[pin]\ndiameter = \"1/4 in\"");
    reader.only(&pin, &bed::PIN_KEYS);
    Pin {
        diameter: reader.need(&pin, "diameter", "1/4 in", SIZE),
        play: reader.take(&pin, "play", "0.05 mm", FIT).unwrap_or(PLAY),
    }
}

fn bolt(reader: &mut Reader, root: &Section<'_>) -> Option<Bolt> {
    let bolt = reader.section(root, "bolt", "[bolt]\nsize = \"M6\"\nfit = \"normal\"");
    reader.only(&bolt, &["size", "fit"]);
    let size = reader.choice(&bolt, "size", &BoltSize::ALL.map(|size| (size.name(), size)));
    let fits = [("close", BoltFit::Close), ("normal", BoltFit::Normal), ("loose", BoltFit::Loose)];
    let fit = match bolt.has("fit") || bolt.entries.is_none() {
        true => reader.choice(&bolt, "fit", &fits),
        false => Some(BoltFit::Normal),
    };
    Some(Bolt { size: size?, fit: fit? })
}

fn hold_down(reader: &mut Reader, root: &Section<'_>) -> HoldDown {
    let hold = reader.section(
        root,
        "hold_down",
        "[hold_down]\nlip = \"10 mm\"\nlip_thickness = \"8 mm\"\nbody = \"38 mm\"\n\
         width = \"28 mm\"",
    );
    reader.only(&hold, &clamp::HOLD_KEYS);
    HoldDown {
        lip: reader.need(&hold, "lip", "10 mm", SIZE),
        lip_thickness: reader.need(&hold, "lip_thickness", "8 mm", SIZE),
        body: reader.need(&hold, "body", "38 mm", SIZE),
        width: reader.need(&hold, "width", "28 mm", SIZE),
        squeeze: reader.take(&hold, "squeeze", "0.3 mm", FIT).unwrap_or(SQUEEZE),
    }
}
