//! Stations against each other: their order, how far apart they are, how steep the line is.

use crate::params::read::Reader;
use crate::params::{Design, Head, Station, Varying, codes};
use crate::units::{Length, plain};

/// Steepest middle line: 45 degrees.
pub(super) const STEEPEST: f64 = 1.0;
/// Stations closer than this along the handle, in mm, shape nothing that a cutter could follow, and
/// bend the line through them to a radius of hundredths.
pub(super) const LEAST_APART: Length = Length::mm(1.0);
/// Stations of the section closer than this would make a step of it. By eye.
pub(super) const SQUARES_APART: Length = Length::mm(10.0);
/// Two places closer than this are the same (fractions of the handle).
const SAME_PLACE: f64 = 1e-9;

fn percent(at: f64) -> String {
    format!("{} %", plain(at * 100.0, 2))
}

/// Whether a station is no further along than the one before it, and if so says it.
fn out_of_order(key: &str, index: usize, [before, at]: [f64; 2], reader: &mut Reader) -> bool {
    // A place that couldn't be read has no other fault.
    let wrong = at <= before + SAME_PLACE;
    if wrong {
        reader.fault(
            codes::STATIONS,
            &format!("{key}[{index}].at"),
            format!(
                "This station is at {}, after one at {}; each must be further along.",
                percent(at),
                percent(before)
            ),
            "Put the stations in order, from 0 % to 100 %.",
        );
    }
    wrong
}

/// Stations in order; `whole`: from 0 % to 100 %.
pub(super) fn ordered(key: &str, stations: &[Station], whole: bool, reader: &mut Reader) {
    for (index, pair) in stations.windows(2).enumerate() {
        out_of_order(key, index + 1, [pair[0].at, pair[1].at], reader);
    }
    if !whole || stations.len() < 2 {
        return;
    }
    let mut end = |index: usize, wanted: f64, which: &str| {
        if (stations[index].at - wanted).abs() > SAME_PLACE {
            reader.fault(
                codes::STATIONS,
                &format!("{key}[{index}].at"),
                format!(
                    "The {which} station is at {}; it must be at {}.",
                    percent(stations[index].at),
                    percent(wanted)
                ),
                format!("Write at = \"{}\".", percent(wanted)),
            );
        }
    };
    end(0, 0.0, "first");
    end(stations.len() - 1, 1.0, "last");
}

/// The places of the section's stations, in order and far enough apart that it flows from one to the next.
pub(super) fn squares(section: &Varying<f64>, run: Length, reader: &mut Reader) {
    let places: Vec<f64> = match section {
        Varying::Even(_) => return,
        Varying::At(all) => all.iter().map(|(at, _)| *at).collect(),
    };
    for (index, pair) in places.windows(2).enumerate() {
        if out_of_order("handle.section", index + 1, [pair[0], pair[1]], reader) {
            continue;
        }
        let apart = run * (pair[1] - pair[0]);
        // Asked for the fault, so that one that couldn't be read has no other.
        if apart < SQUARES_APART {
            reader.fault(
                codes::STATIONS,
                &format!("handle.section[{}].at", index + 1),
                format!(
                    "This station is at {}, after one at {}: {apart} further along; the least is \
                     {SQUARES_APART}.",
                    percent(pair[1]),
                    percent(pair[0]),
                ),
                "Move the stations apart, or leave one out.",
            );
        }
    }
}

/// No two stations too close together, or steeper than 45 degrees; `share` of the difference counts.
pub(super) fn steep(
    (key, name, does): (&str, &str, &str),
    stations: &[Station],
    share: f64,
    run: Length,
    reader: &mut Reader,
) {
    for (index, pair) in stations.windows(2).enumerate() {
        let along = run * (pair[1].at - pair[0].at);
        if pair[1].at <= pair[0].at + SAME_PLACE {
            continue; // out of order, which has its own fault
        }
        let off = Length::mm((pair[1].size - pair[0].size).as_mm().abs() * share);
        let key = format!("{key}[{}]", index + 1);
        far_and_gentle((&key, name), ("handle", does), [along, off], reader);
    }
}

