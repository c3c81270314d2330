//! The design file.

use super::tabs::{clean_ups, tabs};
use super::value::{ALONG, COUNT, Count, Force, Fraction, OFFSET, Room, SIZE};
use super::{Item, Reader, Section, file};
use crate::finding::{Findings, Source, Spans};
use crate::params::validate;
use crate::params::{
    Accept, Blade, Bound, Bowl, Design, Give, Handle, Head, Kind, Load, Slot, Station, Tines, codes,
};
use crate::units::{Angle, Length};

/// Height of the rim wall if the file says nothing: thin enough to look fine, thick enough that
/// the edge does not crumble across the grain (common practice, no source).
const EDGE: Length = Length::mm(2.0);
/// A handle may lie this far off the grain if the file says nothing: a slope of one in seven,
/// steeper than which a thin neck breaks short (common practice, no source).
const LEAN: Angle = Angle::degrees(8.0);
const LEAN_ROOM: Room = Room { least: 0.0, most: 45.0 };
/// A bowl's fullness: a little squarer than an ellipse.
const BOWL_FULLNESS: f64 = 2.3;
/// A blade's fullness: nearly straight across the front.
const BLADE_FULLNESS: f64 = 4.0;
/// A bowl is widest a little nearer to the tip than to the neck.
const BOWL_WIDEST: f64 = 0.54;
/// A blade is widest towards its front.
const BLADE_WIDEST: f64 = 0.80;
/// The handle's end is rounded over this fraction of its width.
const END: f64 = 0.6;
/// A handle's cross-section: an ellipse with a little flesh on it.
const SECTION: f64 = 2.2;

const FULLNESS_BOWL: Room = Room { least: 2.0, most: 6.0 };
const FULLNESS_BLADE: Room = Room { least: 2.0, most: 8.0 };
const WIDEST_BOWL: Room = Room { least: 35.0, most: 70.0 };
const WIDEST_BLADE: Room = Room { least: 55.0, most: 90.0 };
/// A slot that opens by more than this leaves pointed tines that break (common practice, no
/// source).
const TAPER: Room = Room { least: 0.0, most: 10.0 };
/// How unwillingly a dimension changes.
const WEIGHT: Room = Room { least: 0.01, most: 1000.0 };
/// A limit of a give, as a fraction of what the file asks.
const GIVE_FRACTION: Room = Room { least: 0.0, most: 400.0 };
/// A limit of a give, as a length.
const GIVE_LENGTH: Room = Room { least: -500.0, most: 2000.0 };

const SECTIONS: [&str; 10] =
    ["utensil", "bowl", "blade", "handle", "tines", "tabs", "clean_up", "give", "load", "accept"];
/// Loads that a hand can give, in newtons.
const LOAD: Room = Room { least: 0.1, most: 1000.0 };
const BOWL_LINES: &str = "[bowl]\nlength = \"92 mm\"\nwidth = \"66 mm\"\ndepth = \"15 mm\"\n\
                          wall = \"4.5 mm\"\nrim = \"2.5 mm\"";
const BLADE_LINES: &str = "[blade]\nlength = \"95 mm\"\nwidth = \"72 mm\"\nthickness = \"5 mm\"\n\
                           front = \"2.2 mm\"\nbevel = \"20 mm\"";
const TINES_LINES: &str =
    "[tines]\ncount = 4\nslot = { width = \"6.5 mm\", length = \"55 mm\", taper = \"1 deg\" }";
const WIDTHS: &str =
    "width = [{ at = \"0 %\", size = \"24 mm\" }, { at = \"100 %\", size = \"14 mm\" }]";
const THICKNESSES: &str =
    "thickness = [{ at = \"0 %\", size = \"9 mm\" }, { at = \"100 %\", size = \"13 mm\" }]";
const RISES: &str =
    "curve = [{ at = \"0 %\", rise = \"-3 mm\" }, { at = \"100 %\", rise = \"0 mm\" }]";
const SHIFTS: &str =
    "sway = [{ at = \"0 %\", shift = \"4 mm\" }, { at = \"100 %\", shift = \"0 mm\" }]";
const GIVE: &str = "\"bowl.depth\" = { least = \"12 mm\", most = \"16 mm\", weight = 2 }";

