//! Does the body fit the height of the board, and is the board much too thick for a set?

use super::{Checks, Context, Verdict};
use crate::finding::{Code, Finding, Findings, Source};
use crate::fit::{self, Advice, Stock, Thicker};
use crate::params::Shop;
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
        come nearer to the stock. Of a set the tallest piece counts: the amount given still leaves \
        enough for it. Plane the board down by that amount, half from each face; where more than \
        10 mm is to spare, resaw it and keep the offcut. Or give the design more curve or a deeper \
        hollow. Planing thin or short stock is dangerous: the planer's manual and local rules come \
        first.",
};

/// The row of this rule.
pub(super) const STOCK: &str = "stock";

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
    }
}

/// Looks at all pieces of a set at once. Whether the board is much too thick is judged by the
/// tallest, since what is taken off the board is taken off for all.
pub fn together<'a>(
    shop: &Shop,
    pieces: impl Iterator<Item = (&'a Stock, &'a mut Checks)>,
    out: &mut Findings,
) {
    let (stocks, tables): (Vec<&Stock>, Vec<&mut Checks>) = pieces.unzip();
    let Some(least) = stocks.iter().map(|stock| stock.spare).reduce(Length::min) else { return };
    let allowed = shop.limits.spare;
    let help = match Thicker::by(least, allowed) {
        Thicker::Not => return,
        Thicker::Plane(off) => format!(
            "Plane off {off} before you begin, half from each face, or use the height for a \
             deeper hollow or more curve."
        ),
        Thicker::Resaw(off) => format!(
            "Resaw the board so that {off} come off, kerf included, and keep the offcut; planing \
             that much away takes long. Or use the height for a deeper hollow or more curve."
        ),
    };
    let body = if stocks.len() > 1 { "tallest piece" } else { "body" };
    let message =
        format!("the stock is {least} higher than the {body} needs; the shop allows {allowed}");
    let finding = Finding::caution(TOO_THICK, message, help).at(Source::Board, "reading");
    out.push(Finding { rule: Some(STOCK), ..finding });
    tables.into_iter().for_each(|table| table.found(STOCK, Verdict::Caution));
}

/// What would do: another board, or each give widened by itself.
fn help(at: &Context<'_>) -> String {
    let Some(advice) = at.advice else {
        return "Take a thicker board, or lower bowl.depth, bowl.wall, handle.thickness or \
                handle.curve."
            .to_owned();
    };
    let within = if at.design.give.is_empty() { "" } else { ", with all that [give] allows" };
    let mut help = match thick_enough(at, advice) {
        Some(board) => format!("A board that reads {board} at its thinnest would do{within}."),
        None => "Take a thicker board.".to_owned(),
    };
    for wider in &advice.widen {
        let word =
            if help.contains("give") && help.contains("; or") { "; or" } else { " Or widen" };
        let what = match &wider.alike {
            Some(group) => format!("every give that is alike \"{group}\""),
            None => format!("give \"{}\"", wider.key),
        };
        help += &format!("{word} {what} from {} to {}", wider.limit, wider.to);
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

/// What a board must read at its thinnest, in tenths of a millimetre: skimmed and flattened like
/// this one it takes the design.
fn thick_enough(at: &Context<'_>, advice: &Advice) -> Option<Length> {
    let readings = at.board.readings.iter().map(|reading| reading.thickness);
    let lost = readings.reduce(Length::min)? - at.board.usable_height();
    let least = 10.0 * (advice.lowest + lost).as_mm();
    let to = |step: u32| Length::mm((least.ceil() + f64::from(step)) / 10.0);
    let does = |step: &u32| {
        let mut board = at.board.clone();
        board.readings.iter_mut().for_each(|reading| reading.thickness = to(*step));
        fit::fitted((at.set, at.number), &board, at.shop, at.spare).is_some()
    };
    // The lowest was found by a quicker search than the fitting's own.
    (0..10).find(does).map(to)
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
