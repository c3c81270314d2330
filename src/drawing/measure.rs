//! Lengths in words, in both units.

use crate::units::{Length, Unit, plain};

/// A length as the drawings have it: in the shop's unit over the other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Both {
    /// Such as `24 mm`, or `0.945 in` in a shop that thinks in inches.
    pub(crate) main: String,
    /// The same in the other unit.
    pub(crate) minor: String,
}

impl Both {
    /// A tenth of a millimetre, or as fine in inches, is what can be seen and kept in wood with hand
    /// tools (common practice, no source).
    pub(crate) fn of(length: Length, unit: Unit) -> Both {
        let [main, minor] = [unit, unit.other()].map(|unit| {
            let places = match unit {
                Unit::Millimetre => 1,
                Unit::Inch => 3,
            };
            let figure = plain(length.to_print(unit), places).replace('-', "\u{2212}");
            format!("{figure} {}", unit.symbol())
        });
        Both { main, minor }
    }
}

/// Inches as a rule shows them, to the nearest 1/64: `1-1/4`, `15/16`, `0`.
pub(crate) fn fraction(length: Length) -> String {
    const PARTS: u64 = 64;
    let inches = length.as_inches();
    if !inches.is_finite() || inches.abs() > 1e9 {
        return plain(inches, 3);
    }
    let parts = (inches.abs() * PARTS as f64).round() as u64;
    let (whole, mut part, mut of) = (parts / PARTS, parts % PARTS, PARTS);
    while part != 0 && part % 2 == 0 {
        (part, of) = (part / 2, of / 2);
    }
    let sign = if inches < 0.0 && parts > 0 { "\u{2212}" } else { "" };
    match (whole, part) {
        (whole, 0) => format!("{sign}{whole}"),
        (0, part) => format!("{sign}{part}/{of}"),
        (whole, part) => format!("{sign}{whole}-{part}/{of}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_are_those_of_a_rule() {
        for (mm, text) in [
            (25.4, "1"),
            (31.75, "1-1/4"),
            (24.0, "15/16"),
            (0.0, "0"),
            (0.1, "0"),
            (0.3, "1/64"),
            (300.0, "11-13/16"),
            (25.3, "1"),
            (-12.7, "\u{2212}1/2"),
            (-0.1, "0"),
        ] {
            assert_eq!(fraction(Length::mm(mm)), text, "{mm}");
        }
        assert!(!fraction(Length::mm(f64::NAN)).is_empty());
        for sixty_fourths in 0..500_u32 {
            let length = Length::inches(f64::from(sixty_fourths) / 64.0);
            let text = fraction(length);
            let value: f64 = text
                .split('-')
                .map(|part| match part.split_once('/') {
                    Some((up, down)) => {
                        up.parse::<f64>().expect("up") / down.parse::<f64>().expect("down")
                    }
                    None => part.parse().expect("whole"),
                })
                .sum();
            assert!((value - length.as_inches()).abs() < 1e-12, "{text}");
        }
    }

    #[test]
    fn both_units_stand_beside_each_other_and_the_shops_comes_first() {
        let both = |mm: f64, unit| Both::of(Length::mm(mm), unit);
        let metric = both(24.0, Unit::Millimetre);
        assert_eq!((metric.main.as_str(), metric.minor.as_str()), ("24 mm", "0.945 in"));
        let inch = both(24.0, Unit::Inch);
        assert_eq!((inch.main.as_str(), inch.minor.as_str()), ("0.945 in", "24 mm"));
        assert_eq!(both(-0.0, Unit::Inch).main, "0 in");
    }
}
