//! Figures in the shop's unit.

use super::info::SizeLine;
use crate::params::{Cutter, CutterForm};
use crate::sheet::words::{self, fill};
use crate::units::{Length, MM_PER_INCH, Unit, plain};

/// Places that make sense in a wood shop: a hundredth of a millimetre, a thousandth of an inch.
pub(super) const fn places(unit: Unit) -> usize {
    match unit {
        Unit::Millimetre => 2,
        Unit::Inch => 3,
    }
}

/// A length for a column whose head names the unit: always as many places, so that the points
/// stand under each other.
pub(super) fn bare(length: Length, unit: Unit) -> String {
    let places = places(unit);
    let text = format!("{:.places$}", length.to_print(unit));
    match text.strip_prefix('-') {
        Some(figure) if figure.chars().all(|c| matches!(c, '0' | '.')) => figure.to_owned(),
        Some(figure) => format!("\u{2212}{figure}"),
        None => text,
    }
}

/// A length in the shop's unit. No break between figure and unit. Three places, so that 3.175 mm, an
/// eighth of an inch, stays itself.
pub(super) fn shown(length: Length, unit: Unit) -> String {
    format!("{}\u{a0}{}", plain(length.to_print(unit), 3), unit.symbol())
}

/// By how much a size differs, with its sign and one place more than its two figures have, so that a
/// difference that they hide still shows; a plain zero when there is none even so, or when it may be more.
pub(super) fn off_by(size: &SizeLine, unit: Unit) -> String {
    let off = size.measured - size.asked;
    let off = if size.at_least { off.min(Length::ZERO) } else { off };
    let figure = plain(off.as_unit(unit).abs(), places(unit) + 1);
    match figure.as_str() {
        "0" => figure,
        _ if off < Length::ZERO => format!("\u{2212}{figure}"),
        _ => format!("+{figure}"),
    }
}

/// A feed for a column whose head names its unit.
pub(super) fn feed(mm_min: f64, unit: Unit) -> String {
    match unit {
        Unit::Millimetre => plain(mm_min, 0),
        Unit::Inch => plain(mm_min / MM_PER_INCH, 1),
    }
}

/// The head of a column, with the unit that its figures are in.
pub(super) fn column(word: &str, unit: Unit) -> String {
    let feed = format!("{}/min", unit.symbol());
    fill(word, &[("unit", unit.symbol()), ("feed", &feed)])
}

/// What the shop calls a cutter, and its form where the name doesn't say it.
pub(super) fn called(cutter: &Cutter) -> String {
    let form = match cutter.form {
        CutterForm::Flat => words::FLAT_FORM.to_owned(),
        CutterForm::Ball => words::BALL_FORM.to_owned(),
        CutterForm::Bull(corner) => fill(words::BULL_FORM, &[("corner", &corner.to_string())]),
        CutterForm::Vee(angle) => {
            fill(words::VEE_FORM, &[("angle", &plain(angle.as_degrees(), 1))])
        }
        CutterForm::Drill(_) => words::DRILL_FORM.to_owned(),
    };
    with(&cutter.name, &form)
}

/// A name and what it is, once.
pub(super) fn with(name: &str, what: &str) -> String {
    if name.to_lowercase().contains(&what.to_lowercase()) {
        name.to_owned()
    } else {
        format!("{name}, {what}")
    }
}

/// The text with its units held to their figures.
pub(super) fn unbroken(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut before = None;
    for (at, c) in text.char_indices() {
        let unit = || {
            let next = text[at + 1..].split([' ', ';', ',', ':', ')', '.']).next();
            next.is_some_and(|next| words::UNITS.contains(&next))
        };
        let held = c == ' ' && before.is_some_and(|c: char| c.is_ascii_digit()) && unit();
        out.push(if held { '\u{a0}' } else { c });
        before = Some(c);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::unbroken;

    #[test]
    fn a_unit_stays_with_its_figure_and_words_may_part() {
        assert_eq!(unbroken("4 % over 0.02 mm; 4 slots"), "4\u{a0}% over 0.02\u{a0}mm; 4 slots");
        assert_eq!(unbroken("a mm of 9 "), "a mm of 9 ");
    }
}
