//! A key: its kind of value, its range, and what holds when it is left out.

use super::figure::{self, Figure};
use crate::finding::Code;
use crate::params::codes;

/// A range that a figure must lie in, in the figure's own unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KeyRange {
    /// Least.
    pub least: f64,
    /// Most.
    pub most: f64,
}

/// Sizes, in mm: a tenth is less than a router of this class can hold in wood, two metres is
/// longer than any utensil or spoon board (common practice, no source).
pub(in crate::params) const SIZE: KeyRange = KeyRange { least: 0.1, most: 2000.0 };
/// Places on a board, in mm; whether they are on it is asked later.
pub(in crate::params) const PLACE: KeyRange = KeyRange { least: -2000.0, most: 4000.0 };
/// A place along something, in %.
pub(in crate::params) const ALONG: KeyRange = KeyRange { least: 0.0, most: 100.0 };

/// One of the words that a key can have.
#[derive(Clone, Copy, Debug)]
pub struct Word {
    /// As the file writes it.
    pub name: &'static str,
    /// What it stands for.
    pub says: &'static str,
}

/// What a key's value looks like.
#[derive(Clone, Copy, Debug)]
pub enum KeyShape {
    /// A figure with its unit, or a bare number.
    Figure(&'static Figure, KeyRange),
    /// A text that isn't empty.
    Text,
    /// `true` or `false`.
    Flag,
    /// One of some words.
    Choice(&'static [Word]),
    /// Two lengths: along and across.
    Place,
    /// So many values of one shape, at least and at most; the code says what a wrong count is.
    List(&'static KeyShape, usize, usize, Code),
    /// None, or at least two, sizes along the handle, each under that name.
    Stations(&'static str, KeyRange),
    /// One figure for the whole of something, or at least two stations of it.
    Varying(&'static VaryingShape),
    /// A table of its own.
    Table(&'static [Key]),
    /// Keys of another struct that stand in this very table.
    Part(&'static [Key]),
    /// A list of at least so many tables.
    Tables(&'static [Key], usize),
    /// That word, or a list of at least so many tables.
    WordOr(&'static str, &'static [Key], usize),
    /// Limits for any of the dimensions of the design.
    Gives,
    /// A reason for each of some codes.
    Reasons,
}

/// How a figure is written that is the same all along something, or changes from station to station.
#[derive(Debug)]
pub struct VaryingShape {
    /// What the figure is, and its range.
    pub figure: &'static Figure,
    /// Its range, in the figure's own unit.
    pub room: KeyRange,
    /// What a station calls it, and a good value there.
    pub name: &'static str,
    pub(in crate::params) such_as: &'static str,
    /// What `at` and the figure of a station are, in a sentence each.
    pub(in crate::params) says: [&'static str; 2],
    /// What one value alone is for.
    pub(in crate::params) whole: &'static str,
}

impl VaryingShape {
    /// The two keys of a station.
    pub(in crate::params) fn keys(&self) -> [Key; 2] {
        let [place, size] = self.says;
        [
            SHARE.within(ALONG.least, ALONG.most).such_as("50 %").named("at", place),
            Key::of(self.figure()).such_as(self.such_as).named(self.name, size),
        ]
    }

    /// One value alone.
    pub(in crate::params) const fn figure(&self) -> KeyShape {
        KeyShape::Figure(self.figure, self.room)
    }
}

/// What holds when a key is left out.
#[derive(Clone, Copy, Debug)]
pub enum Absent {
    /// It can't be.
    Needed,
    /// This, written as in the file, without quotation marks.
    Usual(&'static str),
    /// This, in words.
    Words(&'static str),
}

/// A key of one of the three files.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    /// Where it stands, from the table that its struct is read from; empty for that table itself.
    pub path: &'static str,
    /// The field that holds it.
    pub field: &'static str,
    /// What it is, in a sentence.
    pub says: &'static str,
    /// What its value looks like.
    pub shape: KeyShape,
    /// A good value, written as in the file, without quotation marks.
    pub such_as: &'static str,
    /// What holds when it is left out.
    pub absent: Absent,
    /// Whether `[give]` may name it.
    pub gives: bool,
    /// What a figure commonly is; outside of it a slip is likely.
    pub common: Option<KeyRange>,
    pub(super) own_path: bool,
}

/// A length that is a size.
pub(in crate::params) const LENGTH: Key = Key::figure(&figure::LENGTH, SIZE);
/// A length that may be nothing at all.
pub(in crate::params) const LENGTH_OR_NONE: Key = LENGTH.within(0.0, SIZE.most);
/// A fit or a play; more than this is no longer a fit.
pub(in crate::params) const FIT: Key = LENGTH.within(0.0, 2.0);
/// An angle.
pub(in crate::params) const ANGLE: Key =
    Key::figure(&figure::ANGLE, KeyRange { least: 0.0, most: 90.0 });
/// A percentage that is kept as a share of one.
pub(in crate::params) const SHARE: Key = Key::figure(&figure::SHARE, ALONG);
/// A percentage that is kept as such.
pub(in crate::params) const PERCENT: Key = Key::figure(&figure::PERCENT, ALONG);
/// A plain number.
pub(in crate::params) const NUMBER: Key = Key::figure(&figure::NUMBER, ALONG);
/// A factor of safety: under 1 the thing breaks, over 100 nothing would be made.
pub(in crate::params) const SAFETY: Key = NUMBER.within(1.0, 100.0);
/// A whole number.
pub(in crate::params) const COUNT: Key = Key::figure(&figure::COUNT, ALONG);
/// A force that a hand or a cutter can give, in newtons.
pub(in crate::params) const FORCE: Key =
    Key::figure(&figure::FORCE, KeyRange { least: 0.1, most: 1000.0 });
/// A feed in mm/min, from hand-slow to the fastest router of this class.
pub(in crate::params) const FEED: Key =
    Key::figure(&figure::FEED, KeyRange { least: 1.0, most: 50_000.0 });
/// How a machine of this class gathers speed, in mm/s².
pub(in crate::params) const ACCELERATION: Key =
    Key::figure(&figure::ACCELERATION, KeyRange { least: 1.0, most: 50_000.0 });
/// A spindle speed in rpm.
pub(in crate::params) const SPEED: Key =
    Key::figure(&figure::SPEED, KeyRange { least: 100.0, most: 100_000.0 });
/// A time in minutes, up to a month.
pub(in crate::params) const TIME: Key =
    Key::figure(&figure::TIME, KeyRange { least: 1.0, most: 43_200.0 });
/// The warmth of a room that people eat in, in degrees Celsius.
pub(in crate::params) const WARMTH: Key =
    Key::figure(&figure::TEMPERATURE, KeyRange { least: -10.0, most: 60.0 });
/// A text.
pub(in crate::params) const TEXT: Key = Key::of(KeyShape::Text);
/// Whether or not.
pub(in crate::params) const FLAG: Key = Key::of(KeyShape::Flag).such_as("true");
/// A place: two lengths.
pub(in crate::params) const POINT: Key = Key::of(KeyShape::Place).such_as("[\"20 mm\", \"30 mm\"]");

/// One of an enum's words.
pub(in crate::params) const fn choice<T: Named>() -> Key {
    Key::of(KeyShape::Choice(T::WORDS)).such_as(T::WORDS[0].name)
}

/// Sizes along the handle, each under that name, in mm.
pub(in crate::params) const fn stations(size: &'static str, least: f64, most: f64) -> Key {
    Key::of(KeyShape::Stations(size, KeyRange { least, most }))
}

/// Such a figure as a key.
pub(in crate::params) const fn varying(shape: &'static VaryingShape) -> Key {
    Key::of(KeyShape::Varying(shape))
}

impl Key {
    pub(in crate::params) const fn of(shape: KeyShape) -> Key {
        Key {
            path: "",
            field: "",
            says: "",
            shape,
            such_as: "",
            absent: Absent::Needed,
            gives: false,
            common: None,
            own_path: false,
        }
    }

    const fn figure(figure: &'static Figure, room: KeyRange) -> Key {
        Key::of(KeyShape::Figure(figure, room))
    }

    /// A figure within another range.
    #[must_use]
    pub(in crate::params) const fn within(self, least: f64, most: f64) -> Key {
        let shape = match self.shape {
            KeyShape::Figure(figure, _) => KeyShape::Figure(figure, KeyRange { least, most }),
            other => other,
        };
        Key { shape, ..self }
    }

    /// So many of it.
    #[must_use]
    pub(in crate::params) const fn list(
        self,
        one: &'static KeyShape,
        least: usize,
        most: usize,
    ) -> Key {
        Key { shape: KeyShape::List(one, least, most, codes::OUT_OF_RANGE), ..self }
    }

    /// With a good value to show.
    #[must_use]
    pub(in crate::params) const fn such_as(self, such_as: &'static str) -> Key {
        Key { such_as, ..self }
    }

    /// May be left out, and is then this; also the value to show, if none is given.
    #[must_use]
    pub(in crate::params) const fn or(self, usual: &'static str) -> Key {
        let such_as = if self.such_as.is_empty() { usual } else { self.such_as };
        Key { absent: Absent::Usual(usual), such_as, ..self }
    }

    /// May be left out; in words, what holds then.
    #[must_use]
    pub(in crate::params) const fn left_out(self, words: &'static str) -> Key {
        Key { absent: Absent::Words(words), ..self }
    }

    /// Must be there.
    #[must_use]
    pub(in crate::params) const fn needed(self) -> Key {
        Key { absent: Absent::Needed, ..self }
    }

    /// May be named by `[give]`.
    #[must_use]
    pub(in crate::params) const fn gives(self) -> Key {
        Key { gives: true, ..self }
    }

    /// Commonly from and to, in the figure's own unit (common practice, no source); anything else is
    /// doubted, but for a zero. A slip of the decimal point in the usual value is to lie outside.
    #[must_use]
    pub(in crate::params) const fn commonly(self, least: f64, most: f64) -> Key {
        Key { common: Some(KeyRange { least, most }), ..self }
    }

    /// Under another name than its field's, or in a table of the file.
    #[must_use]
    pub(in crate::params) const fn at(self, path: &'static str) -> Key {
        Key { path, own_path: true, ..self }
    }

    /// Named after its field, with that sentence.
    #[must_use]
    pub(in crate::params) const fn named(self, field: &'static str, says: &'static str) -> Key {
        let path = if self.own_path { self.path } else { field };
        Key { path, field, says, ..self }
    }

    /// The table that it stands in, and its name there.
    pub(in crate::params) fn place(&self) -> (&'static str, &'static str) {
        self.path.rsplit_once('.').unwrap_or(("", self.path))
    }

    /// A value as the file writes it: with quotation marks where there are some.
    pub(in crate::params) fn written(&self, value: &str) -> String {
        match self.as_figure().shape {
            KeyShape::Figure(figure, _) if figure.spellings.is_empty() => value.to_owned(),
            KeyShape::Figure(..) | KeyShape::Text | KeyShape::Choice(_) => format!("\"{value}\""),
            _ => value.to_owned(),
        }
    }

    /// The same of one figure alone, without stations of it.
    pub(in crate::params) const fn as_figure(&self) -> Key {
        match self.shape {
            KeyShape::Varying(shape) => Key { shape: shape.figure(), ..*self },
            _ => *self,
        }
    }

    /// What follows its path in a longer one, such as `[1].size` of `handle.width[1].size`.
    pub(in crate::params) fn under<'p>(&self, path: &'p str) -> Option<&'p str> {
        let rest = path.strip_prefix(self.path)?;
        (self.path.is_empty() || rest.is_empty() || rest.starts_with(['.', '[']))
            .then(|| rest.trim_start_matches('.'))
    }

    /// A whole line of a file, or several.
    pub(in crate::params) fn line(&self, name: &str) -> String {
        match self.shape {
            KeyShape::Choice(words) => {
                let others = words.iter().filter(|word| word.name != self.such_as);
                let others: Vec<_> = others.map(|word| format!("\"{}\"", word.name)).collect();
                format!("{name} = \"{}\" (or {})", self.such_as, others.join(", "))
            }
            _ => format!("{name} = {}", self.example()),
        }
    }

    /// A good value as the file writes it.
    pub(in crate::params) fn example(&self) -> String {
        match self.shape {
            KeyShape::Stations(..) if !self.such_as.is_empty() => self.such_as.to_owned(),
            KeyShape::Stations(size, _) => {
                let one = |at, value| format!("{{ at = \"{at} %\", {size} = \"{value} mm\" }}");
                format!("[{}, {}]", one(0, 12), one(100, 14))
            }
            _ => self.written(self.such_as),
        }
    }

    /// What its name ends in where programs read it.
    pub(super) fn suffix(&self) -> &'static str {
        match self.as_figure().shape {
            KeyShape::Figure(figure, _) | KeyShape::List(&KeyShape::Figure(figure, _), ..) => {
                figure.suffix
            }
            KeyShape::Place | KeyShape::List(&KeyShape::Place, ..) => figure::LENGTH.suffix,
            _ => "",
        }
    }

    /// The key of one value of a list.
    pub(super) fn one(&self) -> Key {
        let KeyShape::List(one, ..) = self.shape else { return *self };
        // The first of those that are shown.
        let such_as = match one {
            KeyShape::Place => self.such_as.find(']').and_then(|end| self.such_as.get(1..=end)),
            _ => self.such_as.split('"').nth(1),
        };
        Key { shape: *one, such_as: such_as.unwrap_or_default(), ..*self }
    }

    /// How many of it there may be, and what a wrong count is.
    pub(super) const fn count(&self) -> (usize, usize, Code) {
        match self.shape {
            KeyShape::List(_, least, most, code) => (least, most, code),
            KeyShape::Stations(..) => {
                let least = if matches!(self.absent, Absent::Needed) { 2 } else { 0 };
                (least, usize::MAX, codes::STATIONS)
            }
            _ => (0, usize::MAX, codes::OUT_OF_RANGE),
        }
    }
}

/// An enum whose values are words of a file.
pub(in crate::params) trait Named: Copy + 'static {
    /// All words, in the order in which they are offered.
    const WORDS: &'static [Word];
    /// Their values, in the same order.
    const VALUES: &'static [Self];
}
