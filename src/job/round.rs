//! What stands round the pieces: what holds the board, and each piece's tabs and relief models.

use super::made::Made;
use super::{CHORD, Order, Outlines, Round, sound};
use crate::bed::{self, ClampOrder, Clamps, HeldPiece, HoldDownPlace, Pins};
use crate::blocks::HoldDownModel;
use crate::check;
use crate::cutting::passes::{self, Pass};
use crate::cutting::sweep::{Sweep, Swept};
use crate::finding::Findings;
use crate::fit::{self, Placement, Wood};
use crate::mesh::{self, Mesh};
use crate::outline::ArcPath;
use crate::params::{Board, Shop};
use crate::relief::{self, Face, Skin, Tab};
use crate::setup::Setup;
use crate::work::{self, HoldOrder};
use glam::DVec2;
use rayon::prelude::*;

/// What a board with all its pieces is held by, as far as it is known before they are carved.
pub(super) struct Held {
    placements: Vec<Placement>,
    pins: Pins,
    /// The boring of their holes through the board.
    bores: Option<Sweep>,
    blocks: Vec<HoldDownModel>,
    /// The skirts' edges on the board.
    skirts: Vec<Vec<DVec2>>,
}

/// What a piece is carved by.
pub(super) struct Carved {
    setups: [(Setup, Mesh); 2],
    passes: Vec<Pass>,
    /// What they sweep in each setup.
    swept: [Swept; 2],
    tabs: Vec<(Tab, ArcPath)>,
    saw_lines: Vec<ArcPath>,
    held: crate::tabs::HeldTabs,
    finished: Mesh,
    /// The outline on the board.
    parting: Vec<DVec2>,
}

/// Places the pins and makes the hold-downs; none when the board can't be held, which the findings
/// say.
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
    let (pins, said) = bed::place_pins(size, &wood, &skirts, shop.pin, margin, &shop.bed.pin.place);
    findings.extend(said);
    // The stock's height is the board's, so the same blocks serve all.
    let blocks = pieces.first().and_then(|piece| {
        let blocks = crate::blocks::hold_downs(shop, &piece.stock);
        blocks.map_err(|fault| findings.push(*fault)).ok()
    });
    let placements = placements.to_vec();
    let held = pins.zip(blocks).zip(pieces.first()).map(|((pins, blocks), piece)| Held {
        bores: work::bores(shop, piece.stock.height, &pins),
        placements,
        pins,
        blocks,
        skirts,
    });
    (held, findings)
}

/// Places hold-downs and spacers round all that is carved.
pub(super) fn clamped(
    board: &Board,
    shop: &Shop,
    held: &Held,
    carved: &[Carved],
) -> (Clamps, Findings) {
    let pieces: Vec<HeldPiece<'_>> = carved
        .iter()
        .map(|carved| HeldPiece {
            setups: carved.setups.each_ref().map(|(setup, _)| setup),
            swept: &carved.swept,
        })
        .collect();
    let order = ClampOrder {
        board,
        shop,
        pieces: &pieces,
        skirts: &held.skirts,
        pins: &held.pins,
        bores: held.bores.as_ref(),
        blocks: &held.blocks,
    };
    bed::clamps(&order)
}

/// Whether the holders stay off all that stands round one piece.
fn holder_room(
    piece: &Made,
    held: &Held,
    clamps: &Clamps,
    swept: &[Swept; 2],
    index: usize,
) -> (Findings, check::Checks) {
    let Some(placement) = held.placements.get(index) else { return Default::default() };
    let hold_downs = clamps.places.each_ref().map(|places| {
        let parts = |place: &HoldDownPlace| Some(place.standing(clamps.model(place)?));
        places.iter().filter_map(parts).flatten().collect()
    });
    check::around(
        &piece.context(),
        &check::Around {
            swept,
            bores: held.bores.as_ref(),
            area: &piece.outlines.limit.area.transformed(placement.affine()),
            in_design: &|p| placement.in_design(p),
            hold_downs,
        },
    )
}

/// One piece's tabs and models on a held board.
pub(super) fn carved(piece: &Made, held: &Held, index: usize) -> (Option<Carved>, Findings) {
    let mut findings = Findings::new();
    let carved = models(piece, held, index, &mut findings);
    (carved, findings)
}

