//! One piece: fitted to the board's height, made, measured, and looked at by the first rules.

use super::{Job, Order, Outlines, Round, SetOrder, sound};
use crate::check;
use crate::cutting::Limit;
use crate::finding::Findings;
use crate::fit::{self, Spare, Stock};
use crate::mesh::{self, BodyMesh, Mesh, Sizes};
use crate::outline::slots::SlotMeasure;
use crate::outline::{ArcPath, arcs, slots};
use crate::params::{Design, Head};
use crate::shape::{Body, Lattice, Solids};
use crate::units::Length;

/// A piece that can be laid on a board.
pub(super) struct Made {
    /// With the design as it is made.
    pub(super) order: Order,
    pub(super) fitted: fit::Fit,
    /// The design as its file asks for it.
    asked: Design,
    /// What became of height to spare.
    spare: Spare,
    pub(super) body: Body,
    pub(super) lattice: Lattice,
    pub(super) mesh: BodyMesh,
    pub(super) audit: mesh::Audit,
    pub(super) sizes: Sizes,
    pub(super) solids: Solids,
    pub(super) stock: Stock,
    pub(super) outlines: Outlines,
    /// How far over the bed the slots end; none without slots.
    pub(super) under_slots: Option<Length>,
    pub(super) tines: Option<SlotMeasure>,
    pub(super) checks: check::Checks,
}

impl Made {
    /// What the rules look at.
    pub(super) fn context(&self) -> check::Context<'_> {
        let Order { design, board, shop, .. } = &self.order;
        check::Context {
            design,
            board,
            shop,
            body: &self.body,
            solids: &self.solids,
            stock: &self.stock,
            sizes: &self.sizes,
            slots: &self.outlines.slots,
            under_slots: self.under_slots,
            tines: self.tines.as_ref(),
            advice: self.fitted.advice.as_ref(),
            asked: &self.asked,
            spare: self.spare,
        }
    }

    /// The piece with all that stands round it, as a job.
    pub(super) fn job(mut self, round: Option<Round>) -> Job {
        if let Some(round) = &round {
            self.order.design.tabs = round.held.asked.clone();
        }
        Job {
            order: self.order,
            changes: self.fitted.changes,
            body: self.body,
            lattice: self.lattice,
            mesh: self.mesh,
            audit: self.audit,
            sizes: self.sizes,
            solids: self.solids,
            stock: self.stock,
            outlines: self.outlines,
            tines: self.tines,
            round,
            checks: self.checks,
        }
    }
}

/// Makes a piece of a set; none when it can't be made, which the findings say.
pub(super) fn made(set: &SetOrder, design: &Design) -> (Option<Made>, Findings) {
    let mut findings = Findings::new();
    let fitted = fit::to_board(design, &set.board, &set.shop, set.spare);
    findings.extend(fitted.findings(set.board.usable_height()));
    let order = Order {
        design: fitted.design.clone(),
        board: set.board.clone(),
        shop: set.shop.clone(),
        tolerance: set.tolerance,
        scope: set.scope,
    };
    let made = piece(order, fitted, (design, set.spare), &mut findings);
    (made, findings)
}

fn piece(
    order: Order,
    fitted: fit::Fit,
    (asked, spare): (&Design, Spare),
    findings: &mut Findings,
) -> Option<Made> {
    let Order { design, board, shop, .. } = &order;
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
    let outlines = outlines(&order, &body, findings);
    let tines = outlines.as_ref().and_then(|outlines| {
        slots::measure(&outlines.body, body.length(), design.tines.as_ref()?, &outlines.slots)
    });
    let cuts = outlines.as_ref().map_or(&[][..], |outlines| &outlines.slots);
    let under_slots = under(cuts, &mesh.mesh, &stock, shop.limits.overlap);
    let context = check::Context {
        design,
        board,
        shop,
        body: &body,
        solids: &solids,
        stock: &stock,
        sizes: &sizes,
        slots: cuts,
        under_slots,
        tines: tines.as_ref(),
        advice: fitted.advice.as_ref(),
        asked,
        spare,
    };
    let (said, checks) = check::first(&context);
    findings.extend(said);
    Some(Made {
        outlines: outlines?,
        order,
        fitted,
        asked: asked.clone(),
        spare,
        body,
        lattice,
        mesh,
        audit,
        sizes,
        solids,
        stock,
        under_slots,
        tines,
        checks,
    })
}

/// How far over the bed slots end that are cut with the bottom up: the skirt's overlap lower than the
/// highest place of the top from the slots on, and in the bed at no time. None without slots.
fn under(slots: &[ArcPath], body: &Mesh, stock: &Stock, overlap: Length) -> Option<Length> {
    let from = slots::rearmost(slots)?;
    let head = body.points.iter().filter(|p| p.x >= from).map(|p| p.z);
    let high = Length::mm(head.fold(f64::NEG_INFINITY, f64::max));
    Some((stock.top - high - overlap).max(Length::ZERO))
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
