//! The commented examples that `treenwright new` writes, in millimetres or in inches.

use super::keys::figure::{FEED, LENGTH};
use crate::units::{MM_PER_INCH, Unit, plain};

/// What there is an example of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Example {
    /// A design of a spoon.
    Spoon,
    /// A design of a fork.
    Fork,
    /// A design of a turner.
    Turner,
    /// A board.
    Board,
    /// A shop.
    Shop,
}

impl Example {
    /// All of them.
    pub const ALL: [Example; 5] =
        [Example::Spoon, Example::Fork, Example::Turner, Example::Board, Example::Shop];

    /// As it is kept, in millimetres.
    pub(super) const fn text(self) -> &'static str {
        match self {
            Example::Spoon => include_str!("../../params/designs/harvest-spoon.toml"),
            Example::Fork => include_str!("../../params/designs/harvest-fork.toml"),
            Example::Turner => include_str!("../../params/designs/harvest-turner.toml"),
            Example::Board => include_str!("../../params/boards/cherry.toml"),
            Example::Shop => include_str!("../../params/shop.toml"),
        }
    }
}

/// A complete, commented example, which builds as it stands.
pub fn example(of: Example, unit: Unit) -> String {
    match unit {
        Unit::Millimetre => of.text().to_owned(),
        Unit::Inch => of.text().lines().map(|line| in_inches(of, line) + "\n").collect(),
    }
}

/// A line with its lengths and feeds in round inches. What a comment says outside quotation marks
/// stays: it tells the default, which is what it is.
fn in_inches(of: Example, line: &str) -> String {
    if line.starts_with("# Every length has its unit") {
        return line.to_owned();
    }
    // What a caliper reads isn't round.
    let measured = of == Example::Board && line.starts_with("thickness");
    let mut parts: Vec<String> = line.split('"').map(str::to_owned).collect();
    for quoted in parts.iter_mut().skip(1).step_by(2) {
        if quoted.ends_with(" mm")
            && let Ok(mm) = LENGTH.parse(quoted)
        {
            let inches = mm / MM_PER_INCH;
            let text = if measured { plain(inches, 3) } else { round(inches) };
            *quoted = format!("{text} in");
        } else if quoted.ends_with(" mm/min")
            && let Ok(mm) = FEED.parse(quoted)
        {
            *quoted = format!("{} in/min", plain((mm / MM_PER_INCH / 5.0).round() * 5.0, 0));
        } else if of == Example::Shop && quoted == "mm" {
            *quoted = "in".to_owned();
        } else if of == Example::Shop && quoted == "A4" {
            *quoted = "Letter".to_owned();
        }
    }
    parts.join("\"")
}

/// Inches as a maker writes them: quarters from six inches up, eighths from three, sixteenths from an
/// eighth; below that two digits that count.
fn round(inches: f64) -> String {
    let size = inches.abs();
    let below = match size {
        _ if size >= 6.0 => 4.0,
        _ if size >= 3.0 => 8.0,
        _ if size >= 0.125 => 16.0,
        _ if size < 1e-9 => return "0".to_owned(),
        _ => {
            let places = (1.0 - size.log10().floor()).max(0.0);
            return plain(inches, places as usize);
        }
    };
    let (mut above, mut below) = ((size * below).round(), below);
    while below > 1.0 && above % 2.0 == 0.0 {
        (above, below) = (above / 2.0, below / 2.0);
    }
    let (whole, rest) = ((above / below).floor(), above % below);
    let sign = if inches < 0.0 { "-" } else { "" };
    let number = |value: f64| plain(value, 0);
    match (whole > 0.0, rest > 0.0) {
        (_, false) => format!("{sign}{}", number(whole)),
        (true, true) => format!("{sign}{}-{}/{}", number(whole), number(rest), number(below)),
        (false, true) => format!("{sign}{}/{}", number(rest), number(below)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inches_are_round() {
        for (mm, text) in [
            (300.0, "11-3/4"),
            (98.0, "3-7/8"),
            (65.0, "2-9/16"),
            (9.0, "3/8"),
            (25.4, "1"),
            (-3.0, "-0.12"),
            (-9.5, "-3/8"),
            (2.0, "0.079"),
            (0.02, "0.00079"),
            (0.0, "0"),
            (152.4, "6"),
        ] {
            assert_eq!(round(mm / MM_PER_INCH), text, "{mm} mm");
        }
    }
}
