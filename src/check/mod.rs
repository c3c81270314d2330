//! The rules that look over a job before wood is cut, one file each.
//!
//! Promised: every rule looks at every job, and says in its `explain` page what it does not see.
//! Not promised: that a job without findings is safe to run; the machine's manual, local rules
//! and the maker's own eye come first.

mod accept;
mod beam;
mod clearance;
mod context;
mod cure;
mod cusp;
mod cutters;
mod edges;
mod feeds;
mod hand;
mod height;
mod holder;
mod moisture;
mod notes;
mod openings;
mod plan;
pub mod reach;
mod slots;
mod strength;
mod thin;
mod time;
mod tips;
mod used;
mod wide;
mod wood;

pub use accept::{ACCEPT_UNUSED, accept};
pub use beam::{BeamSection, Slice, bend, hankinson};
pub use clearance::{Around, HOLDER_HITS};
pub use context::Context;
pub(crate) use context::Sides;
pub(crate) use cure::least_step;
pub(crate) use cusp::cusp as cusp_height;
pub use cusp::{CUSP_TOO_HIGH, Cusps, OnPart, Over, SidePart};
pub use cutters::{
    CUTTER_ABSENT, CUTTER_DOUBTFUL, CUTTER_UNFIT, PASS_TOO_DEEP, ROUGH_TOO_THICK, SLOT_TOO_NARROW,
};
pub use edges::{CHIP_OUT, KNIFE_EDGE, THIN_PLACE};
pub use feeds::FEED_DOUBTFUL;
pub use hand::{GRIP, ROCKS};
pub use height::{TOO_TALL, TOO_THICK, together};
pub use holder::FLUTE_TOO_SHORT;
pub use moisture::MOVES;
pub use notes::{Checks, Row, Verdict};
pub use openings::{OPENING_ASTRAY, OPENING_CLOSE, OPENING_TOO_NARROW};
pub use plan::PLAN_OFF;
pub use strength::{ROOT_WEAK, WEAK, WOOD_UNKNOWN};
pub use thin::{RIM_TOO_THIN, TINE_SLIVER, TINE_TOO_THIN, TIP_STAYS_SQUARE, WALL_TOO_THIN};
pub use time::LONG_JOB;
pub use tips::TINE_TIP;
pub use wide::HEAD_WIDER;
pub use wood::{WOOD_HARMFUL, wood};

use crate::finding::{Code, Findings};
use crate::relief::Face;
use notes::Notes;
use rayon::prelude::*;
use reach::Tool;
use std::sync::atomic::Ordering;

/// Every code of this room.
pub const CODES: &[Code] = &[
    TOO_TALL,
    TOO_THICK,
    CUTTER_ABSENT,
    CUTTER_UNFIT,
    CUTTER_DOUBTFUL,
    FEED_DOUBTFUL,
    ROUGH_TOO_THICK,
    SLOT_TOO_NARROW,
    OPENING_TOO_NARROW,
    OPENING_ASTRAY,
    OPENING_CLOSE,
    PLAN_OFF,
    HEAD_WIDER,
    TINE_TOO_THIN,
    TINE_SLIVER,
    TIP_STAYS_SQUARE,
    WALL_TOO_THIN,
    RIM_TOO_THIN,
    reach::UNCUT,
    HOLDER_HITS,
    FLUTE_TOO_SHORT,
    CUSP_TOO_HIGH,
    WEAK,
    WOOD_UNKNOWN,
    WOOD_HARMFUL,
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

/// The rules that cost next to nothing, and without which a job can't be planned on.
pub fn first(at: &Context<'_>, out: &mut Findings) -> Checks {
    let mut notes = Notes::default();
    type Rule = (&'static str, fn(&Context<'_>, &mut Findings), fn(&Context<'_>) -> Option<String>);
    let rules: [Rule; 5] = [
        (height::STOCK, height::look, height::says),
        ("cutters", cutters::look, cutters::says),
        ("thin places", thin::look, thin::says),
        ("openings", openings::look, openings::says),
        ("width", wide::look, wide::says),
    ];
    for (name, look, says) in rules {
        notes.rule(name, |notes| {
            look(at, &mut notes.findings);
            says(at)
        });
    }
    notes.told(out)
}

/// The rules of carving and of use, which look at the whole surface.
pub fn all(at: &Context<'_>, out: &mut Findings) -> Checks {
    let mut checks = Checks::default();
    let finish = at.shop.cutter(&at.shop.work.finish);
    let wanted = || !at.unwanted.load(Ordering::Relaxed);
    if let Some(tool) = finish.and_then(Tool::of).filter(|_| wanted()) {
        let [top, bottom] = Face::BOTH;
        let ground = |face: Face| reach::surface(at.body, face, tool, reach::CELL);
        let (top, bottom) = rayon::join(|| ground(top), || ground(bottom));
        let sides = Sides { tool, grounds: [top, bottom] };
        type Rule = fn(&Context<'_>, &Sides, &mut Notes) -> Option<String>;
        let rules: [(&'static str, Rule); 8] = [
            ("reach", reach::look),
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
            if wanted() {
                own.rule(name, |notes| look(at, &sides, notes));
            }
            own
        });
        for own in looked.collect::<Vec<Notes>>() {
            checks.extend(own.told(out));
        }
    }
    let mut own = Notes::default();
    own.rule("plan", |notes| plan::look(at, notes));
    own.rule("moisture", |notes| moisture::look(at, notes));
    checks.extend(own.told(out));
    checks
}

/// The rules that need to know what is carved, and what stands round it.
pub fn around(at: &Context<'_>, around: &Around<'_>, out: &mut Findings) -> Checks {
    let mut notes = Notes::default();
    notes.rule("flutes", |notes| holder::look(at, around, notes));
    notes.rule("holder's room", |notes| clearance::look(at, around, notes));
    notes.told(out)
}
