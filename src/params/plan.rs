//! What the design says of its plan: the drawing that its widths come from.

use super::codes;
use super::keys::{Field, Key};
use super::read::{Item, Reader, TomlTable};
use crate::units::Length;
use serde_json::{Value, json};

/// A drawing that the widths of a design come from.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnPlan {
    /// Its file, seen from the design's folder.
    pub file: String,
    /// How far the design's outline leaves it at most; no number until it has been read.
    pub off: Length,
    /// Where along the utensil that is.
    pub at: Length,
}

impl Field for DrawnPlan {
    fn of(reader: &mut Reader, item: &Item<'_>, key: &Key) -> Option<DrawnPlan> {
        let unknown = Length::mm(f64::NAN);
        Some(DrawnPlan { file: reader.text(item, &key.example()), off: unknown, at: unknown })
    }
    fn stand_in() -> Option<DrawnPlan> {
        None
    }
    fn shown(&self, _: &Key) -> Value {
        json!(self.file)
    }
}

/// The key that names the drawing.
pub(super) const PLAN_PATH: [&str; 2] = ["utensil", "plan"];

/// The keys that a drawing takes the place of, or sets.
pub const PLAN_KEYS: [&str; 13] = [
    "handle.width",
    "handle.sway",
    "handle.knob",
    "bowl.width",
    "bowl.outline",
    "bowl.sway",
    "bowl.widest",
    "bowl.fullness",
    "blade.width",
    "blade.outline",
    "blade.sway",
    "blade.widest",
    "blade.fullness",
];

/// Keys that are needed but where a drawing says them.
pub(super) const SAID_BY_PLAN: [&str; 3] = ["handle.width", "bowl.width", "blade.width"];

/// No key that the drawing takes the place of stands beside it, nor may one change to fit a board.
pub(super) fn alone(root: &TomlTable<'_>, reader: &mut Reader) {
    for path in PLAN_KEYS {
        let Some((table, name)) = path.split_once('.') else { continue };
        if root.under(table).has(name) {
            reader.fault(
                codes::PLAN_CLASH,
                path,
                format!("`{path}` stands beside `utensil.plan`, whose drawing says it."),
                "Take one of the two out.",
            );
        }
        let gives = root.under("give");
        if gives.has(path) || gives.under(table).has(name) {
            reader.fault(
                codes::PLAN_CLASH,
                &format!("give.{path}"),
                format!("`{path}` comes from the drawing of `utensil.plan`, so it can't give."),
                "Take it out of [give]; lengths, depths, thicknesses and curves can give.",
            );
        }
    }
}
