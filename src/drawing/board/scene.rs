//! What is drawn of a board: the pieces that lie on it, and what holds it as far as that is known.

use crate::fit::Placement;
use crate::fit::Stock;
use crate::job::{Job, Mounted, Mounting, Piece};
use crate::outline::ArcPath;
use crate::relief::Tab;
use crate::setup::Setup;
use crate::units::Length;

/// A piece where it lies.
pub(super) struct Lying<'a> {
    pub(super) piece: &'a Piece,
    pub(super) placement: &'a Placement,
    /// The piece's own setups.
    pub(super) setups: [Setup; 2],
    /// Its tabs with their outlines; none while it is not known what holds the board.
    pub(super) tabs: &'a [(Tab, ArcPath)],
}

/// A board with pieces on it.
pub(super) struct BoardView<'a> {
    pub(super) job: &'a Job,
    /// The board's own setups.
    pub(super) setups: [Setup; 2],
    pub(super) pieces: Vec<Lying<'a>>,
    /// What holds it, if that is known.
    pub(super) mounting: Option<&'a Mounting>,
}

impl<'a> BoardView<'a> {
    /// Pieces on a held board; none without a piece.
    pub(super) fn held(pieces: &[Mounted<'a>]) -> Option<BoardView<'a>> {
        let Mounted { job, mounting, .. } = pieces.first()?;
        let lying = |at: &Mounted<'a>| Lying {
            piece: at.piece,
            placement: at.placement,
            setups: at.carved.setups.each_ref().map(|(setup, _)| *setup),
            tabs: &at.carved.tabs,
        };
        let pieces = pieces.iter().map(lying).collect();
        Some(BoardView { job, setups: mounting.setups, pieces, mounting: Some(mounting) })
    }

    /// The pieces of a job at these places, with nothing that holds the board.
    pub(super) fn loose(job: &'a Job, places: &'a [Placement]) -> BoardView<'a> {
        let both = |stock: &Stock, placement: &Placement| {
            Setup::both(job.shop.turn, job.shop.zero, job.board.size(), stock, placement)
        };
        let lying = |(piece, placement): (&'a Piece, &'a Placement)| Lying {
            piece,
            placement,
            setups: both(&piece.stock, placement),
            tabs: &[],
        };
        let height = job.board.usable_height();
        let stock = Stock::round(height, Length::ZERO, height);
        let setups = both(&stock, &Placement::default());
        let pieces = job.pieces.iter().zip(places).map(lying).collect();
        BoardView { job, setups, pieces, mounting: None }
    }
}
