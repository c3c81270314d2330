//! Are the tines' tips stout enough?

use super::notes::Notes;
use super::strength::Columns;
use super::{Context, Sides};
use crate::finding::{Code, Finding, Source};
use crate::units::{Length, plain, told_apart};
use glam::DVec2;

/// A tine's tip is too slight.
pub const TINE_TIP: Code = Code {
    name: "tine-tip",
    explain: "Two millimetres behind its end a tine is narrower or thinner than the shop's \
        limits.tip. Such a fine tip chips off when the slot cutter leaves the wood beside it, and \
        it pricks. Have less taper (tines.slot.taper), narrower slots, a squarer front \
        (bowl.fullness) or a thicker bowl.wall, or round the tips back by hand. The rule reads \
        widths from cells of 0.2 mm and leaves out the run of the grain.",
};

/// So far behind its end a tip is looked at, in mm: what rounding by hand takes off.
const BEHIND: f64 = 2.0;

pub(super) fn look(at: &Context<'_>, sides: &Sides, notes: &mut Notes) -> Option<String> {
    let count = at.design.tines.as_ref()?.count as usize;
    let columns = Columns::of(at, sides);
    let tips: Vec<[f64; 3]> = (0..count).filter_map(|tine| columns.tip(tine, BEHIND)).collect();
    let least =
        |which: usize| tips.iter().copied().min_by(|a: &[f64; 3], b| a[which].total_cmp(&b[which]));
    let (narrow, thin) = (least(1)?, least(2)?);
    notes.figure("tine_tip_width_least_mm", narrow[1]);
    notes.figure("tine_tip_thickness_least_mm", thin[2]);
    let limit = at.shop.limits.check.tip;
    for (what, [along, ..], size, key) in
        [("wide", narrow, narrow[1], "tines.slot.taper"), ("thick", thin, thin[2], "bowl.wall")]
    {
        if size < limit.as_mm() {
            let [size, least] = told_apart(Length::mm(size), limit);
            notes.say(
                Finding::caution(
                    TINE_TIP,
                    format!(
                        "a tine is only {size} {what} {BEHIND} mm behind its end, {} mm from the \
                         handle's end; the shop's least is {least}",
                        plain(along, 0)
                    ),
                    "Have less taper, narrower slots, a squarer front or thicker wood, or round \
                     the tips back by hand.",
                )
                .on(DVec2::new(along, 0.0), None)
                .at(Source::Design, key),
            );
        }
    }
    Some(format!(
        "tips at least {} mm wide and {} mm thick, {BEHIND} mm behind their ends",
        plain(narrow[1], 1),
        plain(thin[2], 1)
    ))
}
