//! The kinds of number that a file can hold, and how each is read, shown and refused.

use super::quantity::{self, Misread};
use super::show;
use crate::finding::Code;
use crate::params::codes;
use crate::units::{Angle, Length, plain};
use toml::de::DeValue;

/// A range that a single figure must lie in, in the figure's own unit.
#[derive(Clone, Copy, Debug)]
pub(super) struct Room {
    /// Least.
    pub(super) least: f64,
    /// Most.
    pub(super) most: f64,
}

/// Sizes, in mm: a tenth is less than a router of this class can hold in wood, two metres is
/// longer than any utensil or spoon board (common practice, no source).
pub(super) const SIZE: Room = Room { least: 0.1, most: 2000.0 };
/// Sizes that may be nothing at all, in mm.
pub(super) const SIZE_OR_NOTHING: Room = Room { least: 0.0, most: 2000.0 };
/// Rises and shifts of the handle's middle line, in mm either way.
pub(super) const OFFSET: Room = Room { least: -500.0, most: 500.0 };
/// Places on a board, in mm; whether they are on it is asked later.
pub(super) const PLACE: Room = Room { least: -2000.0, most: 4000.0 };
/// A place along something, in %.
pub(super) const ALONG: Room = Room { least: 0.0, most: 100.0 };
/// Tines: one is no fork, and more than twelve leave no wood on a head of any size.
pub(super) const COUNT: Room = Room { least: 2.0, most: 12.0 };

/// Why a value can't be read.
pub(super) struct Fault {
    pub(super) code: Code,
    /// Follows the key: "is ...".
    pub(super) says: String,
    pub(super) help: String,
}

/// A number of some kind.
pub(super) trait Quantity {
    /// Reads it. `line` is `depth = ` or nothing; `example` a good value, without quotation marks.
    fn read(value: &DeValue<'_>, line: &str, example: &str) -> Result<f64, Fault>;
    /// From the figure in its own unit.
    fn from_figure(figure: f64) -> Self;
    /// As it is written in a message.
    fn shown(figure: f64) -> String;
    /// As it is written in a file.
    fn written(example: &str) -> String {
        format!("\"{example}\"")
    }
}

/// A fraction from a percentage.
#[derive(Clone, Copy)]
pub(super) struct Fraction(pub(super) f64);
/// A percentage kept as such, for moisture.
#[derive(Clone, Copy)]
pub(super) struct Percent(pub(super) f64);
/// Millimetres per minute.
#[derive(Clone, Copy)]
pub(super) struct Feed(pub(super) f64);
/// Minutes.
#[derive(Clone, Copy)]
pub(super) struct Minutes(pub(super) f64);
/// Degrees Celsius.
#[derive(Clone, Copy)]
pub(super) struct Celsius(pub(super) f64);
/// Newtons.
#[derive(Clone, Copy)]
pub(super) struct Force(pub(super) f64);
/// Turns per minute.
#[derive(Clone, Copy)]
pub(super) struct Speed(pub(super) f64);
/// A whole number; not finite ones become 0.
#[derive(Clone, Copy)]
pub(super) struct Count(pub(super) u32);

/// What a value is, in words.
pub(super) fn found(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) => format!("the text {}", show(text)),
        DeValue::Integer(number) => format!("the bare number {}", cut(&number.to_string())),
        DeValue::Float(number) => format!("the bare number {}", cut(number.as_str())),
        DeValue::Boolean(yes) => format!("`{yes}`"),
        DeValue::Datetime(_) => "a date or time".to_owned(),
        DeValue::Array(items) if items.is_empty() => "an empty list".to_owned(),
        DeValue::Array(items) => format!("a list of {}", items.len()),
        DeValue::Table(_) => "a table".to_owned(),
    }
}

fn cut(number: &str) -> String {
    number.chars().take(24).collect()
}

/// A bare number of the file.
fn bare(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Float(number) => number.as_str().parse().ok(),
        DeValue::Integer(number) if number.radix() == 10 => number.as_str().parse().ok(),
        DeValue::Integer(number) => {
            i64::from_str_radix(number.as_str(), number.radix()).ok().map(|n| n as f64)
        }
        _ => None,
    }
}

/// How one kind of text with a unit is read and refused.
struct Kind {
    code: Code,
    noun: &'static str,
    unit: &'static str,
    units: &'static str,
    parse: fn(&str) -> Result<f64, Misread>,
}

impl Kind {
    /// Their own number with the unit behind it.
    fn help_with_unit(&self, line: &str, number: &str) -> String {
        let Kind { unit, units, .. } = self;
        let meant = if units.is_empty() { String::new() } else { format!(" if {unit} is meant") };
        format!("Write {line}\"{number} {unit}\"{meant}.{units}")
    }
}

fn read_text(kind: &Kind, value: &DeValue<'_>, line: &str, example: &str) -> Result<f64, Fault> {
    let Kind { code, noun, units, parse, .. } = *kind;
    if let Some(text) = value.as_str() {
        return parse(text).map_err(|why| {
            let help = match why {
                Misread::NoUnit => kind.help_with_unit(line, text.trim()),
                _ => format!("Write for example {line}\"{example}\".{units}"),
            };
            Fault { code, says: format!("is {}, not {noun}: {}.", show(text), why.says()), help }
        });
    }
    match bare(value) {
        Some(number) => {
            let help = if number.is_finite() && number.abs() < 1e6 {
                let number = plain(number, 4);
                kind.help_with_unit(line, &number)
            } else {
                format!("Write for example {line}\"{example}\".{units}")
            };
            Err(Fault { code, says: format!("is {}, without a unit.", found(value)), help })
        }
        None => Err(Fault {
            code: codes::WRONG_TYPE,
            says: format!("is {}; {noun} belongs there.", found(value)),
            help: format!("Write {line}\"{example}\".{units}"),
        }),
    }
}