/// Reads a design file.
///
/// All faults of the file are added to `findings`, each with the key and the bytes that it is
/// about. The design is returned, with the places of its keys, only if there is none.
pub fn parse_design(text: &str, findings: &mut Findings) -> Option<(Design, Spans)> {
    file(Source::Design, text, findings, |reader, root| {
        let design = design(reader, root)?;
        validate::design(&design, reader);
        Some(design)
    })
}

fn design(reader: &mut Reader, root: &Section<'_>) -> Option<Design> {
    reader.only(root, &SECTIONS);
    let utensil = reader.section(
        root,
        "utensil",
        "[utensil]\nname = \"harvest spoon\"\nkind = \"spoon\"\nlength = \"300 mm\"",
    );
    reader.only(&utensil, &["name", "kind", "length", "edge", "lean"]);
    let name = reader.text(&utensil, "name", "harvest spoon");
    let kind = reader.choice(
        &utensil,
        "kind",
        &[("spoon", Kind::Spoon), ("fork", Kind::Fork), ("turner", Kind::Turner)],
    );
    let length = reader.need(&utensil, "length", "300 mm", SIZE);
    let edge = reader.take(&utensil, "edge", "2 mm", SIZE).unwrap_or(EDGE);
    let lean = reader.take(&utensil, "lean", "8 deg", LEAN_ROOM).unwrap_or(LEAN);
    // Without a kind, the sections tell which one is meant, so that they can be read all the same.
    let likely = kind.unwrap_or(match (root.has("blade"), root.has("tines")) {
        (true, _) => Kind::Turner,
        (false, true) => Kind::Fork,
        (false, false) => Kind::Spoon,
    });
    wrong_sections(reader, root, likely);
    let head = match likely {
        Kind::Turner => Head::Blade(blade(reader, root)),
        Kind::Spoon | Kind::Fork => Head::Bowl(bowl(reader, root)),
    };
    let tines = (likely == Kind::Fork).then(|| tines(reader, root));
    let handle = handle(reader, root);
    let tabs = tabs(reader, root);
    let clean_up = clean_ups(reader, root);
    let give = gives(reader, root);
    let load = load(reader, root);
    let accept = accepted(reader, root);
    Some(Design {
        name,
        kind: kind?,
        length,
        edge,
        lean,
        head,
        handle,
        tines,
        tabs,
        clean_up,
        give,
        load,
        accept,
    })
}

fn wrong_sections(reader: &mut Reader, root: &Section<'_>, kind: Kind) {
    let wrong: &[(&str, &str)] = match kind {
        Kind::Spoon => &[("blade", "turner"), ("tines", "fork")],
        Kind::Fork => &[("blade", "turner")],
        Kind::Turner => &[("bowl", "spoon or fork"), ("tines", "fork")],
    };
    for (section, whose) in wrong {
        if root.has(section) {
            reader.fault(
                codes::WRONG_SECTION,
                section,
                format!("A {} has no [{section}]; that is for a {whose}.", kind.name()),
                format!("Take [{section}] out, or change `kind` in [utensil]."),
            );
        }
    }
}

fn bowl(reader: &mut Reader, root: &Section<'_>) -> Bowl {
    let bowl = reader.section(root, "bowl", BOWL_LINES);
    reader.only(&bowl, &["length", "width", "depth", "wall", "rim", "fullness", "widest"]);
    Bowl {
        length: reader.need(&bowl, "length", "92 mm", SIZE),
        width: reader.need(&bowl, "width", "66 mm", SIZE),
        depth: reader.need(&bowl, "depth", "15 mm", SIZE),
        wall: reader.need(&bowl, "wall", "4.5 mm", SIZE),
        rim: reader.need(&bowl, "rim", "2.5 mm", SIZE),
        fullness: reader.take(&bowl, "fullness", "2.3", FULLNESS_BOWL).unwrap_or(BOWL_FULLNESS),
        widest: widest(reader, &bowl, "54 %", WIDEST_BOWL).unwrap_or(BOWL_WIDEST),
    }
}

