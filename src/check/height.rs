//! Does the body fit the height of the board, and is the board much too thick for it?

use super::Context;
use crate::finding::{Code, Finding, Findings, Source};
use crate::units::Length;

/// The body is taller than the flat stock that the board gives.
pub const TOO_TALL: Code = Code {
    name: "too-tall",
    explain: "The body, from its lowest to its highest point, is taller than the flat stock that \
        this board can give: its thinnest reading less what is skimmed off both faces. Part of the \
        body would lie in the air, so nothing is written. Take a thicker board, skim less if the \
        faces allow it, or make the design lower: a shallower hollow, less wood under it, a \
        flatter handle curve or a thinner handle. The design's [give] table says which of these \
        may be changed for you, and how far; the finding says which limit would do. The rule uses \
        the thinnest reading for the whole board, even if it is far from the piece.",
};

/// The board is much thicker than the body needs.
pub const TOO_THICK: Code = Code {
    name: "too-thick",
    explain: "The stock is higher than the body by more than the shop's limits.spare. The extra \
        wood becomes dust, the cutters must reach deeper for the same surface, and their holders \
        come nearer to the stock. Plane the board down by the amount given, half from each face, \
        or resaw it and keep the offcut. Or give the design more curve or a deeper hollow. Planing \
        thin or short stock is dangerous: the planer's manual and local rules come first.",
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
                    "the body is {body} tall, but the board gives only {} of flat stock: {short} \
                     too tall",
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
                    "the stock is {} higher than the body needs; the shop's limit is {}",
                    stock.spare, at.shop.limits.spare
                ),
                format!(
                    "Plane off {} first, half from each face, or use the height for a deeper \
                     hollow or more curve.",
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
    let mut help = format!("A board whose thinnest reading is {board} would do{within}.");
    for wider in &advice.widen {
        let word =
            if help.contains("give") && help.contains("; or") { "; or" } else { " Or widen" };
        help += &format!("{word} give \"{}\" from {} to {}", wider.key, wider.limit, wider.to);
    }
    if !advice.widen.is_empty() {
        help.push('.');
    } else if at.design.give.is_empty() {
        help += " Or list under [give] what may change, such as bowl.depth or handle.curve.";
    } else {
        help += " No single limit under [give] is enough by itself; let more dimensions change.";
    }
    help
}

pub(super) fn says(at: &Context<'_>) -> Option<String> {
    let stock = at.stock;
    let body = stock.height - stock.spare;
    let spare = match stock.spare {
        short if short < Length::ZERO => format!("{} too tall", -short),
        spare => format!("{spare} to spare"),
    };
    Some(format!("body {body} in {} of flat stock, {spare}", stock.usable))
}
