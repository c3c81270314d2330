//! How a plug's board is held: a hold-down at either end, its bolt and its plan.

use super::codes::{INLAY_BOARD_SMALL, INLAY_VEE_SHORT};
use super::one::{Cutters, OneInlay};
use crate::blocks::HoldDownModel;
use crate::finding::{Finding, Findings};
use crate::fit::SoundWood;
use crate::outline::ArcPath;
use crate::setup::Setup;
use crate::units::Length;
use glam::DVec2;

/// Places along an end of the board are tried so far apart, in mm.
const STEP_MM: f64 = 2.0;

/// A hold-down on a plug's board, in the plug's own frame.
#[derive(Clone, Debug)]
pub struct PlugHold {
    /// Whether it reaches over the end where X is zero.
    pub left: bool,
    /// Where its bolt stands.
    pub bolt: DVec2,
    /// Its plan.
    pub plan: ArcPath,
}

/// One at either end, as near to the middle of the end as its lip finds sound wood.
pub(super) fn holds(
    one: &OneInlay<'_>,
    (block, size): (&HoldDownModel, DVec2),
    wood: &SoundWood,
    setup: &Setup,
    out: &mut Findings,
) -> Option<Vec<PlugHold>> {
    let [back, over] = block.plan();
    let middle = 0.5 * size.y;
    // All of the lip on the board where the board is wide enough.
    let room = (middle - over.y).max(0.0);
    let steps = (room / STEP_MM).floor() as i32;
    let beside = (0..=steps).flat_map(|k| [k, -k]).map(|k| middle + f64::from(k) * STEP_MM);
    let end = |x: f64, way: f64| {
        let at = |p: DVec2, y: f64| DVec2::new(x + way * p.x, y + p.y);
        let (low, high) =
            (DVec2::new(0.0, -over.y.min(middle)), DVec2::new(over.x, over.y.min(middle)));
        let lip = [low, DVec2::new(high.x, low.y), high, DVec2::new(low.x, high.y)];
        let sound = |y: &f64| wood.gap(&lip.map(|p| at(p, *y))) > 0.0;
        let y = beside.clone().find(sound)?;
        let plan = [back, DVec2::new(over.x, back.y), over, DVec2::new(back.x, over.y)];
        let plan = ArcPath::polygon(plan.map(|p| at(p, y)));
        Some(PlugHold {
            left: way > 0.0,
            bolt: setup.from_board.place(at(block.hole.centre, y)),
            plan: setup.from_board.path(&plan),
        })
    };
    let found = [end(0.0, 1.0), end(size.x, -1.0)].into_iter().collect::<Option<Vec<_>>>();
    if found.is_none() {
        let message = "an end of the plug's board has no sound wood for the lip of a hold-down";
        let help = "Take another board, or saw off its end.";
        out.push(one.about(Finding::fault(INLAY_BOARD_SMALL, message, help), "board"));
    }
    found
}

/// Whether holders pass over the hold-downs: `deep` is how far the cutters go under the stock's top.
pub(super) fn holder(
    one: &OneInlay<'_>,
    block: &HoldDownModel,
    deep: Length,
    cutters: &Cutters<'_>,
    out: &mut Findings,
) {
    let limit = one.order.shop.limits.check.holder;
    let over = block.over - block.stock;
    for (cutter, key) in [(cutters.vee, "cutter"), (cutters.clear, "clear")] {
        let room = cutter.stick_out - deep - over;
        if room < limit {
            let message = format!(
                "on the plug's board the holder of \"{}\" comes to {room} over a hold-down; the shop's limit is {limit}",
                cutter.name
            );
            let help = "Let the cutter stick out further, or make `depth` or `proud` less.";
            out.push(one.about(Finding::fault(INLAY_VEE_SHORT, message, help), key));
        }
    }
}
