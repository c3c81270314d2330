//! What the order of work of a piece is put together from, once it is placed and held.

use super::order::{self, Circumstances, Step};
use super::words;
use crate::bed::mounts::{self, Mount, Reached};
use crate::bed::spacer::Make;
use crate::bed::{Clamps, Pins};
use crate::cutting::THROUGH_MM;
use crate::cutting::passes::Pass;
use crate::cutting::sweep::Sweep;
use crate::finding::{Code, Finding, Findings, Source};
use crate::mesh::Mesh;
use crate::params::{Board, Cutter, CutterForm, Shop, TurnAxis};
use crate::relief::Face;
use crate::setup::Setup;
use crate::units::Length;
use glam::DVec2;

/// Nothing to bore the pins' holes with.
pub const NO_BORING_CUTTER: Code = Code {
    name: "no-boring-cutter",
    explain: "No flat cutter of the shop can bore the pin holes: each is wider than the hole, \
        narrower than a third of it, or too short to go through the stock. The pins register the \
        two sides, so the machine that carves should bore their holes. Add a flat cutter of the \
        pin's size or a little less, with a stick-out greater than the height of the stock, or use \
        pins that fit your cutters. Otherwise let the machine mark the holes and bore them on a \
        drill press; the error of that is not included in the figure shown.",
};

/// One hole to bore.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Boring {
    /// The pin, counted from 1.
    pub pin: usize,
    /// Whether it is in the board; otherwise in the bed.
    pub in_board: bool,
    /// For which setup.
    pub face: Face,
    /// In that setup's plan, in mm.
    pub at: DVec2,
    /// In the machine's X and Y, in mm.
    pub on_bed: DVec2,
    /// Its diameter.
    pub diameter: Length,
    /// Its depth.
    pub depth: Length,
}

/// What the order of work is made from: one piece on its mounting.
#[derive(Clone, Copy)]
pub struct WorkOrder<'a> {
    /// The board.
    pub board: &'a Board,
    /// The shop.
    pub shop: &'a Shop,
    /// The passes over the piece.
    pub passes: &'a [Pass],
    /// How many places are cleaned up.
    pub clean_up: usize,
    /// The pins on the board.
    pub pins: &'a Pins,
    /// What bores their holes.
    pub bore: Option<&'a Cutter>,
    /// The holes.
    pub borings: &'a [Boring],
    /// Where each setup is mounted.
    pub mounts: &'a [Mount; 2],
    /// The two setups with the piece's relief models, each in its own frame.
    pub carved: &'a [(Setup, Mesh); 2],
    /// The lowest that is carved in each setup, over the bed.
    pub lowest: [Length; 2],
    /// Hold-downs and spacers.
    pub clamps: &'a Clamps,
}

/// The order of work, and whether the machine goes everywhere that it leads to.
pub fn plan(order: &WorkOrder<'_>, out: &mut Findings) -> Vec<Step> {
    let WorkOrder { shop, clamps, .. } = *order;
    for (side, ((setup, _), mount)) in order.carved.iter().zip(order.mounts).enumerate() {
        let reached: Vec<Reached<'_>> = order
            .passes
            .iter()
            .filter(|pass| pass.face == setup.face)
            .map(|pass| Reached { pass, deepest: pass.through.unwrap_or(order.lowest[side]) })
            .collect();
        let holes = order.borings.iter().filter(|hole| hole.face == setup.face);
        let bored: Vec<DVec2> = holes.map(|hole| hole.at).collect();
        mounts::travel(shop, setup, mount, &reached, &bored, clamps.over(), out);
    }
    order::steps(&work(order))
}

/// The boring of the pins' holes through a board of that height; none without a cutter for it.
pub fn bores(shop: &Shop, height: Length, pins: &Pins) -> Option<Sweep> {
    let cutter = boring_cutter(shop, height, pins.hole)?;
    let round = (pins.hole - cutter.diameter).half();
    Some(Sweep::bores(cutter, shop.bed.holder, &pins.places, round))
}

/// What bores the pins' holes through a board of that height.
pub fn bore<'a>(
    shop: &'a Shop,
    height: Length,
    pins: &Pins,
    out: &mut Findings,
) -> Option<&'a Cutter> {
    let cutter = boring_cutter(shop, height, pins.hole);
    if cutter.is_none() {
        out.push(
            Finding::caution(
                NO_BORING_CUTTER,
                format!(
                    "no flat cutter of the shop can bore a hole of {} through {height}",
                    pins.hole
                ),
                "Add one a little thinner than the pin, or use other pins.",
            )
            .at(Source::Shop, "pin.diameter"),
        );
    }
    cutter
}

/// The thickest flat cutter that bores the hole and goes through the stock.
fn boring_cutter(shop: &Shop, height: Length, hole: Length) -> Option<&Cutter> {
    let able = |cutter: &&Cutter| {
        cutter.form == CutterForm::Flat
            && cutter.diameter < hole
            // Thinner, and a helix would leave a core to break off (no source).
            && cutter.diameter * 3.0 > hole
            && cutter.stick_out > height + Length::mm(THROUGH_MM)
    };
    let thickest = |a: &&Cutter, b: &&Cutter| a.diameter.as_mm().total_cmp(&b.diameter.as_mm());
    shop.cutters.iter().filter(able).max_by(thickest)
}

/// The drill chart of a board of that height: its holes, then the bed's for each setup.
pub fn borings(
    shop: &Shop,
    height: Length,
    pins: &Pins,
    setups: &[Setup; 2],
    mounts: &[Mount; 2],
) -> Vec<Boring> {
    let hole = |pin: usize, side: usize, in_board: bool, depth: Length| {
        let at = setups[side].from_board.place(pins.places[pin]);
        Boring {
            pin: pin + 1,
            in_board,
            face: setups[side].face,
            at,
            on_bed: mounts[side].on_bed(at),
            diameter: pins.hole,
            depth,
        }
    };
    let count = pins.places.len();
    let board = (0..count).map(|pin| hole(pin, 0, true, height + Length::mm(THROUGH_MM)));
    let bed = (0..2)
        .flat_map(|side| (0..count).map(move |pin| (pin, side)))
        .map(|(pin, side)| hole(pin, side, false, shop.bed.pin.depth));
    board.chain(bed).collect()
}

fn work(order: &WorkOrder<'_>) -> Circumstances {
    let WorkOrder { board, shop, pins, mounts, .. } = *order;
    let stock = board.usable_height();
    Circumstances {
        skim_top: board.skim_top.to_string(),
        skim_bottom: board.skim_bottom.to_string(),
        stock: stock.to_string(),
        hole: pins.hole.to_string(),
        pins: pins.places.len(),
        turn: match shop.turn {
            TurnAxis::X => words::TURN_X,
            TurnAxis::Y => words::TURN_Y,
        },
        bore: order.bore.map(|cutter| cutter.name.clone()),
        passes: order
            .passes
            .iter()
            .map(|pass| (pass.kind, pass.face, pass.cutter.name.clone()))
            .collect(),
        slots_deep: order
            .passes
            .iter()
            .find_map(|pass| Some((stock - pass.through?).to_string()))
            .unwrap_or_default(),
        clean_up: order.clean_up,
        hold_downs: [0, 1].map(|side: usize| order.clamps.places[side].len()),
        rebates: [0, 1].map(|side: usize| order.clamps.rebates(side).len()),
        rebate: order.clamps.rebate.map(|depth| depth.to_string()).unwrap_or_default(),
        spacers: order.clamps.spacers.iter().flatten().any(|s| s.make != Make::Against),
        positions: [0, 1].map(|side: usize| mounts[side].word.clone()),
    }
}
