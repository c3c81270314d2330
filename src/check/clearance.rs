//! Does the holder stay off the stock, the hold-downs, the piece and its tabs?
//!
//! Promised: the holder as a cone over the cutter's stick-out, at every place of every pass that the
//! order of work has on the machine: roughing, clearing the skirt, finishing, cleaning up, slots and
//! edge, and boring the pins' holes in board and bed. Against the frame and the hold-downs (with their
//! bolts' heads) by their exact edges, and against the carved surface with its tabs on cells of 1 mm.
//! The tip is as low as the surface under its axis; where the cells leave it open, the nearest that
//! the centre may be counts, and the highest that the surface is there. So the room is never said to
//! be more than it is, but for the micrometres by which a smooth floor dips between two cells. It is
//! measured upright.
//! Not promised: anything about dust shoes, the spindle's body above the holder, or stops and spacers
//! on the bed (how high a stop is, the shop file doesn't say), nor about rebates, which are cut before
//! the first mounting. Other pieces' carved skirts count as frame, as does a rebate's floor.

mod room;

use super::Context;
use super::notes::{Notes, beside};
use crate::cutting::PassKind;
use crate::cutting::envelope::Standing;
use crate::cutting::sweep::{Sweep, Swept};
use crate::finding::{Code, Finding, Source};
use crate::outline::ArcPath;
use crate::relief::Face;
use crate::units::{Length, plain};
use glam::DVec2;
use rayon::prelude::*;
use room::{CarvedFace, Meets, Surroundings};

/// The holder would run into something.
pub const HOLDER_HITS: Code = Code {
    name: "holder-hits",
    explain: "Somewhere in a pass the holder comes nearer than the shop's limits.holder to the \
        frame, to a hold-down or to the piece with its tabs. When the pin holes are bored, the \
        board and the bed count as well. Let the cutter stick out further, take a slimmer holder, \
        plane the board thinner, or move the hold-downs. Measure the stick-out with the cutter \
        chucked; a cutter that sticks out further bends more, so cut lighter. The holder is taken \
        as a cone from its nose, over the cutter's stick-out, to its greatest diameter ([holder], \
        or the cutter's own holder), and the room is measured upright. Every pass in the order of \
        work is checked with its own cutter, wherever the cutter's centre may go, with the tip as \
        low as it gets there. The rule leaves out dust shoes, stops and spacers on the bed, the \
        spindle above the holder, and wood that a roughing pass has yet to clear higher up.",
};

/// What stands round a piece when it is carved, and what is swept there.
pub struct Around<'a> {
    /// The passes over the piece in both setups.
    pub swept: &'a [Swept; 2],
    /// How far a tip goes under the stock's face at most, in both setups.
    pub deepest: Length,
    /// The boring of the pins' holes through the board; none without a cutter for it.
    pub bores: Option<&'a Sweep>,
    /// The skirt's edge on the board: outside it stands the frame.
    pub area: &'a ArcPath,
    /// From the board's frame to the design's.
    pub in_design: &'a (dyn Fn(DVec2) -> DVec2 + Sync),
    /// What stands on the bed in each setup: each block and each bolt's head.
    pub hold_downs: [Vec<Standing>; 2],
}

impl Meets {
    const fn words(self) -> &'static str {
        match self {
            Meets::Frame => "the frame",
            Meets::HoldDown => "a hold-down",
            Meets::Piece => "the piece",
            Meets::Board => "the board",
            Meets::Bed => "the bed",
        }
    }

    /// What helps besides a longer stick-out.
    const fn help(self) -> &'static str {
        match self {
            Meets::Frame | Meets::Board => "take a slimmer holder, or plane the board thinner",
            Meets::HoldDown => "take a slimmer holder, or move the hold-downs away",
            Meets::Piece => "or take a slimmer holder",
            Meets::Bed => "or bore the bed holes less deep (pin.depth)",
        }
    }
}

