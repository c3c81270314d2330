//! One to eight pieces on one board.
//!
//! Promised: in a layout that is given, no two pieces' skirts are nearer to each other or to the
//! board's edge than asked, no body is nearer to a flaw than [`FLAW_CLEAR`], every handle lies
//! within its lean of the grain, and the clearance that is claimed is there, measured between the
//! outlines' own lines and arcs (no boxes, no chords). Handles lie along the board when that leaves
//! the pieces at least the frame's width more than must be, unless leaning gains much room. Pieces
//! go together as asked, or it is known that they don't. The same input gives the same layout. Not
//! promised: the best of all layouts; the search goes from a set of starts, each to its nearest
//! best, and then from the best of these to its neighbours.

mod ask;
mod clear;
mod cuts;
mod gap;
mod search;
mod starts;
mod table;
mod why;

pub use ask::{Ask, Effort, FLAW_CLEAR, Footprint, Match, Room};
pub use clear::{Clear, Neighbour, clearances};
pub use cuts::{Cut, cuts};
pub use why::{Why, why};

use super::place::Placement;
use crate::finding::Code;
use crate::params::Board;
use crate::units::Length;
use ask::on_board;
use glam::DVec2;
use search::Found;
use table::Table;

/// The pieces of a set don't go together as asked.
pub const MATCH_NOT_KEPT: Code = Code {
    name: "match-not-kept",
    explain: "The pieces were to go together in a certain way (`--match`), and on this board no \
        layout was found in which they do and pins and hold-downs have room. So they lie as they \
        fit best, and the figure of one is not that of the next. Pieces that go together lie side \
        by side from the same length of the board, which needs width: a wider board, or one whose \
        flaws lie elsewhere, keeps them together. For mirrored pieces the grain must also lie \
        near enough to the board's length that they may lean both ways from it (utensil.lean). \
        The search goes from many starts but not from all, so a tight board may still have a \
        place that it did not find.",
};

/// Where straight handles have the frame's width over, leaning must gain as much again, and this
/// share of what they have: passes along the board then no longer run along the handles (no source).
const LEANS_FOR: f64 = 0.2;

/// Most pieces on one board: more make no sense on a board that a router of this class holds.
pub const MOST: usize = 8;

/// Where the pieces lie.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// One for each piece; none for one that has no place.
    pub places: Vec<Option<Placement>>,
    /// Least wood beyond what must be kept, between skirts, to the edge, and from bodies to flaws.
    pub clearance: Length,
    /// All clearances, each with its places; the least spare of them is `clearance`, but where a
    /// piece lies beyond a wane.
    pub clearances: Vec<Clear>,
    /// Whether pins and hold-downs have room too.
    pub roomy: bool,
    /// Whether the pieces go together as asked; when that can't be, they lie as they fit best.
    pub kept: bool,
    /// Useful strips of the board that can be sawn off, the largest first: two corners each, in
    /// mm. Each goes across or along all that is left when those before it are off.
    pub offcuts: Vec<[DVec2; 2]>,
}

impl Layout {
    /// How many pieces have a place.
    pub fn placed(&self) -> usize {
        self.places.iter().flatten().count()
    }

    /// The same layout of a longer list of pieces, of which these are those with these numbers,
    /// each once; the others have no place.
    pub fn among(self, numbers: &[usize], count: usize) -> Layout {
        let mut places = vec![None; count];
        for (place, number) in self.places.into_iter().zip(numbers) {
            places[*number] = place;
        }
        let mut clearances = self.clearances;
        for clear in &mut clearances {
            clear.piece = numbers[clear.piece];
            if let Neighbour::Piece(other) = &mut clear.to {
                *other = numbers[*other];
            }
        }
        Layout { places, clearances, ..self }
    }
}

