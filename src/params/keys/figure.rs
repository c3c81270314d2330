//! The kinds of figure that a file can hold, and how each is read, shown and refused.

use crate::finding::Code;
use crate::params::codes;
use crate::params::read::quantity::{self, Misread, Spelling};
use crate::params::read::show::{found, show};
use crate::units::{MM_PER_INCH, Unit, plain};
use toml::de::DeValue;

/// A kind of figure.
#[derive(Debug)]
pub struct Figure {
    /// What it is called, such as `a length`.
    pub noun: &'static str,
    /// The unit that it is shown in; empty for a bare number.
    pub unit: &'static str,
    /// How its units may be written; none for a bare number.
    pub spellings: &'static [Spelling],
    /// What its name ends in where programs read it.
    pub suffix: &'static str,
    code: Code,
    /// What to add to a help about units.
    units: &'static str,
    places: usize,
    /// How many of its unit make one of what is kept: 100 for a share.
    pub(in crate::params) per: f64,
    whole: bool,
}

const fn unit(name: &'static str, worth: f64) -> Spelling {
    Spelling { name, zero: 0.0, worth }
}

const PLAIN: Figure = Figure {
    noun: "a plain number",
    unit: "",
    spellings: &[],
    suffix: "",
    code: codes::WRONG_TYPE,
    units: "",
    places: 3,
    per: 1.0,
    whole: false,
};

/// Millimetres.
pub const LENGTH: Figure = Figure {
    noun: "a length",
    unit: "mm",
    spellings: &[
        unit("mm", 1.0),
        unit("cm", 10.0),
        unit("inches", MM_PER_INCH),
        unit("inch", MM_PER_INCH),
        unit("in", MM_PER_INCH),
        unit("\"", MM_PER_INCH),
        unit("\u{2033}", MM_PER_INCH),
    ],
    suffix: "_mm",
    code: codes::NOT_A_LENGTH,
    units: " Units are mm, cm and in, as in `31.75 mm` or `1-1/4 in`.",
    ..PLAIN
};

/// A percentage, kept as such.
pub const PERCENT: Figure = Figure {
    noun: "a share in per cent",
    unit: "%",
    spellings: &[unit("%", 1.0)],
    suffix: "_percent",
    code: codes::NOT_A_FRACTION,
    places: 2,
    ..PLAIN
};

/// A percentage, kept as a share of one.
pub const SHARE: Figure = Figure { per: 100.0, ..PERCENT };

/// Degrees.
pub const ANGLE: Figure = Figure {
    noun: "an angle",
    unit: "deg",
    spellings: &[unit("degrees", 1.0), unit("degree", 1.0), unit("deg", 1.0), unit("°", 1.0)],
    suffix: "_deg",
    code: codes::NOT_AN_ANGLE,
    places: 2,
    ..PLAIN
};

/// Millimetres per minute.
pub const FEED: Figure = Figure {
    noun: "a feed",
    unit: "mm/min",
    spellings: &[unit("mm/min", 1.0), unit("in/min", MM_PER_INCH), unit("ipm", MM_PER_INCH)],
    suffix: "_mm_min",
    code: codes::NOT_A_RATE,
    units: " Units are mm/min and in/min, which may be written ipm.",
    places: 1,
    ..PLAIN
};

/// Millimetres per second, each second.
pub const ACCELERATION: Figure = Figure {
    noun: "an acceleration",
    unit: "mm/s2",
    spellings: &[unit("mm/s2", 1.0), unit("mm/s\u{b2}", 1.0), unit("in/s2", MM_PER_INCH)],
    suffix: "_mm_s2",
    code: codes::NOT_A_RATE,
    units: " Units are mm/s2 and in/s2.",
    places: 1,
    ..PLAIN
};

/// Turns per minute.
pub const SPEED: Figure = Figure {
    noun: "a spindle speed",
    unit: "rpm",
    spellings: &[unit("rpm", 1.0)],
    suffix: "_rpm",
    code: codes::NOT_A_RATE,
    places: 1,
    ..PLAIN
};

/// Minutes.
pub const TIME: Figure = Figure {
    noun: "a time",
    unit: "min",
    spellings: &[unit("min", 1.0), unit("h", 60.0)],
    suffix: "_min",
    code: codes::NOT_A_TIME,
    units: " Units are min and h.",
    places: 1,
    ..PLAIN
};

/// Degrees Celsius.
pub const TEMPERATURE: Figure = Figure {
    noun: "a temperature",
    unit: "C",
    spellings: &[
        Spelling { name: "F", zero: 32.0, worth: 1.0 / 1.8 },
        Spelling { name: "\u{b0}F", zero: 32.0, worth: 1.0 / 1.8 },
        unit("C", 1.0),
        unit("\u{b0}C", 1.0),
    ],
    suffix: "_c",
    code: codes::NOT_A_TEMPERATURE,
    units: " Units are C and F.",
    places: 1,
    ..PLAIN
};

