//! The rules that look over a job before wood is cut, one file each.
//!
//! Promised: every rule looks at every job, and says in its `explain` page what it does not see.
//! Not promised: that a job without findings is safe to run; the machine's manual, local rules
//! and the maker's own eye come first.

mod cutters;
mod height;
mod thin;

pub use cutters::{CUTTER_ABSENT, CUTTER_UNFIT, SLOT_TOO_NARROW};
pub use height::{TOO_TALL, TOO_THICK};
pub use thin::{RIM_TOO_THIN, TINE_TOO_THIN, WALL_TOO_THIN};

use crate::finding::{Code, Findings};
use crate::fit::Stock;
use crate::mesh::Sizes;
use crate::outline::slots::SlotMeasure;
use crate::params::{Board, Design, Shop};

/// Every code of this room.
pub const CODES: &[Code] = &[
    TOO_TALL,
    TOO_THICK,
    CUTTER_ABSENT,
    CUTTER_UNFIT,
    SLOT_TOO_NARROW,
    TINE_TOO_THIN,
    WALL_TOO_THIN,
    RIM_TOO_THIN,
];

/// What the rules look at.
pub struct Context<'a> {
    /// The design.
    pub design: &'a Design,
    /// The board.
    pub board: &'a Board,
    /// The shop.
    pub shop: &'a Shop,
    /// How the body lies in the height of the stock.
    pub stock: &'a Stock,
    /// What the mesh measures.
    pub sizes: &'a Sizes,
    /// What the tines measure, of a fork.
    pub tines: Option<&'a SlotMeasure>,
}

/// All rules.
pub fn all(at: &Context<'_>) -> Findings {
    let mut findings = Findings::new();
    for rule in [height::look, cutters::look, thin::look] {
        rule(at, &mut findings);
    }
    findings
}
