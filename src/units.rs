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
    /// an inch (of less than a hundredth, a tenth of that), but with as many more places as keep a small one from being nothing.
    pub fn said(self, unit: Unit) -> String {
        let usual = match unit {
            Unit::Millimetre => 2,
            // A thousandth is a tenth of a hundredth, and too coarse for less.
            Unit::Inch if self.as_inches().abs() < 0.0095 => 4,
            Unit::Inch => 3,
        };
        self.said_to(unit, usual)
    }

    /// The length in the given unit, to be printed. Inches are rounded half up, as by hand: 9/16 in is
    /// 0.563 in. A half has no exact binary form in most places, so this is more by far less than is
    /// printed.
    pub fn to_print(self, unit: Unit) -> f64 {
        match unit {
            Unit::Millimetre => self.0,
            Unit::Inch => self.as_inches() + 1e-9_f64.copysign(self.0),
        }
    }

    /// The same to at most so many places, unless it is then nothing.
    pub fn said_to(self, unit: Unit, places: usize) -> String {
        let value = self.to_print(unit);
        let told = (places..6).map(|places| plain(value, places)).find(|told| told != "0");
        let told = told.filter(|_| self.0 != 0.0).unwrap_or_else(|| "0".to_owned());
        format!("{told} {}", unit.symbol())
    }

    /// The length as a file writes it in that unit, with no more places than it needs: inches as a plain
    /// fraction where it is one of 64ths, else as a decimal on the side that is asked for.
    pub fn written(self, unit: Unit, side: Rounding) -> String {
        let value = self.as_unit(unit);
        let below = f64::from(1 << 6);
        let text = match unit {
            Unit::Millimetre => plain(value, 4),
            Unit::Inch if ((value * below).round() / below - value).abs() < EXACT => {
                fraction(value, below)
            }
            Unit::Inch => {
                // Two digits that count, of a small one.
                let places = (3..6).find(|places| value.abs() >= 0.95 * 10_f64.powi(1 - places));
                let places = places.unwrap_or(6);
                let scale = 10_f64.powi(places);
                let scaled = value * scale;
                let scaled = match side {
                    Rounding::Nearest => scaled.round(),
                    Rounding::Down => (scaled + 1e-6).floor(),
                    Rounding::Up => (scaled - 1e-6).ceil(),
                };
                plain(scaled / scale, places.unsigned_abs() as usize)
            }
        };
        format!("{text} {}", unit.symbol())
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

/// Two lengths in words, with as many places as tell them apart.
pub fn told_apart(one: Length, other: Length) -> [String; 2] {
    figures_apart([one.as_mm(), other.as_mm()], 2).map(|figure| format!("{figure} mm"))
}

/// Two figures with so many places, or as many more, up to two, as tell them apart.
pub fn figures_apart(figures: [f64; 2], places: usize) -> [String; 2] {
    let both = |places| figures.map(|figure| plain(figure, places));
    (places..places + 3).map(both).find(|[a, b]| a != b).unwrap_or_else(|| both(places))
}

/// On which side of a length a shorter figure may lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rounding {
    /// Whichever is nearer.
    Nearest,
    /// It is no more.
    Down,
    /// It is no less.
    Up,
}

/// Inches that are no further from a fraction are that fraction: files hold millimetres to four places.
const EXACT: f64 = 4e-6;

/// The nearest whole number and fraction over a power of two, in lowest terms: `1-1/4`, `7/8`, `2`.
pub fn fraction(value: f64, below: f64) -> String {
    let (mut above, mut below) = ((value.abs() * below).round(), below);
    while below > 1.0 && above % 2.0 == 0.0 {
        (above, below) = (above / 2.0, below / 2.0);
    }
    let (whole, rest) = ((above / below).floor(), above % below);
    let sign = if value < 0.0 && above > 0.0 { "-" } else { "" };
    match (whole > 0.0, rest > 0.0) {
        (_, false) => format!("{sign}{whole}"),
        (true, true) => format!("{sign}{whole}-{rest}/{below}"),
        (false, true) => format!("{sign}{rest}/{below}"),
    }
}

/// A number with at most `places` decimals, without trailing zeros and without a negative zero; one that
/// no utensil has, which would fill lines with its digits, as a power of ten.
pub fn plain(value: f64, places: usize) -> String {
    const MOST: f64 = 1e12;
    if value.abs() >= MOST && value.is_finite() {
        return format!("{value:.2e}");
    }
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
        assert_eq!(said(14.2875), ["14.29 mm", "0.563 in"]);
        assert_eq!(said(11.1125), ["11.11 mm", "0.438 in"]);
        assert_eq!(said(30.95625), ["30.96 mm", "1.219 in"]);
    }

    #[test]
    fn a_file_in_inches_is_told_fractions_where_they_are_exact_and_decimals_on_the_safe_side() {
        let all = |mm: f64| {
            [Rounding::Down, Rounding::Nearest, Rounding::Up]
                .map(|side| Length::mm(mm).written(Unit::Inch, side))
        };
        assert_eq!(all(3.175), ["1/8 in"; 3]);
        assert_eq!(all(142.875), ["5-5/8 in"; 3]);
        assert_eq!(all(101.6), ["4 in"; 3]);
        assert_eq!(all(-9.525), ["-3/8 in"; 3]);
        assert_eq!(all(0.0), ["0 in"; 3]);
        assert_eq!(all(29.2), ["1.149 in", "1.15 in", "1.15 in"]);
        assert_eq!(all(0.02), ["0.00078 in", "0.00079 in", "0.00079 in"]);
        assert_eq!(Length::mm(3.175).written(Unit::Millimetre, Rounding::Down), "3.175 mm");
    }

    #[test]
    fn two_lengths_are_told_with_the_places_that_they_need() {
        let told = |a, b| told_apart(Length::mm(a), Length::mm(b));
        assert_eq!(told(1.9968, 2.0), ["1.997 mm", "2 mm"]);
        assert_eq!(told(1.5, 2.0), ["1.5 mm", "2 mm"]);
        assert_eq!(told(2.0, 2.0), ["2 mm", "2 mm"]);
    }

    #[test]
    fn plain_numbers_have_no_trailing_zeros() {
        assert_eq!(plain(31.750, 2), "31.75");
        assert_eq!(plain(9.0, 2), "9");
        assert_eq!(plain(-0.001, 2), "0");
        assert_eq!(plain(100.0, 0), "100");
    }
}
