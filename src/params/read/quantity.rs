//! Texts with a unit, such as `"1-1/4 in"`, `"55 %"` or `"1200 mm/min"`, to numbers.
//!
//! Promised: what is returned is finite. Not promised: that it can be made; the ranges come later.

/// One way to write a unit.
#[derive(Clone, Copy, Debug)]
pub struct Spelling {
    /// As it is written.
    pub name: &'static str,
    /// The figure of that unit that is nothing of the figure's own.
    pub zero: f64,
    /// How many of the figure's own unit it is.
    pub worth: f64,
}

impl Spelling {
    /// Whether it is written so, in two parts.
    pub(crate) fn is(&self, first: &str, rest: &str) -> bool {
        self.name.strip_prefix(first) == Some(rest)
    }
}

/// Why a text isn't a number with a unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Misread {
    /// There is nothing in it.
    Empty,
    /// It is a number and nothing more.
    NoUnit,
    /// The number is fine, the unit isn't one of those known here.
    Unit,
    /// A decimal comma.
    Comma,
    /// Something over zero.
    ZeroBelow,
    /// `1-5/4`: a whole and a fraction greater than one.
    Improper,
    /// `1e300` and the like: too great to be kept.
    TooGreat,
    /// Anything else.
    Number,
}

impl Misread {
    /// What is wrong, in words that follow a key and "is ...".
    pub(crate) fn says(self) -> &'static str {
        match self {
            Misread::Empty => "there is nothing between the quotation marks",
            Misread::NoUnit => "the unit is missing",
            Misread::Unit => "the unit isn't known here",
            Misread::Comma => "decimals have a point, not a comma",
            Misread::ZeroBelow => "it divides by zero",
            Misread::Improper => "after a whole number, the fraction must be less than one",
            Misread::TooGreat => "the number is too large",
            Misread::Number => "the number can't be read",
        }
    }
}

/// A number with one of some units, in the figure's own.
pub(crate) fn with_unit(text: &str, units: &[Spelling]) -> Result<f64, Misread> {
    let text = text.trim();
    if text.is_empty() {
        return Err(Misread::Empty);
    }
    let split = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '/' | '-' | '+' | ' ')))
        .unwrap_or(text.len());
    let (amount, unit) = (text[..split].trim(), text[split..].trim());
    let amount = number(amount)?;
    if unit.is_empty() {
        return Err(Misread::NoUnit);
    }
    let spelling = units
        .iter()
        .find(|spelling| spelling.name == unit)
        .ok_or_else(|| if exponent(unit) { Misread::Number } else { Misread::Unit })?;
    let value = (amount - spelling.zero) * spelling.worth;
    if value.is_finite() { Ok(value) } else { Err(Misread::TooGreat) }
}

/// Whether a "unit" is the rest of a number such as `1e300`.
fn exponent(unit: &str) -> bool {
    unit.strip_prefix(['e', 'E'])
        .is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit() || c == '-' || c == '+'))
}

/// `-3`, `1.25`, `7/8`, `1-1/4`, `1 1/4`.
fn number(text: &str) -> Result<f64, Misread> {
    let (sign, body) = match text.strip_prefix('-') {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, text),
    };
    if body.contains(',') {
        return Err(Misread::Comma);
    }
    let Some((left, below)) = body.split_once('/') else {
        return Ok(sign * decimal(body)?);
    };
    let (whole, above) = match left.trim_end().rsplit_once(['-', ' ']) {
        Some((whole, above)) => (Some(integer(whole)?), integer(above)?),
        None => (None, integer(left)?),
    };
    let below = integer(below)?;
    if below == 0.0 {
        return Err(Misread::ZeroBelow);
    }
    match whole {
        None => Ok(sign * above / below),
        Some(_) if above >= below => Err(Misread::Improper),
        Some(whole) => Ok(sign * (whole + above / below)),
    }
}

fn decimal(text: &str) -> Result<f64, Misread> {
    let digits = text.bytes().filter(u8::is_ascii_digit).count();
    let points = text.bytes().filter(|b| *b == b'.').count();
    if digits == 0 || points > 1 || digits + points != text.len() {
        return Err(Misread::Number);
    }
    finite(text)
}

fn integer(text: &str) -> Result<f64, Misread> {
    let text = text.trim();
    if text.is_empty() || !text.bytes().all(|b| b.is_ascii_digit()) {
        return Err(Misread::Number);
    }
    finite(text)
}

