//! The holes of the pins: where they are, what bores them and how; and the dowels that go into them.

use crate::bed::Pins;
use crate::bed::mounts::Mount;
use crate::cutting::THROUGH_MM;
use crate::cutting::sweep::Sweep;
use crate::finding::{Code, Finding, Findings, Source};
use crate::params::{Cutter, CutterForm, Shop};
use crate::relief::Face;
use crate::setup::Setup;
use crate::units::{Length, Unit};
use glam::DVec2;

/// Nothing to bore the pins' holes with.
pub const NO_BORING_CUTTER: Code = Code {
    name: "no-boring-cutter",
    explain: "No cutter of the shop can bore the pin holes, or the one named at `work.pins` can't. A flat \
        cutter must be thinner than the hole and at least a third of it; a drill must be as wide as \
        the hole to 0.1 mm; and either must stick out far enough to go through the stock. The pins \
        register the two sides, so the machine that carves should bore their holes. Add a flat \
        cutter of the pin's size or a little less, or a drill of the pin's size, with a stick-out \
        greater than the height of the stock, or use pins that fit your cutters. Otherwise let the \
        machine mark the holes and bore them on a drill press; the error of that is not included \
        in the figure shown.",
};

/// A drill's hole is as wide as the drill; it may differ from the hole asked for by this much (common
/// practice, no source: as much as a hand feels as loose or tight on a dowel).
const DRILL_FITS: Length = Length::mm(0.1);

/// The chips of a hole are cleared each time that it has become one diameter deeper (common practice,
/// no source).
const PECK_DIAMETERS: f64 = 1.0;

/// A boring path goes down by this share of its cutter's diameter on each turn (common practice, no
/// source).
const TURN_SHARE: f64 = 0.25;

/// A dowel ends so far under the board's upper face at least, clear of every cutter that passes over
/// (common practice, no source).
const DOWEL_BELOW: Length = Length::mm(2.0);

/// One hole to bore.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Boring {
    /// The pin, counted from 1.
    pub pin: usize,
    /// Whether it is in the board; otherwise in the bed.
    pub in_board: bool,
    /// For which setup.
    pub face: Face,
    /// In that setup's plan, in mm.
    pub at: DVec2,
    /// In the machine's X and Y, in mm.
    pub on_bed: DVec2,
    /// Its diameter.
    pub diameter: Length,
    /// Its depth, as wide as it is.
    pub depth: Length,
    /// How deep the tip goes: a drill's point goes further.
    pub tip: Length,
}

/// How a cutter bores a hole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drilling<'a> {
    /// The cutter.
    pub cutter: &'a Cutter,
    /// Diameter of the path of its centre; none for a drill, which goes straight down.
    pub path: Option<Length>,
    /// How far a path goes down on each turn; none for a drill.
    pub turn: Option<Length>,
    /// How much deeper it goes each time before it is lifted out to clear the chips.
    pub peck: Length,
}

impl Drilling<'_> {
    /// Of a hole of that diameter.
    pub fn of(cutter: &Cutter, hole: Length) -> Drilling<'_> {
        let drills = matches!(cutter.form, CutterForm::Drill(_));
        Drilling {
            cutter,
            path: (!drills).then(|| hole - cutter.diameter),
            turn: (!drills).then(|| cutter.diameter * TURN_SHARE),
            peck: cutter.diameter * PECK_DIAMETERS,
        }
    }
}

/// A dowel that registers the turned board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dowel {
    /// How deep it goes into the bed.
    pub in_bed: Length,
    /// How high it stands in the board.
    pub in_board: Length,
}

impl Dowel {
    /// For stock of that height: as long as can be measured by hand, and under the upper face.
    pub fn of(shop: &Shop, stock: Length) -> Dowel {
        let in_bed = shop.bed.pin.depth;
        let step = match shop.unit {
            Unit::Millimetre => Length::mm(1.0),
            Unit::Inch => Length::inches(1.0 / 16.0),
        };
        let most = in_bed + stock - DOWEL_BELOW;
        // A hair, so that a whole number stays itself.
        let whole = step * ((most / step + 1e-9).floor());
        Dowel { in_bed, in_board: (whole - in_bed).max(stock.half()) }
    }

    /// Its whole length.
    pub fn length(&self) -> Length {
        self.in_bed + self.in_board
    }
}

/// The boring of the pins' holes through a board of that height; none without a cutter for it.
pub fn bores(shop: &Shop, height: Length, pins: &Pins) -> Option<Sweep> {
    let cutter = boring_cutter(shop, height, pins.hole)?;
    let round = (pins.hole - cutter.diameter).half().max(Length::ZERO);
    Some(Sweep::bores(cutter, shop.bed.holder, &pins.places, round))
}

/// What bores the pins' holes through a board of that height.
pub fn bore<'a>(
    shop: &'a Shop,
    height: Length,
    pins: &Pins,
    out: &mut Findings,
) -> Option<&'a Cutter> {
    let cutter = boring_cutter(shop, height, pins.hole);
    if cutter.is_none() {
        let hole = pins.hole;
        let (message, key) = match &shop.work.pins {
            Some(name) => {
                (format!("\"{name}\" can't bore a hole of {hole} through {height}"), "work.pins")
            }
            None => (
                format!("no cutter of the shop bores a hole of {hole} through {height}"),
                "pin.diameter",
            ),
        };
        let help = "Add a flat cutter a little thinner than the pin or a drill of its size, or use \
                    other pins.";
        out.push(Finding::caution(NO_BORING_CUTTER, message, help).at(Source::Shop, key));
    }
    cutter
}

