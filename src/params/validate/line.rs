//! Stations against each other: their order, how far apart they are, how steep the line is.

use crate::params::read::Reader;
use crate::params::{Design, Station, codes};
use crate::units::{Length, plain};

/// Steepest middle line: 45 degrees.
pub(super) const STEEPEST: f64 = 1.0;
/// Stations closer than this along the handle, in mm, shape nothing that a cutter could follow, and
/// bend the line through them to a radius of hundredths.
pub(super) const LEAST_APART: Length = Length::mm(1.0);
/// Two places closer than this are the same (fractions of the handle).
const SAME_PLACE: f64 = 1e-9;

/// Stations in order; `whole`: from 0 % to 100 %.
pub(super) fn ordered(key: &str, stations: &[Station], whole: bool, reader: &mut Reader) {
    let percent = |at: f64| format!("{} %", plain(at * 100.0, 2));
    for (index, pair) in stations.windows(2).enumerate() {
        if pair[1].at <= pair[0].at + SAME_PLACE {
            reader.fault(
                codes::STATIONS,
                &format!("{key}[{}].at", index + 1),
                format!(
                    "This station is at {}, after one at {}; each must be further along.",
                    percent(pair[1].at),
                    percent(pair[0].at)
                ),
                "Put the stations in order, from 0 % to 100 %.",
            );
        }
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
        if along < LEAST_APART {
            reader.fault(
                codes::STATIONS,
                &format!("{key}[{}].at", index + 1),
                format!(
                    "This station is {along} after the one before; the least is {LEAST_APART}."
                ),
                "Leave one of the two out, or move them apart.",
            );
            continue;
        }
        let off = (pair[1].size - pair[0].size).as_mm().abs() * share;
        if off > along.as_mm() * STEEPEST {
            reader.fault(
                codes::HANDLE_TOO_STEEP,
                &format!("{key}[{}].{name}", index + 1),
                format!(
                    "From the station before to this one the handle {does} by {} over {along}; the \
                     most is {}.",
                    Length::mm(off),
                    along * STEEPEST,
                ),
                "Make the difference smaller, or move the two stations apart.",
            );
        }
    }
}

/// Stations of the middle line, in mm along and up, from the handle's last to the head's: the
/// handle's own at the neck stands for the head's there. No pair for a level head.
pub(super) fn head_line(design: &Design) -> Vec<[(f64, f64); 2]> {
    let head = design.head.length().as_mm();
    let run = (design.length - design.head.length() - design.handle.end).as_mm();
    let place =
        |station: &Station, from: f64, long: f64| (from + station.at * long, station.size.as_mm());
    let last = design.handle.curve.last().map_or((run, 0.0), |last| place(last, 0.0, run));
    let own = design.head.curve().iter().map(|station| place(station, run, head));
    let own = own.filter(|(x, _)| *x > last.0 + SAME_PLACE * run);
    let line: Vec<(f64, f64)> = [last].into_iter().chain(own).collect();
    if design.head.curve().is_empty() {
        return Vec::new();
    }
    line.windows(2).map(|pair| [pair[0], pair[1]]).collect()
}

/// The head's middle line goes on from the handle's: no step at the neck, no stations too close
/// together, none steeper than 45 degrees.
pub(super) fn head_curve((key, own): (&str, &[Station]), design: &Design, reader: &mut Reader) {
    /// Heights closer than this, in mm, are the same.
    const SAME_HEIGHT: f64 = 1e-3;
    let neck = design.handle.curve.last().filter(|last| last.at > 1.0 - SAME_PLACE);
    let level = Station { at: 1.0, size: Length::ZERO };
    let neck = neck.or(design.handle.curve.is_empty().then_some(&level));
    if let (Some(neck), Some(first)) = (neck, own.first().filter(|first| first.at < SAME_PLACE))
        && (neck.size - first.size).as_mm().abs() > SAME_HEIGHT
    {
        reader.fault(
            codes::STATIONS,
            &format!("{key}[0].rise"),
            format!(
                "The head's middle line begins {} high, but the handle's ends {} high at the neck.",
                first.size, neck.size
            ),
            format!("Write rise = \"{}\", or leave this station out.", neck.size),
        );
        return;
    }
    let pairs = head_line(design);
    let skipped = own.len() - pairs.len().min(own.len());
    for (index, [one, other]) in pairs.into_iter().enumerate() {
        let (along, off) = (other.0 - one.0, (other.1 - one.1).abs());
        let key = format!("{key}[{}]", skipped + index);
        if along < LEAST_APART.as_mm() {
            reader.fault(
                codes::STATIONS,
                &format!("{key}.at"),
                format!(
                    "This station is {} after the one before; the least is {LEAST_APART}.",
                    Length::mm(along)
                ),
                "Leave one of the two out, or move them apart.",
            );
        } else if off > along * STEEPEST {
            reader.fault(
                codes::HANDLE_TOO_STEEP,
                &format!("{key}.rise"),
                format!(
                    "From the station before to this one the head climbs by {} over {}; the most \
                     is {}.",
                    Length::mm(off),
                    Length::mm(along),
                    Length::mm(along * STEEPEST),
                ),
                "Make the difference smaller, or move the two stations apart.",
            );
        }
    }
}
