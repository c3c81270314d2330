//! The pipeline: designs, a board and a shop become jobs, with all that there is to say about
//! them. No file, no clock, no print; the same order gives the same jobs.

mod laid;
mod made;
mod round;

use crate::bed::{self, Clamps, Pins};
use crate::blocks;
use crate::check;
use crate::cutting::{self, Limit};
use crate::finding::{Code, Finding, Findings, Source};
use crate::fit::layout::Match;
use crate::fit::{self, Change, Placement, Spare, Stock};
use crate::mesh::{self, BodyMesh, Mesh, Sizes};
use crate::outline::ArcPath;
use crate::outline::slots::SlotMeasure;
use crate::params::{self, Board, Design, Shop};
use crate::relief::{self, Tab};
use crate::setup::Setup;
use crate::shape::{Body, Lattice, Solids};
use crate::tabs;
use crate::units::Length;
use crate::work::{self, Hold};
use made::Made;
use rayon::prelude::*;
use round::Carved;

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
    pub held: crate::tabs::HeldTabs,
    /// The pins, on the board.
    pub pins: Pins,
    /// Hold-downs and spacers: what they are like, and where they stand in each setup.
    pub clamps: Clamps,
    /// All that stands between the board and the bed.
    pub hold: Hold,
    /// The two setups with their relief models, each in its own frame.
    pub setups: [(Setup, Mesh); 2],
    /// The body with its slots cut, in the design frame.
    pub finished: Mesh,
}

/// What the jobs of a set are made from: pieces that are carved from one board, on one mounting.
#[derive(Clone, Debug)]
pub struct SetOrder {
    /// The designs, checked, one to [`fit::layout::MOST`]; one given twice is made twice.
    pub designs: Vec<Design>,
    /// The board, checked.
    pub board: Board,
    /// The shop, checked.
    pub shop: Shop,
    /// As in [`Order`].
    pub tolerance: Length,
    /// As in [`Order`].
    pub scope: Scope,
    /// What becomes of height that the board has to spare.
    pub spare: Spare,
    /// How the pieces go together on the board.
    pub together: Match,
}

