//! From a start to the nearest layout with the largest least clearance: pieces are moved one at a
//! time by ever smaller steps, towards a softened least of all clearances, which lets two pieces
//! share the room between them.

use super::ask::Effort;
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
/// Starts of each kind that are followed by the first step, and those of them that are followed
/// further.
const BEGUN: usize = 36;
const FOLLOWED: usize = 12;
/// So many steps show where a start leads: only those that come within the last of them of the
/// best are followed to their end.
const COARSE_STEPS: usize = 3;

/// Rounds of going from the best layout to its neighbours.
const ROUNDS: usize = 4;
/// A layout with a deeper overlap, in mm, is not worth that.
const NEARLY: f64 = 10.0;

/// A layout of all pieces of a set.
pub(super) struct Found {
    pub(super) places: Vec<Placement>,
    pub(super) clearance: f64,
    pub(super) roomy: bool,
    pub(super) kept: bool,
    pub(super) offcuts: Vec<[DVec2; 2]>,
}

/// A layout in work.
struct Work {
    places: Vec<Placement>,
    laid: Vec<[Outline; 2]>,
    gaps: Gaps,
}

/// Its clearances.
#[derive(Clone)]
struct Gaps {
    alone: Vec<f64>,
    /// Between piece i and j < i, in rows.
    between: Vec<Vec<f64>>,
}

impl Gaps {
    fn all(&self) -> impl Iterator<Item = f64> + '_ {
        self.alone.iter().chain(self.between.iter().flatten()).copied()
    }

    fn least(&self) -> f64 {
        self.all().fold(f64::INFINITY, f64::min)
    }

    /// That between two pieces.
    fn to(&mut self, one: usize, other: usize) -> &mut f64 {
        &mut self.between[one.max(other)][one.min(other)]
    }

    /// The least clearance, softened over about `step`.
    fn soft(&self, step: f64) -> f64 {
        let least = self.least();
        let scale = 0.5 * step;
        least - scale * self.all().map(|c| ((least - c) / scale).exp()).sum::<f64>().ln()
    }
}

impl Work {
    fn new(table: &Table<'_>, places: Vec<Placement>) -> Work {
        let laid: Vec<[Outline; 2]> =
            places.iter().enumerate().map(|(i, place)| table.laid(i, place)).collect();
        let alone = laid.iter().map(|piece| table.alone(piece)).collect();
        let between = |i: usize, j: usize| table.between(&laid[i], &laid[j], f64::INFINITY);
        let row = |i: usize| (0..i).map(|j| between(i, j)).collect();
        let between = (0..laid.len()).map(row).collect();
        Work { places, laid, gaps: Gaps { alone, between } }
    }

    /// One piece laid elsewhere, the clearances then, and the least of them, softened; none when that
    /// is no more than `now`, which mostly shows before all are measured.
    fn moved(
        &self,
        table: &Table<'_>,
        (index, to): (usize, &Placement),
        (step, now): (f64, f64),
    ) -> Option<([Outline; 2], Gaps, f64)> {
        let laid = table.laid(index, to);
        let by = laid[1].moved(&self.laid[index][1]);
        let mut gaps = self.gaps.clone();
        gaps.alone[index] = table.alone(&laid);
        let others = (0..self.laid.len()).filter(|other| *other != index);
        let mut others: Vec<(usize, f64)> = others
            .map(|other| {
                let gap = gaps.to(index, other);
                *gap = table.most(*gap, by);
                (other, *gap)
            })
            .collect();
        // The nearest first: the least clearance is likely there.
        others.sort_by(|a, b| a.1.total_cmp(&b.1));
        let mut there = gaps.soft(step);
        for (other, most) in others {
            if there <= now {
                return None;
            }
            let mut pair = [&laid, &self.laid[other]];
            // The later piece first, as in a new layout: another order rounds otherwise.
            if other > index {
                pair.swap(0, 1);
            }
            *gaps.to(index, other) = table.between(pair[0], pair[1], most);
            there = gaps.soft(step);
        }
        (there > now + 1e-9).then_some((laid, gaps, there))
    }
}

/// A layout on its way, and the pieces in their order across the board.
type Trail = (Work, Vec<usize>);

/// A layout at its end, and the area of its offcut.
type End = (Found, f64);

/// The best layout of all pieces of a table, or none that will do. One that leaves room for pins
/// and hold-downs goes before one that doesn't.
pub(super) fn best(table: &Table<'_>) -> Option<Found> {
    let kinds = likely(table);
    let best = match table.ask.effort {
        Effort::First => first(table, kinds),
        Effort::Best => roomiest(table, kinds).map(|(end, _)| end),
    };
    best.map(|found| Found { offcuts: table.offcuts(&found.places), ..found })
}

