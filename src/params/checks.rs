//! What the two files may say about the checks: the shop's thresholds, the design's load and the
//! cautions that the maker has accepted.

use super::keys::{
    FORCE, Field, Key, KeyShape, LENGTH, LENGTH_OR_NONE, SAFETY, SHARE, TEXT, TIME, keys, part,
};
use super::read::{Item, Reader};
use crate::units::Length;
use serde_json::{Value, json};

keys! {
    /// Thresholds of the checks. Each has a default (common practice, no source).
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct Limits {
        /// Least width of a tine.
        tine: Length = LENGTH.commonly(2.0, 20.0).or("5 mm"),
        /// Least wood between hollow and back.
        wall: Length = LENGTH.commonly(1.0, 12.0).or("3 mm"),
        /// Least width of the rim land.
        rim: Length = LENGTH_OR_NONE.commonly(0.4, 8.0).or("1.5 mm"),
        /// Spare height above which planing is advised.
        spare: Length = LENGTH_OR_NONE.commonly(0.5, 25.0).or("3 mm"),
        /// Least distance from a cut to the board's edge.
        margin: Length = LENGTH_OR_NONE.commonly(0.5, 25.0).or("3 mm"),
        // More than a few millimetres would carve into the frame under the tabs.
        /// How far beyond the parting line each side is carved, so that no ridge is left.
        overlap: Length = LENGTH.within(0.0, 5.0).commonly(0.1, 2.0).or("0.5 mm"),
        /// Thresholds of the checks of carving and use.
        check: CheckLimits = part::<CheckLimits>(),
    }
}

keys! {
    /// Thresholds of the checks of carving and use. Each has a default (common practice, no
    /// source).
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct CheckLimits {
        /// Most that the finishing cutter may leave for sanding.
        uncut: Length = LENGTH_OR_NONE.commonly(0.02, 0.6).or("0.1 mm"),
        // A micrometre is finer than wood shows, a millimetre is a roughing pass.
        /// Most height of a ridge between two finishing passes.
        cusp: Length = LENGTH.within(0.001, 1.0).commonly(0.004, 0.15).or("0.02 mm"),
        /// Least room between holder and stock.
        holder: Length = LENGTH_OR_NONE.commonly(0.5, 15.0).or("2 mm"),
        /// Least thickness of an edge that runs across the grain, just inside the rim.
        chip: Length = LENGTH_OR_NONE.commonly(0.5, 12.0).or("2 mm"),
        /// How many times its load a place must bear.
        safety: f64 = SAFETY.commonly(1.2, 12.0).or("3"),
        /// The same at a tine's root, where stress gathers.
        root: f64 = SAFETY.commonly(1.0, 12.0).or("1.5"),
        /// Least true thickness anywhere inside the rim.
        thin: Length = LENGTH_OR_NONE.commonly(0.4, 8.0).or("1.5 mm"),
        /// Least height of the upright edge all round.
        edge: Length = LENGTH_OR_NONE.commonly(0.1, 4.0).or("0.5 mm"),
        /// Least width and thickness of a tine near its tip.
        tip: Length = LENGTH_OR_NONE.commonly(0.5, 12.0).or("2 mm"),
        /// Most change of the head's width by moisture.
        moves: Length = LENGTH_OR_NONE.commonly(0.2, 6.0).or("1 mm"),
        /// Least share of the length between the two places that it rests on.
        rest: f64 = SHARE.commonly(2.0, 60.0).or("10 %"),
        /// Least thickness of the grip, as a round handle of the same girth.
        grip_least: Length = LENGTH_OR_NONE.commonly(3.0, 40.0).or("12 mm"),
        /// Greatest thickness of the grip, as a round handle of the same girth.
        grip_most: Length = LENGTH.commonly(15.0, 150.0).or("40 mm"),
        /// Longest time that a job may take, by estimate.
        longest_min: f64 = TIME.at("longest").commonly(60.0, 2880.0).or("8 h"),
    }
}

#[cfg(test)]
impl Default for CheckLimits {
    fn default() -> CheckLimits {
        crate::params::keys::usual()
    }
}

keys! {
    /// What the utensil is loaded with, in newtons: by default two kilograms on the tip, one on a
    /// tine, a full spoon pried against the pot's edge, a roast lifted on one tine (common practice,
    /// no source).
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct Load {
        /// Force on the tip of the head, while the handle is held.
        tip_n: f64 = FORCE.at("tip").commonly(4.0, 150.0).or("20 N"),
        /// Force on the tip of one tine.
        tine_n: f64 = FORCE.at("tine").commonly(2.0, 80.0).or("10 N"),
    }
}

#[cfg(test)]
impl Default for Load {
    fn default() -> Load {
        crate::params::keys::usual()
    }
}

/// A caution that the maker accepts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Accept {
    /// Its code.
    pub code: String,
    /// Why it is accepted.
    pub reason: String,
}

/// `[accept]`.
pub(super) const REASONS: Key = Key::of(KeyShape::Reasons)
    .such_as("{ \"too-thick\" = \"the offcut is too thin to be of use\" }")
    .left_out("none");
const REASON: Key = TEXT.such_as("why it does no harm here");

impl Field for Vec<Accept> {
    fn of(reader: &mut Reader, item: &Item<'_>, _: &Key) -> Option<Vec<Accept>> {
        let example = "[accept]\n\"too-thick\" = \"the offcut is too thin to be of use\"";
        let table = reader.table(item, example);
        let one = |(code, item): (&str, Item<'_>)| {
            let code = code.to_owned();
            Some(Accept { code, reason: String::of(reader, &item, &REASON)? })
        };
        Some(table.items().into_iter().filter_map(one).collect())
    }
    fn stand_in() -> Option<Vec<Accept>> {
        Some(Vec::new())
    }
    fn shown(&self, _: &Key) -> Value {
        let one = |accept: &Accept| json!({ "code": accept.code, "reason": accept.reason });
        self.iter().map(one).collect()
    }
}
