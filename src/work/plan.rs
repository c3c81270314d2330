//! What the order of work is put together from, once the board is held with all its pieces.

use super::boring::{Boring, Dowel};
use super::circumstances::{Circumstances, CutDepth, InlayWork, PieceWork};
use super::order::{self, Step};
use super::words;
use crate::bed::mounts::{self, Mount, Reached};
use crate::bed::spacer::Make;
use crate::bed::{Clamps, Pins};
use crate::cutting::PassKind;
use crate::cutting::passes::Pass;
use crate::finding::Findings;
use crate::finding::fill;
use crate::mesh::Mesh;
use crate::params::{Board, Cutter, Shop, TurnAxis};
use crate::setup::Setup;
use crate::units::Length;
use glam::DVec2;

/// What the order of work is made from: a board on its mountings, and the pieces on it.
#[derive(Clone, Debug)]
pub struct WorkOrder<'a> {
    /// The board.
    pub board: &'a Board,
    /// The shop.
    pub shop: &'a Shop,
    /// The pieces.
    pub pieces: Vec<PieceOrder<'a>>,
    /// The pins on the board.
    pub pins: &'a Pins,
    /// What bores their holes.
    pub bore: Option<&'a Cutter>,
    /// The dowels that go into the holes.
    pub dowel: Dowel,
    /// Where each setup is mounted.
    pub mounts: &'a [Mount; 2],
    /// Hold-downs and spacers.
    pub clamps: &'a Clamps,
}

/// What the order of work knows of a piece.
#[derive(Clone, Copy, Debug)]
pub struct PieceOrder<'a> {
    /// Its design's name.
    pub name: &'a str,
    /// The passes over it.
    pub passes: &'a [Pass],
    /// How many of its places are cleaned up.
    pub clean_up: usize,
    /// Its inlays.
    pub inlays: &'a [InlayWork],
}

/// A piece in its two setups: where the machine goes for it.
#[derive(Clone, Copy, Debug)]
pub struct Travels<'a> {
    /// The shop.
    pub shop: &'a Shop,
    /// The passes over the piece.
    pub passes: &'a [Pass],
    /// The setups with its relief models, each in its own frame.
    pub carved: &'a [(Setup, Mesh); 2],
    /// The lowest that is carved in each setup, over the bed.
    pub lowest: [Length; 2],
    /// The holes of the pins.
    pub borings: &'a [Boring],
    /// Where each setup is mounted.
    pub mounts: &'a [Mount; 2],
    /// Hold-downs and spacers.
    pub clamps: &'a Clamps,
}

/// Whether the machine goes everywhere that a piece leads it to.
pub fn travel(piece: &Travels<'_>, out: &mut Findings) {
    for (side, ((setup, _), mount)) in piece.carved.iter().zip(piece.mounts).enumerate() {
        let reached: Vec<Reached<'_>> = piece
            .passes
            .iter()
            .filter(|pass| pass.face == setup.face)
            .map(|pass| Reached { pass, deepest: pass.through.unwrap_or(piece.lowest[side]) })
            .collect();
        let holes = piece.borings.iter().filter(|hole| hole.face == setup.face);
        let bored: Vec<DVec2> = holes.map(|hole| hole.at).collect();
        mounts::travel(piece.shop, setup, mount, &reached, &bored, piece.clamps.over(), out);
    }
}

/// The order of work for a board with all its pieces.
pub fn plan(order: &WorkOrder<'_>) -> Vec<Step> {
    order::steps(&work(order))
}

fn work(order: &WorkOrder<'_>) -> Circumstances {
    let WorkOrder { board, shop, pins, mounts, clamps, .. } = *order;
    let stock = board.usable_height();
    let deep = |piece: &PieceOrder<'_>, kind: PassKind| {
        let mut own = piece.passes.iter().filter(|pass| pass.kind == kind);
        let low = own.find_map(|pass| pass.through);
        low.map_or_else(CutDepth::default, |low| CutDepth {
            said: (stock - low).said(shop.unit),
            to_bed: low <= Length::ZERO,
        })
    };
    let piece = |piece: &PieceOrder<'_>| PieceWork {
        name: piece.name.to_owned(),
        passes: piece
            .passes
            .iter()
            .map(|pass| (pass.kind, pass.face, pass.cutter.name.clone()))
            .collect(),
        slots_deep: deep(piece, PassKind::Slots),
        openings_deep: deep(piece, PassKind::Openings),
        clean_up: piece.clean_up,
        inlays: piece.inlays.to_vec(),
    };
    let dowel = order.dowel;
    let length = |length: Length| length.said(shop.unit);
    let skims: Vec<String> = [board.skim_top, board.skim_bottom]
        .into_iter()
        .zip(words::OFF_FACES)
        .filter(|(skim, _)| *skim > Length::ZERO)
        .map(|(skim, off)| fill(off, &[("skim", &length(skim))]))
        .collect();
    Circumstances {
        dowel: length(shop.pin.diameter),
        dowel_long: length(dowel.length()),
        dowel_in_bed: length(dowel.in_bed),
        dowel_in_board: length(dowel.in_board),
        dowel_below: length(stock - dowel.in_board),
        skim: skims.join(words::AND),
        stock: length(stock),
        hole: length(pins.hole),
        pins: pins.places.len(),
        turn: match shop.turn {
            TurnAxis::X => words::TURN_X,
            TurnAxis::Y => words::TURN_Y,
        },
        bore: order.bore.map(|cutter| cutter.name.clone()),
        pieces: order.pieces.iter().map(piece).collect(),
        hold_downs: [0, 1].map(|side: usize| clamps.places[side].len()),
        rebates: [0, 1].map(|side: usize| clamps.rebates(side).len()),
        rebate: clamps.rebate.map(length).unwrap_or_default(),
        spacers: clamps.spacers.iter().flatten().any(|s| s.make != Make::Against),
        positions: [0, 1].map(|side: usize| mounts[side].word.clone()),
    }
}
