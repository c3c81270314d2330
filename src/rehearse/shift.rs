//! By how much the zero of a program is off: the small shift in the plan, with whatever height goes with it,
//! that lays the cuts on the relief.

use super::fit::{FAR_MM, Free, LeftOnPurpose, Sample, Sampled, TOUCHED, UNTOUCHED_MM};
use glam::{DAffine3, DVec2, DVec3};

/// So far the plan is searched, in steps of the first of these, in mm.
const STEPS: [(f64, i32); 5] = [(2.0, 8), (1.0, 2), (0.5, 2), (0.2, 3), (0.1, 2)];

/// A shift less than this is none, in mm. What roughing leaves is less even, so its height is less sure.
const NONE_MM: f64 = 0.14;
const NONE_ROUGH_MM: f64 = 0.3;

/// This share of the places may be lower than the rest: single wrong cuts are no matter of the zero.
const LOWEST: f64 = 0.02;

/// A shift along fewer axes may cost so much more.
const ABOUT_AS_WELL: f64 = 1.1;
const ABOUT_MM: f64 = 0.01;

/// What has to be added to a program's coordinates, and what is off by then.
#[derive(Clone, Copy, Debug)]
struct Moved {
    by: DVec3,
    cost: f64,
}

/// What has to be added to the program's coordinates; none when that is next to nothing.
pub(super) fn shift(free: &Free, pieces: &Sampled, left: LeftOnPurpose) -> Option<DVec3> {
    let touched: Vec<&Sample> = carved_pieces(free, pieces).into_iter().flatten().collect();
    let least = if left.leaves > 0.0 { NONE_ROUGH_MM } else { NONE_MM };
    let mut heights: Vec<(f64, f64)> = Vec::with_capacity(touched.len());
    let mut at = |plan: DVec2| -> Option<Moved> {
        let map = DAffine3::from_translation(plan.extend(0.0));
        let back = map.inverse();
        heights.clear();
        for sample in &touched {
            if let Some(over) = free.over(sample, &map, &back) {
                heights.push((over, over + free.slack(sample)));
            }
        }
        if (heights.len() as f64) < TOUCHED * touched.len() as f64 {
            return None;
        }
        let nth = (LOWEST * heights.len() as f64) as usize;
        heights.select_nth_unstable_by(nth, |a, b| a.1.total_cmp(&b.1));
        let lift = left.leaves - heights[nth].1;
        let lift = if lift.abs() < least { 0.0 } else { lift };
        let off = |(over, _): &(f64, f64)| (over + lift - left.leaves).abs().min(FAR_MM);
        let untouched = (touched.len() - heights.len()) as f64 * UNTOUCHED_MM;
        let cost = (heights.iter().map(off).sum::<f64>() + untouched) / touched.len() as f64;
        Some(Moved { by: plan.extend(lift), cost })
    };
    let better = |best: &mut Option<Moved>, found: Option<Moved>| {
        if let Some(found) = found
            && best.as_ref().is_none_or(|best| found.cost < best.cost - 1e-9)
        {
            *best = Some(found);
        }
    };
    let still = at(DVec2::ZERO);
    let mut best = still;
    for (step, reach) in STEPS {
        let around = best.map_or(DVec2::ZERO, |best| best.by.truncate());
        for x in -reach..=reach {
            for y in -reach..=reach {
                better(&mut best, at(around + DVec2::new(x.into(), y.into()) * step));
            }
        }
    }
    let full = best?;
    // A zero is off along one axis more often than along all: what explains it about as well with fewer of
    // them is told.
    let fits = |found: &Moved| found.cost < ABOUT_AS_WELL * full.cost + ABOUT_MM;
    let mut plain = still.filter(fits);
    for axis in [DVec2::X, DVec2::Y] {
        let mut along = None;
        for step in -10..=10 {
            let place = (full.by.truncate() * axis).dot(DVec2::ONE) + 0.1 * f64::from(step);
            better(&mut along, at(axis * place));
        }
        if plain.is_none() {
            plain = along.filter(fits);
        }
    }
    let by = plain.unwrap_or(full).by;
    let rounded = DVec3::new(tenth(by.x), tenth(by.y), raised(by.z));
    Some(rounded).filter(|by| by.length() > NONE_MM)
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
