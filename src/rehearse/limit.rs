//! Where a cutter's middle may be in a setup.

use super::plan_shape::PlanShape;
use super::stage::StagedSetup;
use glam::DVec2;
use rayon::prelude::*;

/// So far outside is let pass: chords of a program and of the limit itself.
pub const OVER_MM: f64 = 0.05;

/// Side of the cells that say at once what most places are.
const CELL_MM: f64 = 2.0;

/// From the middle of a cell to its corner, in sides of it; a little more, for the rounding of figures.
const HALF_DIAGONAL: f64 = 0.708;

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
    /// How far it is at least from anywhere in a cell to the edge of what it is in; 0 where it isn't inside as a whole.
    room: Vec<f32>,
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
        let own = CutterLimit { areas, along, round, low: DVec2::ZERO, columns, room: Vec::new() };
        let room = |index: usize| {
            let at = DVec2::new((index % columns) as f64 + 0.5, (index / columns) as f64 + 0.5);
            let at = own.low + at * CELL_MM;
            let inside = own.areas.iter().filter(|area| area.holds(at));
            let most = inside.map(|area| area.edge_away(at)).fold(0.0, f64::max);
            (most - HALF_DIAGONAL * CELL_MM).max(0.0) as f32
        };
        let room = (0..columns * rows).into_par_iter().map(room).collect();
        Some(CutterLimit { room, ..own })
    }

    /// Within this distance of a place all is inside, in mm; 0 when that is not known.
    pub fn room(&self, p: DVec2) -> f64 {
        let at = (p - self.low) / CELL_MM;
        if at.cmplt(DVec2::ZERO).any() || at.x >= self.columns as f64 {
            return 0.0;
        }
        let index = at.y as usize * self.columns + at.x as usize;
        f64::from(self.room.get(index).copied().unwrap_or(0.0))
    }

    /// How far outside a place is; 0 inside.
    pub fn outside(&self, p: DVec2) -> f64 {
        if self.room(p) > 0.0 {
            return 0.0;
        }
        let areas = self.areas.iter().map(|area| area.away(p, f64::INFINITY));
        let along = self.along.iter().map(|path| path.edge_away(p));
        let round = self.round.iter().map(|(middle, path)| middle.distance(p) - path);
        areas.chain(along).chain(round).fold(f64::INFINITY, f64::min).max(0.0)
    }
}