/// The stations of a rim land, in order and far enough apart that it flows from one width to the next.
pub(super) fn rim_stations(rims: &[(f64, Length)], head: Length, reader: &mut Reader) {
    /// Most that the land may widen or narrow for each mm along. By eye.
    const STEEPEST_RIM: f64 = 0.2;
    for (index, pair) in rims.windows(2).enumerate() {
        if out_of_order("bowl.rim", index + 1, [pair[0].0, pair[1].0], reader) {
            continue;
        }
        let along = head * (pair[1].0 - pair[0].0);
        let apart = (pair[1].1 - pair[0].1).as_mm().abs() / STEEPEST_RIM;
        let least = LEAST_APART.max(Length::mm(apart));
        // Asked for the fault, so that one that couldn't be read has no other.
        if along < least {
            reader.fault(
                codes::STATIONS,
                &format!("bowl.rim[{}].at", index + 1),
                format!(
                    "This station is at {}, after one at {}: {along} further along. From {} to {} the \
                     least is {least}.",
                    percent(pair[1].0),
                    percent(pair[0].0),
                    pair[0].1,
                    pair[1].1,
                ),
                "Move the stations apart, make their sizes more alike, or leave one out.",
            );
        }
    }
}

/// A station that is far enough along from the one before, and not too far off: by at most 45 degrees.
fn far_and_gentle(
    (key, name): (&str, &str),
    (part, does): (&str, &str),
    [along, off]: [Length; 2],
    reader: &mut Reader,
) {
    if along < LEAST_APART {
        reader.fault(
            codes::STATIONS,
            &format!("{key}.at"),
            format!("This station is {along} after the one before; the least is {LEAST_APART}."),
            "Leave one of the two out, or move them apart.",
        );
    } else if off > along * STEEPEST {
        reader.fault(
            codes::HANDLE_TOO_STEEP,
            &format!("{key}.{name}"),
            format!(
                "From the station before to this one the {part} {does} by {off} over {along}; the \
                 most is {}.",
                along * STEEPEST,
            ),
            "Make the difference smaller, or move the two stations apart.",
        );
    }
}

/// What the two lines of a head are: the handle's stations and its own, its key, what these set, and
/// what the line does, in words.
#[derive(Clone, Copy)]
pub(super) struct HeadLine<'d> {
    handle: &'d [Station],
    pub(super) own: &'d [Station],
    pub(super) key: &'static str,
    name: &'static str,
    words: [&'static str; 2],
}

/// The middle line of a head, upward and to the side.
pub(super) fn head_lines(design: &Design) -> [HeadLine<'_>; 2] {
    let [curve, sway] = match design.head {
        Head::Bowl(_) => ["bowl.curve", "bowl.sway"],
        Head::Blade(_) => ["blade.curve", "blade.sway"],
    };
    [
        HeadLine {
            handle: &design.handle.curve,
            own: design.head.curve(),
            key: curve,
            name: "rise",
            words: ["high", "climbs"],
        },
        HeadLine {
            handle: &design.handle.sway,
            own: design.head.sway(),
            key: sway,
            name: "shift",
            words: ["to the left", "goes sideways"],
        },
    ]
}

/// Stations of a middle line, in mm along and off, from the handle's last to the head's: the
/// handle's own at the neck stands for the head's there. No pair for a level head.
pub(super) fn head_line(design: &Design, line: HeadLine<'_>) -> Vec<[(f64, f64); 2]> {
    let head = design.head.length().as_mm();
    let run = (design.length - design.head.length() - design.handle.end).as_mm();
    let place =
        |station: &Station, from: f64, long: f64| (from + station.at * long, station.size.as_mm());
    let last = line.handle.last().map_or((run, 0.0), |last| place(last, 0.0, run));
    let own = line.own.iter().map(|station| place(station, run, head));
    let own = own.filter(|(x, _)| *x > last.0 + SAME_PLACE * run);
    let all: Vec<(f64, f64)> = [last].into_iter().chain(own).collect();
    if line.own.is_empty() {
        return Vec::new();
    }
    all.windows(2).map(|pair| [pair[0], pair[1]]).collect()
}

