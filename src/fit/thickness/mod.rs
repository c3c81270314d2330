//! The design made to fit the stock: as little changed as possible of what its `[give]` allows.
//!
//! Promised: every limit of a give, every rule that makes a design valid and the shop's least
//! wall, rim and tine hold, and the exact body is not higher than the stock, or it is said what
//! would do. The same input gives the same answer. Not promised: the least change of all; the
//! search goes from three starts, and heights are not convex in every dimension.

mod advice;
mod gives;
mod limits;
mod search;

pub use advice::Advice;
pub use gives::Change;
pub use limits::BodyRoom;

use crate::params::{self, Board, Design, Shop};
use crate::shape::Body;
use gives::{Variable, moved, variables};
use limits::FitLimits;
use search::{FitFound, KEPT, Search};

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

/// What a board has room for: the greatest height, length and width of a body.
pub fn room(board: &Board, shop: &Shop) -> BodyRoom {
    limits::room(board, shop)
}

/// Makes a design fit a board.
pub fn to_board(design: &Design, board: &Board, shop: &Shop, spare: Spare) -> Fit {
    to_room(design, shop, room(board, shop), spare)
}

/// The same without a word of what would do when it can't be made to fit: to try what is advised.
pub fn fitted(design: &Design, board: &Board, shop: &Shop, spare: Spare) -> Option<Fit> {
    tried(design, shop, room(board, shop), spare)
}

/// Makes a design fit a room.
pub fn to_room(design: &Design, shop: &Shop, room: BodyRoom, spare: Spare) -> Fit {
    tried(design, shop, room, spare).unwrap_or_else(|| {
        let variables = variables(design);
        let limits = FitLimits::new(design, shop, &keys(&variables));
        let advice = advice::advice(design, &variables, &limits, room);
        Fit { advice: Some(advice), ..as_asked(design) }
    })
}

fn as_asked(design: &Design) -> Fit {
    Fit { design: design.clone(), changes: vec![], cost: 0.0, advice: None }
}

fn keys(variables: &[Variable]) -> Vec<String> {
    variables.iter().map(|variable| variable.key.clone()).collect()
}

/// A design that fits a room, if it can be made to.
fn tried(design: &Design, shop: &Shop, room: BodyRoom, spare: Spare) -> Option<Fit> {
    let fits = trespass(design, room) <= 0.0;
    if fits && spare == Spare::Leave {
        return Some(as_asked(design));
    }
    let variables = variables(design);
    let limits = FitLimits::new(design, shop, &keys(&variables));
    if fits {
        let grown = grown(design, &variables, &limits, room);
        return Some(grown.unwrap_or_else(|| as_asked(design)));
    }
    let bounds: Vec<[f64; 2]> = variables.iter().map(|v| [v.least, v.most]).collect();
    let wanted = vec![0.0; variables.len()];
    let search =
        Search { design, variables: &variables, limits: &limits, wanted: &wanted, bounds: &bounds };
    polished(&search, room).map(|found| fit(design, &variables, &found))
}

/// How much taller, longer or wider than the room the exact body is, in mm; 0 or less if it fits.
fn trespass(design: &Design, room: BodyRoom) -> f64 {
    let body = Body::new(design);
    let [low, high] = body.heights();
    let [right, left] = body.breadth();
    ((high - low).as_mm() - room.height)
        .max(design.length.as_mm() - room.length)
        .max(left - right - room.width)
}

/// The best of a search, moved until the body is within the room to the last digit.
fn polished(search: &Search<'_>, room: BodyRoom) -> Option<FitFound> {
    let mut aim = room;
    let mut found = search.best(aim);
    for _ in 0..20 {
        let design = moved(search.design, search.variables, &found.changes);
        let over = trespass(&design, room);
        let valid = found.trespass <= 100.0 * KEPT && !params::faults(&design).has_fault();
        if over <= 0.0 && valid {
            return Some(found);
        }
        if over > 1e-3 {
            return None;
        }
        let less = over.max(found.trespass) * 1.5 + KEPT;
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
    variable.key == "bowl.depth" || variable.key.starts_with("handle.curve")
}

fn grown(
    design: &Design,
    variables: &[Variable],
    limits: &FitLimits<'_>,
    room: BodyRoom,
) -> Option<Fit> {
    let bounds: Vec<[f64; 2]> =
        variables.iter().map(|v| if grows(v) { [0.0, v.most] } else { [0.0, 0.0] }).collect();
    let wanted: Vec<f64> = bounds.iter().map(|bound| bound[1]).collect();
    let search = Search { design, variables, limits, wanted: &wanted, bounds: &bounds };
    polished(&search, room).map(|found| fit(design, variables, &found))
}

fn fit(design: &Design, variables: &[Variable], found: &FitFound) -> Fit {
    let heaviest = design.give.iter().map(|give| give.weight).fold(f64::MIN_POSITIVE, f64::max);
    let each = variables.iter().zip(&found.changes);
    Fit {
        design: moved(design, variables, &found.changes),
        changes: each.clone().filter_map(|(v, change)| v.change(*change)).collect(),
        cost: heaviest * each.map(|(v, change)| v.weight * change * change).sum::<f64>(),
        advice: None,
    }
}

#[cfg(test)]
mod tests;
