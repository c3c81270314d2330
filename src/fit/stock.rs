//! How the body lies in the height of the stock.

use crate::units::Length;

/// The stock: the board when both faces have been skimmed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stock {
    /// The greatest height that the board can give.
    pub usable: Length,
    /// The height that it is used at: all that the board gives.
    pub height: Length,
    /// What is left over the body's own height. Negative when the body is too tall.
    pub spare: Length,
    /// Height of the stock's top in the design frame.
    pub top: Length,
    /// Height of the stock's underside in the design frame.
    pub bottom: Length,
}

impl Stock {
    /// The stock of a usable height round a body that reaches from `lowest` to `highest` in the
    /// design frame, with the spare height in equal parts above and below.
    pub fn round(usable: Length, lowest: Length, highest: Length) -> Stock {
        let spare = usable - (highest - lowest);
        let bottom = lowest - spare.half();
        Stock { usable, height: usable, spare, top: bottom + usable, bottom }
    }
}

/// What to do about stock that is higher than the body needs by more than the shop allows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Thicker {
    /// It is not.
    Not,
    /// Plane so much off.
    Plane(Length),
    /// Resaw so much off: it is a board by itself.
    Resaw(Length),
}

/// From this height to spare on, the board is resawn and not planed: what comes off, less a saw's
/// kerf, is a thin board of its own, and as shavings it would be hours at the planer (common
/// practice, no source).
const RESAW: Length = Length::mm(10.0);

impl Thicker {
    /// By the height to spare over the tallest piece, and what the shop allows. What comes off is
    /// a whole tenth of a millimetre, on the side that does.
    pub fn by(spare: Length, allowed: Length) -> Thicker {
        if spare <= allowed {
            return Thicker::Not;
        }
        let over = (spare - allowed).as_mm();
        // Never more than there is: the body must still fit.
        let off = Length::mm((10.0 * over - 1e-9).ceil() / 10.0).min(spare);
        if spare > RESAW { Thicker::Resaw(off) } else { Thicker::Plane(off) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spare_height_lies_in_equal_parts_above_and_below() {
        let (low, high) = (Length::mm(-19.5), Length::mm(7.0));
        let stock = Stock::round(Length::mm(31.75), low, high);
        assert_eq!(stock.spare, Length::mm(5.25));
        assert_eq!(stock.top - high, Length::mm(2.625));
        assert_eq!(low - stock.bottom, Length::mm(2.625));
        assert_eq!(stock.top - stock.bottom, Length::mm(31.75));
    }

    #[test]
    fn what_comes_off_is_enough_and_leaves_the_body_whole() {
        let mm = Length::mm;
        assert_eq!(Thicker::by(mm(3.0), mm(3.0)), Thicker::Not);
        assert_eq!(Thicker::by(mm(3.01), mm(3.0)), Thicker::Plane(mm(0.1)));
        assert_eq!(Thicker::by(mm(10.0), mm(3.0)), Thicker::Plane(mm(7.0)));
        assert_eq!(Thicker::by(mm(14.12), mm(3.0)), Thicker::Resaw(mm(11.2)));
        assert_eq!(Thicker::by(mm(0.04), Length::ZERO), Thicker::Plane(mm(0.04)));
    }

    #[test]
    fn a_body_too_tall_has_negative_spare() {
        let stock = Stock::round(Length::mm(20.0), Length::mm(-15.0), Length::mm(10.0));
        assert_eq!(stock.spare, Length::mm(-5.0));
    }
}