/// The cutter that the shop names for it, or else the thickest flat cutter that bores the hole and
/// goes through the stock, or else a drill that does.
pub fn boring_cutter(shop: &Shop, height: Length, hole: Length) -> Option<&Cutter> {
    let able = |cutter: &&Cutter| {
        let fits = match cutter.form {
            // Thinner, and a path would leave a core to break off (no source).
            CutterForm::Flat => cutter.diameter < hole && cutter.diameter * 3.0 > hole,
            CutterForm::Drill(_) => (cutter.diameter - hole).as_mm().abs() <= DRILL_FITS.as_mm(),
            _ => false,
        };
        fits && cutter.stick_out > height + Length::mm(THROUGH_MM) + cutter.point()
    };
    if let Some(name) = &shop.work.pins {
        return shop.cutter(name).filter(able);
    }
    let rank = |cutter: &&Cutter| (cutter.form == CutterForm::Flat, cutter.diameter.as_mm());
    let better = |a: &&Cutter, b: &&Cutter| {
        let (a, b) = (rank(a), rank(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    };
    shop.cutters.iter().filter(able).max_by(better)
}

/// The drill chart of a board of that height: its holes, then the bed's for each setup.
pub fn borings(
    shop: &Shop,
    height: Length,
    pins: &Pins,
    bore: Option<&Cutter>,
    setups: &[Setup; 2],
    mounts: &[Mount; 2],
) -> Vec<Boring> {
    let point = bore.map_or(Length::ZERO, Cutter::point);
    let hole = |pin: usize, side: usize, in_board: bool, depth: Length| {
        let at = setups[side].from_board.place(pins.places[pin]);
        Boring {
            pin: pin + 1,
            in_board,
            face: setups[side].face,
            at,
            on_bed: mounts[side].on_bed(at),
            diameter: pins.hole,
            depth,
            tip: depth + point,
        }
    };
    let count = pins.places.len();
    let board = (0..count).map(|pin| hole(pin, 0, true, height + Length::mm(THROUGH_MM)));
    let bed = (0..2)
        .flat_map(|side| (0..count).map(move |pin| (pin, side)))
        .map(|(pin, side)| hole(pin, side, false, shop.bed.pin.depth));
    board.chain(bed).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::parse_shop;
    use crate::units::Angle;

    fn shop() -> Shop {
        let text = include_str!("../../params/shop.toml");
        parse_shop(text, &mut Findings::new()).expect("a shop").0
    }

    fn drill(diameter: f64) -> Cutter {
        let form = CutterForm::Drill(Angle::degrees(118.0));
        Cutter { step_over: None, ..Cutter::bare("drill", form, diameter, 60.0) }
    }

    #[test]
    fn a_drill_bores_where_it_is_named_or_where_no_flat_cutter_can_and_its_point_goes_further() {
        let (mut shop, height, hole) = (shop(), Length::mm(30.0), Length::mm(6.4));
        let bores = |shop: &Shop| boring_cutter(shop, height, hole).map(|c| c.name.clone());
        assert_eq!(bores(&shop).as_deref(), Some("flat 1/4"));
        shop.cutters.push(drill(6.4));
        assert_eq!(bores(&shop).as_deref(), Some("flat 1/4"), "a drill wanders more");
        shop.work.pins = Some("drill".to_owned());
        assert_eq!(bores(&shop).as_deref(), Some("drill"));
        // A 118 degree point is 0.3 of the diameter high: 3.2 over the tangent of 59 degrees.
        let point = shop.cutters[4].point().as_mm();
        assert!((point - 3.2 / 1.664_279).abs() < 1e-5, "{point}");
        assert_eq!(shop.cutters[0].point(), Length::ZERO);
        shop.cutters[4].diameter = Length::mm(6.2);
        assert_eq!(bores(&shop), None, "its hole would be too tight for the pin");
        shop.work.pins = None;
        shop.cutters.remove(0);
        shop.cutters.retain(|cutter| cutter.form != CutterForm::Flat);
        assert_eq!(bores(&shop), None);
        shop.cutters.push(drill(6.45));
        assert_eq!(bores(&shop).as_deref(), Some("drill"));
    }

    #[test]
    fn a_dowel_ends_under_the_boards_upper_face_and_can_be_cut_with_a_rule() {
        let mut shop = shop();
        for unit in [Unit::Millimetre, Unit::Inch] {
            shop.unit = unit;
            for stock in [12.0, 20.25, 28.4, 31.75, 60.0].map(Length::mm) {
                let dowel = Dowel::of(&shop, stock);
                let below = (stock - dowel.in_board).as_mm();
                assert!((2.0 - 1e-9..3.6).contains(&below), "{below} under {stock}");
                let parts =
                    dowel.length().as_unit(unit) * if unit == Unit::Inch { 16.0 } else { 1.0 };
                assert!((parts - parts.round()).abs() < 1e-9, "{parts}");
                assert_eq!(dowel.in_bed, shop.bed.pin.depth);
            }
        }
    }

    #[test]
    fn a_flat_cutter_goes_round_and_a_drill_straight_down() {
        let flat = Cutter::bare("flat", CutterForm::Flat, 4.0, 60.0);
        let path = Drilling::of(&flat, Length::mm(6.4));
        assert!((path.path.expect("a path").as_mm() - 2.4).abs() < 1e-12);
        assert_eq!((path.turn, path.peck), (Some(Length::mm(1.0)), Length::mm(4.0)));
        let drill = drill(6.4);
        let down = Drilling::of(&drill, Length::mm(6.4));
        assert_eq!((down.path, down.turn, down.peck), (None, None, Length::mm(6.4)));
    }
}
