//! The pipeline: designs, a board and a shop become a job, with all that there is to say about it.
//! No file, no clock, no print; the same order gives the same job.
//!
//! A job is a mounting of the board, and the pieces on it. One piece is a set of one.

mod carved;
mod laid;
mod mounting;
mod piece;

pub use carved::Carved;
pub use mounting::Mounting;
pub use piece::{Outlines, Piece};

use crate::bed;
use crate::blocks;
use crate::check;
use crate::cutting;
use crate::finding::{Code, Finding, Findings};
use crate::fit::layout::{Layout, Match};
use crate::fit::{self, Placement, Spare};
use crate::mesh;
use crate::params::{self, Board, Design, Shop};
use crate::relief;
use crate::tabs;
use crate::units::Length;
use crate::work;
use rayon::prelude::*;

/// What a job is made from: pieces that are carved from one board, on one mounting.
#[derive(Clone, Debug)]
pub struct Order {
    /// The designs, checked, one to [`fit::layout::MOST`]; one given twice is made twice.
    pub designs: Vec<Design>,
    /// The board, checked.
    pub board: Board,
    /// The shop, checked.
    pub shop: Shop,
    /// Greatest distance of the meshes from the exact surface; see [`mesh::FINEST`] and
    /// [`mesh::COARSEST`].
    pub tolerance: Length,
    /// How much of the job is wanted.
    pub scope: Scope,
    /// What becomes of height that the board has to spare.
    pub spare: Spare,
    /// How the pieces go together on the board.
    pub together: Match,
    /// Where they lie, if that is known already; else it is searched.
    pub layout: Option<Layout>,
}

impl Order {
    /// A whole job at the usual tolerance; spare height stays in the stock, and the pieces lie as
    /// they fit best.
    pub fn new(designs: Vec<Design>, board: Board, shop: Shop) -> Order {
        Order {
            designs,
            board,
            shop,
            tolerance: mesh::USUAL,
            scope: Scope::Packet,
            spare: Spare::Leave,
            together: Match::Free,
            layout: None,
        }
    }
}

/// How much of a job is planned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scope {
    /// All of it.
    Packet,
    /// The bodies, and the rules that concern them; no relief models and no mounting.
    Body,
}

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
    /// How the board is held, and all that its pieces share; only with [`Scope::Packet`].
    pub mounting: Option<Mounting>,
}

impl Job {
    /// The pieces with what they are carved by, on the board; none with [`Scope::Body`].
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

/// A planned job and what there is to say. Without a job, or with a fault among the findings,
/// nothing may be written.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// All that there is to say. A finding about one piece of several has its index.
    pub findings: Findings,
    /// The job, if it could be planned to its end.
    pub job: Option<Job>,
    /// What the rules looked at: each piece's name and table, as far as they came, also when there
    /// is no job.
    pub looked: Vec<(String, check::Checks)>,
}

/// The mesh that was made is not sound: a fault of the tool, never of the design.
pub const MESH_UNSOUND: Code = Code {
    name: "mesh-unsound",
    explain: "A mesh that the tool made is open, inside out or in several pieces, passes through \
        itself, strays from the exact surface, or holds a triangle that 32-bit floats make flat, or \
        the slots could not be cut through it. Every mesh is looked at before anything is \
        written, so nothing was. No checked design is known to do this. It is a fault of the \
        tool, not of yours: please report it with your three files. Changing a size a little \
        may get you past it meanwhile.",
};

/// A piece of a set has no place on the board.
pub const SET_NOT_PLACED: Code = Code {
    name: "set-not-placed",
    explain: "The board does not hold every piece. Each needs its skirt, the shop's margin \
        to the board's edge and to the next skirt, sound wood under its body, and the grain within \
        its design's lean. The message says which pieces have no place and why the first of them \
        has none: what of length or width is missing, which flaw stands in the way, or that the \
        others leave no room. A knot in a piece tears out and moves as it dries; a check splits \
        further; a wane leaves the piece short of wood. `treenwright fit` shows the part of a set \
        that this board holds, and spreads a set over several boards. Leave a piece out, take a \
        larger board, finish with a smaller ball (a narrower skirt), or allow more lean. The \
        search goes from many starts but not from all, so a very tight board may still have a \
        place that it did not find.",
};

