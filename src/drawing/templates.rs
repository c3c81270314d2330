//! Paper templates at true size: the outline with its slots, tabs, saw lines and pins, and a gauge
//! for each cross-section, as PDF in pages and as one SVG.
//!
//! Promised: a millimetre of the piece is a millimetre of the file, to 0.01 mm; each page carries
//! a scale bar in both units to be measured after printing. Not promised: that a printer keeps to
//! it, which is what the bar is for.

mod gauges;
mod pages;
mod pdf;

use crate::export::dxf::Layer;
use crate::export::svg;
use crate::job::{Job, Round};
use crate::outline::{ArcPath, ArcVertex};
use crate::units::{Length, Unit};
use glam::{DAffine2, DVec2};

/// Chords of curves in the PDF: far finer than a pencil's line and than the 0.05 mm that a
/// template is looked at with.
pub(super) const CHORD: Length = Length::mm(0.005);

/// What is drawn alike.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Part {
    /// As the SVG's group is called.
    name: &'static str,
    paths: Vec<ArcPath>,
    circles: Vec<(DVec2, Length)>,
    /// Lower left corner, words, height of the letters.
    texts: Vec<(DVec2, String, Length)>,
}

impl Part {
    fn new(name: &'static str, paths: Vec<ArcPath>) -> Part {
        Part { name, paths, circles: Vec::new(), texts: Vec::new() }
    }

    fn moved(&self, by: DVec2) -> Part {
        let map = DAffine2::from_translation(by);
        Part {
            name: self.name,
            paths: self.paths.iter().map(|path| path.transformed(map)).collect(),
            circles: self.circles.iter().map(|(p, r)| (*p + by, *r)).collect(),
            texts: self.texts.iter().map(|(p, w, h)| (*p + by, w.clone(), *h)).collect(),
        }
    }
}

/// An open path through places.
fn open(points: impl IntoIterator<Item = DVec2>) -> ArcPath {
    let vertices = points.into_iter().map(|point| ArcVertex { point, bulge: 0.0 }).collect();
    ArcPath { vertices, closed: false }
}

/// Least and greatest corner of parts, in mm.
fn extent(parts: &[Part]) -> (DVec2, DVec2) {
    let mut low = DVec2::INFINITY;
    let mut high = DVec2::NEG_INFINITY;
    for part in parts {
        for (from, to) in part.paths.iter().filter_map(ArcPath::bounds) {
            (low, high) = (low.min(from), high.max(to));
        }
        for (centre, radius) in &part.circles {
            low = low.min(*centre - radius.as_mm());
            high = high.max(*centre + radius.as_mm());
        }
    }
    if low.is_finite() && high.is_finite() { (low, high) } else { (DVec2::ZERO, DVec2::ONE) }
}

/// The piece in the design's frame, from above.
fn plan(job: &Job, round: &Round) -> Vec<Part> {
    let outlines = &job.outlines;
    let mut pins = Part::new("pins", Vec::new());
    for pin in &round.pins.places {
        let at = round.placement.in_design(*pin);
        let radius = round.pins.hole.half();
        pins.circles.push((at, radius));
        let cross = radius.as_mm() + 3.0;
        pins.paths.push(open([at - DVec2::X * cross, at + DVec2::X * cross]));
        pins.paths.push(open([at - DVec2::Y * cross, at + DVec2::Y * cross]));
    }
    let end = job.body.length().as_mm();
    let middle = [DVec2::new(-5.0, 0.0), DVec2::new(end + 5.0, 0.0)];
    vec![
        Part::new("outline", vec![outlines.body.clone()]),
        Part::new("hollow", outlines.hollow.iter().cloned().collect()),
        Part::new("slots", outlines.slots.clone()),
        Part::new("tabs", round.tabs.iter().map(|(_, path)| path.clone()).collect()),
        Part::new("saw-lines", round.saw_lines.clone()),
        pins,
        Part::new("x-axis", vec![open(middle)]),
    ]
}

/// `templates.pdf`.
pub(crate) fn pdf(job: &Job, round: &Round) -> Vec<u8> {
    let name = &job.order.design.name;
    pdf::document(name, &pages::of(job, round))
}

/// `templates.svg`: all on one sheet, the gauges below the plan.
pub(crate) fn svg(job: &Job, round: &Round) -> Vec<u8> {
    let mut parts = plan(job, round);
    let (low, high) = extent(&parts);
    let mut foot = low.y - 10.0;
    for part in gauges::of(job) {
        let (least, most) = extent(std::slice::from_ref(&part));
        parts.push(part.moved(DVec2::new(low.x - least.x, foot - most.y)));
        foot -= most.y - least.y + 8.0;
    }
    let bar = pages::scale_bar(DVec2::new(low.x, foot - 10.0));
    parts.push(bar);
    let (low, most) = extent(&parts);
    let room = DVec2::splat(6.0);
    let layers: Vec<Layer<'_>> = parts
        .iter()
        .map(|part| Layer {
            name: part.name,
            paths: &part.paths,
            circles: part.circles.clone(),
            texts: part.texts.clone(),
        })
        .collect();
    let bounds = (low - room, most.max(high) + room);
    svg::drawing(&layers, Unit::Millimetre, bounds).into_bytes()
}

#[cfg(test)]
mod tests;