fn finite(text: &str) -> Result<f64, Misread> {
    match text.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        Ok(_) => Err(Misread::TooGreat),
        Err(_) => Err(Misread::Number),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::keys::figure;
    use proptest::prelude::*;

    #[test]
    fn lengths_of_every_spelling() {
        for (text, mm) in [
            ("300 mm", 300.0),
            ("300mm", 300.0),
            ("  9 mm ", 9.0),
            ("30 cm", 300.0),
            ("31.75 mm", 31.75),
            (".5 mm", 0.5),
            ("1. mm", 1.0),
            ("1.25 in", 31.75),
            ("1-1/4 in", 31.75),
            ("1 1/4 in", 31.75),
            ("7/8 in", 22.225),
            ("7 / 8 in", 22.225),
            ("5/4 in", 31.75),
            ("1 inch", 25.4),
            ("2 inches", 50.8),
            ("1\"", 25.4),
            ("1-1/4\"", 31.75),
            ("1\u{2033}", 25.4),
            ("-3 mm", -3.0),
            ("- 3 mm", -3.0),
            ("-1-1/4 in", -31.75),
            ("0 mm", 0.0),
            ("1/2 mm", 0.5),
        ] {
            let read = figure::LENGTH.parse(text);
            assert!(matches!(read, Ok(value) if (value - mm).abs() < 1e-12), "{text}: {read:?}");
        }
    }

    #[test]
    fn what_is_not_a_length_says_why() {
        for (text, why) in [
            ("", Misread::Empty),
            ("   ", Misread::Empty),
            ("92", Misread::NoUnit),
            ("1-1/4", Misread::NoUnit),
            ("9 ft", Misread::Unit),
            ("9 m", Misread::Unit),
            ("9 MM", Misread::Unit),
            ("9 deg", Misread::Unit),
            ("9 %", Misread::Unit),
            ("9 mm mm", Misread::Unit),
            ("9 mm 2", Misread::Unit),
            ("1,5 mm", Misread::Comma),
            ("1,000 mm", Misread::Comma),
            ("1/0 in", Misread::ZeroBelow),
            ("1-1/0 in", Misread::ZeroBelow),
            ("1-4/4 in", Misread::Improper),
            ("1-5/4 in", Misread::Improper),
            ("mm", Misread::Number),
            ("NaN mm", Misread::Number),
            ("inf mm", Misread::Number),
            ("-inf mm", Misread::Number),
            ("1e300 mm", Misread::Number),
            ("1e3 mm", Misread::Number),
            ("1.2.3 mm", Misread::Number),
            (". mm", Misread::Number),
            ("- mm", Misread::Number),
            ("--3 mm", Misread::Number),
            ("+3 mm", Misread::Number),
            ("3- mm", Misread::Number),
            ("1 2 mm", Misread::Number),
            ("1-2 mm", Misread::Number),
            ("/4 in", Misread::Number),
            ("1/ in", Misread::Number),
            ("1/2/3 in", Misread::Number),
            ("1--1/4 in", Misread::Number),
            ("1.5-1/4 in", Misread::Number),
            ("1/-4 in", Misread::Number),
            ("1 - 1/4 in", Misread::Number),
            ("0x10 mm", Misread::Unit),
            ("٣ mm", Misread::Number),
            ("−3 mm", Misread::Number),
        ] {
            assert_eq!(figure::LENGTH.parse(text), Err(why), "{text}");
        }
    }

    #[test]
    fn a_number_of_400_digits_is_too_great() {
        let text = format!("{} mm", "9".repeat(400));
        assert_eq!(figure::LENGTH.parse(&text), Err(Misread::TooGreat));
        let close = format!("{} cm", "9".repeat(308));
        assert_eq!(figure::LENGTH.parse(&close), Err(Misread::TooGreat));
    }

    #[test]
    fn the_other_units() {
        assert_eq!(figure::TEMPERATURE.parse("20 C"), Ok(20.0));
        assert_eq!(figure::TEMPERATURE.parse("21.5 \u{b0}C"), Ok(21.5));
        assert!((figure::TEMPERATURE.parse("68 F").unwrap() - 20.0).abs() < 1e-12);
        assert!((figure::TEMPERATURE.parse("-40 \u{b0}F").unwrap() + 40.0).abs() < 1e-12);
        assert_eq!(figure::TEMPERATURE.parse("20 K"), Err(Misread::Unit));
        assert_eq!(figure::TEMPERATURE.parse("20"), Err(Misread::NoUnit));
        assert_eq!(figure::PERCENT.parse("55 %"), Ok(55.0));
        assert_eq!(figure::PERCENT.parse("12.5%"), Ok(12.5));
        assert_eq!(figure::PERCENT.parse("55"), Err(Misread::NoUnit));
        assert_eq!(figure::PERCENT.parse("55 mm"), Err(Misread::Unit));
        assert_eq!(figure::ANGLE.parse("1 deg"), Ok(1.0));
        assert_eq!(figure::ANGLE.parse("-30°"), Ok(-30.0));
        assert_eq!(figure::ANGLE.parse("1 rad"), Err(Misread::Unit));
        assert_eq!(figure::FEED.parse("1200 mm/min"), Ok(1200.0));
        assert_eq!(figure::FEED.parse("60 in/min"), Ok(1524.0));
        assert_eq!(figure::FEED.parse("60 mm"), Err(Misread::Unit));
        assert_eq!(figure::SPEED.parse("16000 rpm"), Ok(16000.0));
        assert_eq!(figure::SPEED.parse("16000"), Err(Misread::NoUnit));
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]
        #[test]
        fn any_text_is_read_or_refused_and_what_is_read_is_finite(
            text in "[-+0-9./, a-z%°\"]{0,24}|\\PC{0,16}",
        ) {
            let reads = [
                figure::LENGTH.parse(&text),
                figure::PERCENT.parse(&text),
                figure::ANGLE.parse(&text),
                figure::FEED.parse(&text),
                figure::SPEED.parse(&text),
            ];
            for value in reads.into_iter().flatten() {
                prop_assert!(value.is_finite());
            }
        }

        #[test]
        fn sixty_fourths_of_an_inch_come_back(whole in 0u32..80, above in 1u32..64) {
            let read = figure::LENGTH.parse(&format!("{whole}-{above}/64 in"));
            let mm = f64::from(whole * 64 + above) * 25.4 / 64.0;
            prop_assert!(matches!(read, Ok(value) if (value - mm).abs() < 1e-9));
        }
    }
}
