//! What is said, in the unit that the shop thinks in.
//!
//! Every room says its lengths in millimetres, as `4.5 mm`. For a shop that thinks in inches each is
//! turned here, once, into inches with the millimetres behind them: `0.177 in (4.5 mm)`; so is a row of
//! them, `7 and 252 mm`. Figures of one text that differ in millimetres differ in inches, too, with as
//! many more places as that takes. What stands between backticks or quotation marks is a file's own text and
//! stays.

use crate::units::{Length, MM_PER_INCH, Rounding, Unit, plain};

/// What may stand between the figures of a row that shares one unit.
const BETWEEN: [&str; 5] = [" and ", " to ", " by ", " x ", ", "];

/// The text with its lengths in a unit.
pub fn told_in(text: &str, unit: Unit) -> String {
    told(text, unit, true)
}

/// The text with its lengths in a unit and in no other, and its feeds, areas and volumes, too: for what is
/// read beside a machine whose display has that unit alone.
pub fn only_in(text: &str, unit: Unit) -> String {
    match unit {
        Unit::Millimetre => text.to_owned(),
        Unit::Inch => told(&measures(text), unit, false),
    }
}

/// Units that are no lengths: what follows the figure, how many make one of the other, that, and its places.
const MEASURES: [(&str, f64, &str, usize); 3] = [
    (" mm/min", MM_PER_INCH, " in/min", 1),
    (" mm\u{b2}", MM_PER_INCH * MM_PER_INCH, " in\u{b2}", 3),
    (" cm\u{b3}", MM_PER_INCH * MM_PER_INCH * MM_PER_INCH / 1000.0, " in\u{b3}", 2),
];

/// The text with feeds, areas and volumes in inches.
fn measures(text: &str) -> String {
    let mut out = text.to_owned();
    for (metric, many, name, places) in MEASURES {
        let mut parts = out.split(metric);
        let Some(mut said) = parts.next().map(str::to_owned) else { continue };
        for rest in parts {
            let begin = said.trim_end_matches(|c: char| c.is_ascii_digit() || c == '.').len();
            match said[begin..].parse::<f64>() {
                Ok(figure) => {
                    said.truncate(begin);
                    said.push_str(&plain(figure / many, places));
                    said.push_str(name);
                }
                Err(_) => said.push_str(metric),
            }
            said.push_str(rest);
        }
        out = said;
    }
    out
}

fn told(text: &str, unit: Unit, both: bool) -> String {
    if unit == Unit::Millimetre || !text.contains(" mm") {
        return text.to_owned();
    }
    let mut all = Vec::new();
    each_row(text, |figures, _, _| all.extend(figures.iter().map(|(_, mm)| *mm)), |_| ());
    let out = std::cell::RefCell::new(String::with_capacity(text.len() + 32));
    each_row(
        text,
        |figures, metric, side| {
            let metric = both.then_some(metric);
            push_inches(&mut out.borrow_mut(), figures, metric, (&all, side));
        },
        |other| out.borrow_mut().push_str(other),
    );
    out.into_inner()
}

/// Goes through a text: its rows of lengths, each with its own text, and what is none.
fn each_row<'t>(
    text: &'t str,
    mut row_of: impl FnMut(&[InRow<'t>], &'t str, Rounding),
    mut other: impl FnMut(&'t str),
) {
    let mut rest = text;
    let mut before = ' ';
    while let Some(first) = rest.chars().next() {
        // A file's own text, up to where it ends.
        let quoted = matches!(first, '`' | '"');
        let end = rest[first.len_utf8()..].find(first).filter(|_| quoted);
        let apart = !before.is_alphanumeric() && !matches!(before, '.' | '/' | '-');
        let taken = match (end, row(rest).filter(|_| apart)) {
            (Some(end), _) => {
                let taken = end + 2 * first.len_utf8();
                other(&rest[..taken]);
                taken
            }
            (None, Some((figures, taken))) => {
                let side = match &rest[taken..] {
                    after if after.starts_with(" or less") => Rounding::Down,
                    after if after.starts_with(" or more") => Rounding::Up,
                    _ => Rounding::Nearest,
                };
                row_of(&figures, &rest[..taken], side);
                taken
            }
            (None, None) => {
                other(&rest[..first.len_utf8()]);
                first.len_utf8()
            }
        };
        before = rest[..taken].chars().next_back().unwrap_or(' ');
        rest = &rest[taken..];
    }
}

/// A figure, and what stands before it in its row.
type InRow<'a> = (&'a str, f64);

/// A length in inches that differs from all others that differ from it, on the side that keeps a limit.
fn inches(mm: f64, all: &[f64], side: Rounding) -> String {
    let said = |mm: f64, places: usize| {
        // Almost half of the last place, so that what needs no more places stays.
        let half = 0.499_99 * Unit::Inch.in_mm() * 0.1_f64.powf(places as f64);
        let off = match side {
            Rounding::Nearest => 0.0,
            Rounding::Down => -half,
            Rounding::Up => half,
        };
        Length::mm(mm + off).said_to(Unit::Inch, places)
    };
    let alone = |places: &usize| {
        all.iter().all(|other| *other == mm || said(*other, *places) != said(mm, *places))
    };
    let usual = if mm.abs() < 0.0095 * Unit::Inch.in_mm() { 4 } else { 3 };
    said(mm, (usual..6).find(alone).unwrap_or(usual))
}

