//! `bed.dxf`: what goes into the bed and stands on it, in the machine's own frame.

use super::files::{Drawn, Plans};
use super::words;
use crate::job::{Job, Round};
use crate::outline::ArcPath;
use crate::relief::Face;
use crate::units::Length;
use glam::DVec2;

/// Arms of the cross at a work position's zero.
const CROSS_MM: f64 = 8.0;

impl<'a> Plans<'a> {
    pub(super) fn bed(&mut self, job: &'a Job, round: &'a Round) {
        let role = words::BED;
        self.drawing("bed", role, "bed", job.order.shop.unit, layers(job, round));
    }

    /// The limits of a setup's passes, each as path of the centre and as area.
    pub(super) fn limits(&mut self, job: &'a Job, round: &'a Round, face: Face) {
        let Some((setup, _)) = round.setups.iter().find(|(setup, _)| setup.face == face) else {
            return;
        };
        let mut layers = Vec::new();
        for pass in round.hold.passes.iter().filter(|pass| pass.face == face) {
            let turned =
                |paths: &[ArcPath]| paths.iter().map(|p| setup.from_design.path(p)).collect();
            let [centre, area] = pass.kind.layers();
            layers.push(Drawn { name: centre, paths: turned(&pass.centre), circles: vec![] });
            layers.push(Drawn { name: area, paths: turned(&pass.area), circles: vec![] });
        }
        let side = face.name();
        let role = words::LIMITS;
        self.drawing(&format!("{side}/limits"), role, side, job.order.shop.unit, layers);
    }
}

fn layers(job: &Job, round: &Round) -> Vec<Drawn> {
    let board = &job.order.board;
    let size = DVec2::new(board.length.as_mm(), board.width.as_mm());
    let mut all = Vec::new();
    let drawn = |name, paths, circles| Drawn { name, paths, circles };
    for mount in &round.hold.mounts {
        let [stock, holes, zero] = match mount.face {
            Face::Top => ["board-top", "pins-top", "zero-top"],
            Face::Bottom => ["board-bottom", "pins-bottom", "zero-bottom"],
        };
        let corners = [DVec2::ZERO, DVec2::new(size.x, 0.0), size, DVec2::new(0.0, size.y)];
        let rectangle = ArcPath::polygon(corners.map(|p| mount.on_bed(p)));
        let bored: Vec<(DVec2, Length)> = round
            .hold
            .borings
            .iter()
            .filter(|hole| !hole.in_board && hole.face == mount.face)
            .map(|hole| (hole.on_bed, hole.diameter.half()))
            .collect();
        let arm = |way: DVec2| {
            let ends = [mount.on_bed(way * CROSS_MM), mount.on_bed(-way * CROSS_MM)];
            ArcPath { closed: false, ..ArcPath::polygon(ends) }
        };
        all.push(drawn(stock, vec![rectangle], vec![]));
        all.push(drawn(holes, vec![], bored));
        all.push(drawn(zero, vec![arm(DVec2::X), arm(DVec2::Y)], vec![]));
    }
    all
}
