//! The pass that trims a plug or what was poured down to the face.

use super::bed_of_art::BedOfArt;
use super::one::OneInlay;
use crate::cutting::PassKind;
use crate::cutting::passes::Pass;
use crate::outline::{ArcPath, common::common, offset::offset};
use crate::params::{Cutter, InlaySide};
use crate::relief::Face;
use crate::units::Length;
use glam::DVec2;

/// The rectangle reaches so far beyond the art, in mm, so that glue that was pressed out goes too (no
/// source).
const ROUND_MM: f64 = 3.0;

/// A rectangle round the art, as far as the body goes: the finishing cutter follows the body's own face in
/// it.
pub(super) fn pass(one: &OneInlay<'_>, bed: &BedOfArt<'_>, cutter: &Cutter) -> Option<Pass> {
    let corners = bed.loops.concat();
    let low = corners.iter().copied().fold(DVec2::INFINITY, DVec2::min) - ROUND_MM;
    let high = corners.iter().copied().fold(DVec2::NEG_INFINITY, DVec2::max) + ROUND_MM;
    let radius = cutter.diameter.half();
    let rectangle = [low, DVec2::new(high.x, low.y), high, DVec2::new(low.x, high.y)];
    let rectangle = ArcPath::polygon(rectangle.map(|p| one.in_plan(p)));
    // The cutter's centre may go out to the outline: its far half then touches the skirt, which is cut
    // already.
    let touched: Vec<ArcPath> = common(&rectangle, one.order.outline);
    let turned = |path: ArcPath| if path.signed_area() < 0.0 { path.reversed() } else { path };
    let centre: Vec<ArcPath> = touched.into_iter().map(turned).collect();
    let area: Vec<ArcPath> =
        centre.iter().flat_map(|path| offset(path, radius)).map(turned).collect();
    let face = match one.inlay.side {
        InlaySide::Top => Face::Top,
        InlaySide::Bottom => Face::Bottom,
    };
    let kind = PassKind::InlayTrim;
    let cutter = cutter.clone();
    (!centre.is_empty()).then_some(Pass { kind, face, cutter, centre, area, through: None })
}

/// Room that two inlays leave each other at least.
pub(super) const APART: Length = Length::mm(2.0);