/// Lays pieces on a board. As many as there is room for, with what holds them; of several sets of
/// as many, the one with the most wood in it. When nothing leaves room for pins and hold-downs,
/// the largest set that lies clear, marked as not roomy.
pub fn lay(board: &Board, pieces: &[Footprint], ask: &Ask<'_>) -> Layout {
    let count = pieces.len().min(MOST);
    let areas: Vec<f64> = pieces.iter().map(|piece| piece.whole.signed_area().abs()).collect();
    let mut sets: Vec<u32> = (1..(1_u32 << count)).collect();
    let weight =
        |set: u32| -> f64 { (0..count).filter(|i| set & (1 << i) != 0).map(|i| areas[i]).sum() };
    sets.sort_by(|a, b| {
        (b.count_ones().cmp(&a.count_ones())).then(weight(*b).total_cmp(&weight(*a))).then(a.cmp(b))
    });
    let whole = board.length.as_mm() * board.width.as_mm();
    let mut tried: Vec<Vec<usize>> = Vec::new();
    let mut cramped: Option<Layout> = None;
    for set in sets {
        let members: Vec<usize> = (0..count).filter(|i| set & (1 << i) != 0).collect();
        // Two pieces of one make are the same in a set.
        let first = |i: usize| (0..i).find(|j| pieces[*j] == pieces[i]).unwrap_or(i);
        let make: Vec<usize> = members.iter().map(|i| first(*i)).collect();
        if weight(set) > whole || tried.contains(&make) {
            continue;
        }
        tried.push(make);
        let chosen: Vec<&Footprint> = members.iter().map(|i| &pieces[*i]).collect();
        let Some(found) = set_laid(board, &chosen, ask) else { continue };
        let laid = on_board(&chosen, &found.places);
        let layout = Layout {
            places: found.places.into_iter().map(Some).collect(),
            clearances: clearances(board, &laid, ask.frame),
            clearance: Length::mm(found.clearance),
            roomy: found.roomy,
            kept: found.kept,
            offcuts: found.offcuts,
        }
        .among(&members, pieces.len());
        if layout.roomy {
            return layout;
        }
        cramped = cramped.or(Some(layout));
    }
    cramped.unwrap_or_else(|| Layout {
        places: vec![None; pieces.len()],
        clearance: Length::ZERO,
        clearances: Vec::new(),
        roomy: false,
        kept: true,
        offcuts: Vec::new(),
    })
}

/// A layout of all of these: as they are asked to go together; when that doesn't lie clear with
/// what holds the board, as they fit best.
fn set_laid(board: &Board, pieces: &[&Footprint], ask: &Ask<'_>) -> Option<Found> {
    let matched = matched(board, pieces, ask, ask.together);
    let free = ask.together == Match::Free || pieces.len() < 2;
    if free || matched.as_ref().is_some_and(|found| found.roomy) {
        return matched;
    }
    let free = self::matched(board, pieces, ask, Match::Free);
    match (matched, free) {
        (Some(matched), Some(free)) if !free.roomy => Some(matched),
        (matched, free) => free.map(|found| Found { kept: false, ..found }).or(matched),
    }
}

/// A layout of all of these that go together so.
fn matched(board: &Board, pieces: &[&Footprint], ask: &Ask<'_>, together: Match) -> Option<Found> {
    let mut table = Table::new(board, pieces, ask, together);
    if !table.can_keep() {
        return None;
    }
    let askew = || search::best(&Table::new(board, pieces, ask, together));
    let straight = table.straighten().then(|| search::best(&table)).flatten();
    let Some(straight) = straight else { return askew() };
    if straight.roomy && ask.effort == Effort::First {
        return Some(straight);
    }
    let Some(askew) = askew() else { return Some(straight) };
    // Where straight handles have room enough, leaning must be worth it.
    let frame = ask.frame.as_mm();
    let worth = match straight.clearance {
        clear if clear >= frame => frame.max(LEANS_FOR * clear),
        _ => search::SAME,
    };
    let gains = askew.clearance > straight.clearance + worth;
    let better = (askew.roomy, gains) > (straight.roomy, false);
    Some(if better { askew } else { straight })
}

#[cfg(test)]
mod tests;
