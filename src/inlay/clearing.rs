//! The flat cutter that clears a recess's floor: where it may go, and how much of the floor it reaches.

use super::bed_of_art::Recess;
use super::codes::INLAY_FLOOR;
use super::one::{Cutters, OneInlay};
use crate::finding::{Finding, Findings};
use crate::outline::{ArcPath, offset::offset};
use crate::units::{Length, plain};
use glam::DVec2;

/// A cutter that reaches less of the floor leaves most of the work to the vee's tip (no source).
const LITTLE: f64 = 0.5;
/// A floor smaller than this in mm² is as soon cleared by the vee (no source).
const SMALL_MM2: f64 = 4.0;
/// Chords of a floor's edge leave it by less than this in mm, and stand for so many corners at most.
const CHORD_MM: f64 = 0.002;
const LONGEST: usize = 200;

/// Where the clearing cutter goes.
pub(super) struct FloorCut {
    /// Its centre stays inside these.
    pub(super) centre: Vec<ArcPath>,
    /// What it touches.
    pub(super) area: Vec<ArcPath>,
    /// The floor, in mm².
    whole_mm2: f64,
    /// The share of it that is reached.
    pub(super) share: f64,
}

impl FloorCut {
    /// Of a cutter of that radius.
    pub(super) fn new(recess: &Recess, radius: Length) -> FloorCut {
        let closed = recess.floor.iter().filter(|line| line.closed);
        let floors: Vec<ArcPath> = closed.map(|line| edge(&line.corners)).collect();
        let mut cut = FloorCut { centre: Vec::new(), area: Vec::new(), whole_mm2: 0.0, share: 0.0 };
        let mut reached = 0.0;
        for path in &floors {
            // Inward from an outer edge, outward from an island's.
            let way = if is_outer(path, &floors) { 1.0 } else { -1.0 };
            cut.whole_mm2 += way * path.signed_area().abs();
            for centre in offset(path, radius * -way) {
                let area = offset(&centre, radius * way);
                let size = |path: &ArcPath| way * path.signed_area().abs();
                reached += area.iter().map(size).sum::<f64>();
                cut.centre.push(centre);
                cut.area.extend(area);
            }
        }
        if cut.whole_mm2 > 0.0 {
            cut.share = (reached / cut.whole_mm2).clamp(0.0, 1.0);
        }
        cut
    }

    /// Says so when the cutter reaches little of the floor.
    pub(super) fn look(&self, one: &OneInlay<'_>, cutters: &Cutters<'_>, out: &mut Findings) {
        if self.whole_mm2 < SMALL_MM2 || self.share >= LITTLE {
            return;
        }
        let share = match self.share {
            share if share > 0.0 => format!("only {} %", plain(100.0 * share, 0)),
            _ => "nothing".to_owned(),
        };
        let message = format!(
            "\"{}\", diameter {}, reaches {share} of the recess's floor; the vee has to clear the rest",
            cutters.clear.name, cutters.clear.diameter
        );
        let help = "Name a thinner flat cutter with `clear`, or let the vee carve the floor from recess.stl, \
                    line by line.";
        out.push(one.about(Finding::caution(INLAY_FLOOR, message, help), "clear"));
    }
}

/// A floor's edge in as few chords as it takes. Its corners lie close, and what is beside a path of many
/// short chords is lost by the offset's rounding.
fn edge(corners: &[DVec2]) -> ArcPath {
    let mut kept: Vec<DVec2> = corners.first().copied().into_iter().collect();
    let mut from = 0;
    while from + 1 < corners.len() {
        let near = |to: &usize| {
            let (a, b) = (corners[from], corners[*to]);
            let along = (b - a).normalize_or_zero();
            corners[from + 1..*to].iter().all(|p| along.perp_dot(*p - a).abs() < CHORD_MM)
        };
        let most = (from + LONGEST + 1).min(corners.len());
        let to = (from + 1..most).take_while(near).last().unwrap_or(from + 1);
        kept.push(corners[to]);
        from = to;
    }
    ArcPath::polygon(kept)
}

/// Whether a floor's edge has floor inside it, not an island.
fn is_outer(path: &ArcPath, floors: &[ArcPath]) -> bool {
    let Some(first) = path.vertices.first() else { return true };
    let round = floors.iter().filter(|other| *other != path && other.contains(first.point));
    round.count() % 2 == 0
}
