//! Lengths in words, in both units.

use crate::units::{Length, plain};

/// A length as the drawings have it: millimetres over inches.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Both {
    /// Such as `24 mm`.
    pub(crate) main: String,
    /// Such as `15/16 in (0.945)`.
    pub(crate) minor: String,
}

impl Both {
    /// A tenth of a millimetre is what can be seen and kept in wood with hand tools (common
    /// practice, no source).
    pub(crate) fn of(length: Length) -> Both {
        Both {
            main: format!("{} mm", plain(length.as_mm(), 1).replace('-', "\u{2212}")),
            minor: format!("{} in ({})", fraction(length), thousandths(length)),
        }
    }

    /// In one line, such as `24 mm, 15/16 in (0.945)`.
    pub(crate) fn line(&self) -> String {
        let line = format!("{}, {}", self.main, self.minor).replace(' ', "\u{a0}");
        // Neither a figure and its unit nor inches and their part come apart at a line's end.
        line.replace(",\u{a0}", ", ").replace('-', "\u{2011}")
    }
}

/// Inches with three places, never a negative zero.
fn thousandths(length: Length) -> String {
    let text = format!("{:.3}", length.as_inches());
    if text == "-0.000" { "0.000".to_owned() } else { text.replace('-', "\u{2212}") }
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
    fn both_units_stand_beside_each_other() {
        let both = Both::of(Length::mm(24.0));
        assert_eq!(Both::of(Length::mm(-0.0)).minor, "0 in (0.000)");
        assert_eq!((both.main.as_str(), both.minor.as_str()), ("24 mm", "15/16 in (0.945)"));
    }
}
