//! Why a piece has no place on a board.
//!
//! Promised: a board that is called too small is so at every lean that the search looks at, and a
//! flaw that is named is one without which the search finds a place. Not promised: a piece that
//! finds no place beside others may find one in another order.

use super::{Ask, Effort, Footprint, lay};
use crate::params::Board;
use crate::units::{Angle, Length};
use glam::DVec2;

/// Angles at which the board's room is looked at, from the least lean to the most.
const ANGLES: u32 = 40;

/// Chords of the outline that is measured: far finer than what is missing is told.
const CHORD: Length = Length::mm(0.02);

/// Why a piece has no place.
#[derive(Clone, Debug, PartialEq)]
pub enum Why {
    /// The board is too small for it and its frame: what they need of length and of width, where
    /// least is missing. No figure for what the board has.
    Small([Option<Length>; 2]),
    /// It touches this flaw of the board, by its index, wherever it lies; without it there is a
    /// place.
    Flaw(usize),
    /// Several flaws, none of which alone leaves it without a place.
    Flaws,
    /// The other pieces leave none.
    Others,
}

/// Why a piece of a set has no place on a board.
pub fn why(board: &Board, piece: &Footprint, ask: &Ask<'_>) -> Why {
    if let Some(needs) = small(board, piece, ask.frame) {
        return Why::Small(needs);
    }
    let ask = Ask { effort: Effort::First, ..*ask };
    let holds = |board: &Board| lay(board, std::slice::from_ref(piece), &ask).placed() == 1;
    let without = |gone: usize| {
        let mut other = board.clone();
        other.flaws.remove(gone);
        other
    };
    if board.flaws.is_empty() || holds(board) {
        return Why::Others;
    }
    (0..board.flaws.len()).find(|gone| holds(&without(*gone))).map_or(Why::Flaws, Why::Flaw)
}

/// What a piece with its frame needs of a board that is too small for it.
fn small(board: &Board, piece: &Footprint, frame: Length) -> Option<[Option<Length>; 2]> {
    let edge = piece.whole.to_polyline(CHORD);
    let has = DVec2::new(board.length.as_mm(), board.width.as_mm());
    let needs = |angle: Angle| {
        let turn = DVec2::from_angle(angle.as_radians());
        let [mut low, mut high] = [DVec2::INFINITY, DVec2::NEG_INFINITY];
        for p in &edge {
            let p = turn.rotate(*p);
            (low, high) = (low.min(p), high.max(p));
        }
        high - low + 2.0 * frame.as_mm()
    };
    let lean = |step: u32| {
        let share = 2.0 * f64::from(step) / f64::from(ANGLES) - 1.0;
        Angle::radians(board.grain.as_radians() + share * piece.lean.as_radians())
    };
    // Along the board, too, where the grain lets it lie so.
    let along = board.grain.as_radians().abs() <= piece.lean.as_radians();
    let angles = (0..=ANGLES).map(lean).chain(along.then_some(Angle::radians(0.0)));
    let missing = |needs: &DVec2| (*needs - has).max(DVec2::ZERO).element_sum();
    let least = angles.map(needs).min_by(|a, b| missing(a).total_cmp(&missing(b)))?;
    let figure = |needs: f64, has: f64| (needs > has).then(|| Length::mm(needs));
    (missing(&least) > 0.0).then(|| [figure(least.x, has.x), figure(least.y, has.y)])
}

#[cfg(test)]
mod tests {
    use super::super::Match;
    use super::*;
    use crate::outline::ArcPath;
    use crate::params::{Flaw, FlawKind, FlawShape};

    fn rectangle(long: f64, wide: f64) -> ArcPath {
        let corners = [(0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide)];
        ArcPath::polygon(corners.map(DVec2::from))
    }

    fn piece(lean: f64) -> Footprint {
        let [sound, whole] = [rectangle(300.0, 60.0), rectangle(308.0, 68.0)];
        Footprint { sound, whole, lean: Angle::degrees(lean) }
    }

    fn knot(x: f64, y: f64, radius: f64) -> Flaw {
        let centre = DVec2::new(x, y);
        let shape = FlawShape::Circle { centre, radius: Length::mm(radius) };
        Flaw { kind: FlawKind::Knot, shape }
    }

    fn told(board: &Board, piece: &Footprint) -> Why {
        let room = |_: &Board, _: &[Vec<DVec2>]| true;
        let frame = Length::mm(15.0);
        let ask = Ask { frame, together: Match::Free, effort: Effort::Best, room: &room };
        why(board, piece, &ask)
    }

    #[test]
    fn a_small_board_is_told_what_is_needed() {
        let board = |size: (f64, f64)| Board::bare(DVec2::from(size), vec![]);
        let needs = |x: Option<f64>, y: Option<f64>| Why::Small([x, y].map(|n| n.map(Length::mm)));
        // 308 and 68 with 15 all round.
        assert_eq!(told(&board((330.0, 120.0)), &piece(2.0)), needs(Some(338.0), None));
        assert_eq!(told(&board((400.0, 97.0)), &piece(2.0)), needs(None, Some(98.0)));
        assert_eq!(told(&board((330.0, 90.0)), &piece(2.0)), needs(Some(338.0), Some(98.0)));
        // The grain leans more than the piece may: it can't lie along the board.
        let askew = Board { grain: Angle::degrees(10.0), ..board((400.0, 100.0)) };
        let Why::Small([None, Some(wide)]) = told(&askew, &piece(2.0)) else { panic!("narrow") };
        // 308 sin 8° + 68 cos 8° and the frame.
        assert!((wide.as_mm() - 140.204).abs() < 0.01, "{wide}");
    }

    #[test]
    fn the_flaw_that_stands_in_the_way_is_named() {
        let board = |flaws| Board::bare(DVec2::new(350.0, 130.0), flaws);
        let (near, middle) = (knot(10.0, 120.0, 4.0), knot(175.0, 65.0, 20.0));
        assert_eq!(told(&board(vec![near.clone(), middle.clone()]), &piece(2.0)), Why::Flaw(1));
        let both = vec![near, middle.clone(), knot(100.0, 65.0, 20.0)];
        assert_eq!(told(&board(both), &piece(2.0)), Why::Flaws);
        assert_eq!(told(&board(vec![]), &piece(2.0)), Why::Others);
    }
}