/// The nearest that a holder comes.
#[derive(Debug)]
struct Near<'a> {
    room: f64,
    /// Where its axis is then, on the piece; none for what is bored beside it.
    at: Option<(DVec2, Face)>,
    meets: Meets,
    pass: PassKind,
    cutter: &'a str,
}

pub(super) fn look(at: &Context<'_>, around: &Around<'_>, notes: &mut Notes) -> Option<String> {
    if at.stock.spare < Length::ZERO {
        return None;
    }
    let near = all(at, around);
    let limit = at.shop.limits.check.holder;
    let mut says = Vec::new();
    for (index, cutter) in at.shop.cutters.iter().enumerate() {
        let own = near.iter().filter(|near| near.cutter == cutter.name);
        let Some(least) = own.min_by(|a, b| a.room.total_cmp(&b.room)) else { continue };
        let (room, doing) = (least.room, least.pass.doing());
        notes.figure(format!("holder_room_least_{}_mm", key(&cutter.name)), room);
        says.push(format!(
            "{}: {} mm from {}, {doing}",
            cutter.name,
            plain(room, 1),
            least.meets.words()
        ));
        if room >= limit.as_mm() {
            continue;
        }
        let comes = match room {
            room if room < 0.0 => format!("{} mm into", plain(-room, 2)),
            room => format!("within {} mm of", plain(room, 2)),
        };
        let place = least.at.map_or(String::new(), |(p, face)| {
            format!(
                ", {} mm from the handle's end and {}, with the {} up",
                plain(p.x, 0),
                beside(p.y),
                face.name()
            )
        });
        let finding = Finding::fault(
            HOLDER_HITS,
            format!(
                "the holder of \"{}\" comes {comes} {} when {doing}{place}; the shop's limit is \
                 {limit} of room",
                cutter.name,
                least.meets.words()
            ),
            format!(
                "Let the cutter stick out {} mm further, {}.",
                plain((10.0 * (limit.as_mm() - room) - 1e-9).ceil().max(0.0) / 10.0, 1),
                least.meets.help()
            ),
        );
        let finding = match least.at {
            Some((place, face)) => finding.on(place, Some(face.name())),
            None => finding,
        };
        notes.say(finding.at(Source::Shop, format!("cutter[{index}].stick_out")));
    }
    (!says.is_empty()).then(|| says.join("; "))
}

/// A name in a figure's name.
fn key(name: &str) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '_' };
    name.chars().map(plain).collect()
}

/// The nearest of each pass.
fn all<'a>(at: &Context<'_>, around: &Around<'a>) -> Vec<Near<'a>> {
    let height = at.stock.height.as_mm();
    let [top, bottom] = [0, 1].map(|side: usize| Surroundings {
        carved: Some(CarvedFace::new(&around.swept[side].surface, around.area)),
        hold_downs: &around.hold_downs[side],
        height,
    });
    // The pins' holes are bored in the first setup, before anything is carved.
    let whole = Surroundings { carved: None, hold_downs: &around.hold_downs[0], height };
    let [above, below] = around.swept;
    let carving = [(above, &top), (below, &bottom)].into_iter().flat_map(|(swept, ground)| {
        swept.sweeps.iter().map(move |sweep| (ground, Some(swept.face), sweep))
    });
    let passes: Vec<_> = carving.chain(around.bores.map(|sweep| (&whole, None, sweep))).collect();
    let mut near: Vec<Near<'a>> = passes
        .into_par_iter()
        .with_max_len(1)
        .filter_map(|(ground, face, sweep)| {
            let (room, p, meets) = ground.nearest(sweep)?;
            let at = face.map(|face| ((around.in_design)(p), face));
            Some(Near { room, at, meets, pass: sweep.pass, cutter: &sweep.cutter.name })
        })
        .collect();
    // The bed is bored before anything stands on it.
    near.extend(around.bores.map(|sweep| Near {
        room: (sweep.cutter.stick_out - at.shop.bed.pin.depth).as_mm(),
        at: None,
        meets: Meets::Bed,
        pass: PassKind::Bed,
        cutter: &sweep.cutter.name,
    }));
    near
}