fn models(piece: &Made, held: &Held, index: usize, findings: &mut Findings) -> Option<Carved> {
    let Made { order, body, mesh, stock, outlines, .. } = piece;
    let Order { design, board, shop, .. } = order;
    let placement = *held.placements.get(index)?;
    let ball = shop.cutter(&shop.work.finish)?.diameter;
    let skirt = relief::skirt_width(ball);
    let skirt_edge = outlines.limit.skirt_edge();
    let size = DVec2::new(board.length.as_mm(), board.width.as_mm());
    let outline = outlines.body.to_polyline(CHORD);
    let slots: Vec<Vec<DVec2>> =
        outlines.slots.iter().map(|slot| slot.to_polyline(CHORD)).collect();
    let parting = |p: DVec2| body.parting(p);
    findings.extend(fit::short_grain(design, board, &placement));
    let hollow = outlines.hollow.as_ref().map(|path| path.to_polyline(CHORD));
    let (held_tabs, said) = crate::tabs::hold_tabs(&crate::tabs::TabOrder {
        asked: &design.tabs,
        ground: crate::tabs::TabGround {
            length: design.length,
            outline: &outline,
            parting: &parting,
            stock,
            skirt,
            slots: &slots,
            height: &|p| body.top(p) - body.bottom(p),
        },
        hollow: hollow.as_deref().unwrap_or_default(),
        middle: mesh.mesh.middle().truncate(),
        board,
        placement: &placement,
        load: shop.bed.tabs,
    });
    findings.extend(said);
    let tabs = &held_tabs.tabs;
    if findings.has_fault() {
        return None;
    }

    // What each setup carves and sweeps, and the view of the finished piece.
    let Outlines { body: edge, limit, slots: cuts, .. } = outlines;
    let under_slots = piece.under_slots;
    let (passes, said) = passes::all(shop, edge, limit, cuts, under_slots, &design.clean_up);
    findings.extend(said);
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
            tabs,
            ball,
            overlap: shop.limits.overlap,
            stock_top: stock.top,
            stock_bottom: stock.bottom,
        })
        .map(|relief| {
            let mesh = setup.from_design.mesh(&relief.mesh);
            let closed = mesh::closed(&mesh);
            let swept = Swept::new(setup, &mesh, &passes, shop.bed.holder);
            (mesh, swept, closed, relief.findings)
        })
    };
    let (reliefs, finished) = rayon::join(
        || setups.par_iter().map(model).collect::<Vec<_>>(),
        || mesh::cut_through(&mesh.mesh, &slots),
    );
    let (mut models, mut swept) = (Vec::new(), Vec::new());
    for relief in reliefs {
        match relief {
            Ok((mesh, sweeps, closed, said)) => {
                findings.extend(said);
                sound(closed, findings)?;
                models.push(mesh);
                swept.push(sweeps);
            }
            Err(fault) => findings.push(*fault),
        }
    }
    sound(finished.is_ok(), findings)?;
    let [top, bottom] = <[Mesh; 2]>::try_from(models).ok()?;
    let swept = <[Swept; 2]>::try_from(swept).ok()?;
    let contours = tabs.iter().filter_map(|tab| {
        let bearing = tab.stands_on(&outline, skirt)?;
        Some((*tab, crate::tabs::tab_contour(tab, bearing, skirt)))
    });
    let contours = contours.collect();
    let saw_lines = tabs.iter().map(|tab| crate::tabs::saw_line(tab, &outline)).collect();
    Some(Carved {
        setups: [(setups[0], top), (setups[1], bottom)],
        passes,
        swept,
        tabs: contours,
        saw_lines,
        held: held_tabs,
        finished: finished.ok()?,
        parting: outline.iter().map(|p| placement.on_board(*p)).collect(),
    })
}

/// One piece with all that stands round it, and what the rule says that looks at that.
pub(super) fn round(
    piece: &Made,
    held: &Held,
    clamps: &Clamps,
    carved: Carved,
    index: usize,
) -> (Option<Round>, Findings, check::Checks) {
    let Made { order, stock, outlines, .. } = piece;
    let [(top, above), (bottom, below)] = &carved.setups;
    let order = HoldOrder {
        board: &order.board,
        shop: &order.shop,
        stock,
        passes: &carved.passes,
        slots: &outlines.slots,
        clean_up: &order.design.clean_up,
        parting: &carved.parting,
        pins: &held.pins,
        setups: [top, bottom],
        lowest: [work::lowest(above, top.stock_bottom), work::lowest(below, bottom.stock_bottom)],
        clamps,
    };
    let ((hold, mut findings), (said, checks)) = rayon::join(
        || work::plan(&order),
        || holder_room(piece, held, clamps, &carved.swept, index),
    );
    let placement = held.placements.get(index).copied().filter(|_| !findings.has_fault());
    findings.extend(said);
    let round = placement.map(|placement| Round {
        placement,
        tabs: carved.tabs,
        saw_lines: carved.saw_lines,
        held: carved.held,
        pins: held.pins.clone(),
        clamps: clamps.clone(),
        hold,
        setups: carved.setups,
        finished: carved.finished,
    });
    (round, findings, checks)
}