/// The likeliest starts of each kind.
fn likely(table: &Table<'_>) -> Vec<Vec<Trail>> {
    let rough = |start: Start| (table.least(&start.places), start);
    let kinds = starts::all(table).into_iter().map(|kind| {
        let mut kind: Vec<(f64, Start)> = kind.into_par_iter().map(rough).collect();
        // A stable sort: of equal ones the likelier stays first.
        kind.sort_by(|a, b| b.0.total_cmp(&a.0));
        let begun = kind.into_iter().take(BEGUN);
        begun.map(|(_, Start { places, order })| (Work::new(table, places), order)).collect()
    });
    kinds.collect()
}

/// What came of a way.
fn found(table: &Table<'_>, work: Work) -> Found {
    let Work { places, gaps, .. } = work;
    // How deep an overlap is, the search knows.
    let clearance = Some(table.clearance(&places)).filter(|clear| *clear >= 0.0);
    let roomy = clearance.is_some() && table.roomy(&places);
    let clearance = clearance.unwrap_or_else(|| gaps.least().min(-SAME));
    Found { places, clearance, roomy, kept: true, offcuts: Vec::new() }
}

/// The first layout that will do.
fn first(table: &Table<'_>, kinds: Vec<Vec<Trail>>) -> Option<Found> {
    let mut best = None;
    let all = kinds.into_iter().flat_map(|kind| kind.into_iter().take(FOLLOWED)).collect();
    for (mut work, order) in likeliest(all, usize::MAX) {
        if work.gaps.least() <= 0.5 {
            work = followed(table, work, &order, &STEPS);
        }
        let next = found(table, work);
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
    best
}

/// The best layout that any start leads to, and its neighbours.
fn roomiest(table: &Table<'_>, kinds: Vec<Vec<Trail>>) -> Option<End> {
    let (coarse, fine) = STEPS.split_at(COARSE_STEPS);
    let (begin, go_on) = coarse.split_at(1);
    let mut ways = Vec::new();
    for kind in kinds {
        let begun = likeliest(all_followed(table, kind, begin), FOLLOWED);
        ways.extend(all_followed(table, begun, go_on));
    }
    let most = ways.iter().map(|(work, _)| work.gaps.least()).fold(f64::MIN, f64::max);
    let last = coarse.last().copied().unwrap_or_default();
    let (near, far): (Vec<Trail>, Vec<Trail>) =
        ways.into_iter().partition(|(work, _)| work.gaps.least() >= most - last);
    let mut known = best_end(table, near, fine);
    // The others too when none of these leaves room for what holds the board.
    if known.as_ref().is_none_or(|(end, _)| !end.roomy) {
        known = known.into_iter().chain(best_end(table, far, fine)).reduce(best_of);
    }
    // Then from the best to its neighbours, as long as that helps.
    for _ in 0..ROUNDS {
        let Some((at, _)) = known.as_ref().filter(|(end, _)| end.clearance > -NEARLY) else {
            break;
        };
        let order: Vec<usize> = (0..at.places.len()).collect();
        let ways: Vec<Trail> = neighbours(table, &at.places)
            .into_iter()
            .map(|places| (Work::new(table, places), order.clone()))
            .collect();
        let next = best_end(table, ways, &STEPS);
        let gains = next.iter().zip(&known).any(|(next, known)| better(next, known));
        if !gains {
            break;
        }
        known = next;
    }
    known.filter(|(end, _)| end.clearance >= 0.0)
}

/// Ways followed by these steps.
fn all_followed(table: &Table<'_>, ways: Vec<Trail>, steps: &[f64]) -> Vec<Trail> {
    ways.into_par_iter()
        .with_max_len(1)
        .map(|(work, order)| (followed(table, work, &order, steps), order))
        .collect()
}

/// The best of the ends that ways come to by these steps.
fn best_end(table: &Table<'_>, ways: Vec<Trail>, steps: &[f64]) -> Option<End> {
    let end = |(work, order): Trail| {
        let found = found(table, followed(table, work, &order, steps));
        let left = if found.clearance >= 0.0 { table.left(&found.places) } else { 0.0 };
        (found, left)
    };
    let ends: Vec<End> = ways.into_par_iter().with_max_len(1).map(end).collect();
    ends.into_iter().reduce(best_of)
}

fn best_of(known: End, next: End) -> End {
    if better(&next, &known) { next } else { known }
}

/// So many of the layouts with the largest least clearance; of equal ones the likelier first.
fn likeliest(mut all: Vec<Trail>, most: usize) -> Vec<Trail> {
    all.sort_by(|a, b| b.0.gaps.least().total_cmp(&a.0.gaps.least()));
    all.truncate(most);
    all
}

/// Whether a layout, with the area of its offcut, is better than the one known.
fn better((next, left): &End, (known, had): &End) -> bool {
    match (next.roomy, known.roomy) {
        (true, false) => true,
        (false, true) => false,
        _ => {
            next.clearance > known.clearance + SAME
                || (next.clearance > known.clearance - SAME && left > had)
        }
    }
}

/// From a layout to a better one, as long as these steps make it better.
fn followed(table: &Table<'_>, mut work: Work, order: &[usize], steps: &[f64]) -> Work {
    for &step in steps {
        let mut now = work.gaps.soft(step);
        for _ in 0..SWEEPS {
            let before = now;
            for index in 0..work.places.len() {
                for to in moves(table, index, &work.places[index], step) {
                    if let Some((laid, gaps, there)) = work.moved(table, (index, &to), (step, now))
                    {
                        work.places[index] = to;
                        work.laid[index] = laid;
                        (work.gaps, now) = (gaps, there);
                    }
                }
            }
            if table.tied() {
                let mut together = vec![shifted(&work.places, step), shifted(&work.places, -step)];
                if table.mirrored() {
                    let turned = |by: f64| mirrored_turn(table, &work.places, order, by);
                    together.extend([step, -step].map(turned));
                }
                for places in together {
                    let next = Work::new(table, places);
                    let there = next.gaps.soft(step);
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
    work
}

/// Layouts that differ from one by a piece turned end for end, or by two that change places. None
/// where the pieces go together in a way that this would end.
fn neighbours(table: &Table<'_>, places: &[Placement]) -> Vec<Vec<Placement>> {
    let count = places.len();
    if table.tied() || count < 2 {
        return Vec::new();
    }
    let middle = |i: usize| places[i].on_board(middle(table, i));
    let put = |all: &mut [Placement], i: usize, angle: f64, to: DVec2| {
        let there = Placement { angle: Angle::radians(angle), ..Placement::default() };
        let place = Placement { origin: to - there.on_board(self::middle(table, i)), ..there };
        all[i] = place;
    };
    let mut all = Vec::new();
    for i in 0..count {
        let [round, lean] = parted(places[i].angle.as_radians());
        let mut turned = places.to_vec();
        put(&mut turned, i, PI - round + lean, middle(i));
        all.push(turned);
        for j in 0..i {
            let mut swapped = places.to_vec();
            for (one, other) in [(i, j), (j, i)] {
                let [round, _] = parted(places[other].angle.as_radians());
                let [least, most] = table.angles(one);
                let [_, lean] = parted(places[one].angle.as_radians());
                put(&mut swapped, one, round + lean.clamp(least, most), middle(other));
            }
            all.push(swapped);
        }
    }
    all
}

fn shifted(places: &[Placement], by: f64) -> Vec<Placement> {
    places
        .iter()
        .map(|place| Placement { origin: place.origin + DVec2::new(by, 0.0), ..*place })
        .collect()
}

/// All pieces turned by the same step, every other one across the board the other way.
fn mirrored_turn(
    table: &Table<'_>,
    places: &[Placement],
    order: &[usize],
    step: f64,
) -> Vec<Placement> {
    let longest = (0..places.len()).map(|i| middle(table, i).x * 2.0).fold(1.0, f64::max);
    let mut all = places.to_vec();
    for (across, index) in order.iter().enumerate() {
        let by = step / longest * if across % 2 == 0 { 1.0 } else { -1.0 };
        all[*index] = turned(table, *index, &places[*index], by);
    }
    // One that has come to its limit holds all back, or they'd no longer mirror each other.
    let opposite = order.windows(2).all(|pair| {
        let sum = lean(&all[pair[0]]) + lean(&all[pair[1]]);
        sum.abs() < 1e-12
    });
    if opposite { all } else { places.to_vec() }
}

/// A handle's angle against the board's length, whichever way round it lies: the whole turn that it
/// is end for end, and the rest.
fn parted(angle: f64) -> [f64; 2] {
    let round = if angle > 0.5 * PI { PI } else { 0.0 };
    [round, angle - round]
}

fn lean(place: &Placement) -> f64 {
    parted(place.angle.as_radians())[1]
}

/// Half-way along a piece.
fn middle(table: &Table<'_>, index: usize) -> DVec2 {
    let reach = table.coarse[index][1].iter().map(|p| p.x).fold(0.0, f64::max);
    DVec2::new(0.5 * reach, 0.0)
}

/// A piece turned about its middle, as far as its grain allows.
fn turned(table: &Table<'_>, index: usize, from: &Placement, by: f64) -> Placement {
    let [least, most] = table.angles(index);
    let [round, lean] = parted(from.angle.as_radians());
    let angle = (lean + by).clamp(least, most) + round;
    let mut place = Placement { angle: Angle::radians(angle), ..*from };
    let middle = middle(table, index);
    place.origin += from.on_board(middle) - place.on_board(middle);
    place
}

/// Where a piece may go from here: along, across, and turned about its middle.
fn moves(table: &Table<'_>, index: usize, from: &Placement, step: f64) -> Vec<Placement> {
    let shifted = |x: f64, y: f64| Placement { origin: from.origin + DVec2::new(x, y), ..*from };
    let mut to = vec![shifted(0.0, step), shifted(0.0, -step)];
    if !table.tied() {
        to.extend([shifted(step, 0.0), shifted(-step, 0.0)]);
    }
    if table.straight || table.mirrored() {
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
