//! From a start to the nearest layout with the largest least clearance: pieces are moved one at a
//! time by ever smaller steps, towards a softened least of all clearances, which lets two pieces
//! share the room between them.

use super::starts::{self, Start, angles};
use super::{Effort, Match, Table};
use crate::fit::Placement;
use crate::fit::layout::gap::Outline;
use crate::units::Angle;
use glam::DVec2;
use rayon::prelude::*;
use std::f64::consts::PI;

/// Steps in mm; the last is finer than a board can be set up.
const STEPS: [f64; 7] = [8.0, 4.0, 2.0, 1.0, 0.5, 0.2, 0.05];
/// Most sweeps over all pieces at one step.
const SWEEPS: usize = 24;
/// Clearances nearer than this are the same; then the offcut decides. In mm.
const SAME: f64 = 0.05;
/// Starts that are followed to their end.
const FOLLOWED: usize = 12;

/// A layout in work.
struct Work {
    places: Vec<Placement>,
    laid: Vec<[Outline; 2]>,
    alone: Vec<f64>,
    /// Between piece i and j < i, in rows.
    between: Vec<Vec<f64>>,
}

impl Work {
    fn new(table: &Table<'_>, places: Vec<Placement>) -> Work {
        let laid: Vec<[Outline; 2]> =
            places.iter().enumerate().map(|(i, place)| table.laid(i, place, true)).collect();
        let alone = laid.iter().map(|piece| table.alone(piece)).collect();
        let row = |i: usize| (0..i).map(|j| table.between(&laid[i], &laid[j])).collect();
        let between = (0..laid.len()).map(row).collect();
        Work { places, laid, alone, between }
    }

    fn all(&self) -> impl Iterator<Item = f64> + '_ {
        self.alone.iter().chain(self.between.iter().flatten()).copied()
    }

    fn least(&self) -> f64 {
        self.all().fold(f64::INFINITY, f64::min)
    }

    /// The least clearance, softened over about `step`.
    fn soft(&self, step: f64) -> f64 {
        let least = self.least();
        let scale = 0.5 * step;
        least - scale * self.all().map(|c| ((least - c) / scale).exp()).sum::<f64>().ln()
    }

    fn moved(&self, table: &Table<'_>, index: usize, to: Placement) -> Work {
        let mut work = Work {
            places: self.places.clone(),
            laid: self.laid.clone(),
            alone: self.alone.clone(),
            between: self.between.clone(),
        };
        work.places[index] = to;
        work.laid[index] = table.laid(index, &to, true);
        work.alone[index] = table.alone(&work.laid[index]);
        for other in 0..work.laid.len() {
            let (i, j) = (index.max(other), index.min(other));
            if i != j {
                work.between[i][j] = table.between(&work.laid[i], &work.laid[j]);
            }
        }
        work
    }
}

/// The best layout of all pieces of a table, or none that will do.
pub(super) fn best(table: &Table<'_>, effort: Effort) -> Option<Vec<Placement>> {
    let mut starts: Vec<(f64, Start)> = starts::all(table)
        .into_iter()
        .map(|start| (table.clearance(&start.places, true), start))
        .collect();
    // A stable sort: of equal ones the likelier stays first.
    starts.sort_by(|a, b| b.0.total_cmp(&a.0));
    let exact = |places: &[Placement]| table.clearance(places, false);
    if effort == Effort::First {
        let mut followed = starts
            .into_iter()
            .take(FOLLOWED)
            .map(|(clear, start)| if clear > 0.5 { start.places } else { followed(table, start) });
        return followed.find(|places| exact(places) >= 0.0);
    }
    let ends: Vec<(f64, Vec<Placement>)> = starts
        .into_par_iter()
        .take(FOLLOWED)
        .with_max_len(1)
        .map(|(_, start)| {
            let places = followed(table, start);
            (exact(&places), places)
        })
        .collect();
    let free = |places: &[Placement]| {
        table.offcut(places).map_or(0.0, |strip| (strip[1] - strip[0]).element_product())
    };
    let mut best: Option<(f64, f64, Vec<Placement>)> = None;
    for (clear, places) in ends.into_iter().filter(|(clear, _)| *clear >= 0.0) {
        let offcut = free(&places);
        let better = best.as_ref().is_none_or(|(known, left, _)| {
            clear > known + SAME || (clear > known - SAME && offcut > *left)
        });
        if better {
            best = Some((clear, offcut, places));
        }
    }
    best.map(|(.., places)| places)
}

fn followed(table: &Table<'_>, start: Start) -> Vec<Placement> {
    let mut work = Work::new(table, start.places);
    let tied = table.together != Match::Free && work.places.len() > 1;
    for step in STEPS {
        let mut now = work.soft(step);
        for _ in 0..SWEEPS {
            let before = now;
            for index in 0..work.places.len() {
                for to in moves(table, index, &work.places[index], step, tied) {
                    let next = work.moved(table, index, to);
                    let there = next.soft(step);
                    if there > now + 1e-9 {
                        (work, now) = (next, there);
                    }
                }
            }
            if tied {
                for by in [step, -step] {
                    let mut places = work.places.clone();
                    places.iter_mut().for_each(|place| place.origin.x += by);
                    let next = Work::new(table, places);
                    let there = next.soft(step);
                    if there > now + 1e-9 {
                        (work, now) = (next, there);
                    }
                }
            }
            if now <= before + 1e-6 {
                break;
            }
        }
    }
    work.places
}

/// Where a piece may go from here: along, across, and turned about its middle.
fn moves(
    table: &Table<'_>,
    index: usize,
    from: &Placement,
    step: f64,
    tied: bool,
) -> Vec<Placement> {
    let shifted = |x: f64, y: f64| Placement { origin: from.origin + DVec2::new(x, y), ..*from };
    let mut to = vec![shifted(0.0, step), shifted(0.0, -step)];
    if !tied {
        to.extend([shifted(step, 0.0), shifted(-step, 0.0)]);
    }
    let few = &table.few[index][1];
    let reach = few.iter().map(|p| p.x).fold(0.0, f64::max);
    let middle = DVec2::new(0.5 * reach, 0.0);
    let [least, most] = angles(table, index);
    let turned = from.angle.as_radians();
    let round = if turned > 0.5 * PI { PI } else { 0.0 };
    for by in [step, -step] {
        // Half of the step at the ends.
        let angle = (turned - round + by / reach.max(1.0)).clamp(least, most) + round;
        if (angle - turned).abs() > 1e-12 {
            let mut place = Placement { angle: Angle::radians(angle), ..*from };
            place.origin += from.on_board(middle) - place.on_board(middle);
            to.push(place);
        }
    }
    to
}
