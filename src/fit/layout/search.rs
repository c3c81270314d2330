//! From a start to the nearest layout with the largest least clearance: pieces are moved one at a
//! time by ever smaller steps, towards a softened least of all clearances, which lets two pieces
//! share the room between them.

use super::ask::{Effort, Match};
use super::starts::{self, Start};
use super::table::Table;
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
pub(super) const SAME: f64 = 0.05;
/// Starts that are followed to their end.
const FOLLOWED: usize = 12;

/// A layout of all pieces of a set.
pub(super) struct Found {
    pub(super) places: Vec<Placement>,
    pub(super) clearance: f64,
    pub(super) roomy: bool,
    pub(super) offcuts: Vec<[DVec2; 2]>,
}

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
            places.iter().enumerate().map(|(i, place)| table.laid(i, place)).collect();
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
        work.laid[index] = table.laid(index, &to);
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

/// The best layout of all pieces of a table, or none that will do. One that leaves room for pins
/// and hold-downs goes before one that doesn't.
pub(super) fn best(table: &Table<'_>) -> Option<Found> {
    let rough = |places: &[Placement]| Work::new(table, places.to_vec()).least();
    let mut starts: Vec<(f64, Start)> =
        starts::all(table).into_iter().map(|start| (rough(&start.places), start)).collect();
    // A stable sort: of equal ones the likelier stays first.
    starts.sort_by(|a, b| b.0.total_cmp(&a.0));
    let found = |places: Vec<Placement>| {
        let clearance = table.clearance(&places);
        let roomy = clearance >= 0.0 && table.roomy(&places);
        Found { places, clearance, roomy, offcuts: Vec::new() }
    };
    let mut best = None;
    if table.ask.effort == Effort::First {
        for (clear, start) in starts.into_iter().take(FOLLOWED) {
            let places = if clear > 0.5 { start.places } else { followed(table, start) };
            let next = found(places);
            if next.clearance >= 0.0 {
                let enough = next.roomy;
                if enough || best.is_none() {
                    best = Some(next);
                }
                if enough {
                    break;
                }
            }
        }
    } else {
        let ends: Vec<(Found, f64)> = starts
            .into_par_iter()
            .take(FOLLOWED)
            .with_max_len(1)
            .map(|(_, start)| found(followed(table, start)))
            .filter(|end| end.clearance >= 0.0)
            .map(|end| {
                let left = table.left(&end.places);
                (end, left)
            })
            .collect();
        best = ends
            .into_iter()
            .reduce(|known, next| if better(&next, &known) { next } else { known })
            .map(|(end, _)| end);
    }
    best.map(|found| Found { offcuts: table.offcuts(&found.places), ..found })
}

/// Whether a layout, with the area of its offcut, is better than the one known.
fn better((next, left): &(Found, f64), (known, had): &(Found, f64)) -> bool {
    match (next.roomy, known.roomy) {
        (true, false) => true,
        (false, true) => false,
        _ => {
            next.clearance > known.clearance + SAME
                || (next.clearance > known.clearance - SAME && left > had)
        }
    }
}

fn followed(table: &Table<'_>, start: Start) -> Vec<Placement> {
    let mut work = Work::new(table, start.places);
    let tied = table.together() != Match::Free && work.places.len() > 1;
    let mirrored = tied && table.together() == Match::Mirrored;
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
                let mut together = vec![shifted(&work.places, step), shifted(&work.places, -step)];
                if mirrored {
                    together.extend([step, -step].map(|by| mirrored_turn(table, &work.places, by)));
                }
                for places in together {
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

fn shifted(places: &[Placement], by: f64) -> Vec<Placement> {
    places
        .iter()
        .map(|place| Placement { origin: place.origin + DVec2::new(by, 0.0), ..*place })
        .collect()
}

/// All pieces turned by the same step, every other one the other way.
fn mirrored_turn(table: &Table<'_>, places: &[Placement], step: f64) -> Vec<Placement> {
    let longest = (0..places.len()).map(|i| middle(table, i).x * 2.0).fold(1.0, f64::max);
    let turned = |(i, place): (usize, &Placement)| {
        let by = step / longest * if i % 2 == 0 { 1.0 } else { -1.0 };
        turned(table, i, place, by)
    };
    let all: Vec<Placement> = places.iter().enumerate().map(turned).collect();
    // One that has come to its limit holds all back, or they'd no longer mirror each other.
    let opposite = all
        .windows(2)
        .all(|pair| (pair[0].angle.as_radians() + pair[1].angle.as_radians()).abs() < 1e-12);
    if opposite { all } else { places.to_vec() }
}

/// Half-way along a piece.
fn middle(table: &Table<'_>, index: usize) -> DVec2 {
    let reach = table.coarse[index][1].iter().map(|p| p.x).fold(0.0, f64::max);
    DVec2::new(0.5 * reach, 0.0)
}

/// A piece turned about its middle, as far as its grain allows.
fn turned(table: &Table<'_>, index: usize, from: &Placement, by: f64) -> Placement {
    let [least, most] = table.angles(index);
    let now = from.angle.as_radians();
    let round = if now > 0.5 * PI { PI } else { 0.0 };
    let angle = (now - round + by).clamp(least, most) + round;
    let mut place = Placement { angle: Angle::radians(angle), ..*from };
    let middle = middle(table, index);
    place.origin += from.on_board(middle) - place.on_board(middle);
    place
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
    if table.straight || (tied && table.together() == Match::Mirrored) {
        return to;
    }
    // Half of the step at the ends.
    let reach = (2.0 * middle(table, index).x).max(1.0);
    for by in [step, -step] {
        let place = turned(table, index, from, by / reach);
        if (place.angle.as_radians() - from.angle.as_radians()).abs() > 1e-12 {
            to.push(place);
        }
    }
    to
}
