//! What a piece is carved by, where it lies on a held board: its tabs, passes and relief models; and
//! the order of work for all pieces.

use super::made::sound;
use super::order::Order;
use super::parts::{CHORD, Carved, Mounting, Outlines, Piece};
use crate::bed::HoldDownPlace;
use crate::bed::registration::register;
use crate::check;
use crate::cutting::PassKind;
use crate::cutting::passes::{self, Pass, Through};
use crate::cutting::sweep::{Sweep, Swept};
use crate::finding::Findings;
use crate::fit::{self, Placement};
use crate::inlay::{self, Inlaid, InlayOrder};
use crate::mesh::{self, Mesh};
use crate::outline::ArcPath;
use crate::relief::{self, Face, Skin, Tab};
use crate::setup::Setup;
use crate::tabs::{self, HeldTabs, TabGround, TabOrder};
use crate::work::{self, InlayWork, PieceOrder, Step, Travels, WorkOrder};
use glam::DVec2;
use rayon::prelude::*;

/// The models and passes of a piece, before the board is clamped.
pub(super) struct Models {
    setups: [(Setup, Mesh); 2],
    passes: Vec<Pass>,
    /// What they sweep in each setup.
    pub(super) swept: [Swept; 2],
    tabs: Vec<(Tab, ArcPath)>,
    saw_lines: Vec<ArcPath>,
    held: HeldTabs,
    finished: Mesh,
    inlays: Vec<Inlaid>,
}

/// Makes the tabs and the models of a piece on a held board; none when it can't, which is said.
pub(super) fn models(
    order: &Order,
    piece: &Piece,
    placement: &Placement,
    out: &mut Findings,
) -> Option<Models> {
    let Order { board, shop, .. } = order;
    let Piece { design, body, mesh, stock, outlines, .. } = piece;
    let ball = shop.cutter(&shop.work.finish)?.diameter;
    let skirt = relief::skirt_width(ball);
    let skirt_edge = outlines.limit.skirt_edge();
    let outline = outlines.body.to_polyline(CHORD);
    let lines = |paths: &[ArcPath]| -> Vec<Vec<DVec2>> {
        paths.iter().map(|path| path.to_polyline(CHORD)).collect()
    };
    let slots = lines(&outlines.slots);
    let cut = lines(&outlines.cuts());
    let parting = |p: DVec2| body.parting(p);
    fit::short_grain(design, board, placement, out);
    let hollow = outlines.hollow.as_ref().map(|path| path.to_polyline(CHORD));
    let held = TabOrder {
        asked: &design.tabs,
        ground: TabGround {
            length: design.length,
            outline: &outline,
            edge: &skirt_edge,
            parting: &parting,
            stock,
            skirt,
            slots: &slots,
            height: &|p| body.top(p) - body.bottom(p),
        },
        hollow: hollow.as_deref().unwrap_or_default(),
        middle: mesh.mesh.middle().truncate(),
        board,
        placement,
        load: shop.bed.tabs,
    };
    let held = tabs::hold_tabs(&held, out);
    let own = &held.tabs;
    if out.has_fault() {
        return None;
    }

    // What each setup carves and sweeps, and the view of the finished piece.
    let Outlines { body: edge, limit, .. } = outlines;
    let through = [
        Through { kind: PassKind::Slots, paths: &outlines.slots, under: piece.under_slots },
        Through {
            kind: PassKind::Openings,
            paths: &outlines.openings,
            under: piece.under_openings,
        },
    ];
    let mut passes = passes::all(shop, edge, limit, &through, &design.clean_up, out);
    let setups = Setup::both(shop.turn, shop.zero, board.size(), stock, placement);
    let model = |setup: &Setup| {
        if order.stop.asked() {
            return (None, Findings::new());
        }
        let (range, rim) = match setup.face {
            Face::Top => (&mesh.top, &mesh.rim_top),
            Face::Bottom => (&mesh.bottom, &mesh.rim_bottom),
        };
        let mut said = Findings::new();
        let order = relief::ReliefOrder {
            face: setup.face,
            skin: Skin {
                points: &mesh.mesh.points,
                triangles: &mesh.mesh.triangles[range.clone()],
                rim,
            },
            skirt_edge: &skirt_edge,
            parting: &parting,
            tabs: own,
            ball,
            overlap: shop.limits.overlap,
            stock_top: stock.top,
            stock_bottom: stock.bottom,
        };
        let relief = relief::model(&order, &mut said).map_err(|fault| said.push(*fault)).ok();
        let carved = relief.and_then(|relief| {
            let mesh = setup.from_design.mesh(&relief.mesh);
            let name = format!("the relief model of the {} setup", setup.face.name());
            sound(&name, mesh::audit_in(&mesh, shop.models).trouble(), &mut said)?;
            Some(mesh)
        });
        (carved, said)
    };
    let mut let_in = Findings::new();
    let (inlays, (reliefs, finished)) = rayon::join(
        || inlays(order, piece, &mut let_in),
        || {
            rayon::join(
                || setups.par_iter().map(model).collect::<Vec<_>>(),
                || {
                    let finished = mesh::cut_through(mesh, &cut).ok()?;
                    // Without slots it is the body's own mesh, which was looked at.
                    let audit = (!cut.is_empty()).then(|| mesh::audit_in(&finished, shop.models));
                    Some((finished, audit.and_then(|audit| audit.trouble())))
                },
            )
        },
    );
    out.extend(let_in);
    passes.extend(inlays.iter().flat_map(|inlay| inlay.passes.iter().cloned()));
    let mut carved = Vec::new();
    for (model, said) in reliefs {
        out.extend(said);
        carved.extend(model);
    }
    let uncut = finished.is_none().then(|| "could not be cut".to_owned());
    sound("the view with its slots", uncut, out)?;
    let (finished, trouble) = finished?;
    sound("the view with its slots", trouble, out)?;
    let [top, bottom] = <[Mesh; 2]>::try_from(carved).ok()?;
    let sweep = |setup: &Setup, mesh: &Mesh| Swept::new(setup, mesh, &passes, shop.bed.holder);
    let (above, below) = rayon::join(|| sweep(&setups[0], &top), || sweep(&setups[1], &bottom));
    let contours = own.iter().filter_map(|tab| {
        let bearing = tab.stands_on(&outline, skirt)?;
        Some((*tab, tabs::tab_contour(tab, bearing, skirt, &skirt_edge)?))
    });
    let contours = contours.collect();
    let saw_lines = own.iter().map(|tab| tabs::saw_line(tab, &outline)).collect();
    Some(Models {
        setups: [(setups[0], top), (setups[1], bottom)],
        passes,
        swept: [above, below],
        tabs: contours,
        saw_lines,
        finished,
        held,
        inlays,
    })
}

