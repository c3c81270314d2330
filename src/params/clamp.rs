//! What hold-downs are made like, and the stops on the bed. Every key of it may be left out.

use super::keys::{COUNT, KeyShape, LENGTH, LENGTH_OR_NONE, POINT, choice, keys, tables, words};
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
            LENGTH.within(0.0, 60.0).commonly(1.0, 50.0).at("hold_down.slide").such_as("8 mm").or("0 mm"),
        // Ten lines of a common 0.4 mm nozzle.
        /// Least plastic round a hole or a pocket.
        wall: Length = WALL.commonly(1.0, 20.0).at("hold_down.wall").or("4 mm"),
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
        /// A T-track in the bed, or a row of them; with any track or insert, hold-downs are bolted
        /// nowhere else.
        tracks: Vec<Track> = tables::<Track>().at("track"),
        /// Threaded inserts in the bed, one by one or in a grid.
        inserts: Vec<Insert> = tables::<Insert>().at("insert"),
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

words! {
    /// How a stop is fastened.
    pub enum Fixing {
        /// To the bed itself, for good.
        Fixed = "fixed",
        /// With a bolt in a track or an insert.
        Bolted = "bolted",
    }
}

words! {
    /// The axis of the machine along which a track runs.
    pub enum Along {
        /// From left to right.
        X = "X",
        /// From front to back.
        Y = "Y",
    }
}

keys! {
    /// A track in the bed in which a bolt slides, or a row of them.
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct Track {
        /// The axis of the machine along which it runs.
        along: Along = choice::<Along>(),
        /// Its middle, from the machine's home corner: the Y of one along X, the X of one along Y.
        at: Length = LENGTH_OR_NONE.such_as("50 mm"),
        /// Where it begins along its axis.
        from: Length = LENGTH_OR_NONE.or("0 mm"),
        /// Where it ends along its axis.
        to: Length = LENGTH.such_as("800 mm").left_out("all along"),
        /// How many of them lie side by side.
        count: u32 = COUNT.within(1.0, MOST_IN_A_ROW).or("1"),
        /// From the middle of one to the middle of the next; needed for more than one.
        pitch: Option<Length> = LENGTH.such_as("100 mm").left_out("only one"),
    }
}

keys! {
    /// Threaded inserts in the bed.
    #[derive(Clone, Debug, PartialEq)]
    pub struct Insert {
        /// Their places, in the machine's X and Y; of a grid, its first one.
        at: Vec<DVec2> = POINT
            .list(&KeyShape::Place, 1, 200)
            .such_as("[[\"50 mm\", \"50 mm\"], [\"50 mm\", \"250 mm\"]]"),
        /// From one to the next along X and along Y, for a grid.
        pitch: Option<DVec2> =
            POINT.such_as("[\"100 mm\", \"100 mm\"]").left_out("no grid: only the places in `at`"),
        /// How many a grid has along X.
        columns: u32 = COUNT.within(1.0, MOST_IN_A_ROW).or("1"),
        /// How many it has along Y.
        rows: u32 = COUNT.within(1.0, MOST_IN_A_ROW).or("1"),
    }
}

/// More tracks or inserts side by side than any bed of this class has (no source).
const MOST_IN_A_ROW: f64 = 60.0;

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
        /// How it is fastened; one that is bolted needs a track or an insert under it.
        fixing: Fixing = choice::<Fixing>().or("fixed"),
    }
}

/// Further than any bed of this class goes: the end of what has none.
const ALL_ALONG: Length = Length::mm(1.0e4);

impl Stop {
    /// The same, all along if it doesn't end.
    pub(super) fn complete(self) -> Stop {
        let to = if self.to.as_mm().is_nan() { ALL_ALONG } else { self.to };
        Stop { to, ..self }
    }
}

impl Track {
    /// The same, all along if it doesn't end.
    pub(super) fn complete(self) -> Track {
        let to = if self.to.as_mm().is_nan() { ALL_ALONG } else { self.to };
        Track { to, ..self }
    }

    /// The middle lines of all in the row, from end to end, in the machine's X and Y, in mm.
    pub fn lines(&self) -> impl Iterator<Item = [DVec2; 2]> + '_ {
        let pitch = self.pitch.unwrap_or(Length::ZERO).as_mm();
        (0..self.count).map(move |number| {
            let at = self.at.as_mm() + pitch * f64::from(number);
            [self.from, self.to].map(|end| match self.along {
                Along::X => DVec2::new(end.as_mm(), at),
                Along::Y => DVec2::new(at, end.as_mm()),
            })
        })
    }
}

impl Insert {
    /// All places, in the machine's X and Y, in mm.
    pub fn places(&self) -> impl Iterator<Item = DVec2> + '_ {
        let pitch = self.pitch.unwrap_or(DVec2::ZERO);
        let grid =
            (0..self.rows).flat_map(|row| (0..self.columns).map(move |column| (column, row)));
        let steps =
            grid.map(move |(column, row)| pitch * DVec2::new(f64::from(column), f64::from(row)));
        self.at.iter().flat_map(move |at| steps.clone().map(move |step| *at + step))
    }
}
