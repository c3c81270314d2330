//! Paper templates at true size: the outline with its slots, tabs, saw lines and pins, and a gauge
//! for each cross-section, as PDF in pages and as one SVG.
//!
//! Promised: a millimetre of the piece is a millimetre of the file, to 0.01 mm; each page carries
//! a scale bar in both units to be measured after printing. Not promised: that a printer keeps to
//! it, which is what the bar is for.

mod gauges;
mod pages;
mod pdf;
mod plan;

use crate::export::svg;
use crate::job::Mounted;
use crate::units::Unit;
use glam::DVec2;
use plan::{extent, plan};

/// `templates.pdf`.
pub(crate) fn pdf(at: &Mounted<'_>) -> Vec<u8> {
    pdf::document(&at.piece.design.name, &pages::of(at))
}

/// `templates.svg`: all on one sheet, the gauges below the plan.
pub(crate) fn svg(at: &Mounted<'_>) -> Vec<u8> {
    let mut parts = plan(at);
    let (low, high) = extent(&parts);
    let mut foot = low.y - 10.0;
    for part in gauges::of(at.piece, at.job.shop.unit) {
        let (least, most) = extent(std::slice::from_ref(&part));
        parts.push(part.moved(DVec2::new(low.x - least.x, foot - most.y)));
        foot -= most.y - least.y + 8.0;
    }
    let bar = pages::scale_bar(DVec2::new(low.x, foot - 10.0));
    parts.push(bar);
    let (low, most) = extent(&parts);
    let room = DVec2::splat(6.0);
    let bounds = (low - room, most.max(high) + room);
    svg::drawing(&parts, Unit::Millimetre, bounds).into_bytes()
}

#[cfg(test)]
mod tests;
