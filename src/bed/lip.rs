//! Whether the lips of the hold-downs hold the board at all.
//!
//! Not promised: holding force. What a lip bears before it creeps away is compared with what the
//! cut pushes, and nothing is said of bolts, bed or print.

use crate::blocks::HoldDownModel;
use crate::finding::{Code, Finding, Findings, Source};
use crate::params::Shop;
use crate::units::{Length, plain};

/// A lip that holds next to nothing.
pub const LIP_WEAK: Code = Code {
    name: "lip-weak",
    explain: "By estimate a hold-down's printed lip bears too little, or it hardly reaches over the board. \
        It is to bear tabs.safety times what the cut pushes (tabs.push); and a lip of 2 mm or less bears \
        on a rounded edge, where a bit of play takes all of it away. \
        A board that comes loose under a turning cutter is thrown. \
        It is a fault where a single lip bears less than the push: a figure of the hold-down is then \
        most likely a slip. \
        Make hold_down.lip_thickness greater (what the lip bears grows with its square), or \
        hold_down.width, or let the lip reach 5 mm or more over the board. \
        The lip is taken as a beam of printed plastic that is held at the board's edge, loaded in its \
        middle and under stress for hours (10 N/mm\u{b2}; common practice, no source). \
        The pull of the bolts, the friction under the board and the other hold-downs are left out.",
};

/// A lip that reaches less far over the board than this bears on the edge's rounding (no source).
const REACH: Length = Length::mm(2.0);

/// Says so for each form of hold-down, once.
pub(super) fn judge(shop: &Shop, models: &[HoldDownModel], out: &mut Findings) {
    let push = shop.bed.tabs.push_n;
    let wanted = push * shop.bed.tabs.safety;
    if shop.hold_down.lip < REACH {
        out.push(
            Finding::caution(
                LIP_WEAK,
                format!("the hold-down's lip reaches only {} over the board", shop.hold_down.lip),
                "Write lip = \"10 mm\" under [hold_down]; with less than half of that it finds no hold.",
            )
            .at(Source::Shop, "hold_down.lip"),
        );
    }
    let Some(weak) = models.iter().find(|model| model.lip_holds_n < wanted) else { return };
    let message = format!(
        "by estimate a lip {} thick bears {} N; the cut pushes with {} N, and the shop's least is {} times \
         that",
        shop.hold_down.lip_thickness,
        plain(weak.lip_holds_n, 1),
        plain(push, 1),
        plain(shop.bed.tabs.safety, 1)
    );
    // What it bears grows with the square of its thickness.
    let thick = shop.hold_down.lip_thickness.as_mm() * (wanted / weak.lip_holds_n).sqrt();
    let help = format!(
        "Make hold_down.lip_thickness {} or more.",
        Length::mm((10.0 * thick).ceil() / 10.0)
    );
    let finding = if weak.lip_holds_n < push {
        Finding::fault(LIP_WEAK, message, help)
    } else {
        Finding::caution(LIP_WEAK, message, help)
    };
    out.push(finding.at(Source::Shop, "hold_down.lip_thickness"));
}
