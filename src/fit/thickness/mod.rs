//! The design made to fit the stock: as little changed as possible of what its `[give]` allows.
//!
//! Promised: every limit of a give, every rule that makes a design valid and the shop's least
//! wall, rim and tine hold, and the exact body is not higher than the stock, or it is said what
//! would do. The same input gives the same answer. Not promised: the least change of all; the
//! search goes from three starts, and heights are not convex in every dimension.

mod advice;
mod alike;
mod gives;
mod limits;
mod search;
mod single;

pub use advice::{Advice, Widening};
pub use alike::{ALIKE_ALONE, alone};
pub use gives::Change;
pub use limits::BodyRoom;
pub use single::{Fit, Spare};

use crate::params::{Board, Bound, Design, Shop};
use gives::Variable;
use limits::FitLimits;
use single::as_asked;
use std::sync::atomic::AtomicBool;

/// What a board has room for: the greatest height, length and width of a body.
pub fn room(board: &Board, shop: &Shop) -> BodyRoom {
    limits::room(board, shop)
}

/// Makes the designs of a set fit a board. Gives of one group change alike.
pub fn to_board(designs: &[Design], board: &Board, shop: &Shop, spare: Spare) -> Vec<Fit> {
    to_room(designs, shop, room(board, shop), spare)
}

/// Whether what would do is looked for, where a design can't be made to fit: it takes long.
#[derive(Clone, Copy, Debug)]
pub enum Advising<'a> {
    /// As long as nobody says that it isn't wanted any more.
    Until(&'a AtomicBool),
    /// Not at all; such a design is as asked then.
    Not,
}

/// The same as [`to_board`], with advice as it is wanted.
pub fn to_board_advising(
    designs: &[Design],
    board: &Board,
    shop: &Shop,
    (spare, advising): (Spare, Advising<'_>),
) -> Vec<Fit> {
    fits(designs, shop, room(board, shop), (spare, advising))
}

/// One design of a set as [`to_board`] makes it, without a word of what would do when it can't be
/// made to fit: to try what is advised.
pub fn fitted(
    (designs, number): (&[Design], usize),
    board: &Board,
    shop: &Shop,
    spare: Spare,
) -> Option<Fit> {
    fitted_to((designs, number), shop, room(board, shop), spare)
}

fn fitted_to(
    (designs, number): (&[Design], usize),
    shop: &Shop,
    room: BodyRoom,
    spare: Spare,
) -> Option<Fit> {
    let design = designs.get(number)?;
    let grouped = design.give.iter().any(|give| give.alike.is_some());
    // What changes by itself needs no look at the others.
    let (set, number) = if grouped { (designs, number) } else { (&designs[number..=number], 0) };
    alike::together(set, shop, room, spare).into_iter().nth(number).flatten()
}

/// Makes the designs of a set fit a room.
pub fn to_room(designs: &[Design], shop: &Shop, room: BodyRoom, spare: Spare) -> Vec<Fit> {
    fits(designs, shop, room, (spare, Advising::Until(&AtomicBool::new(false))))
}

fn fits(
    designs: &[Design],
    shop: &Shop,
    room: BodyRoom,
    (spare, advising): (Spare, Advising<'_>),
) -> Vec<Fit> {
    let fits = alike::together(designs, shop, room, spare).into_iter().zip(designs).enumerate();
    let fits = fits.map(|(number, (fit, design))| {
        fit.unwrap_or_else(|| match advising {
            Advising::Until(unwanted) => advised((designs, number), shop, room, unwanted),
            Advising::Not => as_asked(design),
        })
    });
    fits.collect()
}

/// A design of a set that can't be made to fit, as it is asked, with what would do.
fn advised(
    (designs, number): (&[Design], usize),
    shop: &Shop,
    room: BodyRoom,
    unwanted: &AtomicBool,
) -> Fit {
    let design = &designs[number];
    let variables = alike::variables_within(design, &alike::limits(designs));
    let limits = FitLimits::new(design, shop, &variables);
    // A group's limit is widened in every design of the set.
    let does = |variable: &Variable, most: bool, limit: Bound| {
        let mut wider = designs.to_vec();
        let widening = Widening::of(variable, most, limit);
        for (index, design) in wider.iter_mut().enumerate() {
            widening.apply(design, index == number);
        }
        let fits = fitted_to((&wider, number), shop, room, Spare::Leave).is_some();
        fits.then_some(widening)
    };
    let advice = advice::advice(design, &variables, &limits, (room, &does), unwanted);
    Fit { advice: Some(advice), ..as_asked(design) }
}

#[cfg(test)]
mod tests;