const LENGTH: Kind = Kind {
    code: codes::NOT_A_LENGTH,
    noun: "a length",
    unit: "mm",
    units: " Units are mm, cm and in, as in \"31.75 mm\" or \"1-1/4 in\".",
    parse: quantity::length_mm,
};

const FRACTION: Kind = Kind {
    code: codes::NOT_A_FRACTION,
    noun: "a fraction in per cent",
    unit: "%",
    units: "",
    parse: quantity::percent,
};

const ANGLE: Kind = Kind {
    code: codes::NOT_AN_ANGLE,
    noun: "an angle",
    unit: "deg",
    units: "",
    parse: quantity::degrees,
};

const FEED: Kind = Kind {
    code: codes::NOT_A_RATE,
    noun: "a feed",
    unit: "mm/min",
    units: " Units are mm/min and in/min.",
    parse: quantity::feed_mm_min,
};

const SPEED: Kind = Kind {
    code: codes::NOT_A_RATE,
    noun: "a spindle speed",
    unit: "rpm",
    units: "",
    parse: quantity::speed_rpm,
};

impl Quantity for Length {
    fn read(value: &DeValue<'_>, line: &str, example: &str) -> Result<f64, Fault> {
        read_text(&LENGTH, value, line, example)
    }
    fn from_figure(figure: f64) -> Length {
        Length::mm(figure)
    }
    fn shown(figure: f64) -> String {
        format!("{} mm", plain(figure, 3))
    }
}

impl Quantity for Fraction {
    fn read(value: &DeValue<'_>, line: &str, example: &str) -> Result<f64, Fault> {
        read_text(&FRACTION, value, line, example)
    }
    fn from_figure(figure: f64) -> Fraction {
        Fraction(figure / 100.0)
    }
    fn shown(figure: f64) -> String {
        format!("{} %", plain(figure, 2))
    }
}

impl Quantity for Percent {
    fn read(value: &DeValue<'_>, line: &str, example: &str) -> Result<f64, Fault> {
        read_text(&FRACTION, value, line, example)
    }
    fn from_figure(figure: f64) -> Percent {
        Percent(figure)
    }
    fn shown(figure: f64) -> String {
        Fraction::shown(figure)
    }
}

impl Quantity for Angle {
    fn read(value: &DeValue<'_>, line: &str, example: &str) -> Result<f64, Fault> {
        read_text(&ANGLE, value, line, example)
    }
    fn from_figure(figure: f64) -> Angle {
        Angle::degrees(figure)
    }
    fn shown(figure: f64) -> String {
        format!("{} deg", plain(figure, 2))
    }
}

const TIME: Kind = Kind {
    code: codes::NOT_A_TIME,
    noun: "a time",
    unit: "min",
    units: " Units are min and h.",
    parse: quantity::minutes,
};

const TEMPERATURE: Kind = Kind {
    code: codes::NOT_A_TEMPERATURE,
    noun: "a temperature",
    unit: "C",
    units: " Units are C and F.",
    parse: quantity::celsius,
};

const FORCE: Kind = Kind {
    code: codes::NOT_A_FORCE,
    noun: "a force",
    unit: "N",
    units: " Units are N and lbf.",
    parse: quantity::newtons,
};

/// Quantities that are a figure in one unit, shown to one place.
macro_rules! in_one_unit {
    ($($name:ident, $kind:ident, $unit:literal;)*) => {$(
        impl Quantity for $name {
            fn read(value: &DeValue<'_>, line: &str, example: &str) -> Result<f64, Fault> {
                read_text(&$kind, value, line, example)
            }
            fn from_figure(figure: f64) -> $name {
                $name(figure)
            }
            fn shown(figure: f64) -> String {
                format!(concat!("{} ", $unit), plain(figure, 1))
            }
        }
    )*};
}

in_one_unit! {
    Feed, FEED, "mm/min";
    Minutes, TIME, "min";
    Celsius, TEMPERATURE, "C";
    Force, FORCE, "N";
    Speed, SPEED, "rpm";
}

fn read_bare(value: &DeValue<'_>, line: &str, example: &str, noun: &str) -> Result<f64, Fault> {
    match bare(value) {
        Some(number) if number.is_finite() => Ok(number),
        _ => Err(Fault {
            code: codes::WRONG_TYPE,
            says: format!("is {}; {noun} belongs there.", found(value)),
            help: format!("Write {line}{example}, without quotation marks."),
        }),
    }
}

impl Quantity for f64 {
    fn read(value: &DeValue<'_>, line: &str, example: &str) -> Result<f64, Fault> {
        read_bare(value, line, example, "a plain number")
    }
    fn from_figure(figure: f64) -> f64 {
        figure
    }
    fn shown(figure: f64) -> String {
        plain(figure, 3)
    }
    fn written(example: &str) -> String {
        example.to_owned()
    }
}

impl Quantity for Count {
    fn read(value: &DeValue<'_>, line: &str, example: &str) -> Result<f64, Fault> {
        let number = read_bare(value, line, example, "a whole number")?;
        if number.fract() == 0.0 {
            return Ok(number);
        }
        Err(Fault {
            code: codes::WRONG_TYPE,
            says: format!("is {}; a whole number belongs there.", found(value)),
            help: format!("Write {line}{example}."),
        })
    }
    fn from_figure(figure: f64) -> Count {
        Count(figure as u32)
    }
    fn shown(figure: f64) -> String {
        plain(figure, 0)
    }
    fn written(example: &str) -> String {
        example.to_owned()
    }
}
