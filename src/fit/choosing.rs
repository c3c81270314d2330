//! Which board: several are tried with a whole set of designs, and ranked with the reason.
//!
//! Promised: every board has an offer, in one order for one input: boards that take the set as it
//! is first, then those that change it least, then those that take most of it. Among boards that
//! take it unchanged the smallest comes first, so that large boards are kept for large things.

use super::layout::{self, Ask, Effort, Footprint, Layout, Match, Room};
use super::stock::Thicker;
use super::thickness::{Fit, Spare, to_board};
use crate::outline::{arcs, offset};
use crate::params::{Board, Design, Shop};
use crate::relief;
use crate::shape::Body;
use crate::units::{Length, plain};

/// How a set is to be fitted.
#[derive(Clone, Copy)]
pub struct How<'a> {
    /// What becomes of height that a board has to spare.
    pub spare: Spare,
    /// How the pieces go together.
    pub together: Match,
    /// How hard to look.
    pub effort: Effort,
    /// Whether a layout leaves room for pins and hold-downs.
    pub room: &'a Room<'a>,
}

/// How a board takes a set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BoardVerdict {
    /// All of it, as it is.
    Unchanged,
    /// All of it, with changes that the designs allow.
    Changed,
    /// A part of it.
    Part,
    /// Nothing.
    Nothing,
}

impl BoardVerdict {
    /// `unchanged`, `changed`, `part` or `nothing`.
    pub const fn name(self) -> &'static str {
        match self {
            BoardVerdict::Unchanged => "unchanged",
            BoardVerdict::Changed => "changed",
            BoardVerdict::Part => "part",
            BoardVerdict::Nothing => "nothing",
        }
    }
}

/// What one board does for a set.
#[derive(Clone, Debug)]
pub struct Offer {
    /// Index of the board.
    pub board: usize,
    /// How it takes the set.
    pub verdict: BoardVerdict,
    /// Why, in one line.
    pub reason: String,
    /// The designs, each fitted to its thickness.
    pub fits: Vec<Fit>,
    /// Where they lie; none for one that has no place.
    pub layout: Layout,
    /// Sum of the costs of the changes.
    pub cost: f64,
}

/// A design's outline and skirt, as a piece to be laid. None when the shop has no cutter to finish
/// with, which a rule says.
pub fn piece(design: &Design, shop: &Shop) -> Option<Footprint> {
    let ball = shop.cutter(&shop.work.finish)?.diameter;
    let outline = arcs::fit(&Body::new(design).outline(), arcs::ARC_FIT).path;
    let skirt = offset::largest(&outline, relief::skirt_width(ball))?;
    Some(Footprint { sound: outline, whole: skirt, lean: design.lean })
}

/// What a board does for a set.
pub fn offer(index: usize, designs: &[Design], board: &Board, shop: &Shop, how: &How<'_>) -> Offer {
    let fits = to_board(designs, board, shop, how.spare);
    // Only what fits the thickness is laid.
    let able: Vec<(usize, Footprint)> = fits
        .iter()
        .enumerate()
        .filter(|(_, fit)| fit.advice.is_none())
        .filter_map(|(i, fit)| Some((i, piece(&fit.design, shop)?)))
        .collect();
    let pieces: Vec<Footprint> = able.iter().map(|(_, piece)| piece.clone()).collect();
    let How { together, effort, room, .. } = *how;
    let ask = Ask { frame: shop.limits.margin, together, effort, room };
    let numbers: Vec<usize> = able.iter().map(|(i, _)| *i).collect();
    let layout = layout::lay(board, &pieces, &ask).among(&numbers, designs.len());
    let placed = layout.placed();
    let changed = fits.iter().any(|fit| !fit.changes.is_empty());
    let verdict = match (placed == designs.len(), placed, changed) {
        (true, _, false) => BoardVerdict::Unchanged,
        (true, _, true) => BoardVerdict::Changed,
        (false, 0, _) => BoardVerdict::Nothing,
        _ => BoardVerdict::Part,
    };
    let reason = reason(verdict, designs, board, &fits, &layout, (shop, together));
    let cost = fits.iter().map(|fit| fit.cost).sum();
    Offer { board: index, verdict, reason, fits, layout, cost }
}

