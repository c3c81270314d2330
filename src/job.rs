//! The pipeline: a design, a board and a shop become a job, with all that there is to say about
//! it. No file, no clock, no print; the same order gives the same job.

use crate::check;
use crate::finding::{Code, Finding, Findings};
use crate::fit::{self, Change, Footprint, Placement, Spare, Stock, Wood};
use crate::mesh::{self, BodyMesh, Mesh, Sizes};
use crate::outline::slots::SlotMeasure;
use crate::outline::{ArcPath, arcs, slots};
use crate::params::{self, Board, Design, Head, Shop};
use crate::relief::{self, Face, Skin, Tab};
use crate::shape::{Body, Lattice, Solids};
use crate::units::Length;
use crate::workholding::{self, Hold, HoldDownModel, HoldDownPlace, HoldOrder, Limit, Pins, Setup};
use glam::DVec2;
use rayon::prelude::*;

/// What a job is made from.
#[derive(Clone, Debug)]
pub struct Order {
    /// The design, checked.
    pub design: Design,
    /// The board, checked.
    pub board: Board,
    /// The shop, checked.
    pub shop: Shop,
    /// Greatest distance of the meshes from the exact surface; see [`mesh::FINEST`] and
    /// [`mesh::COARSEST`].
    pub tolerance: Length,
    /// How much of the job is wanted.
    pub scope: Scope,
}

/// How much of a job is planned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scope {
    /// All of it.
    Packet,
    /// The body, and the rules that concern it; no relief models and no workholding.
    Body,
}

/// A job that can be made, unless its findings hold a fault.
#[derive(Clone, Debug)]
pub struct Job {
    /// What it was made from. Its design is the one that is made: fitted to the board.
    pub order: Order,
    /// What fitting changed in the design.
    pub changes: Vec<Change>,
    /// The exact body.
    pub body: Body,
    /// The blocks that mesh and B-rep are made on.
    pub lattice: Lattice,
    /// Its mesh.
    pub mesh: BodyMesh,
    /// Least angle of the mesh's triangles, in degrees, and its area in mm².
    pub audit: mesh::Audit,
    /// What the mesh measures.
    pub sizes: Sizes,
    /// Volumes of the exact body.
    pub solids: Solids,
    /// How it lies in the height of the stock.
    pub stock: Stock,
    /// Outlines in the design frame.
    pub outlines: Outlines,
    /// What the tines measure, of a fork.
    pub tines: Option<SlotMeasure>,
    /// Everything round the piece; only with [`Scope::Packet`].
    pub round: Option<Round>,
    /// What the rules looked at and found.
    pub checks: check::Checks,
}

/// Outlines in the design frame, arcs and lines.
#[derive(Clone, Debug)]
pub struct Outlines {
    /// The body's.
    pub body: ArcPath,
    /// The line between hollow and rim land; none for a turner.
    pub hollow: Option<ArcPath>,
    /// The slots', of a fork.
    pub slots: Vec<ArcPath>,
    /// Limits for finishing.
    pub limit: Limit,
}

/// What stands round the piece.
#[derive(Clone, Debug)]
pub struct Round {
    /// Where the piece lies on the board.
    pub placement: Placement,
    /// The tabs, and their outlines, in the design frame.
    pub tabs: Vec<(Tab, ArcPath)>,
    /// The lines along which the tabs are sawn off, open, in the design frame.
    pub saw_lines: Vec<ArcPath>,
    /// The tabs as they are made, and what they bear by estimate.
    pub held: workholding::HeldTabs,
    /// The pins, on the board.
    pub pins: Pins,
    /// The hold-down for this stock.
    pub hold_down: HoldDownModel,
    /// Where hold-downs bear, on the board.
    pub hold_downs: Vec<HoldDownPlace>,
    /// All that stands between the board and the bed.
    pub hold: Hold,
    /// The two setups with their relief models, each in its own frame.
    pub setups: [(Setup, Mesh); 2],
    /// The body with its slots cut, in the design frame.
    pub finished: Mesh,
}

/// A planned job and its findings. Without a job, or with a fault among the findings, nothing may
/// be written.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// All that there is to say.
    pub findings: Findings,
    /// The job, if it could be planned to its end.
    pub job: Option<Job>,
}

