//! The rules that look over a job before wood is cut, one file each.
//!
//! Promised: every rule looks at every job, and says in its `explain` page what it does not see.
//! Not promised: that a job without findings is safe to run; the machine's manual, local rules
//! and the maker's own eye come first.

mod accept;
mod beam;
mod clearance;
mod cure;
mod cusp;
mod cutters;
mod edges;
mod hand;
mod height;
mod holder;
mod moisture;
mod notes;
pub mod reach;
mod slots;
mod strength;
mod thin;
mod time;
mod tips;

pub use accept::{ACCEPT_UNUSED, accept};
pub use beam::{Section, Slice, bend, hankinson};
pub use clearance::Around;
pub(crate) use cusp::cusp as cusp_height;
pub use cusp::{CUSP_TOO_HIGH, Cusps, OnPart, Over, Part};
pub use cutters::{CUTTER_ABSENT, CUTTER_UNFIT, PASS_TOO_DEEP, ROUGH_TOO_THICK, SLOT_TOO_NARROW};
pub use edges::{CHIP_OUT, KNIFE_EDGE, THIN_PLACE};
pub use hand::{GRIP, ROCKS};
pub use height::{TOO_TALL, TOO_THICK, spare};
pub use holder::{FLUTE_TOO_SHORT, HOLDER_HITS};
pub use moisture::MOVES;
pub use notes::{Checks, Row, Verdict};
pub use strength::{ROOT_WEAK, WEAK};
pub use thin::{RIM_TOO_THIN, TINE_TOO_THIN, WALL_TOO_THIN};
pub use time::LONG_JOB;
pub use tips::TINE_TIP;

use crate::finding::{Code, Findings};
use crate::fit::{Advice, Spare, Stock};
use crate::mesh::Sizes;
use crate::outline::ArcPath;
use crate::outline::slots::SlotMeasure;
use crate::params::{Board, Design, Shop};
use crate::relief::Face;
use crate::shape::{Body, Solids};
use crate::units::Length;
use notes::Notes;
use rayon::prelude::*;
use reach::{Ground, Tool};

/// Every code of this room.
pub const CODES: &[Code] = &[
    TOO_TALL,
    TOO_THICK,
    CUTTER_ABSENT,
    CUTTER_UNFIT,
    ROUGH_TOO_THICK,
    SLOT_TOO_NARROW,
    TINE_TOO_THIN,
    WALL_TOO_THIN,
    RIM_TOO_THIN,
    reach::UNCUT,
    HOLDER_HITS,
    FLUTE_TOO_SHORT,
    CUSP_TOO_HIGH,
    WEAK,
    ROOT_WEAK,
    PASS_TOO_DEEP,
    LONG_JOB,
    THIN_PLACE,
    KNIFE_EDGE,
    TINE_TIP,
    GRIP,
    CHIP_OUT,
    ROCKS,
    MOVES,
    ACCEPT_UNUSED,
];

/// What the rules look at.
pub struct Context<'a> {
    /// The design.
    pub design: &'a Design,
    /// The board.
    pub board: &'a Board,
    /// The shop.
    pub shop: &'a Shop,
    /// The exact body.
    pub body: &'a Body,
    /// Its volumes.
    pub solids: &'a Solids,
    /// How the body lies in the height of the stock.
    pub stock: &'a Stock,
    /// What the mesh measures.
    pub sizes: &'a Sizes,
    /// The slots, of a fork.
    pub slots: &'a [ArcPath],
    /// How far over the bed they end, cut with the bottom up; none without slots.
    pub under_slots: Option<Length>,
    /// What the tines measure, of a fork.
    pub tines: Option<&'a SlotMeasure>,
    /// What would do, when the design could not be made to fit.
    pub advice: Option<&'a Advice>,
    /// The design as its file asks for it, before it was fitted to the board.
    pub asked: &'a Design,
    /// What became of height that the board has to spare.
    pub spare: Spare,
}

