//! What fitting may change: the dimensions that a key can name, and the limits round them.

use crate::params::read::{Reader, nearest};
use crate::params::{Bound, Design, Head, Station, codes};
use crate::units::{Angle, Length, plain};

/// Slack in comparing a limit with what is asked, in mm: inches with many places don't come out
/// even.
const SLACK: f64 = 1e-6;

/// A dimension of a design, to be read or changed.
#[derive(Debug)]
pub enum Dimension<'d> {
    /// A length, such as `bowl.depth` or `handle.width[1].size`.
    Length(&'d mut Length),
    /// A plain number or a fraction, such as `bowl.fullness`.
    Number(&'d mut f64),
    /// An angle: `tines.slot.taper`.
    Angle(&'d mut Angle),
    /// A whole list of stations, such as `handle.curve`.
    Stations(&'d mut Vec<Station>),
}

/// Keys that `dimension` knows, without the single stations.
const KEYS: [&str; 28] = [
    "utensil.length",
    "utensil.edge",
    "bowl.length",
    "bowl.width",
    "bowl.depth",
    "bowl.wall",
    "bowl.rim",
    "bowl.fullness",
    "bowl.widest",
    "blade.length",
    "blade.width",
    "blade.thickness",
    "blade.front",
    "blade.bevel",
    "blade.fullness",
    "blade.widest",
    "handle.end",
    "handle.section",
    "handle.width",
    "handle.thickness",
    "handle.curve",
    "handle.sway",
    "tines.slot.width",
    "tines.slot.length",
    "tines.slot.taper",
    "tabs.width",
    "tabs.thickness",
    "handle.width[1].size",
];

/// The dimension that a key of the design file names, if the design has it.
pub fn dimension<'d>(design: &'d mut Design, key: &str) -> Option<Dimension<'d>> {
    use Dimension::{Angle, Length, Number, Stations};
    let (section, name) = key.split_once('.')?;
    Some(match section {
        "utensil" => match name {
            "length" => Length(&mut design.length),
            "edge" => Length(&mut design.edge),
            _ => return None,
        },
        "bowl" => {
            let Head::Bowl(bowl) = &mut design.head else { return None };
            match name {
                "length" => Length(&mut bowl.length),
                "width" => Length(&mut bowl.width),
                "depth" => Length(&mut bowl.depth),
                "wall" => Length(&mut bowl.wall),
                "rim" => Length(&mut bowl.rim),
                "fullness" => Number(&mut bowl.fullness),
                "widest" => Number(&mut bowl.widest),
                _ => return None,
            }
        }
        "blade" => {
            let Head::Blade(blade) = &mut design.head else { return None };
            match name {
                "length" => Length(&mut blade.length),
                "width" => Length(&mut blade.width),
                "thickness" => Length(&mut blade.thickness),
                "front" => Length(&mut blade.front),
                "bevel" => Length(&mut blade.bevel),
                "fullness" => Number(&mut blade.fullness),
                "widest" => Number(&mut blade.widest),
                _ => return None,
            }
        }
        "handle" => {
            let handle = &mut design.handle;
            let (list, rest) = name.split_once('[').unwrap_or((name, ""));
            let (stations, size) = match list {
                "end" if rest.is_empty() => return Some(Length(&mut handle.end)),
                "section" if rest.is_empty() => return Some(Number(&mut handle.section)),
                "width" => (&mut handle.width, "size"),
                "thickness" => (&mut handle.thickness, "size"),
                "curve" => (&mut handle.curve, "rise"),
                "sway" => (&mut handle.sway, "shift"),
                _ => return None,
            };
            if name == list {
                // A straight handle has no curve to flatten.
                return (!stations.is_empty()).then_some(Stations(stations));
            }
            let (index, field) = rest.split_once("].")?;
            let station = stations.get_mut(index.parse::<usize>().ok()?)?;
            match field {
                field if field == size => Length(&mut station.size),
                "at" => Number(&mut station.at),
                _ => return None,
            }
        }
        "tines" => {
            let slot = &mut design.tines.as_mut()?.slot;
            match name {
                "slot.width" => Length(&mut slot.width),
                "slot.length" => Length(&mut slot.length),
                "slot.taper" => Angle(&mut slot.taper),
                _ => return None,
            }
        }
        "tabs" => match name {
            "width" => Length(&mut design.tabs.width),
            "thickness" => Length(&mut design.tabs.thickness),
            _ => return None,
        },
        _ => return None,
    })
}

/// Checks every give of a design.
pub(super) fn gives(design: &Design, reader: &mut Reader) {
    let mut copy = design.clone();
    for (index, give) in design.give.iter().enumerate() {
        let key = format!("give.{}", give.key);
        if design.give[..index].iter().any(|other| other.key == give.key) {
            // Once in quotation marks and once as a dotted key: TOML takes these for two.
            let message = format!("`{}` stands twice in [give].", give.key);
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
        limit(&give.least, asked, &key, true, reader);
        limit(&give.most, asked, &key, false, reader);
    }
}

fn unknown(design: &Design, named: &str, key: &str, reader: &mut Reader) {
    let mut copy = design.clone();
    let known: Vec<&str> =
        KEYS.into_iter().filter(|key| dimension(&mut copy, key).is_some()).collect();
    let help = match nearest(named, &known) {
        Some(near) => format!("Did you mean \"{near}\"?"),
        None => "Name a dimension such as \"utensil.length\" or \"handle.curve\".".to_owned(),
    };
    let message = format!("`{named}` is no dimension of this design that could give.");
    reader.fault(codes::GIVE_UNKNOWN, key, message, help);
}

fn limit(bound: &Bound, asked: Option<Length>, key: &str, least: bool, reader: &mut Reader) {
    let name = if least { "least" } else { "most" };
    let at = format!("{key}.{name}");
    let beyond = |limit: f64, asked: f64| {
        if least { limit > asked + SLACK } else { limit < asked - SLACK }
    };
    let (wrong, limit, asked) = match (bound, asked) {
        (Bound::Fraction(share), _) => {
            (beyond(*share, 1.0), format!("{} %", plain(share * 100.0, 2)), "100 %".to_owned())
        }
        (Bound::Length(length), Some(asked)) => {
            (beyond(length.as_mm(), asked.as_mm()), length.to_string(), asked.to_string())
        }
        (Bound::Length(length), None) if length.as_mm().is_nan() => return,
        (Bound::Length(length), None) => {
            reader.fault(
                codes::GIVE_RANGE,
                &at,
                format!("`{name}` is {length}, but this dimension is no single length."),
                format!("Write a share of what is asked, such as {name} = \"{}\".", {
                    if least { "60 %" } else { "100 %" }
                }),
            );
            return;
        }
    };
    if wrong {
        let than = if least { "more" } else { "less" };
        reader.fault(
            codes::GIVE_RANGE,
            &at,
            format!("`{name}` is {limit}, {than} than the {asked} that the file asks for."),
            format!("Write {name} = \"{asked}\" or {}.", if least { "less" } else { "more" }),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Findings;
    use crate::params::parse_design;

    fn read(text: &str) -> Design {
        parse_design(text, &mut Findings::new()).expect("a shipped example has no fault").0
    }

    const SPOON: &str = include_str!("../fixtures/spoon.toml");

    #[test]
    fn every_known_key_names_a_dimension_of_one_of_the_three_kinds() {
        let mut designs = [
            read(&SPOON.replace(
                "sway = []",
                "sway = [{ at = \"0 %\", shift = \"2 mm\" }, { at = \"100 %\", shift = \"0 mm\" }]",
            )),
            read(include_str!("../../../params/designs/harvest-fork.toml")),
            read(include_str!("../../../params/designs/harvest-turner.toml")),
        ];
        for key in KEYS {
            assert!(designs.iter_mut().any(|d| dimension(d, key).is_some()), "{key}");
        }
    }

    #[test]
    fn a_changed_dimension_is_changed_in_the_design() {
        let mut spoon = read(SPOON);
        match dimension(&mut spoon, "handle.curve[1].rise") {
            Some(Dimension::Length(rise)) => *rise = Length::mm(4.5),
            other => panic!("{other:?}"),
        }
        assert_eq!(spoon.handle.curve[1].size, Length::mm(4.5));
        assert_eq!(spoon.handle.curve[1].at, 0.5);
    }

    #[test]
    fn what_the_design_has_not_is_no_dimension() {
        let mut spoon = read(SPOON);
        for key in [
            "",
            "bowl",
            "bowl.",
            ".depth",
            "bowl.depth.x",
            "blade.front",
            "tines.slot.width",
            "handle.sway",
            "handle.curve[3].rise",
            "handle.curve[0].size",
            "handle.curve[0]",
            "handle.curve[-1].rise",
            "handle.curve[99999999999999999999].rise",
            "handle.end[0].size",
            "handle.section[0]",
            "utensil.name",
            "tabs.place",
        ] {
            assert!(dimension(&mut spoon, key).is_none(), "{key}");
        }
    }
}
