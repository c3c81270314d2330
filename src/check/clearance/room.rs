//! The room under a holder: a cone over each place of a sweep, against all that stands round it.

use crate::cutting::envelope::Standing;
use crate::cutting::sweep::{CELL_MM, CarvedSurface, Sweep};
use crate::outline::{ArcPath, Segment};
use glam::DVec2;

/// What the holder could meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Meets {
    Frame,
    HoldDown,
    Piece,
    Board,
    Bed,
}

/// What is carved in a setup.
pub(super) struct CarvedFace<'a> {
    /// What encloses it, with the box round each segment; outside stands the frame.
    edge: Vec<(Segment, (DVec2, DVec2))>,
    surface: &'a CarvedSurface,
    /// Each cell's height, raised to that of its highest neighbour.
    heights: Vec<f64>,
    highest: f64,
}

impl<'a> CarvedFace<'a> {
    /// `area` encloses it.
    pub(super) fn new(surface: &'a CarvedSurface, area: &ArcPath) -> CarvedFace<'a> {
        let heights = surface.greatest_round();
        let highest = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let edge = area.segments().map(|segment| (segment, segment.bounds())).collect();
        CarvedFace { edge, surface, heights, highest }
    }

    /// How far a place is from the frame, in mm; some distance over `within` when it is farther.
    fn off_frame(&self, p: DVec2, within: f64) -> f64 {
        /// More than the rounding of a box, in mm.
        const ROUNDING: f64 = 1e-6;
        let square = |least: f64| (least + ROUNDING) * (least + ROUNDING);
        let mut least = within + ROUNDING;
        let mut near = square(least);
        for (segment, (low, high)) in &self.edge {
            let off_box = (*low - p).max(p - *high).max(DVec2::ZERO).length_squared();
            if off_box <= near {
                least = least.min(segment.distance(p));
                near = square(least);
            }
        }
        least
    }

    fn at(&self, column: isize, row: isize) -> f64 {
        self.surface.cell(column, row).map_or(f64::NEG_INFINITY, |cell| self.heights[cell])
    }
}

/// What stands in a setup, heights over the bed in mm.
pub(super) struct Surroundings<'a> {
    /// None while the board is whole.
    pub(super) carved: Option<CarvedFace<'a>>,
    /// What stands on the bed.
    pub(super) hold_downs: &'a [Standing],
    /// Of the stock.
    pub(super) height: f64,
}

/// The least that is known so far.
struct Least(f64, Option<(DVec2, Meets)>);

impl Least {
    fn take(&mut self, room: f64, at: DVec2, meets: Meets) {
        if room < self.0 {
            *self = Least(room, Some((at, meets)));
        }
    }
}

impl Surroundings<'_> {
    /// The least room under a pass's holder, the place of its axis, and what is met there; none where
    /// there is nothing in its reach.
    pub(super) fn nearest(&self, sweep: &Sweep) -> Option<(f64, DVec2, Meets)> {
        let rings = self.carved.as_ref().map_or(Vec::new(), |_| rings(sweep));
        let tops = self.hold_downs.iter().map(|stands| stands.top.as_mm());
        let highest = tops.fold(self.height, f64::max);
        let mut least = Least(f64::INFINITY, None);
        for (p, tip) in &sweep.places {
            let nose = tip + sweep.cutter.stick_out.as_mm();
            // Sorted: all that follow are higher.
            if nose - highest >= least.0 {
                break;
            }
            match &self.carved {
                None => least.take(nose - self.height, *p, Meets::Board),
                Some(carved) => {
                    carved.frame(sweep, (*p, *tip), self.height, &mut least);
                    carved.piece(sweep, &rings, (*p, *tip), &mut least);
                }
            }
            for stands in self.hold_downs {
                let top = stands.top.as_mm();
                if nose - top >= least.0 {
                    continue;
                }
                let away = (stands.apart(*p) - sweep.slack).max(0.0);
                if let Some(over) = sweep.holder_over(away) {
                    least.take(tip + over - top, *p, Meets::HoldDown);
                }
            }
        }
        let Least(room, at) = least;
        at.map(|(p, meets)| (room, p, meets))
    }
}

/// How far a point of a cell may be from its middle, in mm.
const IN_CELL_MM: f64 = std::f64::consts::FRAC_1_SQRT_2 * CELL_MM;

/// Cells that a holder could be over, from its axis' own: how far away their middles are, in mm,
/// nearest first, and which they are.
fn rings(sweep: &Sweep) -> Vec<(f64, isize, isize)> {
    let most = sweep.holder.diameter.half().as_mm() + sweep.slack + 2.0 * IN_CELL_MM;
    let reach = (most / CELL_MM).ceil() as isize;
    let each = (-reach..=reach).flat_map(|dy| (-reach..=reach).map(move |dx| (dx, dy)));
    let mut rings: Vec<(f64, isize, isize)> = each
        .map(|(dx, dy)| (CELL_MM * ((dx * dx + dy * dy) as f64).sqrt(), dx, dy))
        .filter(|(away, ..)| *away <= most)
        .collect();
    rings.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    rings
}

impl CarvedFace<'_> {
    /// The room over the frame, as high as `height`, with the axis at a place and the tip so high.
    fn frame(&self, sweep: &Sweep, (p, tip): (DVec2, f64), height: f64, least: &mut Least) {
        // No pass touches the frame: the centre stays the cutter's radius off it.
        let beside = sweep.cutter.diameter.half().as_mm();
        let room = |away: f64| sweep.holder_over(away).map(|over| tip + over - height);
        if room(beside).is_none_or(|room| room >= least.0) {
            return;
        }
        let reach = sweep.holder.diameter.half().as_mm() + sweep.slack;
        let away = (self.off_frame(p, reach) - sweep.slack).max(beside);
        if let Some(room) = room(away) {
            least.take(room, p, Meets::Frame);
        }
    }

    /// The room over what is carved.
    fn piece(
        &self,
        sweep: &Sweep,
        rings: &[(f64, isize, isize)],
        (p, tip): (DVec2, f64),
        least: &mut Least,
    ) {
        let [column, row] = self.surface.cell_of(p);
        let off = p.distance(self.surface.middle(column, row));
        let unsure = sweep.slack + off + IN_CELL_MM;
        for (away, dx, dy) in rings {
            let Some(over) = sweep.holder_over((away - unsure).max(0.0)) else { break };
            if tip + over - self.highest >= least.0 {
                break;
            }
            least.take(tip + over - self.at(column + dx, row + dy), p, Meets::Piece);
        }
    }
}

#[cfg(test)]
mod tests;
