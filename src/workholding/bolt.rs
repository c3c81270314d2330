//! Clearance holes for bolts.

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
        (BoltSize::QuarterInch, Close) => Length::inches(17.0 / 64.0),
        (BoltSize::QuarterInch, Normal) => Length::inches(9.0 / 32.0),
        (BoltSize::QuarterInch, Loose) => Length::inches(19.0 / 64.0),
    }
}

/// Outer diameter of the bolt's plain washer: ISO 7089 for metric bolts (10, 12, 16 mm); for the
/// inch bolt 5/8 in, a common light washer (common practice, no source).
pub(super) fn washer(size: BoltSize) -> Length {
    match size {
        BoltSize::M5 => Length::mm(10.0),
        BoltSize::M6 => Length::mm(12.0),
        BoltSize::M8 => Length::mm(16.0),
        BoltSize::QuarterInch => Length::inches(5.0 / 8.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn holes_are_greater_than_the_bolts_and_grow_with_the_fit() {
        let shanks = [
            (BoltSize::M5, 5.0),
            (BoltSize::M6, 6.0),
            (BoltSize::M8, 8.0),
            (BoltSize::QuarterInch, 6.35),
        ];
        for (size, shank) in shanks {
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
