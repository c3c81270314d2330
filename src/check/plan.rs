//! How far does the outline leave the drawing that it was made from?

use super::Context;
use super::notes::Notes;
use crate::finding::{Code, Finding, Source};
use crate::units::Length;
use glam::DVec2;

/// The outline leaves its drawing.
pub const PLAN_OFF: Code = Code {
    name: "plan-off",
    explain: "The outline of the utensil leaves the drawing that `utensil.plan` names by more than 0.3 mm somewhere: \
        more than an eye passes over when a template is laid on it (common practice, no source). The outline is a smooth \
        line through many of the drawing's widths, so it eases corners, and it has forms of its own at the \
        handle's end, close to the neck, and at the tip, where no width can be set. Look at the outline on the sheet: if you \
        like it, accept this. Otherwise move the neck, which the head's `length` says, to where the drawing is \
        narrowest; give the handle's `end` and `end_shape`; or draw tip and end rounder. Measured is the design as it is \
        asked for, before it is fitted to a board.",
};

/// How far it may leave it.
const FAR: Length = Length::mm(0.3);

pub(super) fn look(at: &Context<'_>, notes: &mut Notes) -> Option<String> {
    let plan = at.design.plan.as_ref()?;
    notes.figure("plan_off_mm", plan.off.as_mm());
    notes.figure("plan_off_at_mm", plan.at.as_mm());
    let says = format!("outline within {} of the drawing, most at {}", plan.off, plan.at);
    // Asked for, not against, so that a NaN is told.
    let near = plan.off <= FAR;
    if !near {
        let widths = at.design.handle.width.iter().map(|station| station.size);
        let handle = widths.fold(Length::ZERO, Length::max);
        let place = DVec2::new(plan.at.as_mm(), 0.0);
        notes.say(
            Finding::caution(
                PLAN_OFF,
                format!(
                    "the outline leaves the drawing `{}` by up to {}, {} from the handle's end",
                    plan.file, plan.off, plan.at
                ),
                if handle > at.design.head.width() {
                    "The handle is wider than the head. If the head lies at the left in the drawing, turn it half \
                     round: the handle's end lies at the left."
                } else {
                    "Look at the outline; change the head's `length`, the handle's `end`, or the drawing, or accept \
                     it."
                },
            )
            .at(Source::Design, "utensil.plan")
            .on(place, None),
        );
    }
    Some(says)
}
