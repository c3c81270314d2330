//! Lengths and angles that carry their unit.
//!
//! A length is kept in millimetres inside and never leaves a module as a bare number. Points and
//! directions are `glam` vectors whose components are millimetres.

use std::fmt;
use std::ops::{Add, Div, Mul, Neg, Sub};

/// Millimetres to the inch: exact by definition (international yard and pound agreement, 1959).
pub const MM_PER_INCH: f64 = 25.4;

/// A length.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Length(f64);

impl Length {
    /// No length at all.
    pub const ZERO: Length = Length(0.0);

    /// A length of so many millimetres.
    pub const fn mm(value: f64) -> Length {
        Length(value)
    }

    /// A length of so many inches.
    pub const fn inches(value: f64) -> Length {
        Length(value * MM_PER_INCH)
    }

    /// The length in millimetres.
    pub const fn as_mm(self) -> f64 {
        self.0
    }

    /// The length in inches.
    pub const fn as_inches(self) -> f64 {
        self.0 / MM_PER_INCH
    }

    /// The length in the given unit.
    pub const fn as_unit(self, unit: Unit) -> f64 {
        self.0 / unit.in_mm()
    }

    /// The length with its unit, as it is said: at most a hundredth of a millimetre or a thousandth of
    /// an inch, but with as many more places as keep a small one from being nothing.
    pub fn said(self, unit: Unit) -> String {
        let value = self.as_unit(unit);
        let usual = match unit {
            Unit::Millimetre => 2,
            Unit::Inch => 3,
        };
        let told = (usual..6).map(|places| plain(value, places)).find(|told| told != "0");
        let told = told.filter(|_| value != 0.0).unwrap_or_else(|| "0".to_owned());
        format!("{told} {}", unit.symbol())
    }

    /// Half of the length.
    pub const fn half(self) -> Length {
        Length(self.0 / 2.0)
    }

    /// The lesser of two lengths.
    pub const fn min(self, other: Length) -> Length {
        Length(self.0.min(other.0))
    }

    /// The greater of two lengths.
    pub const fn max(self, other: Length) -> Length {
        Length(self.0.max(other.0))
    }
}

impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0 + other.0)
    }
}

impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0 - other.0)
    }
}

impl Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length(-self.0)
    }
}

impl Mul<f64> for Length {
    type Output = Length;
    fn mul(self, factor: f64) -> Length {
        Length(self.0 * factor)
    }
}

impl Div for Length {
    type Output = f64;
    fn div(self, other: Length) -> f64 {
        self.0 / other.0
    }
}

impl fmt::Display for Length {
    /// At most two places, without trailing zeros: `31.75 mm`, `9 mm`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", plain(self.0, 2))
    }
}

/// A plane angle.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Angle(f64);

impl Angle {
    /// An angle of so many degrees.
    pub const fn degrees(value: f64) -> Angle {
        Angle(value.to_radians())
    }

    /// An angle of so many radians.
    pub const fn radians(value: f64) -> Angle {
        Angle(value)
    }

    /// The angle in degrees.
    pub const fn as_degrees(self) -> f64 {
        self.0.to_degrees()
    }

    /// The angle in radians.
    pub const fn as_radians(self) -> f64 {
        self.0
    }
}

impl fmt::Display for Angle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} deg", plain(self.as_degrees(), 2))
    }
}

/// The unit that the shop's files and figures are in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Unit {
    /// Millimetres.
    #[default]
    Millimetre,
    /// Inches.
    Inch,
}

impl Unit {
    /// How many millimetres one of the unit is.
    pub const fn in_mm(self) -> f64 {
        match self {
            Unit::Millimetre => 1.0,
            Unit::Inch => MM_PER_INCH,
        }
    }

    /// The one that it is not.
    pub const fn other(self) -> Unit {
        match self {
            Unit::Millimetre => Unit::Inch,
            Unit::Inch => Unit::Millimetre,
        }
    }

    /// `mm` or `in`.
    pub const fn symbol(self) -> &'static str {
        match self {
            Unit::Millimetre => "mm",
            Unit::Inch => "in",
        }
    }
}

/// A number with at most `places` decimals, without trailing zeros and without a negative zero.
pub fn plain(value: f64, places: usize) -> String {
    let mut text = format!("{value:.places$}");
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" { "0".to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quarter_over_an_inch_is_31_75_mm() {
        assert_eq!(Length::inches(1.25).as_mm(), 31.75);
        assert_eq!(Length::mm(31.75).as_unit(Unit::Inch), 1.25);
    }

    #[test]
    fn a_length_is_said_in_the_shops_unit_and_a_small_one_is_not_nothing() {
        let said = |mm: f64| [Unit::Millimetre, Unit::Inch].map(|unit| Length::mm(mm).said(unit));
        assert_eq!(said(31.75), ["31.75 mm", "1.25 in"]);
        assert_eq!(said(0.01), ["0.01 mm", "0.0004 in"]);
        assert_eq!(said(0.0), ["0 mm", "0 in"]);
        assert_eq!(said(-12.7), ["-12.7 mm", "-0.5 in"]);
        assert_eq!(said(0.002), ["0.002 mm", "0.0001 in"]);
    }

    #[test]
    fn plain_numbers_have_no_trailing_zeros() {
        assert_eq!(plain(31.750, 2), "31.75");
        assert_eq!(plain(9.0, 2), "9");
        assert_eq!(plain(-0.001, 2), "0");
        assert_eq!(plain(100.0, 0), "100");
    }
}
