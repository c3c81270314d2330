//! Does the body fit the height of the board, and is the board much too thick for it?

use super::Context;
use crate::finding::{Code, Finding, Findings, Source};
use crate::units::Length;

/// The body is taller than the flat stock that the board gives.
pub const TOO_TALL: Code = Code {
    name: "too-tall",
    explain: "The body, from its lowest to its highest point, is taller than the flat stock that \
        this board can give: the least caliper reading less what is skimmed off both faces. Part \
        of it would lie in the air, and the packet is not written. Take a thicker board, skim \
        less if the faces allow it, or make the design lower: less depth of the hollow, less wood \
        under it, a flatter handle curve or a thinner handle. The [give] table of the design says \
        which of these may be changed for you, and how far; the help says which limit would do. The rule takes the least reading for the whole \
        board; more readings near the piece can only lower it.",
};

/// The board is much thicker than the body needs.
pub const TOO_THICK: Code = Code {
    name: "too-thick",
    explain: "The flat stock is higher than the body by more than the shop's limits.spare. The \
        extra wood is carved away as dust from both sides, the cutters must reach deeper for the \
        same surface, and their holders come nearer to the stock. Plane the board down by the \
        amount that is said, half from each face, or resaw it and keep the offcut; or give the \
        design more curve or a deeper hollow. Planing thin or short stock has dangers of its \
        own: the planer's manual and local rules come first.",
};

pub(super) fn look(at: &Context<'_>, out: &mut Findings) {
    let stock = at.stock;
    let body = stock.height - stock.spare;
    let short = -stock.spare;
    if short.as_mm() > 1e-9 {
        out.push(
            Finding::fault(
                TOO_TALL,
                format!(
                    "the body is {body} tall and the board gives {} of flat stock: {short} too \
                     little",
                    stock.usable
                ),
                help(at),
            )
            .at(Source::Board, "reading"),
        );
    } else if stock.spare > at.shop.limits.spare {
        out.push(
            Finding::caution(
                TOO_THICK,
                format!(
                    "the stock is {} higher than the body needs; the shop allows {}",
                    stock.spare, at.shop.limits.spare
                ),
                format!(
                    "Plane off {} before you begin, half from each face, or use the height for a \
                     deeper hollow or more curve.",
                    stock.spare - at.shop.limits.spare
                ),
            )
            .at(Source::Board, "reading"),
        );
    }
}

/// What would do: another board, or each give widened by itself.
fn help(at: &Context<'_>) -> String {
    let Some(advice) = at.advice else {
        return "Take a thicker board, or lower bowl.depth, bowl.wall, handle.thickness or \
                handle.curve."
            .to_owned();
    };
    let skims = at.board.skim_top + at.board.skim_bottom;
    // A hundredth more, so that what is read here does when it is typed in.
    let board = Length::mm((100.0 * (advice.lowest + skims).as_mm()).ceil() / 100.0);
    let within = if at.design.give.is_empty() { "" } else { ", with all that [give] allows" };
    let mut help = format!("A board that reads {board} at its thinnest would do{within}.");
    for wider in &advice.widen {
        let word =
            if help.contains("give") && help.contains("; or") { "; or" } else { " Or widen" };
        help += &format!("{word} give \"{}\" from {} to {}", wider.key, wider.limit, wider.to);
    }
    if !advice.widen.is_empty() {
        help.push('.');
    } else if at.design.give.is_empty() {
        help += " Or say under [give] what may change, such as bowl.depth or handle.curve.";
    } else {
        help += " No single limit under [give] would do, however wide; let more dimensions change.";
    }
    help
}

pub(super) fn says(at: &Context<'_>) -> Option<String> {
    let stock = at.stock;
    let body = stock.height - stock.spare;
    Some(format!("body {body} in {} of flat stock, {} to spare", stock.usable, stock.spare))
}
