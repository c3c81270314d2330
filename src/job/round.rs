//! What stands round the pieces: what holds the board, and each piece's tabs and relief models.

use super::made::Made;
use super::{CHORD, Order, Round, sound};
use crate::check;
use crate::finding::Findings;
use crate::fit::{self, Placement, Wood};
use crate::mesh::{self, Mesh};
use crate::params::{Board, Shop};
use crate::relief::{self, Face, Skin};
use crate::workholding::{self, HoldDownModel, HoldDownPlace, HoldOrder, Pins, Setup};
use glam::DVec2;
use rayon::prelude::*;

/// What holds a board with all its pieces.
pub(super) struct Held {
    placements: Vec<Placement>,
    pins: Pins,
    hold_down: HoldDownModel,
    hold_downs: Vec<HoldDownPlace>,
}

/// Places what holds the board; none when it can't be held, which the findings say.
pub(super) fn held(
    board: &Board,
    shop: &Shop,
    pieces: &[Made],
    placements: &[Placement],
) -> (Option<Held>, Findings) {
    let mut findings = Findings::new();
    let size = DVec2::new(board.length.as_mm(), board.width.as_mm());
    let wood = Wood::of(board);
    let skirts: Vec<Vec<DVec2>> = pieces
        .iter()
        .zip(placements)
        .map(|(piece, place)| {
            piece.outlines.limit.skirt_edge().iter().map(|p| place.on_board(*p)).collect()
        })
        .collect();
    let margin = shop.limits.margin;
    let (pins, said) =
        workholding::place_pins(size, &wood, &skirts, shop.pin, margin, &shop.bed.pin.place);
    findings.extend(said);
    // The stock's height is the board's, so one model serves all.
    let hold_down = pieces.first().and_then(|piece| {
        let hold_down = workholding::hold_down(shop, &piece.stock);
        hold_down.map_err(|fault| findings.push(*fault)).ok()
    });
    let pins_at: &[DVec2] = pins.as_ref().map_or(&[], |pins| &pins.places[..]);
    let (hold_downs, said) = workholding::place_hold_downs(
        size,
        &wood,
        &skirts,
        pins_at,
        shop.pin.diameter + shop.pin.play,
        &shop.hold_down,
        margin,
    );
    findings.extend(said);
    let held = match (pins, hold_down) {
        (Some(pins), Some(hold_down)) => {
            Some(Held { placements: placements.to_vec(), pins, hold_down, hold_downs })
        }
        _ => None,
    };
    (held, findings)
}

/// Whether the holders stay off all that stands round one piece.
pub(super) fn holder_room(piece: &Made, held: &Held, index: usize) -> (Findings, check::Checks) {
    let Some(placement) = held.placements.get(index) else { return Default::default() };
    check::around(
        &piece.context(),
        &check::Around {
            limit: &piece.outlines.limit,
            on_board: &|p| placement.on_board(p),
            hold_downs: &held.hold_downs,
            hold_down: &held.hold_down,
        },
    )
}

/// One piece's tabs and models on a held board.
pub(super) fn round(piece: &Made, held: &Held, index: usize) -> (Option<Round>, Findings) {
    let mut findings = Findings::new();
    let round = models(piece, held, index, &mut findings);
    (round, findings)
}

fn models(piece: &Made, held: &Held, index: usize, findings: &mut Findings) -> Option<Round> {
    let Made { order, body, mesh, stock, outlines, .. } = piece;
    let Order { design, board, shop, .. } = order;
    let placement = *held.placements.get(index)?;
    let Held { pins, hold_down, hold_downs, .. } = held;
    let ball = shop.cutter(&shop.work.finish)?.diameter;
    let skirt = relief::skirt_width(ball);
    let skirt_edge = outlines.limit.skirt_edge();
    let size = DVec2::new(board.length.as_mm(), board.width.as_mm());
    let outline = outlines.body.to_polyline(CHORD);
    let slots: Vec<Vec<DVec2>> =
        outlines.slots.iter().map(|slot| slot.to_polyline(CHORD)).collect();
    let parting = |p: DVec2| body.parting(p);
    findings.extend(fit::short_grain(design, board, &placement));
    let (tabs, said) = workholding::place_tabs(
        &design.tabs,
        design.length,
        &outline,
        &parting,
        stock,
        skirt,
        &slots,
    );
    findings.extend(said);
    if findings.has_fault() {
        return None;
    }

    // What each setup carves, and the view of the finished piece.
    let setups = Setup::both(shop.turn, shop.zero, size, stock, &placement);
    let model = |setup: &Setup| {
        let (range, rim) = match setup.face {
            Face::Top => (&mesh.top, &mesh.rim_top),
            Face::Bottom => (&mesh.bottom, &mesh.rim_bottom),
        };
        relief::model(&relief::Order {
            face: setup.face,
            skin: Skin {
                points: &mesh.mesh.points,
                triangles: &mesh.mesh.triangles[range.clone()],
                rim,
            },
            skirt_edge: &skirt_edge,
            parting: &parting,
            tabs: &tabs,
            ball,
            overlap: shop.limits.overlap,
            stock_top: stock.top,
            stock_bottom: stock.bottom,
        })
        .map(|relief| (setup.from_design.mesh(&relief.mesh), relief.findings))
    };
    let (reliefs, finished) = rayon::join(
        || setups.par_iter().map(model).collect::<Vec<_>>(),
        || mesh::cut_through(&mesh.mesh, &slots),
    );
    let mut models = Vec::new();
    for relief in reliefs {
        match relief {
            Ok((mesh, said)) => {
                findings.extend(said);
                sound(mesh::audit(&mesh).closed, findings)?;
                models.push(mesh);
            }
            Err(fault) => findings.push(*fault),
        }
    }
    sound(finished.is_ok(), findings)?;
    let [top, bottom] = <[Mesh; 2]>::try_from(models).ok()?;
    let contours = tabs.iter().filter_map(|tab| {
        let bearing = tab.stands_on(&outline, skirt)?;
        Some((*tab, workholding::tab_contour(tab, bearing, skirt)))
    });
    let parting_line: Vec<DVec2> = outline.iter().map(|p| placement.on_board(*p)).collect();
    let (hold, said) = workholding::plan(&HoldOrder {
        board,
        shop,
        stock,
        outline: &outlines.body,
        limit: &outlines.limit,
        slots: &outlines.slots,
        parting: &parting_line,
        pins,
        setups: [&setups[0], &setups[1]],
        lowest: [
            workholding::lowest(&top, setups[0].stock_bottom),
            workholding::lowest(&bottom, setups[1].stock_bottom),
        ],
        over: hold_down.height,
        hold_downs: [hold_downs.len(); 2],
        low: false,
    });
    findings.extend(said);
    if findings.has_fault() {
        return None;
    }
    Some(Round {
        placement,
        tabs: contours.collect(),
        pins: pins.clone(),
        hold_down: hold_down.clone(),
        hold_downs: hold_downs.clone(),
        hold,
        setups: [(setups[0], top), (setups[1], bottom)],
        finished: finished.ok()?,
    })
}
