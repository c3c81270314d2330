//! The commented examples that `treenwright new` writes, in millimetres or in inches.

use super::keys::figure::{FEED, LENGTH};
use crate::units::{MM_PER_INCH, Unit, fraction, plain};

/// What there is an example of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Example {
    /// A design of a spoon.
    Spoon,
    /// A design of a fork.
    Fork,
    /// A design of a turner.
    Turner,
    /// A design of a spreader.
    Spreader,
    /// A design of a scoop.
    Scoop,
    /// A board.
    Board,
    /// A shop.
    Shop,
}

impl Example {
    /// All of them.
    pub const ALL: [Example; 7] = [
        Example::Spoon,
        Example::Fork,
        Example::Turner,
        Example::Spreader,
        Example::Scoop,
        Example::Board,
        Example::Shop,
    ];

    /// As it is kept, in millimetres.
    pub(super) const fn text(self) -> &'static str {
        match self {
            Example::Spoon => include_str!("../../params/designs/harvest-spoon.toml"),
            Example::Fork => include_str!("../../params/designs/harvest-fork.toml"),
            Example::Turner => include_str!("../../params/designs/harvest-turner.toml"),
            Example::Spreader => include_str!("../../params/designs/harvest-spreader.toml"),
            Example::Scoop => include_str!("../../params/designs/harvest-scoop.toml"),
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

/// A line with its lengths and feeds in round inches, its comment where it was.
fn in_inches(of: Example, line: &str) -> String {
    if line.starts_with("# Every length has its unit") {
        return line.to_owned();
    }
    let mut quoted = false;
    let comment = line.find(|c| {
        quoted ^= c == '"';
        c == '#' && !quoted
    });
    let (setting, comment) = line.split_at(comment.unwrap_or(line.len()));
    let wide = setting.chars().count();
    let setting = figures_in_inches(of, setting);
    let comment = figures_in_inches(of, comment);
    if comment.is_empty() || setting.trim().is_empty() {
        return setting + &comment;
    }
    format!("{:wide$}{comment}", format!("{} ", setting.trim_end()))
}

/// All that stands in quotation marks. What a comment says outside them stays: it tells the
/// default, which is what it is.
fn figures_in_inches(of: Example, text: &str) -> String {
    // What a caliper reads isn't round.
    let measured = of == Example::Board && text.starts_with("thickness");
    each_quoted(text, |quoted| {
        let shop = SHOPS.iter().find(|(here, _)| of == Example::Shop && *here == quoted);
        match shop {
            Some((_, there)) => Some((*there).to_owned()),
            None => {
                figure_in_inches(
                    quoted,
                    |inches| {
                        if measured { plain(inches, 3) } else { round(inches) }
                    },
                )
            }
        }
    })
}

/// A text with the lengths and feeds that stand in quotation marks in round inches: an example, for a
/// file in inches.
pub(super) fn in_round_inches(text: &str) -> String {
    each_quoted(text, |quoted| figure_in_inches(quoted, round))
}

/// A length or a feed that is in millimetres, in inches.
fn figure_in_inches(quoted: &str, said: impl Fn(f64) -> String) -> Option<String> {
    if quoted.ends_with(" mm") {
        return Some(format!("{} in", said(LENGTH.parse(quoted).ok()? / MM_PER_INCH)));
    }
    let feed = FEED.parse(quoted).ok().filter(|_| quoted.ends_with(" mm/min"))?;
    Some(format!("{} in/min", plain((feed / MM_PER_INCH / 5.0).round() * 5.0, 0)))
}

/// A text with what stands in quotation marks changed.
fn each_quoted(text: &str, change: impl Fn(&str) -> Option<String>) -> String {
    let mut parts: Vec<String> = text.split('"').map(str::to_owned).collect();
    for quoted in parts.iter_mut().skip(1).step_by(2) {
        if let Some(changed) = change(quoted) {
            *quoted = changed;
        }
    }
    parts.join("\"")
}

/// What a shop that works in inches has instead: its unit, its paper, its bolt, and a block wide
/// enough for that.
const SHOPS: [(&str, &str); 4] =
    [("mm", "in"), ("A4", "Letter"), ("M6", "1/4 in"), ("32 mm", "1-1/2 in")];

/// Inches as a maker writes them: quarters from six inches up, eighths from three, sixteenths from a
/// quarter, thirty-seconds from an eighth; below that one digit that counts, or two that begin with 1.
fn round(inches: f64) -> String {
    let size = inches.abs();
    let below = match size {
        _ if size >= 6.0 => 4.0,
        _ if size >= 3.0 => 8.0,
        _ if size >= 0.25 => 16.0,
        _ if size >= 0.125 => 32.0,
        _ if size < 1e-9 => return "0".to_owned(),
        _ => {
            let first = -size.log10().floor();
            let more = if size * 10_f64.powf(first) < 2.0 { 1.0 } else { 0.0 };
            return plain(inches, (first + more) as usize);
        }
    };
    fraction(inches, below)
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
            (2.0, "0.08"),
            (2.5, "0.1"),
            (0.3, "0.012"),
            (4.0, "5/32"),
            (5.0, "3/16"),
            (0.02, "0.0008"),
            (0.0, "0"),
            (152.4, "6"),
        ] {
            assert_eq!(round(mm / MM_PER_INCH), text, "{mm} mm");
        }
    }
}
