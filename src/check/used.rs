//! Which cutters of the shop a job cuts with, and how.
//!
//! Not promised: anything of a board beside the piece, such as a plug's own.

use super::Context;
use crate::cutting::passes;
use crate::params::{Cutter, CutterForm, Inlay};
use crate::units::Length;
use crate::work;

/// A cutter of the shop that the job cuts with.
pub(super) struct Used<'a> {
    pub(super) cutter: &'a Cutter,
    /// Whether it takes wood in layers as deep as its `pass_depth`; otherwise it follows the surface or
    /// bores.
    pub(super) layers: bool,
    /// How thick it is where it cuts at its deepest: a vee hardly ever cuts as wide as it is.
    pub(super) thick: Length,
}

/// All of them, in the shop's order.
pub(super) fn used<'a>(at: &Context<'a>) -> Vec<Used<'a>> {
    let shop = at.shop;
    let named = |name: &str| shop.cutter(name);
    // What is cut through the wood is cut with the cutter for slots.
    let slots = named(&shop.work.slots).filter(|_| through(at));
    let inlays = at.design.inlay.iter().flat_map(|inlay| inlay.cutters(shop)).flatten();
    let layered = [named(&shop.work.rough), passes::clearing_cutter(shop), slots];
    let layered = layered.into_iter().flatten().chain(passes::edge_cutter(shop)).chain(inlays);
    let layered: Vec<&Cutter> = layered.collect();
    let cleaned = at.design.clean_up.iter().filter_map(|place| named(place.cutter.as_deref()?));
    let bores = match &shop.work.pins {
        Some(name) => named(name),
        None => work::boring_cutter(shop, at.stock.height, shop.pin.hole()),
    };
    let others: Vec<&Cutter> =
        named(&shop.work.finish).into_iter().chain(cleaned).chain(bores).collect();
    let among = |some: &[&Cutter], cutter: &Cutter| some.iter().any(|c| c.name == cutter.name);
    let cutters = shop.cutters.iter().filter_map(|cutter| {
        let layers = among(&layered, cutter);
        let thick = thick(at, cutter);
        (layers || among(&others, cutter)).then_some(Used { cutter, layers, thick })
    });
    cutters.collect()
}

/// Whether anything is cut through the wood: slots or openings.
pub(super) fn through(at: &Context<'_>) -> bool {
    at.design.tines.is_some() || !at.design.opening.is_empty()
}

fn thick(at: &Context<'_>, cutter: &Cutter) -> Length {
    let CutterForm::Vee(angle) = cutter.form else { return cutter.diameter };
    let flank = 2.0 * (angle.as_radians() / 2.0).tan();
    let cuts = |inlay: &&Inlay| inlay.cutters(at.shop)[0].is_some_and(|c| c.name == cutter.name);
    // As deep as for the plug, whose flanks go on to where it is sawn off.
    let wide = |inlay: &Inlay| (inlay.depth + inlay.proud) * flank + inlay.tip;
    let widest = at.design.inlay.iter().filter(cuts).map(wide).reduce(Length::max);
    widest.map_or(cutter.diameter, |wide| wide.min(cutter.diameter))
}
