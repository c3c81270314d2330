//! One design made to fit a room, with what of it changes alike with others held to some bounds.

use super::advice::Advice;
use super::gives::{Change, Variable, moved};
use super::limits::{BodyRoom, FitLimits};
use super::search::{FitFound, KEPT, Search};
use crate::params::{self, Design, Shop};
use crate::shape::Body;
use std::collections::BTreeMap;

/// A design and how it came to fit.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The design to make: as asked, or changed.
    pub design: Design,
    /// What was changed; empty if nothing had to be.
    pub changes: Vec<Change>,
    /// Weighted sum of the squared relative changes, by the weights of the file.
    pub cost: f64,
    /// Says what would do, when the design can't be made to fit; then it is as asked.
    pub advice: Option<Advice>,
}

/// Whether height that is left over may be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spare {
    /// It is left in the stock.
    Leave,
    /// A deeper hollow and more curve, up to what their gives allow.
    Use,
}

/// Relative changes that groups are held to, by their names.
pub(super) type GroupBounds = BTreeMap<String, [f64; 2]>;

/// A design that was made to fit, and how.
pub(super) struct Move {
    pub(super) fit: Fit,
    /// How far each of its groups went.
    pub(super) groups: Vec<(String, f64)>,
    /// Whether it had to: as asked it doesn't fit.
    pub(super) must: bool,
}

pub(super) fn as_asked(design: &Design) -> Fit {
    Fit { design: design.clone(), changes: vec![], cost: 0.0, advice: None }
}

/// A design that fits a room, if it can be made to, with its groups held to some bounds.
pub(super) fn tried(
    design: &Design,
    variables: &[Variable],
    held: &GroupBounds,
    (shop, room, spare): (&Shop, BodyRoom, Spare),
) -> Option<Move> {
    let bounds: Vec<[f64; 2]> = variables
        .iter()
        .map(|variable| {
            let own = [variable.least, variable.most];
            let held = variable.alike.as_ref().and_then(|group| held.get(group));
            held.map_or(own, |held| held.map(|bound| bound.clamp(own[0], own[1])))
        })
        .collect();
    let none: Vec<f64> = bounds.iter().map(|bound| 0.0_f64.clamp(bound[0], bound[1])).collect();
    let must = trespass(&Body::new(design), room) > 0.0;
    let still = none.iter().all(|change| *change == 0.0);
    let found = |fit: Fit, changes: &[f64]| {
        let groups = variables.iter().zip(changes);
        let groups = groups.filter_map(|(v, change)| Some((v.alike.clone()?, *change))).collect();
        Move { fit, groups, must }
    };
    if !must && spare == Spare::Leave && still {
        return Some(found(as_asked(design), &none));
    }
    // Nothing gives way.
    if variables.is_empty() {
        return (!must).then(|| found(as_asked(design), &none));
    }
    let limits = FitLimits::new(design, shop, variables);
    let search = |wanted: &[f64], bounds: &[[f64; 2]]| {
        let search = Search { design, variables, limits: &limits, wanted, bounds };
        let best = polished(&search, room)?;
        Some(found(fit(design, variables, &best), &best.changes))
    };
    if must || spare == Spare::Leave {
        return search(&vec![0.0; variables.len()], &bounds);
    }
    // Spare height is used by what grows; all else stays, but for what its group does.
    let each = variables.iter().zip(&bounds).zip(&none);
    let bounds: Vec<[f64; 2]> =
        each.map(|((v, bound), none)| [*none, if grows(v) { bound[1] } else { *none }]).collect();
    let wanted: Vec<f64> = bounds.iter().map(|bound| bound[1]).collect();
    search(&wanted, &bounds).or_else(|| still.then(|| found(as_asked(design), &none)))
}

/// How much taller, longer or wider than the room the exact body is, in mm; 0 or less if it fits.
fn trespass(body: &Body, room: BodyRoom) -> f64 {
    let [low, high] = body.heights();
    let [right, left] = body.breadth();
    ((high - low).as_mm() - room.height)
        .max(body.length().as_mm() - room.length)
        .max(left - right - room.width)
}

/// The best of a search, moved until the body is within the room to the last digit.
fn polished(search: &Search<'_>, room: BodyRoom) -> Option<FitFound> {
    /// A search that comes no nearer so often never will: what it is over is not the room's.
    const STALLS: usize = 3;
    let mut aim = room;
    let mut found = search.best(aim);
    let (mut nearest, mut stalls) = (f64::INFINITY, 0);
    for _ in 0..20 {
        let design = moved(search.design, search.variables, &found.changes);
        let body = Body::new(&design);
        let over = trespass(&body, room);
        let makes = || !params::faults(&design).has_fault() && body.trouble().is_none();
        let valid = found.trespass <= 100.0 * KEPT && makes();
        if over <= 0.0 && valid {
            return Some(found);
        }
        if over > 1e-3 {
            return None;
        }
        let off = over.max(found.trespass);
        stalls = if off < 0.9 * nearest { 0 } else { stalls + 1 };
        if stalls == STALLS {
            return None;
        }
        nearest = nearest.min(off);
        let less = off * 1.5 + KEPT;
        aim = BodyRoom {
            height: aim.height - less,
            length: aim.length - less,
            width: aim.width - less,
        };
        found = search.from(&found.changes, aim);
    }
    None
}

/// What may use spare height: the depth of the hollow and the curve of the handle.
fn grows(variable: &Variable) -> bool {
    const CURVES: [&str; 3] = ["handle.curve", "bowl.curve", "blade.curve"];
    variable
        .keys()
        .all(|key| key == "bowl.depth" || CURVES.iter().any(|curve| key.starts_with(curve)))
}

fn fit(design: &Design, variables: &[Variable], found: &FitFound) -> Fit {
    let heaviest = design.give.iter().map(|give| give.weight).fold(f64::MIN_POSITIVE, f64::max);
    let each = variables.iter().zip(&found.changes);
    Fit {
        design: moved(design, variables, &found.changes),
        changes: each.clone().flat_map(|(v, change)| v.changes(*change)).collect(),
        cost: heaviest * each.map(|(v, change)| v.weight * change * change).sum::<f64>(),
        advice: None,
    }
}