/// Planned jobs, one for each design in order, and what there is to say. Without jobs, or with a
/// fault among the findings, nothing may be written.
#[derive(Clone, Debug)]
pub struct SetOutcome {
    /// All that there is to say. A finding about one piece of several has its index.
    pub findings: Findings,
    /// The jobs, if all of them could be planned to their end; else none. Pins, hold-downs and
    /// setups are the same in each.
    pub jobs: Vec<Job>,
    /// What the rules looked at: each piece's name and table, as far as they came, also when there
    /// is no job.
    pub looked: Vec<(String, check::Checks)>,
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

/// A piece of a set has no place on the board.
pub const SET_NOT_PLACED: Code = Code {
    name: "set-not-placed",
    explain: "The board does not hold the whole set. Each piece needs its skirt, the shop's margin \
        to the board's edge and to the next skirt, sound wood under its body, and the grain within \
        its design's lean; pins and hold-downs need room besides. The message says which pieces \
        have no place. `treenwright fit` shows the part of the set that this board holds, and \
        spreads a set over several boards. Leave a piece out, take a larger board, finish with a \
        smaller ball (a narrower skirt), or allow more lean. The search goes from many starts but \
        not from all, so a very tight set may still have a place that it did not find.",
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

/// Plans a job; spare height stays in the stock.
pub fn plan(order: &Order) -> Outcome {
    let Order { design, board, shop, tolerance, scope } = order;
    let SetOutcome { findings, mut jobs, .. } = plan_set(&SetOrder {
        designs: vec![design.clone()],
        board: board.clone(),
        shop: shop.clone(),
        tolerance: *tolerance,
        scope: *scope,
        spare: Spare::Leave,
        together: Match::Free,
    });
    Outcome { findings, job: jobs.pop() }
}

/// Plans the jobs of a set.
pub fn plan_set(set: &SetOrder) -> SetOutcome {
    let mut said =
        Said { findings: Findings::new(), several: set.designs.len() > 1, looked: Vec::new() };
    said.of_all(fit::readings(&set.board));
    let jobs = planned(set, &mut said).unwrap_or_default();
    for (_, checks) in &mut said.looked {
        checks.settle(&said.findings);
    }
    for (job, (_, checks)) in jobs.iter().zip(&mut said.looked) {
        checks.clone_from(&job.checks);
    }
    SetOutcome { findings: said.findings, jobs, looked: said.looked }
}

fn planned(set: &SetOrder, said: &mut Said) -> Option<Vec<Job>> {
    let SetOrder { board, shop, .. } = set;

    // Each piece fitted to the board's height, made, and looked at.
    let made: Vec<(Option<Made>, Findings)> =
        set.designs.par_iter().with_max_len(1).map(|design| made::made(set, design)).collect();
    let mut pieces = Vec::new();
    for (index, (piece, findings)) in made.into_iter().enumerate() {
        said.of(index, findings);
        pieces.extend(piece);
    }
    let stocks: Vec<Stock> = pieces.iter().map(|piece| piece.stock).collect();
    if let Some(finding) = check::spare(shop, &stocks) {
        pieces.iter_mut().for_each(|piece| piece.checks.belongs(&finding.code, "stock"));
        said.of_all([finding].into_iter().collect());
    }
    let table = |piece: &Made| (piece.order.design.name.clone(), piece.checks.clone());
    said.looked = pieces.iter().map(table).collect();
    if pieces.len() < set.designs.len() {
        return None;
    }
    if set.scope == Scope::Body {
        let mut jobs: Vec<Job> = pieces.into_iter().map(|piece| piece.job(None)).collect();
        jobs.iter_mut().enumerate().for_each(|(index, job)| said.settle(index, job));
        return Some(jobs);
    }

    // The pieces on the board, and its pins; then each piece's own models, while the slow rules look
    // at it; then the hold-downs, which keep clear of all that is carved.
    let (placements, findings) = laid::laid(set, &pieces);
    said.of_all(findings);
    let (held, findings) = round::held(board, shop, &pieces, &placements?);
    said.of_all(findings);
    let held = held.filter(|_| !said.findings.has_fault());
    let carved: Vec<(Option<Carved>, Findings)> = pieces
        .par_iter_mut()
        .with_max_len(1)
        .enumerate()
        .map(|(index, piece)| {
            let ((carved, mut findings), (found, carving)) = rayon::join(
                || match &held {
                    Some(held) => round::carved(piece, held, index),
                    None => (None, Findings::new()),
                },
                || check::all(&piece.context()),
            );
            findings.extend(found);
            piece.checks.extend(carving);
            (carved, findings)
        })
        .collect();
    let mut models = Vec::new();
    for (index, (carved, findings)) in carved.into_iter().enumerate() {
        said.of(index, findings);
        models.extend(carved);
    }
    let whole = models.len() == pieces.len();
    let clamps = held.as_ref().filter(|_| whole).map(|held| {
        let (clamps, findings) = round::clamped(board, shop, held, &models);
        said.of_all(findings);
        clamps
    });
    let mut models = models.into_iter();
    let rounds: Vec<_> = pieces
        .into_iter()
        .enumerate()
        .map(|(index, mut piece)| {
            let (round, findings) = match (&held, &clamps, models.next()) {
                (Some(held), Some(clamps), Some(model)) => {
                    let (round, findings, room) = round::round(&piece, held, clamps, model, index);
                    piece.checks.extend(room);
                    (round, findings)
                }
                _ => (None, Findings::new()),
            };
            let looked = table(&piece);
            (round.map(|round| piece.job(Some(round))), looked, findings)
        })
        .collect();
    let mut jobs = Vec::new();
    said.looked.clear();
    for (index, (job, looked, findings)) in rounds.into_iter().enumerate() {
        said.of(index, findings);
        said.looked.push(looked);
        jobs.extend(job);
    }
    for (index, job) in jobs.iter_mut().enumerate() {
        said.settle(index, job);
    }
    (jobs.len() == set.designs.len()).then_some(jobs)
}

/// What there is to say, in order.
struct Said {
    findings: Findings,
    several: bool,
    looked: Vec<(String, check::Checks)>,
}

impl Said {
    /// About the board, the shop, or all pieces.
    fn of_all(&mut self, findings: Findings) {
        self.findings.extend(findings);
    }

    /// About one piece. What is said of the board or the shop alike for several is kept once, as
    /// of all.
    fn of(&mut self, index: usize, findings: Findings) {
        for mut finding in findings {
            if self.several {
                let of_design =
                    finding.place.as_ref().is_some_and(|place| place.source == Source::Design);
                let same = |known: &&mut Finding| {
                    finding == Finding { piece: None, ..(**known).clone() } && !of_design
                };
                if let Some(known) = self.findings.iter_mut().find(same) {
                    known.piece = None;
                    continue;
                }
                finding.piece = Some(index);
            }
            self.findings.push(finding);
        }
    }

    /// Marks what a piece's design accepts, and how each of its rules ended.
    fn settle(&mut self, index: usize, job: &mut Job) {
        let piece = self.several.then_some(index);
        let about = |finding: &Finding| finding.piece.is_none() || finding.piece == piece;
        let mut own = Findings::new();
        self.findings.iter().filter(|f| about(f)).for_each(|f| own.push(f.clone()));
        if job.order.scope == Scope::Packet {
            check::accept(&job.order.design.accept, &mut own);
        }
        job.checks.settle(&own);
        let mut marked = own.into_iter();
        for (known, now) in self.findings.iter_mut().filter(|f| about(f)).zip(&mut marked) {
            known.accepted = now.accepted;
        }
        for finding in marked {
            self.findings.push(Finding { piece, ..finding });
        }
    }
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
