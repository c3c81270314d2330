//! What a job is: a mounting of the board, and the pieces on it.

use super::order::{Order, Scope};
use crate::bed::mounts::Mount;
use crate::bed::{Clamps, Pins, Registration};
use crate::check;
use crate::cutting::Limit;
use crate::cutting::passes::Pass;
use crate::fit::{Advice, Change, Placement, Stock};
use crate::inlay::Inlaid;
use crate::mesh::{self, BodyMesh, Mesh, Sizes};
use crate::outline::ArcPath;
use crate::outline::slots::SlotMeasure;
use crate::params::{Board, Cutter, Design, Shop};
use crate::relief::{Face, Tab};
use crate::setup::Setup;
use crate::shape::{Body, Lattice, Solids};
use crate::tabs::HeldTabs;
use crate::units::Length;
use crate::work::{self, Boring, Dowel, Drilling, PassHeights, Step};
use glam::DVec2;

/// Chords of the outlines that only clearances are measured with, and that slots are cut with in
/// the finished view.
pub(super) const CHORD: Length = Length::mm(0.01);

/// A job that can be made, unless its findings hold a fault.
#[derive(Clone, Debug)]
pub struct Job {
    /// The board.
    pub board: Board,
    /// The shop.
    pub shop: Shop,
    /// Greatest distance of the meshes from the exact surface that was asked for.
    pub tolerance: Length,
    /// The pieces, in the order of their designs.
    pub pieces: Vec<Piece>,
    /// How the board is held, and all that its pieces share; only with [`super::Scope::Packet`].
    pub mounting: Option<Mounting>,
}

impl Job {
    /// The pieces with what they are carved by, on the board; only with [`super::Scope::Packet`].
    pub fn mounted(&self) -> Vec<Mounted<'_>> {
        let Some(mounting) = &self.mounting else { return Vec::new() };
        let laid = self.pieces.iter().zip(&mounting.placements);
        laid.filter_map(|(piece, placement)| {
            let carved = piece.carved.as_ref()?;
            Some(Mounted { job: self, mounting, piece, carved, placement })
        })
        .collect()
    }
}

/// A piece of a job where it lies on the board, with what it is carved by.
#[derive(Clone, Copy, Debug)]
pub struct Mounted<'a> {
    /// The whole job.
    pub job: &'a Job,
    /// How the board is held.
    pub mounting: &'a Mounting,
    /// The piece.
    pub piece: &'a Piece,
    /// What it is carved by.
    pub carved: &'a Carved,
    /// Where it lies.
    pub placement: &'a Placement,
}

impl Mounted<'_> {
    /// The heights of one of its passes, in the pass's own setup.
    pub fn levels(&self, pass: &Pass) -> PassHeights {
        let side = usize::from(pass.face == Face::Bottom);
        let tabs: Vec<Tab> = self.carved.tabs.iter().map(|(tab, _)| *tab).collect();
        let (setup, lowest) = (&self.carved.setups[side].0, self.carved.lowest[side]);
        let leave = self.job.shop.work.leave;
        work::pass_heights(pass, setup, &tabs, lowest, leave, self.mounting.clamps.over())
    }
}

impl Mounting {
    /// How the pins' holes are bored; none without a cutter for it.
    pub fn drilling(&self) -> Option<Drilling<'_>> {
        self.bore.as_ref().map(|cutter| Drilling::of(cutter, self.pins.hole))
    }
}

/// How the board is held and mounted, and what its pieces share.
#[derive(Clone, Debug)]
pub struct Mounting {
    /// Where each piece lies on the board.
    pub placements: Vec<Placement>,
    /// Least wood beyond what must be kept between the pieces, to the edge and to flaws.
    pub clearance: Length,
    /// Strips that can be sawn off, the largest first: two corners each, on the board, in mm.
    pub offcuts: Vec<[DVec2; 2]>,
    /// The two setups of the board itself: as of a piece that lies in the board's corner, with its
    /// heights counted from the stock's underside.
    pub setups: [Setup; 2],
    /// The pins, on the board.
    pub pins: Pins,
    /// Hold-downs and spacers: what they are like, and where they stand in each setup.
    pub clamps: Clamps,
    /// Where each setup is mounted.
    pub mounts: [Mount; 2],
    /// The cutter that bores the pins' holes.
    pub bore: Option<Cutter>,
    /// The drill chart: the board's holes, then the bed's for each setup.
    pub borings: Vec<Boring>,
    /// The dowels that go into the holes.
    pub dowel: Dowel,
    /// The order of work for all pieces; none before they are carved.
    pub steps: Vec<Step>,
}

/// What belongs to one piece of a job, wherever it lies.
#[derive(Clone, Debug)]
pub struct Piece {
    /// Which of several it is, counted from 0; none when there is only one.
    pub number: Option<usize>,
    /// The design that is made: fitted to the board.
    pub design: Design,
    /// What fitting changed in it.
    pub changes: Vec<Change>,
    /// What would do, when it could not be made to fit.
    pub advice: Option<Advice>,
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
    /// How far over the bed the slots end, cut with the bottom up; none without slots.
    pub under_slots: Option<Length>,
    /// The same of the openings.
    pub under_openings: Option<Length>,
    /// What the tines measure, of a fork.
    pub tines: Option<SlotMeasure>,
    /// What the rules looked at and found.
    pub checks: check::Checks,
    /// What it is carved by; only with [`super::Scope::Packet`].
    pub carved: Option<Carved>,
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
    /// Those of holes and slots that are closed all round.
    pub openings: Vec<ArcPath>,
    /// Limits for finishing.
    pub limit: Limit,
}

impl Outlines {
    /// All that is cut through the wood when both faces are done.
    pub fn cuts(&self) -> Vec<ArcPath> {
        self.slots.iter().chain(&self.openings).cloned().collect()
    }
}

impl Piece {
    /// What the rules look at.
    pub(super) fn context<'a>(&'a self, order: &'a Order) -> check::Context<'a> {
        check::Context {
            design: &self.design,
            board: &order.board,
            shop: &order.shop,
            body: &self.body,
            solids: &self.solids,
            stock: &self.stock,
            sizes: &self.sizes,
            outline: Some(&self.outlines.body),
            slots: &self.outlines.slots,
            openings: &self.outlines.openings,
            under_slots: self.under_slots,
            tines: self.tines.as_ref(),
            advice: self.advice.as_ref(),
            set: &order.designs,
            number: self.number.unwrap_or(0),
            spare: order.spare,
            glance: order.scope == Scope::Glance,
            unwanted: order.stop.flag(),
        }
    }
}

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
    /// Its inlays.
    pub inlays: Vec<Inlaid>,
}
