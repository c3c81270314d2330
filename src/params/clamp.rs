//! What hold-downs are made like, and the stops on the bed. Every key of it may be left out.

use super::keys::{LENGTH, LENGTH_OR_NONE, POINT, choice, keys, tables, words};
use crate::units::Length;
use glam::DVec2;

/// Walls and ribs: thinner than one line of a nozzle can't be printed, thicker is no wall.
const WALL: super::keys::Key = LENGTH.within(0.4, 30.0);

keys! {
    /// How hold-downs are made, printed and kept out of the way.
    #[derive(Clone, Debug, PartialEq)]
    pub struct Clamp {
        /// Which of the family.
        form: HoldForm = choice::<HoldForm>().at("hold_down.form").or("stepped"),
        /// Depth of the rebate in the board's edge in which a low one's lip bears.
        rebate: Length = LENGTH.at("hold_down.rebate").or("10 mm"),
        /// What the bolt's head sits in.
        head: BoltHead = choice::<BoltHead>().at("hold_down.head").or("flat"),
        // A longer slot needs a roof as high as half of it.
        /// How far the bolt can slide in its slot, towards the board and away from it.
        slide: Length =
            LENGTH.within(0.0, 60.0).at("hold_down.slide").such_as("8 mm").or("0 mm"),
        // Ten lines of a common 0.4 mm nozzle.
        /// Least plastic round a hole or a pocket.
        wall: Length = WALL.at("hold_down.wall").or("4 mm"),
        /// Hollows out the heel between ribs this thick.
        rib: Option<Length> = WALL.at("hold_down.rib").such_as("3 mm").left_out("solid"),
        /// Heights of stock to print a set for.
        stack: Vec<Length> = LENGTH
            .at("hold_down.stack")
            .list(&LENGTH.shape, 0, 12)
            .such_as("[\"25 mm\", \"32 mm\"]")
            .left_out("the job's own"),
        /// Size of the printer's bed.
        plate: DVec2 = POINT.at("printer.plate").such_as("").or("[\"180 mm\", \"180 mm\"]"),
        /// A stop or fence on the bed; spacers are worked out for the way from it to the board.
        stops: Vec<Stop> = tables::<Stop>().at("stop"),
    }
}

words! {
    /// The family of hold-downs.
    pub enum HoldForm {
        /// A step as high as the stock; its lip bears on the board's face.
        Stepped = "stepped",
        /// A lower step; its lip bears in a rebate.
        Low = "low",
        /// Stepped where the holder lets them stand, low where not.
        Either = "either",
    }
}

words! {
    /// What a bolt's head sits in.
    pub enum BoltHead {
        /// On a washer on the block's top.
        Flat = "flat",
        /// On a washer in a round pocket.
        Washer = "washer",
        /// In a pocket that keeps a hexagon from turning.
        Hex = "hex",
    }
}

words! {
    /// Which edge of the board a stop sets, as the board lies.
    pub enum StopSide {
        /// Its left end: the stop's face is at an X.
        Left = "left",
        /// Its front edge: the stop's face is at a Y.
        Front = "front",
    }
}

keys! {
    /// A stop or fence that stands on the bed.
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct Stop {
        /// The edge of the board that it sets, as the board lies.
        side: StopSide = choice::<StopSide>(),
        /// Its face, from the machine's home corner: the X of a left stop, the Y of a front one.
        at: Length = LENGTH_OR_NONE.such_as("20 mm"),
        /// Where it begins along the other axis.
        from: Length = LENGTH_OR_NONE.or("0 mm"),
        /// Where it ends along the other axis.
        to: Length = LENGTH.such_as("600 mm").left_out("all along"),
        // A bar of common stock (no source).
        /// How thick it is behind its face.
        deep: Length = LENGTH.or("20 mm"),
    }
}

impl Stop {
    /// The same, all along if it doesn't end: further than any bed of this class goes.
    pub(super) fn complete(self) -> Stop {
        let to = if self.to.as_mm().is_nan() { Length::mm(1.0e4) } else { self.to };
        Stop { to, ..self }
    }
}
