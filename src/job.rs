//! The pipeline: designs, a board and a shop become a job, with all that there is to say about it.
//! No file, no clock, no print; the same order gives the same job.
//!
//! A job is a mounting of the board, and the pieces on it. One piece is a set of one.

mod carving;
mod held;
mod laid;
mod made;
mod order;
mod parts;

pub use laid::SET_NOT_PLACED;
pub use made::MESH_UNSOUND;
pub use order::{Order, Scope, StopWord};
pub use parts::{Carved, Job, Mounted, Mounting, Outlines, Piece};

use crate::finding::{Code, Finding, Findings, Severity, told_in};
use crate::{bed, blocks, check, cutting, fit, inlay, params, relief, shape, tabs, work};
use rayon::prelude::*;

/// A planned job and what there is to say. Without a job, or with a fault among the findings,
/// nothing may be written.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// All that there is to say. A finding about one piece of several has its index.
    pub findings: Findings,
    /// The job, if each of its pieces could be made. Without a mounting, of a whole job, where it
    /// can't be held or carved, which is a fault.
    pub job: Option<Job>,
    /// What the rules looked at: each piece's name and table, as far as they came, also when there
    /// is no job.
    pub looked: Vec<(String, check::Checks)>,
}

/// Every code of a finding about a job.
pub fn codes() -> Vec<Code> {
    let own: &[Code] = &[MESH_UNSOUND, SET_NOT_PLACED];
    [
        params::CODES,
        shape::CODES,
        fit::CODES,
        relief::CODES,
        tabs::CODES,
        cutting::CODES,
        blocks::CODES,
        bed::CODES,
        work::CODES,
        check::CODES,
        inlay::CODES,
        own,
    ]
    .concat()
}

/// Plans a job.
pub fn plan(order: &Order) -> Outcome {
    let mut findings = Findings::new();
    fit::readings(&order.board, &mut findings);
    check::wood(&order.board, &mut findings);
    fit::alone(&order.designs, &mut findings);
    let advising = match order.scope {
        Scope::Glance => fit::Advising::Not,
        _ if order.designs.iter().any(params::slipped) => fit::Advising::Not,
        Scope::Packet | Scope::Body => fit::Advising::Until(order.stop.flag()),
    };
    let Order { designs, board, shop, spare, .. } = order;
    let fits = fit::to_board_advising(designs, board, shop, (*spare, advising));
    let made = each(order, fits.into_par_iter(), &mut findings, |number, fitted, out| {
        made::made(order, number, fitted, out)
    });
    let mut pieces: Vec<Piece> = made.into_iter().flatten().collect();
    check::together(
        &order.shop,
        pieces.iter_mut().map(|p| (&p.stock, &mut p.checks)),
        &mut findings,
    );
    let all = pieces.len() == order.designs.len();
    let mounting = match order.scope {
        Scope::Packet if all => mounted(order, &mut pieces, &mut findings),
        _ => None,
    };
    if order.stop.asked() {
        return Outcome { findings: Findings::new(), job: None, looked: Vec::new() };
    }
    slips(order, &mut findings);
    if order.scope == Scope::Packet {
        for (index, design) in order.designs.iter().enumerate() {
            let number = (order.designs.len() > 1).then_some(index);
            let brought = order.brought.get(index).map_or(0, Vec::len);
            inlay::unbrought(design, brought, number, &mut findings);
        }
    }
    for piece in &mut pieces {
        if mounting.is_some() {
            check::accept(&piece.design.accept, piece.number, &mut findings);
        }
        piece.checks.settle(piece.number, &findings);
    }
    fewer(&mut findings);
    let unit = order.shop.unit;
    findings.told_in(unit);
    for piece in &mut pieces {
        piece.checks.rows.iter_mut().for_each(|row| row.says = told_in(&row.says, unit));
        for change in &mut piece.changes {
            for said in [&mut change.asked, &mut change.fitted, &mut change.limit] {
                *said = told_in(said, unit);
            }
        }
    }
    let looked = pieces.iter().map(|piece| (piece.design.name.clone(), piece.checks.clone()));
    let looked = looked.collect();
    let job = all.then(|| Job {
        board: order.board.clone(),
        shop: order.shop.clone(),
        tolerance: order.tolerance,
        pieces,
        mounting,
    });
    Outcome { findings, job, looked }
}