fn blade(reader: &mut Reader, root: &Section<'_>) -> Blade {
    let blade = reader.section(root, "blade", BLADE_LINES);
    let known = ["length", "width", "thickness", "front", "bevel", "fullness", "widest"];
    reader.only(&blade, &known);
    Blade {
        length: reader.need(&blade, "length", "95 mm", SIZE),
        width: reader.need(&blade, "width", "72 mm", SIZE),
        thickness: reader.need(&blade, "thickness", "5 mm", SIZE),
        front: reader.need(&blade, "front", "2.2 mm", SIZE),
        bevel: reader.need(&blade, "bevel", "20 mm", SIZE),
        fullness: reader.take(&blade, "fullness", "4", FULLNESS_BLADE).unwrap_or(BLADE_FULLNESS),
        widest: widest(reader, &blade, "80 %", WIDEST_BLADE).unwrap_or(BLADE_WIDEST),
    }
}

fn widest(reader: &mut Reader, head: &Section<'_>, example: &str, room: Room) -> Option<f64> {
    reader.take::<Fraction>(head, "widest", example, room).map(|fraction| fraction.0)
}

fn handle(reader: &mut Reader, root: &Section<'_>) -> Handle {
    let handle = reader.section(root, "handle", &format!("[handle]\n{WIDTHS}\n{THICKNESSES}"));
    reader.only(&handle, &["width", "thickness", "curve", "sway", "section", "end"]);
    let width = stations(reader, &handle, "width", "size", WIDTHS, true);
    let thickness = stations(reader, &handle, "thickness", "size", THICKNESSES, true);
    let first = width.first().map_or(Length::mm(f64::NAN), |station| station.size);
    Handle {
        end: reader.take(&handle, "end", "14 mm", SIZE).unwrap_or(first * END),
        curve: stations(reader, &handle, "curve", "rise", RISES, false),
        sway: stations(reader, &handle, "sway", "shift", SHIFTS, false),
        section: reader.take(&handle, "section", "2.2", FULLNESS_BOWL).unwrap_or(SECTION),
        width,
        thickness,
    }
}

/// The stations of one list. `sizes`: it must be there, hold sizes and go from end to end.
fn stations(
    reader: &mut Reader,
    handle: &Section<'_>,
    name: &str,
    what: &str,
    example: &str,
    sizes: bool,
) -> Vec<Station> {
    let Some(item) = handle.get(name) else {
        if sizes && handle.entries.is_some() {
            reader.missing(handle, name, example);
        }
        return Vec::new();
    };
    let (room, good) = if sizes { (SIZE, "15 mm") } else { (OFFSET, "6 mm") };
    let items = reader.list(&item, example);
    let read: Vec<Station> = items
        .iter()
        .map(|item| {
            let station = reader.table(item, &format!("{{ at = \"50 %\", {what} = \"{good}\" }}"));
            reader.only(&station, &["at", what]);
            Station {
                at: reader.need::<Fraction>(&station, "at", "50 %", ALONG).0,
                size: reader.need(&station, what, good, room),
            }
        })
        .collect();
    let count = read.len();
    if item.value.is_array() && (count == 1 || (sizes && count == 0)) {
        let message = format!("`{}` has {count} stations; the least is two.", item.key);
        reader.fault(codes::STATIONS, &item.key, message, format!("Write {example}"));
    }
    read
}

fn tines(reader: &mut Reader, root: &Section<'_>) -> Tines {
    let tines = reader.section(root, "tines", TINES_LINES);
    reader.only(&tines, &["count", "slot"]);
    let count = reader.need::<Count>(&tines, "count", "4", COUNT).0;
    let example = "slot = { width = \"6.5 mm\", length = \"55 mm\", taper = \"1 deg\" }";
    let slot = match tines.entries {
        Some(_) => reader.section(&tines, "slot", example),
        None => Section { key: "tines.slot".to_owned(), entries: None },
    };
    reader.only(&slot, &["width", "length", "taper"]);
    let slot = Slot {
        width: reader.need(&slot, "width", "6.5 mm", SIZE),
        length: reader.need(&slot, "length", "55 mm", SIZE),
        taper: reader.take(&slot, "taper", "1 deg", TAPER).unwrap_or(Angle::degrees(0.0)),
    };
    Tines { count, slot }
}

