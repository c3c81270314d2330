//! What change of the design would let the finishing cutter in.
//!
//! Promised: a change that is named was tried: a body was made with it, and the cutter left no more
//! than the shop allows on either side. Not promised: that it is the only one, or the handsomest.

use super::left::left_by;
use super::{Tool, surface};
use crate::check::Context;
use crate::params::{Design, Head};
use crate::relief::Face;
use crate::shape::Body;
use crate::units::{Length, plain};

/// The change is tried on cells of this size, and of a fifteenth of a thick ball's radius.
const CELL: Length = Length::mm(0.4);
const FINE: f64 = 1.0 / 15.0;
/// Halvings of the range: the last step is under a hundredth of it.
const HALVINGS: u32 = 7;

/// A dimension that may be made smaller, and how.
struct Lever {
    key: &'static str,
    with: fn(&Design, f64) -> Design,
    says: fn(&Design, f64) -> String,
}

const LEVERS: [Lever; 2] = [
    Lever {
        key: "bowl.depth",
        with: |design, part| {
            let mut changed = design.clone();
            if let Head::Bowl(bowl) = &mut changed.head {
                bowl.depth = bowl.depth * part;
            }
            changed
        },
        says: |design, part| match &design.head {
            Head::Bowl(bowl) => {
                format!("a bowl.depth of {} mm", plain(bowl.depth.as_mm() * part, 1))
            }
            Head::Blade(_) => String::new(),
        },
    },
    Lever {
        key: "handle.curve",
        with: |design, part| {
            let mut changed = design.clone();
            for station in &mut changed.handle.curve {
                station.size = station.size * part;
            }
            changed
        },
        says: |_, part| format!("a handle.curve with {} % of its rise", plain(100.0 * part, 0)),
    },
];

/// The least change of one dimension that would do, in words.
pub(super) fn change(at: &Context<'_>, tool: Tool) -> Option<String> {
    let limit = at.shop.limits.check.uncut;
    let cell = CELL.max(tool.radius() * FINE);
    let does = |design: &Design| {
        let body = Body::new(design);
        Face::BOTH.into_iter().all(|face| {
            let ground = surface(&body, face, tool, cell);
            left_by(&body, face, &ground, tool).most <= limit
        })
    };
    LEVERS.iter().find_map(|lever| {
        let bowl = matches!(at.design.head, Head::Bowl(_));
        if (lever.key == "bowl.depth" && !bowl)
            || (lever.key == "handle.curve" && at.design.handle.curve.is_empty())
        {
            return None;
        }
        let (mut low, mut high) = (0.1, 1.0);
        if !does(&(lever.with)(at.design, low)) {
            return None;
        }
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if does(&(lever.with)(at.design, middle)) { low = middle } else { high = middle }
        }
        // Rounded to the safe side as it is printed.
        let printed = match (&at.design.head, lever.key) {
            (Head::Bowl(bowl), "bowl.depth") => {
                let depth = bowl.depth.as_mm();
                (10.0 * low * depth).floor() / 10.0 / depth
            }
            _ => (100.0 * low).floor() / 100.0,
        };
        Some((lever.says)(at.design, printed))
    })
}
