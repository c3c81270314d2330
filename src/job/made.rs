//! One piece: fitted to the board's height, made, measured, and looked at by the first rules.

use super::order::{Order, Scope};
use super::parts::{Outlines, Piece};
use crate::check;
use crate::cutting::Limit;
use crate::finding::{Code, Finding, Findings};
use crate::fit::{self, Stock};
use crate::mesh::{self, Mesh};
use crate::outline::{ArcPath, arcs, openings, slots};
use crate::params::{Design, Head, Shop};
use crate::shape::Body;
use crate::units::{Length, Unit};

/// The mesh that was made is not sound: a fault of the tool, never of the design.
pub const MESH_UNSOUND: Code = Code {
    name: "mesh-unsound",
    explain: "A mesh made by the tool is open, inside out or in several pieces, passes through \
        itself, strays from the exact surface, or has a triangle that 32-bit floats make flat, or \
        the slots could not be cut through it. Every mesh is checked before anything is written, \
        so nothing was written. No checked design is known to do this. It is a fault of the tool, \
        not yours: please report it with your three files. A small change of a size may get you \
        past it.",
};

/// Makes a piece; none when it can't be made, which is said.
pub(super) fn made(
    order: &Order,
    number: Option<usize>,
    fitted: fit::Fit,
    out: &mut Findings,
) -> Option<Piece> {
    let Order { board, shop, .. } = order;
    let usable = board.usable_height();
    fitted.say(usable, out);
    let fit::Fit { design, changes, advice, .. } = fitted;
    let body = Body::new(&design);
    if let Some(fault) = body.trouble() {
        out.push(fault);
        return None;
    }
    let lattice = body.lattice();
    let (mesh, (outlines, of_outlines)) = rayon::join(
        || mesh::tessellate(&body, &lattice, order.tolerance),
        || {
            let mut said = Findings::new();
            (outlines(&design, shop, &body, &mut said), said)
        },
    );
    let strays = (mesh.error > order.tolerance).then(|| {
        format!("strays from the exact surface by {} instead of {}", mesh.error, order.tolerance)
    });
    sound("the body's mesh", strays, out)?;
    let ((audit, solids), sizes) = rayon::join(
        || (mesh.audit(), body.solids(&lattice)),
        || mesh::measure(&body, &design, &mesh),
    );
    sound("the body's mesh", audit.trouble(), out)?;
    if shop.models != Unit::Millimetre {
        let trouble = mesh::audit_in(&mesh.mesh, shop.models).trouble();
        sound("the body's mesh in inches", trouble, out)?;
    }
    let stock = Stock::round(usable, Length::mm(sizes.low.z), Length::mm(sizes.high.z));
    out.extend(of_outlines);
    let tines = outlines.as_ref().and_then(|outlines| {
        slots::measure(&outlines.body, body.length(), design.tines.as_ref()?, &outlines.slots)
    });
    let cuts = outlines.as_ref().map_or(&[][..], |outlines| &outlines.slots);
    let holes = outlines.as_ref().map_or(&[][..], |outlines| &outlines.openings);
    let from = |high: f64| (stock.top - Length::mm(high) - shop.limits.overlap).max(Length::ZERO);
    let under_slots = highest_from(cuts, &mesh.mesh).map(from);
    let under_openings = highest_over(holes, &body).map(from);
    let context = check::Context {
        design: &design,
        board,
        shop,
        body: &body,
        solids: &solids,
        stock: &stock,
        sizes: &sizes,
        outline: outlines.as_ref().map(|outlines| &outlines.body),
        slots: cuts,
        openings: holes,
        under_slots,
        tines: tines.as_ref(),
        advice: advice.as_ref(),
        set: &order.designs,
        number: number.unwrap_or(0),
        spare: order.spare,
        glance: order.scope == Scope::Glance,
        unwanted: order.stop.flag(),
    };
    let checks = check::first(&context, out);
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
        under_openings,
        tines,
        checks,
        carved: None,
    })
}

/// The highest place of the top from the slots on, in mm. What is cut with the bottom up goes lower than
/// that by the skirt's overlap, and into the bed at no time. None without slots.
fn highest_from(slots: &[ArcPath], body: &Mesh) -> Option<f64> {
    let from = slots::rearmost(slots)?;
    let head = body.points.iter().filter(|p| p.x >= from).map(|p| p.z);
    Some(head.fold(f64::NEG_INFINITY, f64::max))
}

/// The highest place of the top over openings, in mm, on their outlines and within. None without any.
fn highest_over(openings: &[ArcPath], body: &Body) -> Option<f64> {
    /// From the middle to the outline; the top bends by far less than the overlap in between.
    const STEPS: u32 = 4;
    let places = openings.iter().filter_map(|path| Some((path, path.bounds()?)));
    let places = places.flat_map(|(path, (low, high))| {
        let middle = low.midpoint(high);
        let line = path.to_polyline(arcs::ARC_FIT);
        line.into_iter().flat_map(move |p| {
            (0..=STEPS).map(move |step| middle.lerp(p, f64::from(step) / f64::from(STEPS)))
        })
    });
    places.map(|p| body.top(p)).reduce(f64::max)
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
    // They are cut with the cutter for slots.
    let openings = match design.opening.as_slice() {
        [] => Vec::new(),
        asked => shop.cutter(&shop.work.slots).map(|_| openings::openings(asked))?,
    };
    let limit = Limit::round(&outline, finish.diameter);
    let limit = limit.map_err(|fault| out.push(*fault)).ok()?;
    Some(Outlines { body: outline, hollow, slots, openings, limit })
}

/// Says so when a mesh is not what every mesh must be. `trouble` follows its name.
pub(super) fn sound(mesh: &str, trouble: Option<String>, out: &mut Findings) -> Option<()> {
    let Some(trouble) = trouble else { return Some(()) };
    out.push(Finding::fault(
        MESH_UNSOUND,
        format!("{mesh} {trouble}"),
        "This is a fault of the tool. Please report it with your three files.",
    ));
    None
}
