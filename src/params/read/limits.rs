//! The shop file's thresholds of the checks.

use super::value::{Fraction, Minutes, Room, SIZE, SIZE_OR_NOTHING};
use super::{Reader, Section};
use crate::params::{CheckLimits, Limits};
use crate::units::Length;

/// Heights of cusps, in mm: a micrometre is finer than wood shows, a millimetre is a roughing pass.
const CUSP: Room = Room { least: 0.001, most: 1.0 };
/// Factors of safety: under 1 the thing breaks, over 100 nothing would be made.
const SAFETY: Room = Room { least: 1.0, most: 100.0 };
/// Minutes: up to a month.
const TIME: Room = Room { least: 1.0, most: 43_200.0 };
/// Shares of the length, in %.
const SHARE: Room = Room { least: 0.0, most: 100.0 };

/// The keys of `[limits]`.
const KEYS: [&str; 20] = [
    "tine",
    "wall",
    "rim",
    "spare",
    "margin",
    "overlap",
    "uncut",
    "cusp",
    "holder",
    "chip",
    "safety",
    "root",
    "thin",
    "edge",
    "tip",
    "moves",
    "rest",
    "grip_least",
    "grip_most",
    "longest",
];

/// Thresholds, if the shop doesn't say (common practice, no source).
fn usual() -> Limits {
    Limits {
        tine: Length::mm(5.0),
        wall: Length::mm(3.0),
        rim: Length::mm(1.5),
        spare: Length::mm(3.0),
        margin: Length::mm(3.0),
        overlap: Length::mm(0.5),
        check: CheckLimits::default(),
    }
}

pub(super) fn limits(reader: &mut Reader, root: &Section<'_>) -> Limits {
    let unset = usual();
    let Some(item) = root.get("limits") else { return unset };
    let limits = reader.table(&item, "[limits]\ntine = \"5 mm\"");
    reader.only(&limits, &KEYS);
    let usual = unset.check;
    let safety = reader.take::<f64>(&limits, "safety", "3", SAFETY);
    let root = reader.take::<f64>(&limits, "root", "1.5", SAFETY);
    let rest = reader.take::<Fraction>(&limits, "rest", "10 %", SHARE);
    let longest = reader.take::<Minutes>(&limits, "longest", "8 h", TIME);
    let mut limit = |name: &str, example: &str, room: Room, default: Length| {
        reader.take(&limits, name, example, room).unwrap_or(default)
    };
    Limits {
        tine: limit("tine", "5 mm", SIZE, unset.tine),
        wall: limit("wall", "3 mm", SIZE, unset.wall),
        rim: limit("rim", "1.5 mm", SIZE_OR_NOTHING, unset.rim),
        spare: limit("spare", "3 mm", SIZE_OR_NOTHING, unset.spare),
        margin: limit("margin", "3 mm", SIZE_OR_NOTHING, unset.margin),
        // More than a few millimetres would carve into the frame under the tabs.
        overlap: limit("overlap", "0.5 mm", Room { least: 0.0, most: 5.0 }, unset.overlap),
        check: CheckLimits {
            uncut: limit("uncut", "0.1 mm", SIZE_OR_NOTHING, usual.uncut),
            cusp: limit("cusp", "0.02 mm", CUSP, usual.cusp),
            holder: limit("holder", "2 mm", SIZE_OR_NOTHING, usual.holder),
            chip: limit("chip", "2 mm", SIZE_OR_NOTHING, usual.chip),
            safety: safety.unwrap_or(usual.safety),
            root: root.unwrap_or(usual.root),
            thin: limit("thin", "1.5 mm", SIZE_OR_NOTHING, usual.thin),
            edge: limit("edge", "0.5 mm", SIZE_OR_NOTHING, usual.edge),
            tip: limit("tip", "2 mm", SIZE_OR_NOTHING, usual.tip),
            moves: limit("moves", "1 mm", SIZE_OR_NOTHING, usual.moves),
            rest: rest.map_or(usual.rest, |share| share.0),
            grip: [
                limit("grip_least", "12 mm", SIZE_OR_NOTHING, usual.grip[0]),
                limit("grip_most", "40 mm", SIZE, usual.grip[1]),
            ],
            longest_min: longest.map_or(usual.longest_min, |minutes| minutes.0),
        },
    }
}