/// The head's middle line goes on from the handle's: no step at the neck, no stations too close
/// together, none steeper than 45 degrees.
pub(super) fn head_curve(line: HeadLine<'_>, design: &Design, reader: &mut Reader) {
    /// Heights closer than this, in mm, are the same.
    const SAME_HEIGHT: f64 = 1e-3;
    let HeadLine { own, key, name, words: [off, does], .. } = line;
    let neck = line.handle.last().filter(|last| last.at > 1.0 - SAME_PLACE);
    let level = Station { at: 1.0, size: Length::ZERO };
    let neck = neck.or(line.handle.is_empty().then_some(&level));
    if let (Some(neck), Some(first)) = (neck, own.first().filter(|first| first.at < SAME_PLACE))
        && (neck.size - first.size).as_mm().abs() > SAME_HEIGHT
    {
        reader.fault(
            codes::STATIONS,
            &format!("{key}[0].{name}"),
            format!(
                "The head's middle line begins {} {off}, but the handle's ends {} {off} at the neck.",
                first.size, neck.size
            ),
            format!("Write {name} = \"{}\", or leave this station out.", neck.size),
        );
        return;
    }
    let pairs = head_line(design, line);
    let skipped = own.len() - pairs.len().min(own.len());
    for (index, [one, other]) in pairs.into_iter().enumerate() {
        let apart = [other.0 - one.0, (other.1 - one.1).abs()].map(Length::mm);
        let key = format!("{key}[{}]", skipped + index);
        far_and_gentle((&key, name), ("head", does), apart, reader);
    }
}

/// Where stations of a head's own outline may be.
#[derive(Clone, Copy, Debug)]
pub struct OutlineRoom {
    /// First and last place along the head: the neck is the handle's, and the very tip is a point.
    pub within: [f64; 2],
    /// Least distance between two of them, as a share of the head's length.
    pub apart: f64,
}

/// Where they may be; those of a drawing lie on a line that is fair already, so they may be closer.
pub fn outline_places(design: &Design) -> OutlineRoom {
    match design.plan {
        None => OutlineRoom { within: [0.15, 0.95], apart: 0.05 },
        Some(_) => OutlineRoom { within: [0.04, 0.97], apart: 0.03 },
    }
}

/// Distances, as shares of the head's length, that must be no less than nothing: how much further apart
/// than they must be the stations of a head's own outline are, from each other and from where its
/// width is given.
pub(super) fn outline_room(design: &Design) -> Vec<f64> {
    let (head, OutlineRoom { apart, .. }) = (&design.head, outline_places(design));
    let places = head.outline().iter().map(|station| station.at);
    let pairs = head.outline().windows(2).map(|pair| pair[1].at - pair[0].at - apart);
    places.map(|at| (at - head.widest()).abs() - apart).chain(pairs).collect()
}

/// The stations of a head's own outline: none at the neck, at the tip, or at the widest place, and
/// none close together.
pub(super) fn outline(design: &Design, reader: &mut Reader) {
    let (head, OutlineRoom { within, apart }) = (&design.head, outline_places(design));
    let key = format!("{}.outline", head.table());
    ordered(&key, head.outline(), false, reader);
    let stations = head.outline();
    for (index, Station { at, .. }) in stations.iter().enumerate() {
        let [first, last] = within;
        let (wrong, help) = if *at < first - SAME_PLACE || *at > last + SAME_PLACE {
            (
                format!(
                    "it must be between {} and {}, for the neck is as wide as the handle there, and \
                     the tip is a point",
                    percent(first),
                    percent(last)
                ),
                "Move it, or leave it out.",
            )
        } else if (at - head.widest()).abs() < apart - SAME_PLACE {
            (
                format!(
                    "too near to where the head is widest, at {}: `width` says how wide it is there",
                    percent(head.widest())
                ),
                "Leave it out, or move it or `widest` by 5 % or more.",
            )
        } else if index > 0 && (0.0..apart - SAME_PLACE).contains(&(at - stations[index - 1].at)) {
            ("less than 5 % after the one before".to_owned(), "Leave one of the two out.")
        } else {
            continue;
        };
        let message = format!("This station is at {}: {wrong}.", percent(*at));
        reader.fault(codes::STATIONS, &format!("{key}[{index}].at"), message, help);
    }
}
