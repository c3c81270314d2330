//! Where a cutter's middle may be in a setup.

use super::plan_shape::PlanShape;
use super::stage::StagedSetup;
use glam::DVec2;
use rayon::prelude::*;

/// So far outside is let pass: chords of a program and of the limit itself.
pub const OVER_MM: f64 = 0.05;

/// Side of the cells that say at once what most places are.
const CELL_MM: f64 = 2.0;

/// All places that one cutter may go to.
#[derive(Clone, Debug)]
pub struct CutterLimit {
    /// It may be inside these.
    areas: Vec<PlanShape>,
    /// It may run along these.
    along: Vec<PlanShape>,
    /// It may be so near to these.
    round: Vec<(DVec2, f64)>,
    low: DVec2,
    columns: usize,
    /// Cells that are inside as a whole.
    inside: Vec<bool>,
}

impl CutterLimit {
    /// Of a cutter; none when the packet has nothing to do for it in this setup.
    pub fn of(stage: &StagedSetup, cutter: &str) -> Option<CutterLimit> {
        let (mut areas, mut along, mut round) = (Vec::new(), Vec::new(), Vec::new());
        let passes = stage.pieces.iter().flat_map(|piece| &piece.passes);
        for pass in passes.filter(|pass| pass.cutter == cutter) {
            match pass.kind.as_str() {
                "edge" => along.extend(pass.centre.iter().cloned()),
                _ => areas.extend(pass.centre.iter().cloned()),
            }
        }
        if let Some(bore) = &stage.bore
            && bore.cutter == cutter
        {
            round.extend(stage.pins.iter().map(|pin| (*pin, bore.path)));
        }
        if areas.is_empty() && along.is_empty() && round.is_empty() {
            return None;
        }
        areas.extend(stage.rebates.iter().cloned());
        let counts = (stage.size / CELL_MM).ceil().max(DVec2::ONE);
        let (columns, rows) = (counts.x as usize, counts.y as usize);
        let own =
            CutterLimit { areas, along, round, low: DVec2::ZERO, columns, inside: Vec::new() };
        let whole = |index: usize| {
            let at = DVec2::new((index % columns) as f64 + 0.5, (index / columns) as f64 + 0.5);
            let at = own.low + at * CELL_MM;
            own.areas.iter().any(|a| a.holds(at) && a.edge_away(at) > 0.75 * CELL_MM)
        };
        let inside = (0..columns * rows).into_par_iter().map(whole).collect();
        Some(CutterLimit { inside, ..own })
    }

    /// How far outside a place is; 0 inside.
    pub fn outside(&self, p: DVec2) -> f64 {
        let at = (p - self.low) / CELL_MM;
        if at.cmpge(DVec2::ZERO).all() && at.x < self.columns as f64 {
            let index = at.y as usize * self.columns + at.x as usize;
            if self.inside.get(index).copied().unwrap_or(false) {
                return 0.0;
            }
        }
        let areas = self.areas.iter().map(|area| area.away(p, f64::INFINITY));
        let along = self.along.iter().map(|path| path.edge_away(p));
        let round = self.round.iter().map(|(middle, path)| middle.distance(p) - path);
        areas.chain(along).chain(round).fold(f64::INFINITY, f64::min).max(0.0)
    }
}
