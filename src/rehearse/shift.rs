//! By how much the zero of a program is off: the small shift in the plan, with whatever height goes with it,
//! that lays the cuts on the relief.

use super::fit::{FAR_MM, Free, LeftOnPurpose, Sample, Sampled, TOUCHED, UNTOUCHED_MM};
use glam::{DAffine3, DMat4, DVec2, DVec3, DVec4};

/// So far the plan is searched, in steps of the first of these, in mm.
const STEPS: [(f64, i32); 5] = [(2.0, 8), (1.0, 2), (0.5, 2), (0.2, 3), (0.1, 2)];

/// A shift less than this is none, in mm. What roughing leaves is less even, so its height is less sure.
const NONE_MM: f64 = 0.14;
const NONE_ROUGH_MM: f64 = 0.3;
const NONE_HIGH_MM: f64 = 0.08;

/// This share of the places may be lower than the rest: single wrong cuts are no matter of the zero.
const LOWEST: f64 = 0.02;

/// Of finishing, the height is taken where the relief is this level, in mm for each mm, if there are so many such
/// places: so many of them lie in the valleys between its passes.
const LEVEL: f64 = 0.15;
const LEVEL_LEAST: usize = 200;
const VALLEYS: f64 = 0.1;

/// So often the plan is drawn nearer, and the line through what is over the surface anew; what is this many times
/// further off than half of all is left out.
const ROUNDS: usize = 5;
const APART: f64 = 3.0;

/// The shift that fills the limit may cost so much more than the best.
const FILLED: f64 = 1.5;

/// A place that is too low counts so much more than one that is too high.
const LOW: f64 = 4.0;

/// Tenths that are tried to both sides along one axis.
const ALONG: i32 = 12;

/// A shift along fewer axes may cost so much more.
const ABOUT_AS_WELL: f64 = 1.1;
const ABOUT_MM: f64 = 0.01;

/// A shift that is tried, and what is off by then.
#[derive(Clone, Copy, Debug)]
struct TriedShift {
    by: DVec3,
    cost: f64,
}

/// What has to be added to the program's coordinates; none when that is next to nothing.
/// `filled` is the shift that lays the box of its cuts on the box of its limits, when these are of one size: what
/// roughing leaves is uneven, and its limit is what it fills.
pub(super) fn zero_shift(
    free: &Free,
    pieces: &Sampled,
    left: LeftOnPurpose,
    filled: Option<DVec2>,
) -> Option<DVec3> {
    let touched: Vec<&Sample> = carved_pieces(free, pieces).into_iter().flatten().collect();
    let least = if left.leaves > 0.0 { NONE_ROUGH_MM } else { NONE_HIGH_MM };
    let mut heights: Vec<Height> = Vec::with_capacity(touched.len());
    let finishes = left.leaves <= 0.0;
    let mut level: Vec<f64> = Vec::new();
    // With whatever height goes with it, or with none.
    let mut at = |plan: DVec2, raise: bool| -> Option<TriedShift> {
        let map = DAffine3::from_translation(plan.extend(0.0));
        let back = map.inverse();
        heights.clear();
        level.clear();
        for sample in &touched {
            if let Some(over) = free.over(sample, &map, &back) {
                heights.push(Height { over: over - left.leaves, slack: free.slack(sample) });
                if finishes && sample.slope() < LEVEL {
                    level.push(over);
                }
            }
        }
        if (heights.len() as f64) < TOUCHED * touched.len() as f64 {
            return None;
        }
        let lowest = |height: &Height| height.over + height.slack;
        let lift = match raise {
            false => 0.0,
            true if level.len() >= LEVEL_LEAST => {
                let nth = (VALLEYS * level.len() as f64) as usize;
                -*level.select_nth_unstable_by(nth, f64::total_cmp).1
            }
            true => {
                let nth = (LOWEST * heights.len() as f64) as usize;
                heights.select_nth_unstable_by(nth, |a, b| lowest(a).total_cmp(&lowest(b)));
                -lowest(&heights[nth])
            }
        };
        let untouched = (touched.len() - heights.len()) as f64 * UNTOUCHED_MM;
        let off: f64 = heights.iter().map(|height| height.cost(lift, finishes)).sum();
        Some(TriedShift { by: plan.extend(lift), cost: (off + untouched) / touched.len() as f64 })
    };
    let better = |best: &mut Option<TriedShift>, found: Option<TriedShift>| {
        if let Some(found) = found
            && best.as_ref().is_none_or(|best| found.cost < best.cost - 1e-9)
        {
            *best = Some(found);
        }
    };
    let mut best = at(DVec2::ZERO, true);
    for (step, reach) in STEPS {
        let around = best.map_or(DVec2::ZERO, |best| best.by.truncate());
        for x in -reach..=reach {
            for y in -reach..=reach {
                better(&mut best, at(around + DVec2::new(x.into(), y.into()) * step, true));
            }
        }
    }
    let full = best?;
    if finishes && let Some(plan) = aligned(free, &touched, full.by.truncate()) {
        let lift = at(plan, true)?.by.z;
        return rounded(plan.extend(lift), least);
    }
    let exact = |axis: f64| if axis.abs() < NONE_MM { 0.0 } else { axis };
    let filled =
        filled.filter(|_| left.leaves > 0.0).map(|plan| DVec2::new(exact(plan.x), exact(plan.y)));
    if let Some(found) = filled.and_then(|plan| at(plan, true))
        && found.cost < FILLED * full.cost + ABOUT_MM
    {
        return rounded(found.by, least);
    }
    // A zero is off along one axis more often than along all: what explains it about as well with fewer of
    // them is told.
    let mut plainest = None;
    for (axes, raise) in [
        (DVec2::ZERO, true),
        (DVec2::X, false),
        (DVec2::Y, false),
        (DVec2::ONE, false),
        (DVec2::X, true),
        (DVec2::Y, true),
    ] {
        let mut found = at(full.by.truncate() * axes, raise);
        for axis in [DVec2::X, DVec2::Y].into_iter().filter(|axis| axes.dot(*axis) > 0.0) {
            let around = found.map_or(DVec2::ZERO, |found| found.by.truncate());
            for step in -ALONG..=ALONG {
                better(&mut found, at(around + axis * 0.1 * f64::from(step), raise));
            }
        }
        plainest = found.filter(|found| found.cost < ABOUT_AS_WELL * full.cost + ABOUT_MM);
        if plainest.is_some() {
            break;
        }
    }
    rounded(plainest.unwrap_or(full).by, least)
}

