//! The search: least weighted change within all limits.
//!
//! Sequential quadratic programming: the limits are straightened at the present place, the
//! quadratic programme that is left is solved by an interior-point library, and a step is taken
//! that betters change and trespass together. The objective is quadratic itself, so its bend is
//! exact and steps are few. Heights are looked at where the body is highest and lowest; after
//! each step places that have become so are added.

use super::gives::{Variable, moved};
use super::limits::{BodyRoom, FitLimits, LimitPlaces};
use crate::params::{self, Design};
use crate::shape::Body;
use clarabel::algebra::CscMatrix;
use clarabel::solver::{DefaultSettingsBuilder, DefaultSolver, IPSolver, NonnegativeConeT};
use rayon::prelude::*;

/// What one millimetre of trespass counts against change. A multiplier is at most twice the
/// change per millimetre that it gains; a thousand is above that of every dimension that has any
/// use.
const TRESPASS: f64 = 1e3;
/// Relative step of the differences.
const STEP: f64 = 1e-6;
/// Most rounds. Searches of the shipped designs take under ten.
const ROUNDS: usize = 60;
/// A step is not taken that would better change and trespass by less than this if all were straight: less than
/// the rounding of heights makes of trespass.
const NO_GAIN: f64 = 1e-11;
/// What is left by a step is known to this share.
const SOLVED: f64 = 1e-10;
/// Shortest share of a step that is tried.
const SHORTEST: f64 = 1e-4;
/// A limit is kept when it is broken by no more than this, in mm.
pub(super) const KEPT: f64 = 1e-9;

/// A search.
pub(super) struct Search<'a> {
    pub(super) design: &'a Design,
    pub(super) variables: &'a [Variable],
    pub(super) limits: &'a FitLimits<'a>,
    /// Changes that would cost nothing; all 0 to change as little as possible.
    pub(super) wanted: &'a [f64],
    /// Bounds of the changes.
    pub(super) bounds: &'a [[f64; 2]],
}

/// Where a search ended.
#[derive(Clone, Debug)]
pub(super) struct FitFound {
    /// Relative change of each variable.
    pub(super) changes: Vec<f64>,
    /// Weighted sum of squares.
    pub(super) cost: f64,
    /// Greatest trespass over a limit, in mm; 0 or less when all are kept.
    pub(super) trespass: f64,
}