fn reason(
    verdict: BoardVerdict,
    designs: &[Design],
    board: &Board,
    fits: &[Fit],
    layout: &Layout,
    (shop, together): (&Shop, Match),
) -> String {
    let apart = match (layout.kept, together) {
        (true, _) => String::new(),
        (false, how) => format!(", but not {}", how.words()),
    };
    let clear = format!("{} to spare all round{apart}", layout.clearance);
    // A job without room for pins can't be made, so this is not said as if all were well.
    let lies = if layout.roomy { "fits" } else { "has no room for pins or hold-downs, else fits" };
    let changes: Vec<String> = designs
        .iter()
        .zip(fits)
        .flat_map(|(design, fit)| {
            fit.changes.iter().map(move |change| {
                format!("{} {} {} to {}", design.name, change.key, change.asked, change.fitted)
            })
        })
        .collect();
    match verdict {
        BoardVerdict::Unchanged => {
            let spare = fits
                .iter()
                .map(|fit| {
                    let [low, high] = Body::new(&fit.design).heights();
                    (board.usable_height() - (high - low)).as_mm()
                })
                .fold(f64::INFINITY, f64::min);
            let spare = Length::mm(spare);
            let first = match Thicker::by(spare, shop.limits.spare) {
                Thicker::Not => "",
                Thicker::Plane(_) => " (plane the board first)",
                Thicker::Resaw(_) => " (resaw the board first)",
            };
            format!("{lies} unchanged, {spare} of height to spare{first}, {clear}")
        }
        BoardVerdict::Changed => {
            format!("{lies} with these changes: {}; {clear}", changes.join(", "))
        }
        BoardVerdict::Part | BoardVerdict::Nothing => {
            let missing: Vec<String> = designs
                .iter()
                .zip(fits)
                .zip(&layout.places)
                .filter(|(_, place)| place.is_none())
                .map(|((design, fit), _)| match &fit.advice {
                    Some(advice) => format!(
                        "{} can be {} tall at the lowest and the board gives {}",
                        design.name,
                        advice.lowest,
                        board.usable_height()
                    ),
                    None => format!("there is no clear place for {}", design.name),
                })
                .collect();
            let placed = layout.placed();
            let holds = if placed == 0 {
                "can't".to_owned()
            } else {
                format!("holds {placed} of {}", designs.len())
            };
            format!("{holds}: {}", missing.join("; "))
        }
    }
}

/// Every board's offer for a set, the best first.
pub fn rank(designs: &[Design], boards: &[Board], shop: &Shop, how: &How<'_>) -> Vec<Offer> {
    let mut offers: Vec<Offer> = boards
        .iter()
        .enumerate()
        .map(|(index, board)| offer(index, designs, board, shop, how))
        .collect();
    let size = |offer: &Offer| {
        let board = &boards[offer.board];
        board.length.as_mm() * board.width.as_mm() * board.usable_height().as_mm()
    };
    offers.sort_by(|a, b| {
        (a.verdict.cmp(&b.verdict))
            .then(b.layout.placed().cmp(&a.layout.placed()))
            .then(b.layout.roomy.cmp(&a.layout.roomy))
            .then(b.layout.kept.cmp(&a.layout.kept))
            .then(a.cost.total_cmp(&b.cost))
            .then(size(a).total_cmp(&size(b)))
            .then(a.board.cmp(&b.board))
    });
    offers
}

