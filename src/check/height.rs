//! Does the body fit the height of the board, and is the board much too thick for a set?

use super::{Checks, Context, Verdict, cure};
use crate::finding::{Code, Finding, Findings, Source};
use crate::fit::{self, Advice, Stock, Thicker, Widening};
use crate::params::Shop;
use crate::units::{Length, plain};

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
        let finding = Finding::fault(
            TOO_TALL,
            format!(
                "the body is {body} tall, {}, but the board gives only {} of flat stock: {short} \
                     too tall",
                from_to(at),
                stock.usable
            ),
            help(at),
        );
        let station = tallest(at).filter(|(_, size)| *size > stock.usable);
        out.push(match station {
            // That alone is too much.
            Some((index, _)) => {
                finding.at(Source::Design, format!("handle.thickness[{index}].size"))
            }
            None => finding.at(Source::Board, "reading"),
        });
    }
}

/// Where the body's height is from and to, in words.
fn from_to(at: &Context<'_>) -> String {
    let neck = at.body.neck_x().as_mm();
    let part = |along: f64| {
        let x = at.body.along_mm(along);
        format!("the {} at {} mm", if x < neck { "handle" } else { "head" }, plain(x, 0))
    };
    let least = |places: Vec<f64>, height: &dyn Fn(f64) -> f64| {
        places.into_iter().min_by(|a, b| height(*a).total_cmp(&height(*b))).map(part)
    };
    let low = least(at.body.keels(), &|place| at.body.keel(place));
    let high = least(at.body.crests(), &|place| -at.body.crest(place));
    let [low, high] = [low, high].map(Option::unwrap_or_default);
    format!("from the underside of {low} to the top of {high}")
}

/// The thickest station of the handle, by its number and its size.
fn tallest(at: &Context<'_>) -> Option<(usize, Length)> {
    let sizes = at.design.handle.thickness.iter().map(|station| station.size).enumerate();
    sizes.max_by(|a, b| a.1.as_mm().total_cmp(&b.1.as_mm()))
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
    cure::advice(at, || searched(at, advice))
}

/// What is found to do.
fn searched(at: &Context<'_>, advice: &Advice) -> String {
    let within = if at.design.give.is_empty() { "" } else { ", with all that [give] allows" };
    let mut help = match tallest(at).filter(|(_, size)| *size > at.stock.usable) {
        Some((_, size)) => format!("Check handle.thickness: {size} alone is more than that. "),
        None => String::new(),
    };
    help += &match thick_enough(at, advice) {
        Some((board, tabs)) => {
            format!("A board that reads {board} at its thinnest would do{within}{}.", thinned(tabs))
        }
        None => "Take a thicker board.".to_owned(),
    };
    for wider in &advice.widen {
        let what = match &wider.alike {
            Some(group) => format!("every give that is alike \"{group}\""),
            None => format!("`give.{}`", wider.key),
        };
        let tabs = thinned(widened(at, wider));
        help += &format!(" Or let {what} go to {} instead of {}{tabs}.", wider.to, wider.limit);
    }
    if !advice.widen.is_empty() {
        return help;
    }
    if at.design.give.is_empty() {
        help += " Or list under [give] what may change, such as bowl.depth or handle.curve.";
    } else {
        help += " No single limit under [give] is enough by itself; let more dimensions change.";
    }
    help
}

/// What a board must read at its thinnest, in tenths of a millimetre: skimmed and flattened like
/// this one it takes the design.
fn thick_enough(at: &Context<'_>, advice: &Advice) -> Option<(Length, Option<Length>)> {
    let readings = at.board.readings.iter().map(|reading| reading.thickness);
    let lost = readings.reduce(Length::min)? - at.board.usable_height();
    let least = 10.0 * (advice.lowest + lost).as_mm();
    let to = |step: u32| Length::mm((least.ceil() + f64::from(step)) / 10.0);
    let does = |step: u32| {
        let mut board = at.board.clone();
        board.readings.iter_mut().for_each(|reading| reading.thickness = to(step));
        let fit = fit::fitted((at.set, at.number), &board, at.shop, at.spare)?;
        Some((to(step), cure::thinner_tabs(&fit.design, &board, at.shop)))
    };
    // The lowest was found by a quicker search than the fitting's own.
    (0..10).find_map(does)
}

/// What the tabs must be thinned to on this board, where a limit of `[give]` is widened.
fn widened(at: &Context<'_>, wider: &Widening) -> Option<Length> {
    let mut set = at.set.to_vec();
    for (index, design) in set.iter_mut().enumerate() {
        wider.apply(design, index == at.number);
    }
    let fit = fit::fitted((&set, at.number), at.board, at.shop, at.spare)?;
    cure::thinner_tabs(&fit.design, at.board, at.shop)
}

/// What an advice needs besides, in words.
fn thinned(tabs: Option<Length>) -> String {
    tabs.map_or_else(String::new, |most| format!(", with tabs.thickness {most} or less"))
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
