//! Is the head as wide as its `width` says?

use super::Context;
use crate::finding::{Code, Finding, Findings, Source};
use crate::units::{Length, plain};

/// The head is wider than its width somewhere else.
pub const HEAD_WIDER: Code = Code {
    name: "head-wider",
    explain: "The head has an outline of its own, and away from its widest place it is more than one part in a \
        hundred wider than its `width`. The outline is a smooth line through its stations and through `width` at \
        `widest`, so a station that is greater, or one that is nearly as great and not far away, makes it swell \
        beyond. A greater head takes more of the board, and may not be what you meant. Move `widest` to where the \
        head is to be widest, make the station smaller, or accept it if you like the outline.",
};

/// So much wider than asked for is told, as a share of the width: less is hardly seen (by eye).
const MORE: f64 = 0.01;
/// Places looked at along the head.
const LOOKS: u32 = 400;

/// Where along the head it is widest, and how wide, if that is more than its `width`.
fn wider(at: &Context<'_>) -> Option<(f64, Length)> {
    let head = &at.design.head;
    // What a drawing says is as wide as drawn.
    if head.outline().is_empty() || at.design.plan.is_some() {
        return None;
    }
    let share = |look: u32| f64::from(look) / f64::from(LOOKS);
    let width = |share: f64| {
        let [right, left] = at.body.across(at.body.head_x(share));
        left - right
    };
    let most = (1..LOOKS).map(share).max_by(|a, b| width(*a).total_cmp(&width(*b)))?;
    let found = width(most);
    (found > head.width().as_mm() * (1.0 + MORE)).then_some((most, Length::mm(found)))
}

pub(super) fn look(at: &Context<'_>, out: &mut Findings) {
    let Some((place, found)) = wider(at) else { return };
    let head = &at.design.head;
    let place = plain(100.0 * place, 0);
    let message = format!(
        "The head is {found} wide at {place} % of its length, and its `width` is {}.",
        head.width()
    );
    let help = "If it is to be widest there, say so with `widest` and `width`; if not, make the sizes of `outline` \
                near there less; or accept it.";
    let key = format!("{}.outline", head.table());
    out.push(Finding::caution(HEAD_WIDER, message, help).at(Source::Design, &key));
}

pub(super) fn says(at: &Context<'_>) -> Option<String> {
    wider(at).map(|(_, found)| format!("head {found}, asked for {}", at.design.head.width()))
}
