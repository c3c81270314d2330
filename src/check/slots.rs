//! How are the slots cut: in how many passes, from which side, with what root?

use super::notes::Notes;
use super::{Context, Sides};
use crate::outline::wound;
use crate::units::{Length, plain};

/// The slots of a fork; nothing for others. Called with both sides' heights.
pub(super) fn look(at: &Context<'_>, sides: &Sides, notes: &mut Notes) -> Option<String> {
    let tines = at.design.tines.as_ref()?;
    let cutter = at.shop.cutter(&at.shop.work.slots)?;
    let inside = wound(at.slots);
    let head = at.body.neck_x().as_mm();
    let mut thick = 0.0_f64;
    let (mut lowest, mut highest) = (f64::INFINITY, f64::NEG_INFINITY);
    for (column, row, top, bottom) in sides.cells() {
        let p = sides.place(column, row);
        if p.x > head && inside(p) {
            thick = thick.max(top - bottom);
            lowest = lowest.min(bottom);
            highest = highest.max(top);
        }
    }
    if thick <= 0.0 {
        return None;
    }
    let pass = cutter.depth_of_pass();
    let passes = (thick / pass.as_mm()).ceil();
    // How far the wood goes under the stock's face, from either side.
    let reach = [at.stock.top.as_mm() - lowest, highest - at.stock.bottom.as_mm()];
    let root = 0.5 * tines.slot.width.as_mm() * (0.5 * tines.slot.taper.as_radians()).cos();
    notes.figure("slot_wood_mm", thick);
    notes.figure("slot_pass_depth_mm", pass.as_mm());
    notes.figure("slot_passes", passes);
    notes.figure("slot_root_radius_mm", root);
    notes.figure("slot_reach_from_top_mm", reach[0]);
    notes.figure("slot_reach_from_bottom_mm", reach[1]);
    Some(format!(
        "{} wide, root R {} mm; {} mm of wood in {} passes of {} mm; cut with the bottom up, when \
         both sides are done: the wood ends {} mm below the top of the stock ({} mm with the top \
         up), and splinters come off at the rim, not on the back",
        tines.slot.width,
        plain(root, 2),
        plain(thick, 1),
        plain(passes, 0),
        plain(pass.as_mm(), 2),
        plain(reach[1], 1),
        plain(reach[0], 1),
    ))
}

/// Minutes in slots and openings: each round of one once for each pass.
pub(super) fn minutes(at: &Context<'_>, wood: Length) -> f64 {
    let cuts = at.slots.iter().chain(at.openings);
    let Some(cutter) = at.shop.cutter(&at.shop.work.slots) else { return 0.0 };
    let round: f64 = cuts.map(|slot| slot.length().as_mm()).sum();
    let passes = (wood.as_mm() / cutter.depth_of_pass().as_mm()).ceil();
    round * passes / cutter.feed_mm_min
}