/// The inlays of a piece, each with its models looked at.
fn inlays(order: &Order, piece: &Piece, out: &mut Findings) -> Vec<Inlaid> {
    let Order { board, shop, brought, .. } = order;
    let Piece { design, body, stock, outlines, .. } = piece;
    let brought = brought.get(piece.number.unwrap_or(0)).map_or(&[][..], Vec::as_slice);
    let outline = &outlines.body;
    let order = InlayOrder { design, body, outline, stock, board, shop, brought };
    let made = inlay::inlays(&order, out);
    let looked = made.par_iter().map(|one| {
        let plug = || one.plug.as_ref().and_then(|plug| mesh::audit(&plug.relief).trouble());
        rayon::join(|| mesh::audit(&one.recess).trouble(), plug)
    });
    for (one, (recess, plug)) in made.iter().zip(looked.collect::<Vec<_>>()) {
        sound(&format!("the model of the recess of {}", one.name), recess, out);
        sound(&format!("the model of the plug of {}", one.name), plug, out);
    }
    made
}

/// What a piece of a clamped board is carved by; none when it can't be, which is said. `bores` is
/// the boring of the pins' holes through the board.
pub(super) fn carved(
    order: &Order,
    piece: &mut Piece,
    mounting: &Mounting,
    placement: &Placement,
    (models, bores): (Models, Option<&Sweep>),
    out: &mut Findings,
) -> Option<Carved> {
    let Order { board, shop, .. } = order;
    let Mounting { pins, clamps, mounts, borings, .. } = mounting;
    let Models { setups, passes, swept, tabs, saw_lines, held, finished, inlays } = models;
    piece.design.tabs = held.asked.clone();
    let lowest = swept.each_ref().map(|swept| swept.lowest);
    let outline = piece.outlines.body.to_polyline(CHORD);
    let parting: Vec<DVec2> = outline.iter().map(|p| placement.on_board(*p)).collect();
    let registration = register(board.size(), pins, &shop.bed, shop.turn, &parting, out);
    let travels =
        Travels { shop, passes: &passes, carved: &setups, lowest, borings, mounts, clamps };
    work::travel(&travels, out);
    let can = !out.has_fault();
    let hold_downs = clamps.places.each_ref().map(|places| {
        let parts = |place: &HoldDownPlace| Some(place.standing(clamps.model(place)?));
        places.iter().filter_map(parts).flatten().collect()
    });
    let around = check::Around {
        swept: &swept,
        deepest: piece.stock.height - lowest[0].min(lowest[1]),
        bores,
        area: &piece.outlines.limit.area.transformed(placement.affine()),
        in_design: &|p| placement.in_design(p),
        hold_downs,
    };
    let checks = check::around(&piece.context(order), &around, out);
    piece.checks.extend(checks);
    let carved =
        Carved { setups, lowest, passes, tabs, saw_lines, held, finished, registration, inlays };
    can.then_some(carved)
}

/// The order of work of a held board with all its carved pieces.
pub(super) fn steps(order: &Order, pieces: &[Piece], mounting: &Mounting) -> Vec<Step> {
    let Mounting { pins, clamps, mounts, bore, .. } = mounting;
    let inlays = pieces.iter().map(|piece| {
        let own = piece.carved.as_ref().map_or(&[][..], |carved| &carved.inlays);
        own.iter().map(|one| one.work(&piece.design, order.shop.unit)).collect()
    });
    let inlays: Vec<Vec<InlayWork>> = inlays.collect();
    let pieces = pieces.iter().zip(&inlays).map(|(piece, inlays)| PieceOrder {
        inlays,
        name: &piece.design.name,
        passes: piece.carved.as_ref().map_or(&[], |carved| &carved.passes),
        clean_up: piece.design.clean_up.len(),
    });
    work::plan(&WorkOrder {
        board: &order.board,
        shop: &order.shop,
        pieces: pieces.collect(),
        pins,
        bore: bore.as_ref(),
        dowel: mounting.dowel,
        mounts,
        clamps,
    })
}
