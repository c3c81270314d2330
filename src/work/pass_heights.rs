//! The heights of a pass, as they are entered: where it begins and ends, how deep it goes at a time,
//! what it leaves, and how high the tip is lifted on its way.

use crate::bed::mounts::LIFT_CLEAR;
use crate::cutting::PassKind;
use crate::cutting::passes::Pass;
use crate::relief::{Face, Tab};
use crate::setup::Setup;
use crate::units::Length;
use glam::DVec3;

/// A pass that goes round the edge lifts so far over the tabs (common practice, no source).
const OVER_TABS: Length = Length::mm(2.0);

/// Heights of a pass in its setup's frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PassHeights {
    /// Where it begins: the stock's upper face.
    pub start: Length,
    /// The lowest that its tip goes.
    pub end: Length,
    /// How deep it goes at a time; none for one that follows the surface.
    pub depth: Option<Length>,
    /// What it leaves on the surface for a later pass.
    pub leaves: Length,
    /// Where the tip is lifted to, clear of hold-downs, tabs and the stock.
    pub lift: Length,
    /// Of a pass that goes over the tabs: no lower than this over them.
    pub over_tabs: Option<Length>,
}

/// The heights of a pass over a piece. `lowest` is the lowest that is carved of it in that setup, over
/// the bed, `leave` what the shop leaves for finishing, `over` the highest on the bed.
pub fn pass_heights(
    pass: &Pass,
    setup: &Setup,
    tabs: &[Tab],
    lowest: Length,
    leave: Length,
    over: Length,
) -> PassHeights {
    let leaves = match pass.kind {
        PassKind::Rough | PassKind::Clear => leave,
        _ => Length::ZERO,
    };
    let depth = match pass.kind {
        PassKind::Finish | PassKind::CleanUp | PassKind::InlayTrim => None,
        _ => Some(pass.cutter.depth_of_pass()),
    };
    let over_tabs = || {
        let upper = tabs.iter().map(|tab| {
            let up = match setup.face {
                Face::Top => tab.top,
                Face::Bottom => tab.bottom,
            };
            setup.from_design.point(DVec3::new(0.0, 0.0, up.as_mm())).z
        });
        upper.max_by(f64::total_cmp).map(|high| Length::mm(high) + OVER_TABS)
    };
    PassHeights {
        start: setup.stock_top,
        end: setup.stock_bottom + pass.through.unwrap_or(lowest + leaves),
        depth,
        leaves,
        lift: lift(setup, over),
        over_tabs: (pass.kind == PassKind::Edge).then(over_tabs).flatten(),
    }
}

/// Where the tip is lifted to in a setup, in its frame: over all that stands on the bed. `over` is the
/// height of the highest over it.
pub fn lift(setup: &Setup, over: Length) -> Length {
    (setup.stock_bottom + over).max(setup.stock_top) + LIFT_CLEAR
}