/// Every code of a finding about a job.
pub fn codes() -> Vec<Code> {
    let own: &[Code] = &[MESH_UNSOUND, SET_NOT_PLACED];
    [
        params::CODES,
        fit::CODES,
        relief::CODES,
        tabs::CODES,
        cutting::CODES,
        blocks::CODES,
        bed::CODES,
        work::CODES,
        check::CODES,
        own,
    ]
    .concat()
}

/// Chords of the outlines that only clearances are measured with, and that slots are cut with in
/// the finished view.
const CHORD: Length = Length::mm(0.01);

/// Plans a job.
pub fn plan(order: &Order) -> Outcome {
    let mut findings = fit::readings(&order.board);
    let made = each(order, order.designs.par_iter(), &mut findings, |number, design, out| {
        piece::made(order, number, design, out)
    });
    let mut pieces: Vec<Piece> = made.into_iter().flatten().collect();
    let all = pieces.len() == order.designs.len();
    let mounting = match order.scope {
        Scope::Packet if all => mounted(order, &mut pieces, &mut findings),
        _ => None,
    };
    for piece in &mut pieces {
        if mounting.is_some() {
            check::accept(&piece.design.accept, piece.number, &mut findings);
        }
        piece.checks.settle(piece.number, &findings);
    }
    let looked = pieces.iter().map(|piece| (piece.design.name.clone(), piece.checks.clone()));
    let looked = looked.collect();
    let whole = all && (order.scope == Scope::Body || mounting.is_some());
    let Order { board, shop, tolerance, .. } = order.clone();
    let job = whole.then_some(Job { board, shop, tolerance, pieces, mounting });
    Outcome { findings, job, looked }
}

/// The pieces on the board, and its pins; then each piece's own models, while the slow rules look
/// at it; then the hold-downs, which keep clear of all that is carved, and the order of work. None
/// when a piece can't be carved, which the findings say.
fn mounted(order: &Order, pieces: &mut [Piece], findings: &mut Findings) -> Option<Mounting> {
    let layout = laid::laid(order, pieces, findings)?;
    let held = mounting::held(order, pieces, &layout, findings);
    let held = held.filter(|_| !findings.has_fault());
    let laid = pieces.par_iter_mut().zip(&layout.places);
    let models = each(order, laid, findings, |_, (piece, place), out| {
        let can = held.as_ref().and(place.as_ref());
        let (models, (found, checks)) = rayon::join(
            || carved::models(order, piece, can?, out),
            || check::all(&piece.context(order)),
        );
        out.extend(found);
        piece.checks.extend(checks);
        models
    });
    let models: Vec<carved::Models> = models.into_iter().collect::<Option<_>>()?;
    let (mounting, bores) = held?.clamped(order, &models, findings);
    let carved = pieces.par_iter_mut().zip(models).zip(&mounting.placements);
    each(order, carved, findings, |_, ((piece, models), placement), out| {
        let models = (models, bores.as_ref());
        piece.carved = carved::carved(order, piece, &mounting, placement, models, out);
    });
    pieces.iter().all(|piece| piece.carved.is_some()).then_some(mounting)
}

/// Does something for all pieces at once, with the number of each (none when there is only one) and
/// a sink of its own, and joins what is said in their order.
fn each<T: Send, R: Send>(
    order: &Order,
    pieces: impl IndexedParallelIterator<Item = T>,
    findings: &mut Findings,
    act: impl Fn(Option<usize>, T, &mut Findings) -> R + Sync + Send,
) -> Vec<R> {
    let several = order.designs.len() > 1;
    let done: Vec<(R, Findings)> = pieces
        .enumerate()
        .with_max_len(1)
        .map(|(index, piece)| {
            let number = several.then_some(index);
            let mut own = Findings::of(number);
            (act(number, piece, &mut own), own)
        })
        .collect();
    let joined = done.into_iter().map(|(result, own)| {
        findings.join(own);
        result
    });
    joined.collect()
}

/// Says so when a mesh is not what every mesh must be. `trouble` follows its name.
fn sound(mesh: &str, trouble: Option<String>, findings: &mut Findings) -> Option<()> {
    let Some(trouble) = trouble else { return Some(()) };
    findings.push(Finding::fault(
        MESH_UNSOUND,
        format!("{mesh} {trouble}"),
        "This is a fault of the tool; please report it with your three files.",
    ));
    None
}