/// Newtons. The pound is that of 0.45359237 kg under the standard gravity of 9.80665 m/s², both
/// exact.
pub const FORCE: Figure = Figure {
    noun: "a force",
    unit: "N",
    spellings: &[unit("N", 1.0), unit("lbf", 0.453_592_37 * 9.806_65)],
    suffix: "_n",
    code: codes::NOT_A_FORCE,
    units: " Units are N and lbf.",
    places: 1,
    ..PLAIN
};

/// A plain number.
pub const NUMBER: Figure = PLAIN;

/// A whole number.
pub const COUNT: Figure = Figure { noun: "a whole number", places: 0, whole: true, ..PLAIN };

/// Why a value can't be read.
pub(in crate::params) struct Fault {
    pub(in crate::params) code: Code,
    /// Follows the key: "is ...".
    pub(in crate::params) says: String,
    pub(in crate::params) help: String,
}

impl Figure {
    /// Whether it is a whole number.
    pub const fn is_whole(&self) -> bool {
        self.whole
    }

    /// From a text with a unit.
    pub(in crate::params) fn parse(&self, text: &str) -> Result<f64, Misread> {
        quantity::with_unit(text, self.spellings)
    }

    /// As it is written in a message.
    pub(in crate::params) fn shown(&self, figure: f64) -> String {
        let gap = if self.unit.is_empty() { "" } else { " " };
        format!("{}{gap}{}", plain(figure, self.places), self.unit)
    }

    /// Of a share that is out of its range, what is nearest to it: with its point elsewhere, or the end
    /// of the range.
    pub(in crate::params) fn nearest(&self, figure: f64, least: f64, most: f64) -> Option<String> {
        let moved = Some(figure / 10.0).filter(|moved| *moved > least && *moved < most);
        let near = moved.unwrap_or_else(|| figure.clamp(least, most));
        (self.unit == PERCENT.unit).then(|| self.shown(near))
    }

    /// Reads it, in its own unit. `line` is `depth = ` or nothing; `example` a good value, as the
    /// file writes it; `usual` the unit of the file's other lengths.
    pub(in crate::params) fn read(
        &self,
        value: &DeValue<'_>,
        line: &str,
        example: &str,
        usual: Unit,
    ) -> Result<f64, Fault> {
        let Figure { noun, units, .. } = self;
        if self.spellings.is_empty() {
            return match bare(value).filter(|number| number.is_finite()) {
                Some(number) if !self.whole || number.fract() == 0.0 => Ok(number),
                _ => Err(Fault {
                    code: codes::WRONG_TYPE,
                    says: format!("is {}, but {noun} belongs there.", found(value)),
                    help: format!("Write {line}{example}, without quotation marks."),
                }),
            };
        }
        let such_as = format!("For example, write {line}{example}.{units}");
        if let Some(text) = value.as_str() {
            return self.parse(text).map_err(|why| Fault {
                code: self.code,
                says: format!("is {}, which is not {noun}: {}.", show(text), why.says()),
                help: match why {
                    Misread::NoUnit => self.with_unit(line, text.trim(), usual),
                    _ => such_as,
                },
            });
        }
        Err(match bare(value) {
            Some(number) => Fault {
                code: self.code,
                says: format!("is {}, without a unit.", found(value)),
                help: if number.is_finite() && number.abs() < 1e6 {
                    self.with_unit(line, &plain(number, 4), usual)
                } else {
                    such_as
                },
            },
            None => Fault {
                code: codes::WRONG_TYPE,
                says: format!("is {}, but {noun} belongs there.", found(value)),
                help: format!("Write {line}{example}.{units}"),
            },
        })
    }

    /// A help with their own number and the unit behind it; of two that are as likely the one first that
    /// the file has elsewhere.
    fn with_unit(&self, line: &str, number: &str, usual: Unit) -> String {
        let Figure { unit, units, .. } = self;
        let metric = unit.strip_prefix("mm");
        if let Some(per) = metric.filter(|per| self.spellings.iter().any(|s| s.is("in", per))) {
            return either(line, number, per, usual) + units;
        }
        let meant = if units.is_empty() { String::new() } else { format!(" if you mean {unit}") };
        format!("Write {line}\"{number} {unit}\"{meant}.{units}")
    }
}

/// The unit of a length that is written with one: centimetres go with millimetres.
pub(in crate::params) fn unit_of_length(text: &str) -> Option<Unit> {
    LENGTH.parse(text).ok()?;
    let metric = text.trim_end().ends_with('m');
    Some(if metric { Unit::Millimetre } else { Unit::Inch })
}

/// Which of two to write when there is no unit: the one first that the file has elsewhere.
pub(in crate::params) fn either(line: &str, number: &str, per: &str, usual: Unit) -> String {
    let one = |unit: Unit| {
        let written = format!("{}{per}", unit.symbol());
        let meant = if written == "in" { "inches" } else { &written };
        format!("\"{number} {written}\" if you mean {meant}")
    };
    format!("Write {line}{}, or {}.", one(usual), one(usual.other()))
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
