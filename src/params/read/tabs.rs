//! The parts of the design file about tabs and places to clean up.

use super::value::{ALONG, Count, Fraction, Room, SIZE};
use super::{Item, Reader, Section};
use crate::params::{AutoTabs, CleanUp, Serves, Side, TabPlace, Tabs, codes};
use crate::units::Length;
use glam::DVec2;

const PLACES: &str =
    "place = [{ side = \"left\", at = \"12 %\" }, { side = \"right\", at = \"86 %\" }]";
const CLEAN_UP: &str =
    "[[clean_up]]\nat = [\"228 mm\", \"0 mm\"]\nsize = [\"30 mm\", \"20 mm\"]\nside = \"top\"";

/// Tabs that the tool places: one is no hold, and more than eight are a saw's work for nothing.
const AUTO_COUNT: Room = Room { least: 2.0, most: 8.0 };
/// Width of tabs that the tool places, if the file says nothing (common practice, no source).
const AUTO_WIDTH: Length = Length::mm(9.0);
/// Their greatest thickness, if the file says nothing: half of a handle (common practice, no
/// source).
const AUTO_THICKNESS: Length = Length::mm(6.0);

pub(super) fn tabs(reader: &mut Reader, root: &Section<'_>) -> Tabs {
    let example = format!("[tabs]\nwidth = \"9 mm\"\nthickness = \"5 mm\"\n{PLACES}");
    let tabs = reader.section(root, "tabs", &example);
    reader.only(&tabs, &["width", "thickness", "place", "count"]);
    if tabs.get("place").is_some_and(|item| item.value.as_str() == Some("auto")) {
        return auto(reader, &tabs);
    }
    if let Some(item) = tabs.get("count") {
        reader.fault(
            codes::UNKNOWN_KEY,
            &item.key,
            "`count` says how many tabs the tool places; here the places are written out.",
            "Take it out, or write place = \"auto\".",
        );
    }
    let width = reader.need(&tabs, "width", "9 mm", SIZE);
    let thickness = reader.need(&tabs, "thickness", "5 mm", SIZE);
    let mut place = Vec::new();
    match tabs.get("place") {
        Some(item) if item.value.is_str() => reader.fault(
            codes::NO_SUCH_CHOICE,
            &item.key,
            "`tabs.place` is a text that is no choice here.",
            format!("Write place = \"auto\", or {PLACES}"),
        ),
        Some(item) => {
            let items = reader.list(&item, PLACES);
            if item.value.is_array() && items.len() < 2 {
                let message = format!(
                    "`{}` has {} tabs; with fewer than two the utensil turns or falls loose.",
                    item.key,
                    items.len()
                );
                reader.fault(codes::OUT_OF_RANGE, &item.key, message, format!("Write {PLACES}"));
            }
            place.extend(items.iter().filter_map(|item| tab(reader, item)));
        }
        None if tabs.entries.is_some() => reader.missing(&tabs, "place", PLACES),
        None => {}
    }
    Tabs { width, thickness, place, auto: None }
}

/// `place = "auto"`: all else may be left out.
fn auto(reader: &mut Reader, tabs: &Section<'_>) -> Tabs {
    let thickness = reader.take(tabs, "thickness", "5 mm", SIZE);
    Tabs {
        width: reader.take(tabs, "width", "9 mm", SIZE).unwrap_or(AUTO_WIDTH),
        thickness: thickness.unwrap_or(AUTO_THICKNESS),
        place: Vec::new(),
        auto: Some(AutoTabs {
            count: reader.take::<Count>(tabs, "count", "4", AUTO_COUNT).map(|count| count.0),
            thickness,
        }),
    }
}

fn tab(reader: &mut Reader, item: &Item<'_>) -> Option<TabPlace> {
    let tab = reader.table(item, "{ side = \"left\", at = \"12 %\" }");
    reader.only(&tab, &["side", "at"]);
    let side = reader.choice(&tab, "side", &[("left", Side::Left), ("right", Side::Right)]);
    let at = reader.need::<Fraction>(&tab, "at", "12 %", ALONG).0;
    Some(TabPlace { side: side?, at })
}

pub(super) fn clean_ups(reader: &mut Reader, root: &Section<'_>) -> Vec<CleanUp> {
    let Some(item) = root.get("clean_up") else { return Vec::new() };
    let items = reader.list(&item, CLEAN_UP);
    items.iter().map(|item| clean_up(reader, item)).collect()
}

fn clean_up(reader: &mut Reader, item: &Item<'_>) -> CleanUp {
    let place = reader.table(item, CLEAN_UP);
    reader.only(&place, &["at", "size", "side", "cutter"]);
    let mut pair = |name: &str, line: &str| match place.get(name) {
        Some(item) => reader.point(&item),
        None => {
            if place.entries.is_some() {
                reader.missing(&place, name, line);
            }
            DVec2::NAN
        }
    };
    let at = pair("at", "at = [\"228 mm\", \"0 mm\"]");
    let size = pair("size", "size = [\"30 mm\", \"20 mm\"]");
    if size.min_element() <= 0.0 {
        reader.fault(
            codes::OUT_OF_RANGE,
            &place.key_of("size"),
            "A place to clean up is longer and wider than nothing.",
            "Write size = [\"30 mm\", \"20 mm\"]",
        );
    }
    let sides = reader.choice(
        &place,
        "side",
        &[("top", Serves::Top), ("bottom", Serves::Bottom), ("both", Serves::Both)],
    );
    let cutter = place.has("cutter").then(|| reader.text(&place, "cutter", "ball 1/8"));
    CleanUp { at, size, sides: sides.unwrap_or(Serves::Both), cutter }
}
