//! The piece in the plan, as groups of lines that are drawn alike.

use crate::export::dxf::{self, Layer};
use crate::job::Mounted;
use crate::outline::{ArcPath, ArcVertex};
use crate::units::Length;
use glam::DVec2;

/// Chords of curves in the PDF: far finer than a pencil's line and than the 0.05 mm that a
/// template is looked at with.
pub(super) const CHORD: Length = Length::mm(0.005);

/// What is drawn alike, under the name that the SVG's group has.
pub(super) type DrawnGroup = Layer<'static>;

/// An open path through places.
pub(super) fn open(points: impl IntoIterator<Item = DVec2>) -> ArcPath {
    let vertices = points.into_iter().map(|point| ArcVertex { point, bulge: 0.0 }).collect();
    ArcPath { vertices, closed: false }
}

/// Least and greatest corner of parts, in mm.
pub(super) fn extent(parts: &[DrawnGroup]) -> (DVec2, DVec2) {
    let all = dxf::extents(parts).filter(|(low, high)| low.is_finite() && high.is_finite());
    all.unwrap_or((DVec2::ZERO, DVec2::ONE))
}

/// The piece in the design's frame, from above; each pin is a part by itself.
pub(super) fn plan(at: &Mounted<'_>) -> Vec<DrawnGroup> {
    let Mounted { mounting, piece, carved, .. } = at;
    let outlines = &piece.outlines;
    let pins = mounting.pins.places.iter().map(|pin| {
        let middle = at.placement.in_design(*pin);
        let radius = mounting.pins.hole.half();
        let cross = radius.as_mm() + 3.0;
        let arm = |way: DVec2| open([middle - way * cross, middle + way * cross]);
        let paths = vec![arm(DVec2::X), arm(DVec2::Y)];
        DrawnGroup { circles: vec![(middle, radius)], ..DrawnGroup::new("pins", paths) }
    });
    let end = piece.body.length().as_mm();
    let middle = [DVec2::new(-5.0, 0.0), DVec2::new(end + 5.0, 0.0)];
    let parts = [
        DrawnGroup::new("outline", vec![outlines.body.clone()]),
        DrawnGroup::new("hollow", outlines.hollow.iter().cloned().collect()),
        DrawnGroup::new("slots", outlines.slots.clone()),
        DrawnGroup::new("tabs", carved.tabs.iter().map(|(_, path)| path.clone()).collect()),
        DrawnGroup::new("saw-lines", carved.saw_lines.clone()),
        DrawnGroup::new("x-axis", vec![open(middle)]),
    ];
    // The look of slots, whose kin they are.
    let openings = DrawnGroup::new("openings", outlines.openings.clone());
    let openings = (!outlines.openings.is_empty()).then_some(openings);
    parts.into_iter().chain(openings).chain(pins).collect()
}