/// The mesh that was made is not sound: a fault of the tool, never of the design.
pub const MESH_UNSOUND: Code = Code {
    name: "mesh-unsound",
    explain: "A mesh that the tool made is open, inside out or holds a triangle without area, or \
        the slots could not be cut through it. Every mesh is looked at before anything is \
        written, so nothing was. No checked design is known to do this. It is a fault of the \
        tool, not of yours: please report it with your three files. Changing a size a little \
        may get you past it meanwhile.",
};

/// Every code of a finding about a job.
pub fn codes() -> Vec<Code> {
    [params::CODES, fit::CODES, relief::CODES, workholding::CODES, check::CODES, &[MESH_UNSOUND]]
        .concat()
}

/// Plans a job; spare height stays in the stock.
pub fn plan(order: &Order) -> Outcome {
    plan_with(order, Spare::Leave)
}

/// Plans a job, and says what becomes of spare height.
pub fn plan_with(order: &Order, spare: Spare) -> Outcome {
    let mut findings = Findings::new();
    findings.extend(fit::readings(&order.board));
    let fitted = fit::to_board(&order.design, &order.board, &order.shop, spare);
    findings.extend(fitted.findings(order.board.usable_height()));
    let order = Order { design: fitted.design.clone(), ..order.clone() };
    let job = planned(&order, &fitted, &mut findings);
    Outcome { findings, job }
}

fn planned(order: &Order, fitted: &fit::Fit, findings: &mut Findings) -> Option<Job> {
    let Order { design, board, shop, .. } = order;
    let body = Body::new(design);
    let lattice = body.lattice();
    let mesh = mesh::tessellate(&body, &lattice, order.tolerance);
    let ((audit, solids), sizes) = rayon::join(
        || (mesh::audit(&mesh.mesh), body.solids(&lattice)),
        || mesh::measure(&body, design, &mesh),
    );
    sound(audit.sound() && mesh.error <= order.tolerance, findings)?;
    let usable = board.usable_height();
    let stock = Stock::round(usable, Length::mm(sizes.low.z), Length::mm(sizes.high.z));
    let outlines = outlines(order, &body, findings);
    let tines = outlines.as_ref().and_then(|outlines| {
        slots::measure(&outlines.body, body.length(), design.tines.as_ref()?, &outlines.slots)
    });
    let context = check::Context {
        design,
        board,
        shop,
        body: &body,
        solids: &solids,
        stock: &stock,
        sizes: &sizes,
        slots: outlines.as_ref().map_or(&[], |outlines| &outlines.slots),
        tines: tines.as_ref(),
        advice: fitted.advice.as_ref(),
    };
    let (said, mut checks) = check::first(&context);
    findings.extend(said);
    let round = match (order.scope, outlines.as_ref()) {
        (_, None) => return None,
        (Scope::Body, _) => None,
        (Scope::Packet, Some(outlines)) => {
            let (round, (said, carving)) = rayon::join(
                || round(order, &body, &mesh, &stock, outlines, findings),
                || check::all(&context),
            );
            findings.extend(said);
            checks.extend(carving);
            Some(round?)
        }
    };
    if order.scope == Scope::Packet {
        check::accept(&design.accept, findings);
    }
    checks.settle(findings);
    let outlines = outlines?;
    let (mut order, changes) = (order.clone(), fitted.changes.clone());
    if let Some(round) = &round {
        order.design.tabs = round.held.asked.clone();
    }
    Some(Job {
        order,
        changes,
        body,
        lattice,
        mesh,
        audit,
        sizes,
        solids,
        stock,
        outlines,
        tines,
        round,
        checks,
    })
}

/// The outlines, as far as the cutters that they need are in the shop.
fn outlines(order: &Order, body: &Body, findings: &mut Findings) -> Option<Outlines> {
    let Order { design, shop, .. } = order;
    let outline = arcs::fit(&body.outline(), arcs::ARC_FIT).path;
    let hollow = body.hollow();
    let hollow = (!hollow.is_empty()).then(|| arcs::fit(&hollow, arcs::ARC_FIT).path);
    // A missing cutter is a rule's to say.
    let finish = shop.cutter(&shop.work.finish)?;
    let slots = match (&design.tines, &design.head) {
        (Some(tines), Head::Bowl(bowl)) => {
            let cutter = shop.cutter(&shop.work.slots)?;
            slots::slots(&outline, body.length(), bowl.length, bowl.width, tines, cutter.diameter)
        }
        _ => Vec::new(),
    };
    let limit = Limit::round(&outline, finish.diameter);
    let limit = limit.map_err(|fault| findings.push(*fault)).ok()?;
    Some(Outlines { body: outline, hollow, slots, limit })
}