impl Search<'_> {
    fn cost(&self, changes: &[f64]) -> f64 {
        let each = self.variables.iter().zip(changes).zip(self.wanted);
        each.map(|((variable, change), wanted)| variable.weight * (change - wanted).powi(2)).sum()
    }

    fn margins(&self, changes: &[f64], room: BodyRoom, places: &LimitPlaces) -> Vec<f64> {
        self.limits.margins(&moved(self.design, self.variables, changes), room, places)
    }

    /// Whether the rules of a valid design are kept so nearly that there is a body to measure.
    fn has_body(&self, changes: &[f64]) -> bool {
        /// In mm; steps of the search lean on the rules without lying.
        const NEARLY: f64 = -0.01;
        let design = moved(self.design, self.variables, changes);
        params::margins(&design).iter().all(|margin| *margin >= NEARLY)
    }

    fn body(&self, changes: &[f64]) -> Body {
        Body::new(&moved(self.design, self.variables, changes))
    }

    /// From one place to the nearest best.
    pub(super) fn from(&self, start: &[f64], room: BodyRoom) -> FitFound {
        let clamp = |changes: &mut [f64]| {
            for (change, [least, most]) in changes.iter_mut().zip(self.bounds) {
                *change = change.clamp(*least, *most);
            }
        };
        let mut at = start.to_vec();
        clamp(&mut at);
        // What is asked is sound, so somewhere on the way to it there is a body.
        for _ in 0..40 {
            if self.has_body(&at) {
                break;
            }
            at.iter_mut().for_each(|change| *change *= 0.5);
        }
        let mut places = LimitPlaces::default();
        places.add(&self.body(&at));
        for _ in 0..ROUNDS {
            let margins = self.margins(&at, room, &places);
            let now = worst(&margins);
            let Some((step, left)) = self.step(&at, &margins, room, &places) else { break };
            let merit = self.cost(&at) + TRESPASS * now;
            let hoped: Vec<f64> = at.iter().zip(&step).map(|(a, d)| a + d).collect();
            let gain = merit - (self.cost(&hoped) + TRESPASS * left);
            if gain < NO_GAIN.max(SOLVED * merit) {
                break;
            }
            let mut share = 1.0;
            let mut taken = false;
            while share > SHORTEST {
                let mut next: Vec<f64> = at.iter().zip(&step).map(|(a, d)| a + share * d).collect();
                clamp(&mut next);
                if !self.has_body(&next) {
                    share *= 0.5;
                    continue;
                }
                let mut wider = places.clone();
                wider.add(&self.body(&next));
                let there = worst(&self.margins(&next, room, &wider));
                if self.cost(&next) + TRESPASS * there < merit - 1e-14 {
                    (at, places, taken) = (next, wider, true);
                    break;
                }
                share *= 0.5;
            }
            if !taken {
                // Places found on the way may show that the present one is not what it seemed.
                let mut next: Vec<f64> = at.iter().zip(&step).map(|(a, d)| a + d).collect();
                clamp(&mut next);
                let known = places.count();
                if self.has_body(&next) {
                    places.add(&self.body(&next));
                }
                if places.count() == known {
                    break;
                }
            }
        }
        let trespass = worst(&self.margins(&at, room, &places));
        FitFound { cost: self.cost(&at), trespass, changes: at }
    }

    /// The best of several starts: as asked, and from both ends of what is allowed.
    pub(super) fn best(&self, room: BodyRoom) -> FitFound {
        let end = |which: usize| self.bounds.iter().map(|bound| bound[which]).collect::<Vec<f64>>();
        let starts = [vec![0.0; self.variables.len()], end(0), end(1)];
        let found: Vec<FitFound> = starts.par_iter().map(|start| self.from(start, room)).collect();
        let found = found.into_iter();
        let better = |a: &FitFound, b: &FitFound| {
            if (a.trespass > KEPT) != (b.trespass > KEPT) {
                a.trespass < b.trespass
            } else if a.trespass > KEPT {
                a.trespass < b.trespass - 1e-12
            } else {
                a.cost < b.cost - 1e-12
            }
        };
        found
            .reduce(|best, next| if better(&next, &best) { next } else { best })
            .unwrap_or(FitFound { changes: Vec::new(), cost: 0.0, trespass: f64::INFINITY })
    }

    /// The step of the straightened programme, and the trespass that it would leave, in mm.
    fn step(
        &self,
        at: &[f64],
        margins: &[f64],
        room: BodyRoom,
        places: &LimitPlaces,
    ) -> Option<(Vec<f64>, f64)> {
        let count = self.variables.len();
        let mut slopes: Vec<Vec<f64>> = Vec::with_capacity(count);
        for i in 0..count {
            let mut aside = at.to_vec();
            aside[i] = at[i] + STEP;
            let ahead = self.margins(&aside, room, places);
            aside[i] = at[i] - STEP;
            let behind = self.margins(&aside, room, places);
            let slope = ahead.iter().zip(&behind).map(|(a, b)| (a - b) / (2.0 * STEP));
            slopes.push(slope.collect());
        }
        // Variables: the step, and one trespass for all limits.
        let trespass = count;
        let mut rows: Vec<(Vec<(usize, f64)>, f64)> = Vec::new();
        for (j, margin) in margins.iter().enumerate() {
            let mut row: Vec<(usize, f64)> =
                (0..count).map(|i| (i, -slopes[i][j])).filter(|(_, v)| *v != 0.0).collect();
            let reach: f64 = row
                .iter()
                .map(|(i, slope)| slope.abs() * (self.bounds[*i][1] - self.bounds[*i][0]))
                .sum();
            if *margin > reach {
                continue; // can't be broken from here
            }
            row.push((trespass, -1.0));
            rows.push((row, *margin));
        }
        for (i, [least, most]) in self.bounds.iter().enumerate() {
            rows.push((vec![(i, 1.0)], most - at[i]));
            rows.push((vec![(i, -1.0)], at[i] - least));
        }
        rows.push((vec![(trespass, -1.0)], 0.0));
        let mut costs = Vec::new();
        let mut slants = Vec::new();
        for ((variable, here), wanted) in self.variables.iter().zip(at).zip(self.wanted) {
            costs.push(2.0 * variable.weight);
            slants.push(2.0 * variable.weight * (here - wanted));
        }
        costs.push(1e-6);
        slants.push(TRESPASS);
        solved(&costs, &slants, &rows).map(|mut step| {
            let left = step[trespass].max(0.0);
            step.truncate(count);
            (step, left)
        })
    }
}

/// The greatest trespass, in mm.
fn worst(margins: &[f64]) -> f64 {
    margins.iter().fold(0.0, |worst, margin| f64::max(worst, -margin))
}

/// Least of a diagonal quadratic within `row · x ≤ bound`.
fn solved(costs: &[f64], slants: &[f64], rows: &[(Vec<(usize, f64)>, f64)]) -> Option<Vec<f64>> {
    let count = costs.len();
    let bend =
        CscMatrix::new(count, count, (0..=count).collect(), (0..count).collect(), costs.to_vec());
    let (mut starts, mut at, mut values) = (vec![0], Vec::new(), Vec::new());
    for column in 0..count {
        for (j, (row, _)) in rows.iter().enumerate() {
            for (_, value) in row.iter().filter(|(i, _)| *i == column) {
                at.push(j);
                values.push(*value);
            }
        }
        starts.push(at.len());
    }
    let limits = CscMatrix::new(rows.len(), count, starts, at, values);
    let bounds: Vec<f64> = rows.iter().map(|(_, bound)| *bound).collect();
    let settings = DefaultSettingsBuilder::default()
        .verbose(false)
        .tol_gap_abs(1e-12)
        .tol_gap_rel(1e-12)
        .tol_feas(1e-12)
        .build()
        .ok()?;
    let cones = [NonnegativeConeT(rows.len())];
    let mut solver = DefaultSolver::new(&bend, slants, &limits, &bounds, &cones, settings).ok()?;
    solver.solve();
    // One that stopped short of the last digits is as good a direction.
    let step = solver.solution.x;
    step.iter().all(|value| value.is_finite()).then_some(step)
}
