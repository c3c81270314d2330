//! Puts together all that stands between the board and the bed, once the pieces of it are placed.

use super::order::{self, Circumstances, Step};
use super::words;
use crate::bed::mounts::{self, Mount, Reached};
use crate::bed::spacer::Make;
use crate::bed::{Clamps, Pins, Registration};
use crate::cutting::THROUGH_MM;
use crate::cutting::passes::Pass;
use crate::cutting::sweep::Sweep;
use crate::finding::{Code, Finding, Findings, Source};
use crate::fit::Stock;
use crate::outline::ArcPath;
use crate::params::{Board, CleanUp, Cutter, CutterForm, Shop, TurnAxis};
use crate::relief::Face;
use crate::setup::Setup;
use crate::units::Length;
use glam::DVec2;

/// Nothing to bore the pins' holes with.
pub const NO_BORING_CUTTER: Code = Code {
    name: "no-boring-cutter",
    explain: "No flat cutter of the shop can bore the pins' holes: each is wider than the hole, \
        or less than a third of it, or too short to go through the stock. \
        The pins register the two sides, so their holes should be bored by the machine that carves. \
        Add a flat cutter of the pin's size or a little less, whose stick-out is more than the \
        stock is high, or use pins that fit your cutters. \
        A drill in a drill press through a mark made by the machine is the fallback; it is not \
        reckoned with in the error that is shown.",
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

/// All that stands between the board and the bed.
#[derive(Clone, Debug)]
pub struct Hold {
    /// What the pins promise.
    pub registration: Registration,
    /// The drill chart: the board's holes, then the bed's for each setup.
    pub borings: Vec<Boring>,
    /// The cutter that bores them.
    pub bore: Option<Cutter>,
    /// Where each setup is mounted.
    pub mounts: [Mount; 2],
    /// The lowest that is carved in each, over the bed.
    pub lowest: [Length; 2],
    /// The passes with their limits.
    pub passes: Vec<Pass>,
    /// The order of work.
    pub steps: Vec<Step>,
}

/// What the plan is made from.
#[derive(Clone, Copy)]
pub struct HoldOrder<'a> {
    /// The board.
    pub board: &'a Board,
    /// The shop.
    pub shop: &'a Shop,
    /// How the body lies in the stock.
    pub stock: &'a Stock,
    /// The passes over the piece.
    pub passes: &'a [Pass],
    /// The slots, in the design frame.
    pub slots: &'a [ArcPath],
    /// The places to clean up, in the design frame.
    pub clean_up: &'a [CleanUp],
    /// The outline on the board, in mm.
    pub parting: &'a [DVec2],
    /// The pins on the board.
    pub pins: &'a Pins,
    /// The two setups.
    pub setups: [&'a Setup; 2],
    /// The lowest that is carved in each setup, over the bed.
    pub lowest: [Length; 2],
    /// Hold-downs and spacers.
    pub clamps: &'a Clamps,
}

/// Puts it together.
pub fn plan(order: &HoldOrder<'_>) -> (Hold, Findings) {
    let HoldOrder { board, shop, stock, pins, setups, .. } = *order;
    let size = DVec2::new(board.length.as_mm(), board.width.as_mm());
    let (registration, mut findings) =
        crate::bed::registration::register(size, pins, &shop.bed, shop.turn, order.parting);
    let (mounts, said) = mounts::mounts(shop, &setups, size);
    findings.extend(said);
    let passes = order.passes;
    let bore = boring_cutter(shop, stock.height, pins.hole);
    if bore.is_none() {
        findings.push(
            Finding::caution(
                NO_BORING_CUTTER,
                format!(
                    "no flat cutter of the shop bores a hole of {} through {}",
                    pins.hole, stock.height
                ),
                "Add one a little thinner than the pin, or other pins.",
            )
            .at(Source::Shop, "pin.diameter"),
        );
    }
    let borings = borings(order, &mounts);
    for (side, setup) in setups.into_iter().enumerate() {
        let reached: Vec<Reached<'_>> = passes
            .iter()
            .filter(|pass| pass.face == setup.face)
            .map(|pass| Reached { pass, deepest: pass.through.unwrap_or(order.lowest[side]) })
            .collect();
        let bored: Vec<DVec2> =
            borings.iter().filter(|hole| hole.face == setup.face).map(|hole| hole.at).collect();
        findings.extend(mounts::travel(
            shop,
            setup,
            &mounts[side],
            &reached,
            &bored,
            order.clamps.over(),
        ));
    }
    if let Some(finding) = mounts::collide(&mounts, shop.hold_down.body) {
        findings.push(finding);
    }
    let steps = order::steps(&work(order, &mounts, bore));
    let (bore, passes) = (bore.cloned(), passes.to_vec());
    let lowest = order.lowest;
    (Hold { registration, borings, bore, mounts, lowest, passes, steps }, findings)
}

/// The boring of the pins' holes through a board of that height; none without a cutter for it.
pub fn bores(shop: &Shop, height: Length, pins: &Pins) -> Option<Sweep> {
    let cutter = boring_cutter(shop, height, pins.hole)?;
    let round = (pins.hole - cutter.diameter).half();
    Some(Sweep::bores(cutter, shop.bed.holder, &pins.places, round))
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

fn borings(order: &HoldOrder<'_>, mounts: &[Mount; 2]) -> Vec<Boring> {
    let HoldOrder { shop, stock, pins, setups, .. } = *order;
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
    let board = (0..count).map(|pin| hole(pin, 0, true, stock.height + Length::mm(THROUGH_MM)));
    let bed = (0..2)
        .flat_map(|side| (0..count).map(move |pin| (pin, side)))
        .map(|(pin, side)| hole(pin, side, false, shop.bed.pin.depth));
    board.chain(bed).collect()
}

fn work(order: &HoldOrder<'_>, mounts: &[Mount; 2], bore: Option<&Cutter>) -> Circumstances {
    let HoldOrder { board, shop, stock, pins, .. } = *order;
    Circumstances {
        skim_top: board.skim_top.to_string(),
        skim_bottom: board.skim_bottom.to_string(),
        stock: stock.height.to_string(),
        hole: pins.hole.to_string(),
        pins: pins.places.len(),
        turn: match shop.turn {
            TurnAxis::X => words::TURN_X,
            TurnAxis::Y => words::TURN_Y,
        },
        bore: bore.map(|cutter| cutter.name.clone()),
        passes: order
            .passes
            .iter()
            .map(|pass| (pass.kind, pass.face, pass.cutter.name.clone()))
            .collect(),
        slots_deep: order
            .passes
            .iter()
            .find_map(|pass| Some((stock.height - pass.through?).to_string()))
            .unwrap_or_default(),
        clean_up: order.clean_up.len(),
        hold_downs: [0, 1].map(|side: usize| order.clamps.places[side].len()),
        rebates: [0, 1].map(|side: usize| order.clamps.rebates(side).len()),
        rebate: order.clamps.rebate.map(|depth| depth.to_string()).unwrap_or_default(),
        spacers: order.clamps.spacers.iter().flatten().any(|s| s.make != Make::Against),
        positions: [0, 1].map(|side: usize| mounts[side].word.clone()),
    }
}