/// The set over several boards, when no single one takes it: each board with the designs that it
/// takes, by their indices. The board that takes most comes first, then what is left is offered to
/// the others. What no board takes is in none.
pub fn spread(
    designs: &[Design],
    boards: &[Board],
    shop: &Shop,
    how: &How<'_>,
) -> Vec<(Vec<usize>, Offer)> {
    let mut left: Vec<usize> = (0..designs.len()).collect();
    let mut free: Vec<usize> = (0..boards.len()).collect();
    let mut taken = Vec::new();
    while !left.is_empty() && !free.is_empty() {
        let set: Vec<Design> = left.iter().map(|i| designs[*i].clone()).collect();
        let these: Vec<Board> = free.iter().map(|i| boards[*i].clone()).collect();
        let Some(mut best) = rank(&set, &these, shop, how).into_iter().next() else { break };
        if best.layout.placed() == 0 {
            break;
        }
        let members: Vec<usize> = left.clone();
        let places = best.layout.places.clone();
        left = members.iter().zip(&places).filter(|(_, p)| p.is_none()).map(|(i, _)| *i).collect();
        best.board = free.remove(best.board);
        taken.push((members, best));
    }
    taken
}

/// A place on the board for people: where the handle's end lies, and how it points.
pub fn placed(place: &super::Placement) -> String {
    let degrees = place.angle.as_degrees().rem_euclid(360.0);
    format!(
        "handle's end at {}, {}, tip towards {} deg",
        Length::mm(place.origin.x),
        Length::mm(place.origin.y),
        plain(degrees, 1)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::{Findings, Source};
    use crate::params::{parse_board, parse_design, parse_shop, template};

    const HOW: How<'_> = How {
        spare: Spare::Leave,
        together: Match::Free,
        effort: Effort::First,
        room: &|_, _| true,
    };

    fn design(text: &str) -> Design {
        parse_design(text, &mut Findings::new()).unwrap().0
    }

    fn spoon() -> Design {
        design(template(Source::Design))
    }

    fn shop() -> Shop {
        parse_shop(template(Source::Shop), &mut Findings::new()).unwrap().0
    }

    /// The shipped cherry board with another thickness at every place, without flaws.
    fn board(thickness: f64, length: f64, width: f64) -> Board {
        let mut board = parse_board(template(Source::Board), &mut Findings::new()).unwrap().0;
        board.readings.iter_mut().for_each(|r| r.thickness = Length::mm(thickness));
        board.flaws.clear();
        board.length = Length::mm(length);
        board.width = Length::mm(width);
        board
    }

    #[test]
    fn unchanged_before_changed_before_nothing() {
        let boards = [
            board(15.0, 470.0, 130.0),
            board(28.0, 470.0, 130.0),
            board(33.0, 600.0, 200.0),
            board(33.0, 470.0, 130.0),
        ];
        let offers = rank(&[spoon()], &boards, &shop(), &HOW);
        let order: Vec<usize> = offers.iter().map(|offer| offer.board).collect();
        assert_eq!(order, [3, 2, 1, 0], "{offers:#?}");
        assert_eq!(offers[0].verdict, BoardVerdict::Unchanged);
        assert_eq!(offers[2].verdict, BoardVerdict::Changed);
        assert_eq!(offers[3].verdict, BoardVerdict::Nothing);
        assert!(offers[2].reason.contains("bowl.depth"), "{}", offers[2].reason);
        assert!(offers[3].reason.contains("at the lowest"), "{}", offers[3].reason);
    }

    #[test]
    fn a_set_that_no_board_takes_is_spread() {
        let boards = [board(33.0, 340.0, 90.0), board(33.0, 340.0, 95.0)];
        let set = [spoon(), spoon()];
        assert_eq!(rank(&set, &boards, &shop(), &HOW)[0].verdict, BoardVerdict::Part);
        let taken = spread(&set, &boards, &shop(), &HOW);
        assert_eq!(taken.len(), 2);
        assert_ne!(taken[0].1.board, taken[1].1.board);
        let placed: usize = taken.iter().map(|(_, offer)| offer.layout.placed()).sum();
        assert_eq!(placed, 2);
    }
}