/// Chords of the outlines that only clearances are measured with, and that slots are cut with in
/// the finished view.
const CHORD: Length = Length::mm(0.01);

fn round(
    order: &Order,
    body: &Body,
    mesh: &BodyMesh,
    stock: &Stock,
    outlines: &Outlines,
    findings: &mut Findings,
) -> Option<Round> {
    let Order { design, board, shop, .. } = order;
    let ball = shop.cutter(&shop.work.finish)?.diameter;
    let skirt = relief::skirt_width(ball);
    let outline = outlines.body.to_polyline(CHORD);
    let slots: Vec<Vec<DVec2>> =
        outlines.slots.iter().map(|slot| slot.to_polyline(CHORD)).collect();
    let parting = |p: DVec2| body.parting(p);

    // The piece on the board.
    let piece = Footprint { sound: outline.clone(), whole: outlines.limit.skirt_edge() };
    let (placement, said) = fit::place(board, &piece, shop.limits.margin);
    findings.extend(said);
    findings.extend(fit::short_grain(design, board, &placement));
    let size = DVec2::new(board.length.as_mm(), board.width.as_mm());
    let wood = Wood::of(board);
    let skirt_on_board: Vec<DVec2> = piece.whole.iter().map(|p| placement.on_board(*p)).collect();

    // What holds it.
    let hollow = outlines.hollow.as_ref().map(|path| path.to_polyline(CHORD));
    let (held, said) = workholding::hold_tabs(&workholding::TabOrder {
        asked: &design.tabs,
        ground: workholding::TabGround {
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
        placement: &placement,
        load: shop.bed.tabs,
    });
    findings.extend(said);
    let tabs = &held.tabs;
    let margin = shop.limits.margin;
    let (pins, said) = workholding::place_pins(
        size,
        &wood,
        &skirt_on_board,
        shop.pin,
        margin,
        &shop.bed.pin.place,
    );
    findings.extend(said);
    let hold_down = workholding::hold_down(shop, stock);
    let hold_down = hold_down.map_err(|fault| findings.push(*fault)).ok();
    let pins_at: &[DVec2] = pins.as_ref().map_or(&[], |pins| &pins.places[..]);
    let (hold_downs, said) = workholding::place_hold_downs(
        size,
        &wood,
        &skirt_on_board,
        pins_at,
        shop.pin.diameter + shop.pin.play,
        &shop.hold_down,
        margin,
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
            skirt_edge: &piece.whole,
            parting: &parting,
            tabs,
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
    let contours = contours.collect();
    let saw_lines = tabs.iter().map(|tab| workholding::saw_line(tab, &outline)).collect();
    let (pins, hold_down) = (pins?, hold_down?);
    let parting_line: Vec<DVec2> = outline.iter().map(|p| placement.on_board(*p)).collect();
    let (hold, said) = workholding::plan(&HoldOrder {
        board,
        shop,
        stock,
        outline: &outlines.body,
        limit: &outlines.limit,
        slots: &outlines.slots,
        clean_up: &design.clean_up,
        parting: &parting_line,
        pins: &pins,
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
        tabs: contours,
        saw_lines,
        held,
        pins,
        hold_down,
        hold_downs,
        hold,
        setups: [(setups[0], top), (setups[1], bottom)],
        finished: finished.ok()?,
    })
}

/// Says so when a mesh is not what every mesh must be.
fn sound(is: bool, findings: &mut Findings) -> Option<()> {
    if !is {
        findings.push(Finding::fault(
            MESH_UNSOUND,
            "a mesh that was made is not closed, or is inside out",
            "This is a fault of the tool; please report it with your three files.",
        ));
    }
    is.then_some(())
}
