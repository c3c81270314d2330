//! Sizes of bolts: clearance holes, heads, washers.
//!
//! ISO 273, ISO 4017, ISO 7089, ASME B18.2.8 and B18.2.1 figures as published; those that say so
//! were written down from memory and not held against a copy.

use crate::params::{Bolt, BoltFit, BoltSize};
use crate::units::Length;

/// Diameter of the clearance hole: ISO 273 (fine, medium, coarse) for metric bolts; the drill of
/// ASME B18.2.8 (close, normal, loose) for the inch bolt.
pub fn clearance_hole(bolt: Bolt) -> Length {
    use BoltFit::{Close, Loose, Normal};
    match (bolt.size, bolt.fit) {
        (BoltSize::M5, Close) => Length::mm(5.3),
        (BoltSize::M5, Normal) => Length::mm(5.5),
        (BoltSize::M5, Loose) => Length::mm(5.8),
        (BoltSize::M6, Close) => Length::mm(6.4),
        (BoltSize::M6, Normal) => Length::mm(6.6),
        (BoltSize::M6, Loose) => Length::mm(7.0),
        (BoltSize::M8, Close) => Length::mm(8.4),
        (BoltSize::M8, Normal) => Length::mm(9.0),
        (BoltSize::M8, Loose) => Length::mm(10.0),
        // M10 and the two thicker inch bolts from memory.
        (BoltSize::M10, Close) => Length::mm(10.5),
        (BoltSize::M10, Normal) => Length::mm(11.0),
        (BoltSize::M10, Loose) => Length::mm(12.0),
        (BoltSize::FiveSixteenthInch, Close) => Length::inches(21.0 / 64.0),
        (BoltSize::FiveSixteenthInch, Normal) => Length::inches(11.0 / 32.0),
        (BoltSize::FiveSixteenthInch, Loose) => Length::inches(23.0 / 64.0),
        (BoltSize::ThreeEighthInch, Close) => Length::inches(25.0 / 64.0),
        (BoltSize::ThreeEighthInch, Normal) => Length::inches(13.0 / 32.0),
        (BoltSize::ThreeEighthInch, Loose) => Length::inches(27.0 / 64.0),
        (BoltSize::QuarterInch, Close) => Length::inches(17.0 / 64.0),
        (BoltSize::QuarterInch, Normal) => Length::inches(9.0 / 32.0),
        (BoltSize::QuarterInch, Loose) => Length::inches(19.0 / 64.0),
    }
}

/// A washer's outer diameter and thickness.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Washer {
    pub(super) diameter: Length,
    pub(super) thickness: Length,
}

/// The bolt's plain washer: ISO 7089 for metric bolts; ASME B18.21.1, type A, narrow, for inch
/// bolts (nominal; from memory).
pub(super) fn washer(size: BoltSize) -> Washer {
    let mm = |diameter, thickness| Washer {
        diameter: Length::mm(diameter),
        thickness: Length::mm(thickness),
    };
    let inch = |diameter: f64| Washer {
        diameter: Length::inches(diameter),
        thickness: Length::inches(0.065),
    };
    match size {
        BoltSize::M5 => mm(10.0, 1.0),
        BoltSize::M6 => mm(12.0, 1.6),
        BoltSize::M8 => mm(16.0, 1.6),
        BoltSize::M10 => mm(20.0, 2.0),
        BoltSize::QuarterInch => inch(0.625),
        BoltSize::FiveSixteenthInch => inch(0.688),
        BoltSize::ThreeEighthInch => inch(0.812),
    }
}

/// A hexagon head: greatest width across flats, and height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct HexHead {
    pub(super) flats: Length,
    pub(super) height: Length,
}

/// The bolt's head: ISO 4017 (s; k, nominal) for metric bolts; ASME B18.2.1, hex bolts, for 1/4 in
/// (greatest); hex cap screws for the thicker inch bolts (greatest). All but M6 and 1/4 in from
/// memory.
pub(super) fn head(size: BoltSize) -> HexHead {
    let mm = |flats, height| HexHead { flats: Length::mm(flats), height: Length::mm(height) };
    let inch = |flats: f64, height| HexHead {
        flats: Length::inches(flats),
        height: Length::inches(height),
    };
    match size {
        BoltSize::M5 => mm(8.0, 3.5),
        BoltSize::M6 => mm(10.0, 4.0),
        BoltSize::M8 => mm(13.0, 5.3),
        BoltSize::M10 => mm(16.0, 6.4),
        BoltSize::QuarterInch => inch(0.438, 0.188),
        BoltSize::FiveSixteenthInch => inch(0.5, 0.211),
        BoltSize::ThreeEighthInch => inch(0.5625, 0.243),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn holes_are_greater_than_the_bolts_and_grow_with_the_fit() {
        for size in BoltSize::ALL {
            let shank = size.thickness().as_mm();
            let (head, washer) = (head(size), washer(size));
            assert!(washer.diameter > head.flats && head.flats.as_mm() > 1.4 * shank);
            assert!(head.height.as_mm() > 0.6 * shank && head.height.as_mm() < 0.8 * shank);
            let [close, normal, loose] = [BoltFit::Close, BoltFit::Normal, BoltFit::Loose]
                .map(|fit| clearance_hole(Bolt { size, fit }).as_mm());
            assert!(shank < close && close < normal && normal < loose && loose <= shank + 2.0);
        }
    }

    #[test]
    fn the_quarter_inch_drills_are_those_of_the_inch_table() {
        // ASME B18.2.8, metric row of the same table: 6.7, 7.1, 7.5 mm, rounded to a tenth.
        for (fit, metric) in [(BoltFit::Close, 6.7), (BoltFit::Normal, 7.1), (BoltFit::Loose, 7.5)]
        {
            let hole = clearance_hole(Bolt { size: BoltSize::QuarterInch, fit });
            assert!((hole.as_mm() - metric).abs() < 0.06, "{hole}");
        }
    }
}