fn push_inches(
    out: &mut String,
    figures: &[InRow<'_>],
    metric: Option<&str>,
    (all, side): (&[f64], Rounding),
) {
    let last = figures.len().saturating_sub(1);
    for (index, (between, mm)) in figures.iter().enumerate() {
        let said = inches(*mm, all, side);
        let bare = said.strip_suffix(" in").unwrap_or(&said);
        out.push_str(between);
        out.push_str(if index == last { &said } else { bare });
    }
    if let Some(metric) = metric {
        out.push_str(" (");
        out.push_str(metric);
        out.push(')');
    }
}

/// A row of figures in millimetres at the start of a text, and how long it is.
fn row(text: &str) -> Option<(Vec<InRow<'_>>, usize)> {
    let mut figures: Vec<InRow<'_>> = Vec::new();
    let (mut at, mut between) = (0, "");
    loop {
        let long = number(&text[at..])?;
        figures.push((between, text[at..at + long].parse().ok()?));
        at += long;
        if let Some(after) = text[at..].strip_prefix(" mm") {
            // Neither an area nor a feed.
            let next = after.chars().next().unwrap_or(' ');
            let whole = !next.is_alphanumeric() && !matches!(next, '/' | '\u{b2}' | '\u{b3}');
            return whole.then_some((figures, at + " mm".len()));
        }
        between = BETWEEN.into_iter().find(|word| text[at..].starts_with(word))?;
        at += between.len();
    }
}

/// Length of a plain decimal at the start of a text.
fn number(text: &str) -> Option<usize> {
    let sign = usize::from(text.starts_with('-'));
    let digits = |from: usize| text[from..].bytes().take_while(u8::is_ascii_digit).count();
    let whole = digits(sign);
    if whole == 0 {
        return None;
    }
    let end = sign + whole;
    let part = if text[end..].starts_with('.') { digits(end + 1) } else { 0 };
    Some(if part > 0 { end + 1 + part } else { end })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_said_in_inches_first_and_all_else_stays() {
        for (said, told) in [
            ("the body is 30.19 mm tall", "the body is 1.189 in (30.19 mm) tall"),
            ("gives way by 0.01 mm", "gives way by 0.0004 in (0.01 mm)"),
            ("rests at 7 and 252 mm", "rests at 0.276 and 9.921 in (7 and 252 mm)"),
            ("at 254, 38 mm", "at 10, 1.496 in (254, 38 mm)"),
            ("by -0.16 mm.", "by -0.0063 in (-0.16 mm)."),
            ("Write step_over = \"0.3 mm\".", "Write step_over = \"0.3 mm\"."),
            ("`place = 5 mm` of 5 mm", "`place = 5 mm` of 0.197 in (5 mm)"),
            ("667 mm/min, 3 mm\u{b3} and 4 mmm", "667 mm/min, 3 mm\u{b3} and 4 mmm"),
            ("flat 1/8 leaves 3 % and 2.5 mm", "flat 1/8 leaves 3 % and 0.098 in (2.5 mm)"),
            (
                "up to 0.015 mm, over 0.02 mm",
                "up to 0.0006 in (0.015 mm), over 0.0008 in (0.02 mm)",
            ),
            ("1.998 mm, least 2 mm", "0.07866 in (1.998 mm), least 0.07874 in (2 mm)"),
            ("Use 0.47 mm or less", "Use 0.018 in (0.47 mm) or less"),
            ("Use 0.46 mm or more", "Use 0.019 in (0.46 mm) or more"),
            ("Use 25.4 mm or less", "Use 1 in (25.4 mm) or less"),
            ("an unclosed \" of 25.4 mm", "an unclosed \" of 1 in (25.4 mm)"),
            ("Stärke 25.4 mm – ü", "Stärke 1 in (25.4 mm) – ü"),
        ] {
            assert_eq!(told_in(said, Unit::Inch), told);
            assert_eq!(told_in(said, Unit::Millimetre), said);
        }
    }

    #[test]
    fn for_a_machine_in_inches_nothing_is_said_in_millimetres() {
        for (said, told) in [
            ("0.38 mm deep at 254, 38 mm", "0.015 in deep at 10, 1.496 in"),
            ("at 1800 mm/min, over 600 mm/min", "at 70.9 in/min, over 23.6 in/min"),
            ("at most 0.5 mm, on 120 mm\u{b2}", "at most 0.02 in, on 0.186 in\u{b2}"),
            ("21.8 cm\u{b3}", "1.33 in\u{b3}"),
        ] {
            assert_eq!(only_in(said, Unit::Inch), told);
            assert_eq!(only_in(said, Unit::Millimetre), said);
        }
    }
}