/// The rules that cost next to nothing, and without which a job can't be planned on.
pub fn first(at: &Context<'_>) -> (Findings, Checks) {
    let mut notes = Notes::default();
    type Rule = (&'static str, fn(&Context<'_>, &mut Findings), fn(&Context<'_>) -> Option<String>);
    let rules: [Rule; 3] = [
        ("stock", height::look, height::says),
        ("cutters", cutters::look, cutters::says),
        ("thin places", thin::look, thin::says),
    ];
    for (name, look, says) in rules {
        let before = notes.findings.iter().count();
        look(at, &mut notes.findings);
        notes.row(name, says(at), before);
    }
    (notes.findings, notes.checks)
}

/// The rules of carving and of use, which look at the whole surface.
pub fn all(at: &Context<'_>) -> (Findings, Checks) {
    let mut notes = Notes::default();
    let finish = at.shop.cutter(&at.shop.work.finish);
    if let Some(tool) = finish.and_then(Tool::of) {
        let [top, bottom] = Face::BOTH;
        let ground = |face: Face| reach::surface(at.body, face, tool, reach::CELL);
        let (top, bottom) = rayon::join(|| ground(top), || ground(bottom));
        let sides = Sides { tool, grounds: [top, bottom] };
        type Rule = fn(&Context<'_>, &Sides, &mut Notes) -> Option<String>;
        let rules: [(&'static str, Rule); 9] = [
            ("reach", reach::look),
            ("holder, flutes", holder::look),
            ("cusps", cusp::look),
            ("time", time::look),
            ("slots", slots::look),
            ("edges, walls", edges::look),
            ("tips", tips::look),
            ("strength", strength::look),
            ("hand and pot", hand::look),
        ];
        // Each on its own sheet; put together in their order.
        let looked = rules.into_par_iter().with_max_len(1).map(|(name, look)| {
            let mut own = Notes::default();
            let says = look(at, &sides, &mut own);
            own.row(name, says, 0);
            own
        });
        for own in looked.collect::<Vec<Notes>>() {
            notes.findings.extend(own.findings);
            notes.checks.extend(own.checks);
        }
    }
    let before = notes.findings.iter().count();
    let says = moisture::look(at, &mut notes);
    notes.row("moisture", says, before);
    (notes.findings, notes.checks)
}

/// The rule that needs to know what stands round the piece.
pub fn around(at: &Context<'_>, around: &Around<'_>) -> (Findings, Checks) {
    let mut notes = Notes::default();
    let says = clearance::look(at, around, &mut notes);
    notes.row("holder's room", says, 0);
    (notes.findings, notes.checks)
}

/// Both sides as heights on one and the same grid.
pub(crate) struct Sides {
    pub(crate) tool: Tool,
    pub(crate) grounds: [Ground; 2],
}

impl Sides {
    /// Cells on the body: column, row, top and bottom in the design frame, in mm.
    pub(crate) fn cells(&self) -> impl Iterator<Item = (usize, usize, f64, f64)> + '_ {
        let [top, bottom] = &self.grounds;
        let columns = top.heights.columns;
        top.heights.mm.iter().zip(&bottom.heights.mm).enumerate().filter_map(
            move |(index, (top, bottom))| {
                let on = *top > reach::NOTHING && *bottom > reach::NOTHING;
                on.then(|| (index % columns, index / columns, f64::from(*top), -f64::from(*bottom)))
            },
        )
    }

    /// A cell's place in the design frame, in mm.
    pub(crate) fn place(&self, column: usize, row: usize) -> glam::DVec2 {
        let ground = &self.grounds[0];
        ground.origin + ground.heights.cell.as_mm() * glam::DVec2::new(column as f64, row as f64)
    }

    /// A cell's area in mm².
    pub(crate) fn cell_mm2(&self) -> f64 {
        self.grounds[0].heights.cell.as_mm().powi(2)
    }
}
