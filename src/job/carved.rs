//! What a piece is carved by, where it lies on a held board: its tabs, passes and relief models, and
//! the order of work.

use super::{CHORD, Mounting, Order, Outlines, Piece, sound};
use crate::bed::registration::register;
use crate::bed::{HoldDownPlace, Registration};
use crate::check;
use crate::cutting::passes::{self, Pass};
use crate::cutting::sweep::{Sweep, Swept};
use crate::finding::Findings;
use crate::fit::{self, Placement};
use crate::mesh::{self, Mesh};
use crate::outline::ArcPath;
use crate::relief::{self, Face, Skin, Tab};
use crate::setup::Setup;
use crate::tabs::{self, HeldTabs, TabGround, TabOrder};
use crate::units::Length;
use crate::work::{self, Step, WorkOrder};
use glam::DVec2;
use rayon::prelude::*;

/// What a piece is carved by.
#[derive(Clone, Debug)]
pub struct Carved {
    /// The two setups with their relief models, each in its own frame.
    pub setups: [(Setup, Mesh); 2],
    /// The lowest that is carved in each, over the bed.
    pub lowest: [Length; 2],
    /// The passes with their limits.
    pub passes: Vec<Pass>,
    /// The tabs, and their outlines, in the design frame.
    pub tabs: Vec<(Tab, ArcPath)>,
    /// The lines along which the tabs are sawn off, open, in the design frame.
    pub saw_lines: Vec<ArcPath>,
    /// The tabs as they are made, and what they bear by estimate.
    pub held: HeldTabs,
    /// The body with its slots cut, in the design frame.
    pub finished: Mesh,
    /// How well the pins make the two sides meet.
    pub registration: Registration,
    /// The order of work.
    pub steps: Vec<Step>,
}

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
    let slots: Vec<Vec<DVec2>> =
        outlines.slots.iter().map(|slot| slot.to_polyline(CHORD)).collect();
    let parting = |p: DVec2| body.parting(p);
    out.extend(fit::short_grain(design, board, placement));
    let hollow = outlines.hollow.as_ref().map(|path| path.to_polyline(CHORD));
    let (held, said) = tabs::hold_tabs(&TabOrder {
        asked: &design.tabs,
        ground: TabGround {
            length: design.length,
            outline: &outline,
            parting: &parting,
            stock,
            skirt,
            slots: &slots,
        },
        height: &|p| body.top(p) - body.bottom(p),
        hollow: hollow.as_deref().unwrap_or_default(),
        middle: mesh.mesh.middle().truncate(),
        board,
        placement,
        load: shop.bed.tabs,
    });
    out.extend(said);
    let own = &held.tabs;
    if out.has_fault() {
        return None;
    }

    // What each setup carves and sweeps, and the view of the finished piece.
    let Outlines { body: edge, limit, slots: cuts, .. } = outlines;
    let under_slots = piece.under_slots;
    let (passes, said) = passes::all(shop, edge, limit, cuts, under_slots, &design.clean_up);
    out.extend(said);
    let setups = Setup::both(shop.turn, shop.zero, board.size(), stock, placement);
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
            tabs: own,
            ball,
            overlap: shop.limits.overlap,
            stock_top: stock.top,
            stock_bottom: stock.bottom,
        })
        .map(|relief| {
            let mesh = setup.from_design.mesh(&relief.mesh);
            let trouble = mesh::audit(&mesh).trouble();
            let swept = Swept::new(setup, &mesh, &passes, shop.bed.holder);
            (mesh, swept, trouble, relief.findings)
        })
    };
    let (reliefs, finished) = rayon::join(
        || setups.par_iter().map(model).collect::<Vec<_>>(),
        || mesh::cut_through(mesh, &slots),
    );
    let (mut models, mut swept) = (Vec::new(), Vec::new());
    for (setup, relief) in setups.iter().zip(reliefs) {
        match relief {
            Ok((mesh, sweeps, trouble, said)) => {
                out.extend(said);
                let name = format!("the relief model of the {} setup", setup.face.name());
                sound(&name, trouble, out)?;
                models.push(mesh);
                swept.push(sweeps);
            }
            Err(fault) => out.push(*fault),
        }
    }
    let uncut = finished.is_err().then(|| "could not be cut".to_owned());
    sound("the view with its slots", uncut, out)?;
    let [top, bottom] = <[Mesh; 2]>::try_from(models).ok()?;
    let swept = <[Swept; 2]>::try_from(swept).ok()?;
    let contours = own.iter().filter_map(|tab| {
        let bearing = tab.stands_on(&outline, skirt)?;
        Some((*tab, tabs::tab_contour(tab, bearing, skirt)))
    });
    let contours = contours.collect();
    let saw_lines = own.iter().map(|tab| tabs::saw_line(tab, &outline)).collect();
    Some(Models {
        setups: [(setups[0], top), (setups[1], bottom)],
        passes,
        swept,
        tabs: contours,
        saw_lines,
        finished: finished.ok()?,
        held,
    })
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
    let Models { setups, passes, swept, tabs, saw_lines, held, finished } = models;
    piece.design.tabs = held.asked.clone();
    let lowest = swept.each_ref().map(|swept| swept.lowest);
    let outline = piece.outlines.body.to_polyline(CHORD);
    let parting: Vec<DVec2> = outline.iter().map(|p| placement.on_board(*p)).collect();
    let (registration, said) = register(board.size(), pins, &shop.bed, shop.turn, &parting);
    out.extend(said);
    let (steps, said) = work::plan(&WorkOrder {
        board,
        shop,
        passes: &passes,
        clean_up: piece.design.clean_up.len(),
        setups: &mounting.setups,
        lowest,
        pins,
        bore: mounting.bore.as_ref(),
        borings,
        mounts,
        clamps,
    });
    out.extend(said);
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
    let (said, checks) = check::around(&piece.context(order), &around);
    out.extend(said);
    piece.checks.extend(checks);
    let carved =
        Carved { setups, lowest, passes, tabs, saw_lines, held, finished, registration, steps };
    can.then_some(carved)
}