fn load(reader: &mut Reader, root: &Section<'_>) -> Load {
    let usual = Load::default();
    let Some(item) = root.get("load") else { return usual };
    let load = reader.table(&item, "[load]\ntip = \"20 N\"");
    reader.only(&load, &["tip", "tine"]);
    let mut force = |name: &str, example: &str, usual: f64| {
        reader.take::<Force>(&load, name, example, LOAD).map_or(usual, |force| force.0)
    };
    Load { tip_n: force("tip", "20 N", usual.tip_n), tine_n: force("tine", "10 N", usual.tine_n) }
}

/// Cautions that the maker accepts, each with a reason.
fn accepted(reader: &mut Reader, root: &Section<'_>) -> Vec<Accept> {
    let example = "[accept]\n\"too-thick\" = \"the offcut is too thin to be of use\"";
    let Some(item) = root.get("accept") else { return Vec::new() };
    let section = reader.table(&item, example);
    let Some(entries) = section.entries else { return Vec::new() };
    let names: Vec<String> = entries.iter().map(|(name, _)| name.get_ref().to_string()).collect();
    let mut read = Vec::new();
    for code in names {
        let reason = reader.text(&section, &code, "why it does no harm here");
        read.push(Accept { code, reason });
    }
    read
}

fn gives(reader: &mut Reader, root: &Section<'_>) -> Vec<Give> {
    let mut read = Vec::new();
    if let Some(item) = root.get("give") {
        let section = reader.table(&item, &format!("[give]\n{GIVE}"));
        give_entries(reader, &section, "", &mut read);
    }
    read
}

/// Takes `"bowl.depth" = { .. }` and, since TOML reads it as tables within tables, `bowl.depth =
/// { .. }` too.
fn give_entries(reader: &mut Reader, section: &Section<'_>, above: &str, read: &mut Vec<Give>) {
    let Some(entries) = section.entries else { return };
    for (name, value) in entries.iter() {
        let name = name.get_ref();
        let key = if above.is_empty() { name.to_string() } else { format!("{above}.{name}") };
        let item = Item { key: section.key_of(name), value: value.get_ref() };
        let give = reader.table(&item, GIVE);
        let Some(inner) = give.entries else { continue };
        let leads_on = !inner.is_empty()
            && inner.iter().all(|(name, value)| {
                !["least", "most", "weight"].contains(&name.get_ref().as_ref())
                    && value.get_ref().is_table()
            });
        if leads_on {
            give_entries(reader, &give, &key, read);
            continue;
        }
        reader.only(&give, &["least", "most", "weight"]);
        read.push(Give {
            key,
            least: bound(reader, &give, "least", "12 mm"),
            most: bound(reader, &give, "most", "16 mm"),
            weight: reader.take(&give, "weight", "2", WEIGHT).unwrap_or(1.0),
        });
    }
}

fn bound(reader: &mut Reader, give: &Section<'_>, name: &str, example: &str) -> Bound {
    let fraction = give
        .get(name)
        .and_then(|item| item.value.as_str().map(|text| text.contains('%')))
        .unwrap_or(false);
    if fraction {
        Bound::Fraction(reader.need::<Fraction>(give, name, "60 %", GIVE_FRACTION).0)
    } else {
        Bound::Length(reader.need(give, name, example, GIVE_LENGTH))
    }
}

/// Least and most of a dimension of a design, in mm, degrees or as a plain number; fractions as
/// such.
pub(in crate::params) fn room(design: &Design, key: &str) -> [f64; 2] {
    let blade = matches!(design.head, Head::Blade(_));
    let percent = |room: Room| [room.least / 100.0, room.most / 100.0];
    let plain = |room: Room| [room.least, room.most];
    let name = key.split('[').next().unwrap_or(key);
    match name {
        _ if key.ends_with("].at") => percent(ALONG),
        "bowl.fullness" | "blade.fullness" if blade => plain(FULLNESS_BLADE),
        "bowl.fullness" => plain(FULLNESS_BOWL),
        "bowl.widest" | "blade.widest" if blade => percent(WIDEST_BLADE),
        "bowl.widest" => percent(WIDEST_BOWL),
        "handle.section" => plain(FULLNESS_BOWL),
        "handle.curve" | "handle.sway" => plain(OFFSET),
        "tines.slot.taper" => plain(TAPER),
        _ => plain(SIZE),
    }
}