/// The shift in the plan of a program that lies on the surface: what is over it rises and falls with the slope when
/// the plan is off. Paths keep off slopes on both sides alike, which is reckoned apart, and what lies far off
/// the rest is left out.
fn aligned(free: &Free, touched: &[&Sample], begin: DVec2) -> Option<DVec2> {
    let mut plan = begin;
    for _ in 0..ROUNDS {
        let map = DAffine3::from_translation(plan.extend(0.0));
        let back = map.inverse();
        let over: Vec<(DVec4, f64)> = touched
            .iter()
            .filter_map(|sample| {
                let rises = sample.rises();
                Some((rises, free.over(sample, &map, &back)?))
            })
            .collect();
        let (mut by, mut mean) = (DVec4::ZERO, (DVec4::ZERO, 0.0));
        let mut within = f64::INFINITY;
        for _ in 0..ROUNDS {
            let off = |(rises, over): &(DVec4, f64)| over - mean.1 - (*rises - mean.0).dot(by);
            let near: Vec<&(DVec4, f64)> =
                over.iter().filter(|one| off(one).abs() <= within).collect();
            if near.len() < LEVEL_LEAST {
                return None;
            }
            let all = near.iter().fold((DVec4::ZERO, 0.0), |a, b| (a.0 + b.0, a.1 + b.1));
            mean = (all.0 / near.len() as f64, all.1 / near.len() as f64);
            let (mut square, mut sum) = (DMat4::ZERO, DVec4::ZERO);
            for (rises, over) in near {
                let (rises, over) = (*rises - mean.0, over - mean.1);
                square += DMat4::from_cols(
                    rises * rises.x,
                    rises * rises.y,
                    rises * rises.z,
                    rises * rises.w,
                );
                sum += rises * over;
            }
            if square.determinant().abs() < f64::MIN_POSITIVE {
                return None;
            }
            by = square.inverse() * sum;
            let off = |(rises, over): &(DVec4, f64)| over - mean.1 - (*rises - mean.0).dot(by);
            let mut apart: Vec<f64> = over.iter().map(|one| off(one).abs()).collect();
            let middle = apart.len() / 2;
            within = APART * *apart.select_nth_unstable_by(middle, f64::total_cmp).1;
        }
        plan += DVec2::new(by.z, by.w);
    }
    Some(plan)
}

/// To tenths; none when next to nothing is left.
fn rounded(by: DVec3, least: f64) -> Option<DVec3> {
    let height = if by.z.abs() < least { 0.0 } else { raised(by.z) };
    let exact = |axis: f64| if axis.abs() < NONE_MM { 0.0 } else { tenth(axis) };
    Some(DVec3::new(exact(by.x), exact(by.y), height)).filter(|by| *by != DVec3::ZERO)
}

/// How high a place is over what should be left there, and what it may be off by its slope.
#[derive(Clone, Copy, Debug)]
struct Height {
    over: f64,
    slack: f64,
}

impl Height {
    /// What it counts when it is raised. Finishing lies on the surface, as much too high as too low when it is
    /// moved; of what only comes near, what is too low counts more.
    fn cost(&self, lift: f64, finishes: bool) -> f64 {
        let over = self.over + lift;
        if finishes {
            return over.abs().min(FAR_MM);
        }
        let off = if over >= 0.0 { over } else { LOW * (-over - self.slack).max(0.0) };
        off.min(FAR_MM)
    }
}

fn tenth(value: f64) -> f64 {
    (10.0 * value).round() / 10.0
}

/// To a tenth, rather too high than into the piece.
fn raised(value: f64) -> f64 {
    (10.0 * value - 0.3).ceil() / 10.0
}

/// Pieces that the program as it is comes to; all when it is beside all of them.
fn carved_pieces<'a>(free: &Free, pieces: &'a Sampled) -> Vec<&'a Vec<Sample>> {
    let still = DAffine3::IDENTITY;
    let comes = |samples: &&Vec<Sample>| {
        let touched = samples.iter().filter(|one| free.over(one, &still, &still).is_some());
        touched.count() as f64 > TOUCHED * samples.len() as f64
    };
    let own: Vec<&Vec<Sample>> = pieces.iter().filter(comes).collect();
    if own.is_empty() { pieces.iter().collect() } else { own }
}
