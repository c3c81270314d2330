//! What can be made: checks of figures against each other, after each has passed its own range.
//!
//! A figure that couldn't be read is NaN here (see `read`), so every check is written "fault if
//! this is greater than that", which NaN never is.
//!
//! Not promised: that the utensil is strong, that the cutters reach everywhere or that the board
//! is large enough; `check` has rules for these.

mod board;
mod design;
mod give;
mod kinds;
mod line;
mod margin;
mod shop;
mod slip;

pub(super) use board::board;
pub use design::FLAT_FROM;
pub(super) use design::design;
pub use kinds::{BLADE_EASED, THIN_AT};
pub use line::outline_places;
pub use margin::{faults, margins, room};
pub use shop::SLENDER;
pub(super) use shop::shop;
pub use slip::{slip, slipped};

use crate::units::Length;

/// Advice to go down to a limit: the limit, rounded down to a tenth of a millimetre, so that what
/// the help shows passes when it is typed in.
fn down_to(limit: Length) -> Length {
    Length::mm((limit.as_mm() * 10.0 + 1e-6).floor() / 10.0)
}

/// Advice to go up to a limit, rounded up in the same way.
fn up_to(limit: Length) -> Length {
    Length::mm((limit.as_mm() * 10.0 - 1e-6).ceil() / 10.0)
}

#[cfg(test)]
mod tests;
