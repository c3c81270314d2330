//! What is to be laid, and how.

use crate::fit::place::Placement;
use crate::outline::ArcPath;
use crate::params::Board;
use crate::units::{Angle, Length};
use glam::DVec2;

/// A flaw is passed at this distance at least; its edge is not sharper than that (no source).
pub const FLAW_CLEAR: Length = Length::mm(1.0);

/// What is to be laid.
#[derive(Clone, Debug, PartialEq)]
pub struct Footprint {
    /// What must be sound wood: the body's outline. Closed, in the design frame.
    pub sound: ArcPath,
    /// What must lie on the board, clear of the others: the skirt's edge. The same.
    pub whole: ArcPath,
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
    /// Side by side, every other one at the opposite angle to the rip line between them, so that
    /// their figure runs to it alike.
    Mirrored,
}

impl Match {
    /// What the pieces of a set are then, in words.
    pub const fn words(self) -> &'static str {
        match self {
            Match::Free => "as they fit best",
            Match::Side => "side by side",
            Match::HeadToTail => "side by side, head to tail",
            Match::Mirrored => "side by side, mirrored",
        }
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

/// Whether skirts' edges on a board, closed polygons in mm in its frame, leave room for what holds
/// the board.
pub type Room<'a> = dyn Fn(&Board, &[Vec<DVec2>]) -> bool + Sync + 'a;

/// How a set is to be laid.
#[derive(Clone, Copy)]
pub struct Ask<'a> {
    /// Least wood round each skirt, to the board's edge and to other skirts.
    pub frame: Length,
    /// How the pieces go together.
    pub together: Match,
    /// How hard to look.
    pub effort: Effort,
    /// Whether a layout leaves room for pins and hold-downs.
    pub room: &'a Room<'a>,
}

/// Body and skirt of each piece where it lies on the board.
pub(super) fn on_board(pieces: &[&Footprint], places: &[Placement]) -> Vec<[ArcPath; 2]> {
    let both = pieces.iter().zip(places);
    both.map(|(piece, place)| {
        [&piece.sound, &piece.whole].map(|path| path.transformed(place.affine()))
    })
    .collect()
}
