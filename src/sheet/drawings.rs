//! The sheet's line drawings: plan and profile, at true size before the page scales them.

use crate::export::files::{Drawn, extent};
use crate::export::svg;
use crate::job::{Job, Round};
use crate::outline::{ArcPath, ArcVertex};
use crate::params::Side;
use crate::units::{Length, Unit};
use glam::DVec2;

/// The piece from above, with slots and tabs.
pub(super) fn plan(job: &Job, round: &Round) -> String {
    let outlines = &job.outlines;
    let drawn = |name, paths: Vec<ArcPath>| Drawn { name, paths, circles: vec![] };
    let layers = [
        drawn("outline", vec![outlines.body.clone()]),
        drawn("hollow", outlines.hollow.iter().cloned().collect()),
        drawn("slots", outlines.slots.clone()),
        drawn("tabs", round.tabs.iter().map(|(_, path)| path.clone()).collect()),
    ];
    picture(&layers)
}

/// The piece cut along its middle line, and the line where its two sides meet.
pub(super) fn profile(job: &Job) -> String {
    const STEPS: u32 = 400;
    let length = job.body.length().as_mm();
    // Just inside both ends, where the skins still have a height.
    let x = |step: u32| (f64::from(step) / f64::from(STEPS)).clamp(1e-6, 1.0 - 1e-6) * length;
    let middle = |step: u32| job.body.middle_at(Length::mm(x(step)));
    let top = (0..=STEPS).map(|step| DVec2::new(x(step), job.body.top(middle(step))));
    let bottom = (0..=STEPS).rev().map(|step| DVec2::new(x(step), job.body.bottom(middle(step))));
    let parting = (0..=STEPS).map(|step| {
        let p = job.body.outline_at(Length::mm(x(step)), Side::Right);
        ArcVertex { point: DVec2::new(p.x, job.body.parting(p)), bulge: 0.0 }
    });
    let drawn = |name, path: ArcPath| Drawn { name, paths: vec![path], circles: vec![] };
    picture(&[
        drawn("outline", ArcPath::polygon(top.chain(bottom))),
        drawn("limit", ArcPath { vertices: parting.collect(), closed: false }),
    ])
}

fn picture(layers: &[Drawn]) -> String {
    let shown: Vec<_> = layers.iter().map(Drawn::layer).collect();
    svg::drawing(&shown, Unit::Millimetre, extent(layers))
}
