//! What the files say of tabs and of places to clean up.

use super::keys::{
    COUNT, Field, Key, KeyShape, Keyed, LENGTH, POINT, SHARE, TEXT, choice, field_of_part, keys,
    tree, words,
};
use super::read::{Item, Reader, TomlTable};
use super::{Serves, codes};
use crate::units::Length;
use glam::DVec2;
use serde_json::{Map, Value, json};

words! {
    /// Which side of the body, seen from above with the tip away from the viewer.
    pub enum Side {
        /// Positive Y.
        Left = "left",
        /// Negative Y.
        Right = "right",
    }
}

keys! {
    /// Where a tab is.
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct TabPlace {
        /// On which side, seen from above with the tip away from you.
        side: Side = choice::<Side>(),
        /// Where along the utensil, from the handle's end.
        at: f64 = SHARE.such_as("12 %"),
    }
}

/// Wood left between body and frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Tabs {
    /// Along the outline.
    pub width: Length,
    /// In height.
    pub thickness: Length,
    /// Where they are; empty as long as the tool has yet to place them.
    pub place: Vec<TabPlace>,
    /// Whether the tool places them, and what it may choose.
    pub auto: Option<AutoTabs>,
}

/// Tabs that the tool places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AutoTabs {
    /// How many, 2 to 8; as few as hold when absent.
    pub count: Option<u32>,
    /// How thick; as thin as holds when absent.
    pub thickness: Option<Length>,
}

/// Width of tabs that the tool places, if the file says nothing (common practice, no source).
const AUTO_WIDTH: Length = Length::mm(9.0);
/// Their greatest thickness, if the file says nothing: half of a handle (common practice, no
/// source).
const AUTO_THICKNESS: Length = Length::mm(6.0);

keys! {
    /// Tabs as the file has them.
    struct Written {
        /// Width along the outline.
        width: Option<Length> = LENGTH.such_as("9 mm").left_out("9 mm, with place = \"auto\" only").gives(),
        /// Thickness, in height.
        thickness: Option<Length> = LENGTH.such_as("5 mm").left_out("as thin as will hold, with \
            place = \"auto\" only").gives(),
        /// Where they are, two at least; or "auto", and the tool places them on stout parts.
        place: Places = PLACES,
        // One is no hold, and more than eight are a saw's work for nothing.
        /// How many the tool places, with place = "auto".
        count: Option<u32> = COUNT.within(2.0, 8.0).such_as("4").left_out("as few as will hold"),
    }
}

/// The places of tabs; none if the tool is to find them.
struct Places(Option<Vec<TabPlace>>);

const AUTO: &str = "auto";
const PLACES: Key = Key::of(KeyShape::WordOr(AUTO, TabPlace::KEYS, 2))
    .such_as("[{ side = \"left\", at = \"12 %\" }, { side = \"right\", at = \"86 %\" }]");

impl Field for Places {
    fn of(reader: &mut Reader, item: &Item<'_>, key: &Key) -> Option<Places> {
        let places = key.line("place");
        match item.as_text() {
            Some(AUTO) => return Some(Places(None)),
            Some(_) => {
                reader.fault(
                    codes::NO_SUCH_CHOICE,
                    item.key(),
                    "`tabs.place` is a text, but not \"auto\".",
                    format!("Write place = \"auto\", or {places}"),
                );
                return Self::stand_in();
            }
            None => {}
        }
        let items = reader.list(item, &places);
        if item.is_list() && items.len() < 2 {
            let message = format!(
                "`{}` has {} tabs; with fewer than two the piece turns or comes loose.",
                item.key(),
                items.len()
            );
            reader.fault(codes::OUT_OF_RANGE, item.key(), message, format!("Write {places}"));
        }
        let mut one = |item: &Item<'_>| {
            let tab = reader.table(item, "{ side = \"left\", at = \"12 %\" }");
            reader.shape(&tab, &tree(TabPlace::KEYS), &[]);
            TabPlace::of(reader, item, key)
        };
        Some(Places(Some(items.iter().filter_map(&mut one).collect())))
    }
    fn stand_in() -> Option<Places> {
        Some(Places(Some(Vec::new())))
    }
    fn shown(&self, key: &Key) -> Value {
        self.0.iter().flatten().map(|place| place.shown(key)).collect()
    }
}

impl Keyed for Tabs {
    const KEYS: &'static [Key] = Written::KEYS;

    fn read(reader: &mut Reader, at: &TomlTable<'_>) -> Option<Tabs> {
        let Written { width, thickness, place: Places(place), count } = Written::read(reader, at)?;
        let auto = place.is_none().then_some(AutoTabs { count, thickness });
        if auto.is_none() {
            for key in &Self::KEYS[..2] {
                if at.is_there() && !at.has(key.path) {
                    reader.missing(at, key.path, &key.line(key.path));
                }
            }
            if at.has("count") {
                reader.fault(
                    codes::UNKNOWN_KEY,
                    &at.key_of("count"),
                    "`count` is for tabs that the tool places, but here the places are written \
                     out.",
                    "Take it out, or write place = \"auto\".",
                );
            }
        }
        Some(Tabs {
            width: width.unwrap_or(AUTO_WIDTH),
            thickness: thickness.unwrap_or(AUTO_THICKNESS),
            place: place.unwrap_or_default(),
            auto,
        })
    }

    fn echo(&self, out: &mut Map<String, Value>) {
        let written = Written {
            width: Some(self.width),
            thickness: Some(self.thickness),
            place: Places(Some(self.place.clone())),
            count: self.auto.and_then(|auto| auto.count),
        };
        Keyed::echo(&written, out);
        let by = if self.auto.is_some() { "tool" } else { "file" };
        out.insert("placed_by".into(), json!(by));
    }

    fn dimension(&mut self, path: &str) -> Option<super::Dimension<'_>> {
        match path {
            "width" => Some(super::Dimension::Length(&mut self.width)),
            "thickness" => Some(super::Dimension::Length(&mut self.thickness)),
            _ => None,
        }
    }
}

field_of_part!(Tabs);

keys! {
    /// A small area to be gone over once more by a pass of its own.
    #[derive(Clone, Debug, PartialEq)]
    pub struct CleanUp {
        /// Its middle: from the handle's end, and to the left of the middle.
        at: DVec2 = POINT.such_as("[\"228 mm\", \"0 mm\"]"),
        /// Its size, along and across.
        size: DVec2 = POINT.such_as("[\"30 mm\", \"20 mm\"]"),
        /// In which setups.
        sides: Serves = choice::<Serves>().at("side"),
        /// Name of the cutter.
        cutter: Option<String> = TEXT.such_as("ball 1/8").left_out("the finishing cutter"),
    }
}