/// What is said of one thing over and over is counted.
fn fewer(findings: &mut Findings) {
    /// Most of one code.
    const MOST: usize = 20;
    for (code, severity, more) in findings.few_of_each(MOST) {
        let message = match more {
            1 => format!("There is 1 more of `{}`.", code.name),
            _ => format!("There are {more} more of `{}`.", code.name),
        };
        let help = "Look at those that are shown, and check again.";
        let finding = Finding::caution(params::MORE_FAULTS, message, help);
        findings.push(Finding { severity, ..finding });
    }
}

/// Sizes that look like a slip: in place of all the faults that follow from them, else besides.
fn slips(order: &Order, findings: &mut Findings) {
    let several = order.designs.len() > 1;
    let mut found = Findings::new();
    let mut explained = false;
    for (index, design) in order.designs.iter().enumerate() {
        let piece = several.then_some(index);
        if let Some(slip) = params::slip(design) {
            let faults = findings.iter().filter(|finding| finding.severity == Severity::Fault);
            explained |= slip.explains(faults.filter(|fault| fault.concerns(piece)));
            let mut own = Findings::of(piece);
            own.push(slip.finding);
            found.extend(own);
        }
    }
    if findings.has_fault() && explained {
        found.iter_mut().for_each(|slip| slip.severity = Severity::Fault);
        *findings = found;
    } else {
        findings.extend(found);
    }
}

/// The pieces on the board, and its pins; then each piece's own models, while the slow rules look
/// at it; then the hold-downs, which keep clear of all that is carved, and the order of work. None
/// when a piece can't be carved, which the findings say.
fn mounted(order: &Order, pieces: &mut [Piece], findings: &mut Findings) -> Option<Mounting> {
    let layout = laid::laid(order, pieces, findings);
    let held = layout.as_ref().and_then(|layout| held::held(order, pieces, layout, findings));
    let held = held.filter(|_| !findings.has_fault());
    // All faults are told as the slip then, and what the slow rules say isn't told at all.
    if findings.has_fault() && order.designs.iter().any(params::slipped) {
        return None;
    }
    // Without places the slow rules still look: all that is wrong is told at once.
    let places = layout.map_or_else(|| vec![None; pieces.len()], |layout| layout.places);
    let laid = pieces.par_iter_mut().zip(&places);
    let models = each(order, laid, findings, |_, (piece, place), out| {
        let can = held.as_ref().and(place.as_ref());
        let mut found = Findings::new();
        let (models, checks) = rayon::join(
            || carving::models(order, piece, can?, out),
            || check::all(&piece.context(order), &mut found),
        );
        out.extend(found);
        piece.checks.extend(checks);
        models
    });
    if order.stop.asked() {
        return None;
    }
    let models: Vec<carving::Models> = models.into_iter().collect::<Option<_>>()?;
    let (mut mounting, bores) = held?.clamped(order, &models, findings);
    let carved = pieces.par_iter_mut().zip(models).zip(&mounting.placements);
    each(order, carved, findings, |_, ((piece, models), placement), out| {
        let models = (models, bores.as_ref());
        piece.carved = carving::carved(order, piece, &mounting, placement, models, out);
    });
    mounting.steps = carving::steps(order, pieces, &mounting);
    pieces.iter().all(|piece| piece.carved.is_some()).then_some(mounting)
}

/// Does something for all pieces at once, with the number of each (none when there is only one) and
/// a sink of its own, and joins what is said in their order. Those that haven't begun when the job
/// is no longer wanted are left out.
fn each<T: Send, R: Send>(
    order: &Order,
    pieces: impl IndexedParallelIterator<Item = T>,
    findings: &mut Findings,
    act: impl Fn(Option<usize>, T, &mut Findings) -> R + Sync + Send,
) -> Vec<R> {
    let several = order.designs.len() > 1;
    let done: Vec<(Option<R>, Findings)> = pieces
        .enumerate()
        .with_max_len(1)
        .map(|(index, piece)| {
            let number = several.then_some(index);
            let mut own = Findings::of(number);
            let done = (!order.stop.asked()).then(|| act(number, piece, &mut own));
            (done, own)
        })
        .collect();
    let joined = done.into_iter().filter_map(|(result, own)| {
        findings.join(own);
        result
    });
    joined.collect()
}
