//! What fitting may change, against what the file asks for.

use crate::finding::nearest;
use crate::params::keys::Keyed;
use crate::params::keys::giving;
use crate::params::read::Reader;
use crate::params::{Bound, Design, Dimension, codes, dimension};
use crate::units::{Length, Rounding, Unit, plain};

/// Slack in comparing a limit with what is asked, in mm: inches with many places don't come out
/// even.
const SLACK: f64 = 1e-6;

/// Checks every give of a design.
pub(super) fn gives(design: &Design, reader: &mut Reader) {
    let mut copy = design.clone();
    for (index, give) in design.give.iter().enumerate() {
        let key = format!("give.{}", give.key);
        if design.give[..index].iter().any(|other| other.key == give.key) {
            // Once in quotation marks and once as a dotted key: TOML takes these for two.
            let message = format!("`{}` comes twice in [give].", give.key);
            reader.fault(codes::SAME_NAME, &key, message, "Take one of the two out.");
            continue;
        }
        let asked = match dimension(&mut copy, &give.key) {
            Some(Dimension::Length(length)) => Some(*length),
            Some(_) => None,
            None => {
                unknown(design, &give.key, &key, reader);
                continue;
            }
        };
        if give.alike.is_some() && nothing(&mut copy, &give.key) {
            reader.fault(
                codes::GIVE_ALIKE,
                &format!("{key}.alike"),
                format!("`{}` is nothing, and no share of nothing is anything else.", give.key),
                "Take `alike` out, or ask for a size that can change.",
            );
        }
        limit(&give.least, asked, &key, true, reader);
        limit(&give.most, asked, &key, false, reader);
    }
}

/// Whether a dimension is 0, so that it can't change by a share.
fn nothing(design: &mut Design, key: &str) -> bool {
    match dimension(design, key) {
        Some(Dimension::Length(length)) => length.as_mm() == 0.0,
        Some(Dimension::Number(number)) => *number == 0.0,
        Some(Dimension::Angle(angle)) => angle.as_radians() == 0.0,
        Some(Dimension::Stations(line)) => line.iter().all(|at| at.size.as_mm() == 0.0),
        None => false,
    }
}

fn unknown(design: &Design, named: &str, key: &str, reader: &mut Reader) {
    let mut copy = design.clone();
    let all = giving(Design::KEYS);
    let known = all.iter().map(|(key, _)| key.as_str());
    let known: Vec<&str> = known.filter(|key| dimension(&mut copy, key).is_some()).collect();
    let declared = all.iter().any(|(known, _)| known == key);
    let help = match nearest(named, &known) {
        // It is one that can change, but not in this design.
        _ if declared => {
            format!("Write `{key}` as one size, which may then change; or take this out.")
        }
        Some(near) => format!("Did you mean \"{near}\"?"),
        None => "Name a dimension such as \"utensil.length\" or \"handle.curve\".".to_owned(),
    };
    let message = format!("`{named}` is not a dimension of this design that can change.");
    reader.fault(codes::GIVE_UNKNOWN, key, message, help);
}

fn limit(bound: &Bound, asked: Option<Length>, key: &str, least: bool, reader: &mut Reader) {
    let name = if least { "least" } else { "most" };
    let at = format!("{key}.{name}");
    let beyond = |limit: f64, asked: f64| {
        if least { limit > asked + SLACK } else { limit < asked - SLACK }
    };
    // As a file has it, to the last digit.
    let mut exact = None;
    let (wrong, limit, asked) = match (bound, asked) {
        (Bound::Fraction(share), _) => {
            (beyond(*share, 1.0), format!("{} %", plain(share * 100.0, 2)), "100 %".to_owned())
        }
        (Bound::Length(length), Some(asked)) => {
            let [limit, asked] = [*length, asked];
            let wrong = beyond(limit.as_mm(), asked.as_mm());
            exact = Some(asked.written(Unit::Millimetre, Rounding::Nearest));
            (wrong, limit.to_string(), asked.to_string())
        }
        (Bound::Length(length), None) if length.as_mm().is_nan() => return,
        (Bound::Length(length), None) => {
            reader.fault(
                codes::GIVE_RANGE,
                &at,
                format!("`{name}` is {length}, but this dimension is not a single length."),
                format!("Write a share of what is asked, such as {name} = \"{}\".", {
                    if least { "60 %" } else { "100 %" }
                }),
            );
            return;
        }
    };
    if wrong {
        let (than, or) = if least { ("more", "or less") } else { ("less", "or more") };
        reader.fault(
            codes::GIVE_RANGE,
            &at,
            format!(
                "`{name}`, how far it may go to fit a board, is {limit}, {than} than the {asked} that \
                 the file asks for."
            ),
            match exact {
                Some(exact) => format!(
                    "Check `{}`: is {asked} what you mean? If so, write {name} = \"{exact}\" {or}.",
                    key.trim_start_matches("give."),
                ),
                None => format!("Write {name} = \"{asked}\" {or}."),
            },
        );
    }
}
