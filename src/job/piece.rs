//! One piece: fitted to the board's height, made, measured, and looked at by the first rules.

use super::{Carved, Order, sound};
use crate::check;
use crate::cutting::Limit;
use crate::finding::Findings;
use crate::fit::{self, Advice, Change, Stock};
use crate::mesh::{self, BodyMesh, Mesh, Sizes};
use crate::outline::slots::SlotMeasure;
use crate::outline::{ArcPath, arcs, slots};
use crate::params::{Design, Head, Shop};
use crate::shape::{Body, Lattice, Solids};
use crate::units::Length;

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
    /// Limits for finishing.
    pub limit: Limit,
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
            slots: &self.outlines.slots,
            under_slots: self.under_slots,
            tines: self.tines.as_ref(),
            advice: self.advice.as_ref(),
        }
    }
}

/// Makes a piece; none when it can't be made, which is said.
pub(super) fn made(
    order: &Order,
    number: Option<usize>,
    design: &Design,
    out: &mut Findings,
) -> Option<Piece> {
    let Order { board, shop, .. } = order;
    let usable = board.usable_height();
    let fitted = fit::to_board(design, board, shop, order.spare);
    out.extend(fitted.findings(usable));
    let fit::Fit { design, changes, advice, .. } = fitted;
    let body = Body::new(&design);
    let lattice = body.lattice();
    let mesh = mesh::tessellate(&body, &lattice, order.tolerance);
    let ((audit, solids), sizes) = rayon::join(
        || (mesh::audit(&mesh.mesh), body.solids(&lattice)),
        || mesh::measure(&body, &design, &mesh),
    );
    let strays = || {
        (mesh.error > order.tolerance).then(|| {
            format!(
                "strays from the exact surface by {} instead of {}",
                mesh.error, order.tolerance
            )
        })
    };
    sound("the body's mesh", audit.trouble().or_else(strays), out)?;
    let stock = Stock::round(usable, Length::mm(sizes.low.z), Length::mm(sizes.high.z));
    let outlines = outlines(&design, shop, &body, out);
    let tines = outlines.as_ref().and_then(|outlines| {
        slots::measure(&outlines.body, body.length(), design.tines.as_ref()?, &outlines.slots)
    });
    let cuts = outlines.as_ref().map_or(&[][..], |outlines| &outlines.slots);
    let under_slots = under(cuts, &mesh.mesh, &stock, shop.limits.overlap);
    let (said, checks) = check::first(&check::Context {
        design: &design,
        board,
        shop,
        body: &body,
        solids: &solids,
        stock: &stock,
        sizes: &sizes,
        slots: cuts,
        under_slots,
        tines: tines.as_ref(),
        advice: advice.as_ref(),
    });
    out.extend(said);
    Some(Piece {
        outlines: outlines?,
        number,
        design,
        changes,
        advice,
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
        carved: None,
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
fn outlines(design: &Design, shop: &Shop, body: &Body, out: &mut Findings) -> Option<Outlines> {
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
    let limit = limit.map_err(|fault| out.push(*fault)).ok()?;
    Some(Outlines { body: outline, hollow, slots, limit })
}
