//! One to eight pieces on one board.
//!
//! Promised: in a layout that is given, no two pieces' skirts are nearer to each other or to the
//! board's edge than asked, no body is nearer to a flaw than [`FLAW_CLEAR`], every handle lies
//! within its lean of the grain, and the clearance that is claimed is there, measured between the
//! outlines' own polygons (no boxes). The same input gives the same layout. Not promised: the best
//! of all layouts; the search goes from a set of starts, each to its nearest best.

mod cuts;
mod gap;
mod search;
mod starts;

pub use cuts::{Cut, cuts};

use super::place::Placement;
use crate::params::Board;
use crate::units::{Angle, Length};
use gap::{Obstacle, Outline};
use glam::DVec2;

/// A flaw is passed at this distance at least; its edge is not sharper than that (no source).
pub const FLAW_CLEAR: Length = Length::mm(1.0);

/// Most pieces on one board: more make no sense on a board that a router of this class holds.
pub const MOST: usize = 8;

/// What is to be laid.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// What must be sound wood: the body's outline. Closed, in the design frame, in mm.
    pub sound: Vec<DVec2>,
    /// What must lie on the board, clear of the others: the skirt's edge. The same.
    pub whole: Vec<DVec2>,
    /// Greatest angle between handle and grain.
    pub lean: Angle,
}

/// How the pieces of a set should go together.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Match {
    /// As they fit best.
    #[default]
    Free,
    /// Side by side from the same length of the board, all the same way round.
    Side,
    /// The same, every other one turned end for end.
    HeadToTail,
}

/// Where the pieces lie.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// One for each piece; none for one that has no place.
    pub places: Vec<Option<Placement>>,
    /// Least wood beyond what must be kept, between skirts, to the edge, and from bodies to flaws.
    pub clearance: Length,
    /// The board's part that is left free: its two corners, in mm. None when there is no useful one.
    pub offcut: Option<[DVec2; 2]>,
}

impl Layout {
    /// How many pieces have a place.
    pub fn placed(&self) -> usize {
        self.places.iter().flatten().count()
    }
}

/// How hard to look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Effort {
    /// The first layout that will do.
    First,
    /// The best from all starts.
    Best,
}

/// The table that layouts are judged on.
struct Table<'a> {
    size: DVec2,
    frame: f64,
    grain: f64,
    pieces: Vec<&'a Piece>,
    few: Vec<[Vec<DVec2>; 2]>,
    obstacles: Vec<Obstacle>,
    board: &'a Board,
    together: Match,
}

/// Lays pieces on a board, with `frame` of wood round each skirt. As many as there is room for;
/// of several sets of as many, the one with the most wood in it.
pub fn lay(
    board: &Board,
    pieces: &[Piece],
    frame: Length,
    together: Match,
    effort: Effort,
) -> Layout {
    let count = pieces.len().min(MOST);
    let none = Layout { places: vec![None; pieces.len()], clearance: Length::ZERO, offcut: None };
    let areas: Vec<f64> = pieces.iter().map(|piece| area(&piece.whole)).collect();
    let mut sets: Vec<u32> = (1..(1_u32 << count)).collect();
    let weight =
        |set: u32| -> f64 { (0..count).filter(|i| set & (1 << i) != 0).map(|i| areas[i]).sum() };
    sets.sort_by(|a, b| {
        (b.count_ones().cmp(&a.count_ones())).then(weight(*b).total_cmp(&weight(*a))).then(a.cmp(b))
    });
    let whole = board.length.as_mm() * board.width.as_mm();
    let mut tried: Vec<Vec<usize>> = Vec::new();
    for set in sets {
        let members: Vec<usize> = (0..count).filter(|i| set & (1 << i) != 0).collect();
        // Two pieces of one make are the same in a set.
        let first = |i: usize| (0..i).find(|j| pieces[*j] == pieces[i]).unwrap_or(i);
        let make: Vec<usize> = members.iter().map(|i| first(*i)).collect();
        if weight(set) > whole || tried.contains(&make) {
            continue;
        }
        tried.push(make);
        let table =
            Table::new(board, members.iter().map(|i| &pieces[*i]).collect(), frame, together);
        if let Some(found) = search::best(&table, effort) {
            let mut layout = none;
            for (place, index) in found.into_iter().zip(&members) {
                layout.places[*index] = Some(place);
            }
            let placed: Vec<Placement> = layout.places.iter().flatten().copied().collect();
            layout.clearance = Length::mm(table.clearance(&placed, false));
            layout.offcut = table.offcut(&placed);
            return layout;
        }
    }
    none
}

fn area(polygon: &[DVec2]) -> f64 {
    let count = polygon.len();
    (0..count).map(|i| polygon[i].perp_dot(polygon[(i + 1) % count])).sum::<f64>().abs() / 2.0
}

