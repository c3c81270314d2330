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

/// The piece in the design's frame, from above.
pub(super) fn plan(at: &Mounted<'_>) -> Vec<DrawnGroup> {
    let Mounted { mounting, piece, carved, .. } = at;
    let outlines = &piece.outlines;
    let mut pins = DrawnGroup::new("pins", Vec::new());
    for pin in &mounting.pins.places {
        let middle = at.placement.in_design(*pin);
        let radius = mounting.pins.hole.half();
        pins.circles.push((middle, radius));
        let cross = radius.as_mm() + 3.0;
        pins.paths.push(open([middle - DVec2::X * cross, middle + DVec2::X * cross]));
        pins.paths.push(open([middle - DVec2::Y * cross, middle + DVec2::Y * cross]));
    }
    let end = piece.body.length().as_mm();
    let middle = [DVec2::new(-5.0, 0.0), DVec2::new(end + 5.0, 0.0)];
    vec![
        DrawnGroup::new("outline", vec![outlines.body.clone()]),
        DrawnGroup::new("hollow", outlines.hollow.iter().cloned().collect()),
        DrawnGroup::new("slots", outlines.slots.clone()),
        DrawnGroup::new("tabs", carved.tabs.iter().map(|(_, path)| path.clone()).collect()),
        DrawnGroup::new("saw-lines", carved.saw_lines.clone()),
        pins,
        DrawnGroup::new("x-axis", vec![open(middle)]),
    ]
}
