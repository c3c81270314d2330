//! What a job is made from.

use crate::fit::Spare;
use crate::fit::layout::{Layout, Match};
use crate::inlay::Brought;
use crate::mesh;
use crate::params::{Board, Design, Shop};
use crate::units::Length;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// What a job is made from: pieces that are carved from one board, on one mounting.
#[derive(Clone, Debug)]
pub struct Order {
    /// The designs, checked, one to [`crate::fit::layout::MOST`]; one given twice is made twice.
    pub designs: Vec<Design>,
    /// The board, checked.
    pub board: Board,
    /// The shop, checked.
    pub shop: Shop,
    /// Greatest distance of the meshes from the exact surface; see [`mesh::FINEST`] and
    /// [`mesh::COARSEST`].
    pub tolerance: Length,
    /// How much of the job is wanted.
    pub scope: Scope,
    /// What becomes of height that the board has to spare.
    pub spare: Spare,
    /// How the pieces go together on the board.
    pub together: Match,
    /// Where they lie, if that is known already; else it is searched.
    pub layout: Option<Layout>,
    /// The files of each design's inlays, in their order; without them an inlay can't be made.
    pub brought: Vec<Vec<Option<Brought>>>,
    /// Whoever is no longer waiting for it can say so.
    pub stop: StopWord,
}

/// A word that a job isn't wanted any more. It ends between two steps of its planning, before the next
/// of its rules and models, and says nothing then.
#[derive(Clone, Debug, Default)]
pub struct StopWord(Arc<AtomicBool>);

impl StopWord {
    /// Asks for it.
    pub fn ask(&self) {
        self.0.store(true, Ordering::Relaxed);
    }

    /// For whoever looks at it while he works.
    pub fn flag(&self) -> &AtomicBool {
        &self.0
    }

    /// Whether it was asked for.
    pub fn asked(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

impl Order {
    /// A whole job at the usual tolerance; spare height stays in the stock, and the pieces lie as
    /// they fit best.
    pub fn new(designs: Vec<Design>, board: Board, shop: Shop) -> Order {
        Order {
            designs,
            board,
            shop,
            tolerance: mesh::USUAL,
            scope: Scope::Packet,
            spare: Spare::Leave,
            together: Match::Free,
            layout: None,
            brought: Vec::new(),
            stop: StopWord::default(),
        }
    }
}

/// How much of a job is planned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scope {
    /// All of it.
    Packet,
    /// The bodies, and the rules that concern them; no relief models and no mounting.
    Body,
    /// The same at a glance: advice that has to be searched for is left for later.
    Glance,
}