impl<'a> Table<'a> {
    fn new(board: &'a Board, pieces: Vec<&'a Piece>, frame: Length, together: Match) -> Table<'a> {
        let few = pieces.iter().map(|piece| [thinned(&piece.sound), thinned(&piece.whole)]);
        Table {
            size: DVec2::new(board.length.as_mm(), board.width.as_mm()),
            frame: frame.as_mm(),
            grain: board.grain.as_radians(),
            few: few.collect(),
            pieces,
            obstacles: board.flaws.iter().map(Obstacle::of).collect(),
            board,
            together,
        }
    }

    /// Body and skirt of a piece where it lies: few corners in a search, all for what is claimed.
    fn laid(&self, index: usize, place: &Placement, few: bool) -> [Outline; 2] {
        let from = if few {
            [&self.few[index][0], &self.few[index][1]]
        } else {
            [&self.pieces[index].sound, &self.pieces[index].whole]
        };
        from.map(|polygon| Outline::closed(polygon.iter().map(|p| place.on_board(*p)).collect()))
    }

    /// Clearance of one laid piece from edge and flaws.
    fn alone(&self, [sound, whole]: &[Outline; 2]) -> f64 {
        let (low, high) = whole.bounds();
        let edge = low.min(self.size - high).min_element() - self.frame;
        let flaws = self.obstacles.iter().map(|flaw| flaw.gap(sound) - FLAW_CLEAR.as_mm());
        let least = flaws.fold(edge, f64::min);
        // Beyond a wane's line there is no wood, however far from the line.
        if least > 0.0 && super::Wood::of(self.board).gap(&sound.corners) <= 0.0 {
            return -sound.bounds().1.distance(sound.bounds().0);
        }
        least
    }

    /// Clearance between two laid pieces.
    fn between(&self, one: &[Outline; 2], other: &[Outline; 2]) -> f64 {
        gap::gap(&one[1], &other[1]) - self.frame
    }

    /// The least of all clearances.
    fn clearance(&self, places: &[Placement], few: bool) -> f64 {
        let laid: Vec<[Outline; 2]> =
            places.iter().enumerate().map(|(i, place)| self.laid(i, place, few)).collect();
        let mut least = f64::INFINITY;
        for (i, piece) in laid.iter().enumerate() {
            least = least.min(self.alone(piece));
            for other in &laid[..i] {
                least = least.min(self.between(piece, other));
            }
        }
        least
    }

    /// The largest strip across or along the board that no piece and no frame reaches into.
    fn offcut(&self, places: &[Placement]) -> Option<[DVec2; 2]> {
        let mut low = DVec2::splat(f64::INFINITY);
        let mut high = DVec2::splat(f64::NEG_INFINITY);
        for (i, place) in places.iter().enumerate() {
            let bounds = self.laid(i, place, false)[1].bounds();
            low = low.min(bounds.0 - self.frame);
            high = high.max(bounds.1 + self.frame);
        }
        let size = self.size;
        let strips = [
            [DVec2::new(high.x, 0.0), size],
            [DVec2::ZERO, DVec2::new(low.x, size.y)],
            [DVec2::new(0.0, high.y), size],
            [DVec2::ZERO, DVec2::new(size.x, low.y)],
        ];
        /// Narrower is firewood (no source).
        const USEFUL: f64 = 25.0;
        let area = |strip: &[DVec2; 2]| (strip[1] - strip[0]).element_product();
        strips.into_iter().filter(|strip| (strip[1] - strip[0]).min_element() >= USEFUL).fold(
            None,
            |best: Option<[DVec2; 2]>, next| match best {
                Some(best) if area(&best) >= area(&next) => Some(best),
                _ => Some(next),
            },
        )
    }
}

/// A polygon with fewer corners, for speed: it strays from the fine one by less than 0.1 mm on
/// the shipped designs, and what is claimed is measured on the fine one.
fn thinned(polygon: &[DVec2]) -> Vec<DVec2> {
    const STRAY: f64 = 0.08;
    let count = polygon.len();
    if count < 8 {
        return polygon.to_vec();
    }
    let mut kept = vec![polygon[0]];
    let mut from = 0;
    while from < count {
        let mut to = from + 1;
        while to < count {
            let (a, b) = (polygon[from], polygon[(to + 1) % count]);
            let chord = Outline::new(vec![a, b], false);
            if (from + 1..=to).any(|i| chord.distance(polygon[i % count]) > STRAY) {
                break;
            }
            to += 1;
        }
        if to >= count {
            break;
        }
        kept.push(polygon[to]);
        from = to;
    }
    kept
}

#[cfg(test)]
mod tests;
