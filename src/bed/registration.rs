//! How well, and in how many ways, the board goes back on its pins.
//!
//! Promised: every way to put the board back is tried, square against its stops and pushed askew
//! onto the pins; the error that the play allows is the greatest over the whole parting line.
//! Not promised: what a pin hammered into a tight hole, a chip under the board or a warped board
//! does.

use super::pins::Pins;
use crate::finding::{Code, Finding, Findings, Source};
use crate::params::{Bed, TurnAxis};
use crate::relief::Face;
use crate::units::Length;
use glam::DVec2;

/// The pins let the board go back wrong.
pub const PINS_NOT_KEYED: Code = Code {
    name: "pins-not-keyed",
    explain: "With the pins where the shop file has them, the board would also go back the wrong \
        way: end for end, not turned over, or turned over about the other axis. A board carved \
        from the wrong side or end is lost. Every wrong way is tried with the board square against \
        its stops, and the holes must miss the pins by more than their play. Move one pin off the \
        middle lines of the board, but not to the mirror image of the other, or leave `pin.place` \
        out and the tool places them. Pins of two different diameters would work as well, but are \
        not tried.",
};

/// The two sides may not meet.
pub const SIDES_MISMATCH: Code = Code {
    name: "sides-mismatch",
    explain: "The play of the pins in their holes and the error of the machine can put the two \
        sides further apart at the parting line than the shop allows. The figure is the worst \
        case: every hole at its largest, every pin at its thinnest, and all errors in the same \
        direction, at the worst place on the outline. The likely figure is the root of the sum of \
        squares. Use a closer play, place the pins further apart or nearer to the line of the \
        piece, or allow more with `pin.mismatch` and sand the step away.",
};

/// A pin may not go into its hole.
pub const PIN_TIGHT: Code = Code {
    name: "pin-tight",
    explain: "A pin at its thickest is thicker than a hole at its smallest. A board that must be \
        hammered onto its pins doesn't lie flat, and a split at the hole spoils the register. It is a \
        fault where even the thinnest pin is thicker than the widest hole. The \
        pin's limits are the published ones for a ground dowel pin, or those in the shop file. The \
        hole's limits are its diameter and the boring error. Write a larger `pin.play`, or measure \
        your pins and write `pin.least` and `pin.most`.",
};

/// A pin finds no hold in the bed.
pub const PIN_HOLE_SHALLOW: Code = Code {
    name: "pin-hole-shallow",
    explain: "The holes in the bed are less deep than the pins are thick. A pin that stands in so \
        shallow a hole leans when the board is pushed against it, and both sides are carved as far off \
        as it leans. Below half a diameter it falls over, which is a fault: the figure is most likely a \
        slip. Make `pin.depth` two diameters, as it is when the key is left out, if the bed is thick \
        enough for that; else use thinner pins. How hard the bed is and how tight the pin sits is not \
        known (common practice, no source).",
};

/// One way to put the board back, tried.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Way {
    /// The setup that the pins in the bed are for.
    pub face: Face,
    /// How the board lies, seen from its right way.
    pub way: &'static str,
    /// With the board square against its stops: how far the worst hole misses its pin. Zero for
    /// the right way only.
    pub misses: Length,
    /// Pushed onto the pins all the same: how far a corner of the board then lies from where it
    /// belongs. None when the holes can't come over the pins at all.
    pub stands_off: Option<Length>,
}

/// One cause of error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cause {
    /// What it is.
    pub what: &'static str,
    /// The most that it shifts the board at one pin.
    pub most: Length,
}

/// What the pins promise.
#[derive(Clone, Debug, PartialEq)]
pub struct Registration {
    /// All ways to put the board back, for both setups.
    pub mountings: Vec<Way>,
    /// Greatest step between the two sides at the parting line.
    pub worst: Length,
    /// Where on the board, in mm.
    pub worst_at: DVec2,
    /// The likely step there: root of the sum of squares.
    pub likely: Length,
    /// Where the error comes from, at each pin.
    pub causes: Vec<Cause>,
}

/// Ways to lay a board of that size in the same corner: as it is, turned over about X, about Y,
/// and end for end.
const WAYS: [fn(DVec2, DVec2) -> DVec2; 4] = [
    |_, p| p,
    |size, p| DVec2::new(p.x, size.y - p.y),
    |size, p| DVec2::new(size.x - p.x, p.y),
    |size, p| size - p,
];

/// Looks at the pins of a board of that length and width, in mm; `parting` are places of the
/// outline on the board.
pub fn register(
    size: DVec2,
    pins: &Pins,
    bed: &Bed,
    turn: TurnAxis,
    parting: &[DVec2],
    out: &mut Findings,
) -> Registration {
    let hole_most = pins.hole + bed.pin.bore;
    let play = hole_most - bed.pin.least;
    if bed.pin.depth < bed.pin.most {
        let message = format!(
            "the holes in the bed are {} deep, and the pins {} thick",
            bed.pin.depth, bed.pin.most
        );
        let help = format!("Make pin.depth {} or more.", bed.pin.most * 2.0);
        let finding = if bed.pin.depth < bed.pin.most.half() {
            Finding::fault(PIN_HOLE_SHALLOW, message, help)
        } else {
            Finding::caution(PIN_HOLE_SHALLOW, message, help)
        };
        out.push(finding.at(Source::Shop, "pin.depth"));
    }
    if bed.pin.least > hole_most {
        out.push(
            Finding::fault(
                PIN_TIGHT,
                format!(
                    "no pin goes into its hole: the thinnest is {}, and the widest hole {hole_most}",
                    bed.pin.least
                ),
                "Measure the pins, and write their `diameter`, `least` and `most` so that they agree.",
            )
            .at(Source::Shop, "pin"),
        );
    } else if bed.pin.most > pins.hole - bed.pin.bore {
        out.push(
            Finding::caution(
                PIN_TIGHT,
                format!(
                    "a pin can be {} thick, and its hole only {} wide",
                    bed.pin.most,
                    pins.hole - bed.pin.bore
                ),
                "Write a larger pin.play, or measure the pins and write pin.least and pin.most.",
            )
            .at(Source::Shop, "pin"),
        );
    }
    let mountings = mountings(size, &pins.places, turn, play);
    for way in mountings.iter().filter(|m| m.way != RIGHT && m.misses <= play) {
        out.push(
            Finding::fault(
                PINS_NOT_KEYED,
                format!(
                    "with its {} up the board also goes onto the pins {}: the holes miss by only \
                     {}, and they have {play} of play",
                    way.face.name(),
                    way.way,
                    way.misses
                ),
                "Move a pin off the middle lines of the board, or leave `pin.place` out.",
            )
            .at(Source::Shop, "pin.place"),
        );
    }
    let causes = vec![
        Cause { what: "play of the pin in the board's hole", most: play.half() },
        Cause { what: "play of the pin in the bed's hole", most: play.half() },
        Cause { what: "the machine's repeat, boring the board", most: bed.repeat },
        Cause { what: "the machine's repeat, boring the bed", most: bed.repeat },
    ];
    let all: f64 = causes.iter().map(|cause| cause.most.as_mm()).sum();
    let squares: f64 = causes.iter().map(|cause| cause.most.as_mm().powi(2)).sum();
    let [first, last] = furthest(&pins.places);
    let (mut worst, mut worst_at) = (0.0, first);
    let pulls = pulls(all);
    for p in parting {
        let here = shift(first, last, *p, &pulls);
        if here > worst {
            (worst, worst_at) = (here, *p);
        }
    }
    let likely = squares.sqrt() * likely_factor(first, last, worst_at);
    let registration = Registration {
        mountings,
        worst: Length::mm(worst),
        worst_at,
        likely: Length::mm(likely),
        causes,
    };
    if registration.worst > bed.pin.mismatch {
        out.push(
            Finding::caution(
                SIDES_MISMATCH,
                format!(
                    "at the parting line the two sides may miss each other by {}, most likely by \
                     {}; the shop's limit is {}",
                    hundredths(registration.worst),
                    hundredths(registration.likely),
                    bed.pin.mismatch
                ),
                "Use a closer play or a longer board, or sand the step away.",
            )
            .at(Source::Shop, "pin.play"),
        );
    }
    registration
}

fn hundredths(length: Length) -> Length {
    Length::mm((length.as_mm() * 100.0).ceil() / 100.0)
}

const RIGHT: &str = "the right way";

fn mountings(size: DVec2, pins: &[DVec2], turn: TurnAxis, play: Length) -> Vec<Way> {
    // By the index of the way that the setup's right one is, what each other way is called.
    const NAMES: [[&str; 4]; 3] = [
        [RIGHT, "turned over about X", "turned over about Y", "end for end"],
        [
            "not turned over",
            RIGHT,
            "turned over and end for end",
            "not turned over and end for end",
        ],
        [
            "not turned over",
            "turned over and end for end",
            RIGHT,
            "not turned over and end for end",
        ],
    ];
    let over = match turn {
        TurnAxis::X => 1,
        TurnAxis::Y => 2,
    };
    let mut all = Vec::new();
    for (face, right) in [(Face::Top, 0), (Face::Bottom, over)] {
        let bed: Vec<DVec2> = pins.iter().map(|p| WAYS[right](size, *p)).collect();
        for (index, way) in WAYS.iter().enumerate() {
            let holes: Vec<DVec2> = pins.iter().map(|p| way(size, *p)).collect();
            let misses = orders(pins.len())
                .iter()
                .map(|order| {
                    let each = order.iter().zip(&bed).map(|(i, pin)| holes[*i].distance(*pin));
                    each.fold(0.0, f64::max)
                })
                .fold(f64::INFINITY, f64::min);
            all.push(Way {
                face,
                way: NAMES[right][index],
                misses: Length::mm(misses),
                stands_off: stands_off(size, &holes, &bed, play.as_mm()).map(Length::mm),
            });
        }
    }
    all
}

/// The board pushed onto the pins askew: how far its worst corner then lies from the stops'
/// rectangle, at the least over all ways to pair holes and pins that bring every hole over its
/// pin within the play. Holes and pins in the bed's plan.
fn stands_off(size: DVec2, holes: &[DVec2], pins: &[DVec2], play: f64) -> Option<f64> {
    let corners = [DVec2::ZERO, DVec2::new(size.x, 0.0), size, DVec2::new(0.0, size.y)];
    let count = holes.len() as f64;
    let mean = |points: &[DVec2]| points.iter().copied().sum::<DVec2>() / count;
    let mut least: Option<f64> = None;
    for order in orders(holes.len()) {
        let from: Vec<DVec2> = order.iter().map(|i| holes[*i]).collect();
        let (a, b) = (mean(&from), mean(pins));
        // The turn that brings the holes nearest to the pins, by least squares.
        let turn = from.iter().zip(pins).fold(DVec2::ZERO, |sum, (p, q)| {
            let (p, q) = (*p - a, *q - b);
            sum + DVec2::new(p.dot(q), p.perp_dot(q))
        });
        let turn = turn.normalize_or(DVec2::X);
        let moved = |p: DVec2| b + turn.rotate(p - a);
        let misfit = from.iter().zip(pins).map(|(p, q)| moved(*p).distance(*q));
        if misfit.fold(0.0, f64::max) > play {
            continue;
        }
        // Turned by more than a right angle it lies in another of the ways, which is tried too.
        if turn.x <= 0.0 {
            continue;
        }
        let off = corners.iter().map(|c| moved(*c).distance(*c)).fold(0.0, f64::max);
        least = Some(least.map_or(off, |least| least.min(off)));
    }
    least
}

/// All orders of so many things; at most a hundred and twenty, since five pins are the most.
fn orders(count: usize) -> Vec<Vec<usize>> {
    let mut all = vec![Vec::new()];
    for _ in 0..count.min(5) {
        all = all
            .into_iter()
            .flat_map(|order: Vec<usize>| {
                (0..count)
                    .filter(|i| !order.contains(i))
                    .map(|i| [&order[..], &[i]].concat())
                    .collect::<Vec<_>>()
            })
            .collect();
    }
    all
}

/// The two pins that are furthest apart: they bind the board most.
fn furthest(pins: &[DVec2]) -> [DVec2; 2] {
    let mut best = [DVec2::ZERO, DVec2::X];
    let mut most = 0.0;
    for (i, a) in pins.iter().enumerate() {
        for b in &pins[i + 1..] {
            if a.distance(*b) > most {
                (most, best) = (a.distance(*b), [*a, *b]);
            }
        }
    }
    best
}

/// Ways to go by when each of two pins lets its hole go by `each` in any direction and the board stays
/// rigid: across the line of the pins each on its own, and what both are then free to go along it.
/// What goes the other way goes as far.
fn pulls(each: f64) -> Vec<[f64; 3]> {
    const STEPS: i32 = 20;
    let both = (0..=STEPS).flat_map(|i| (-STEPS..=STEPS).map(move |j| [i, j]));
    let pull = both.map(|both| {
        let [a, b] = both.map(|k| f64::from(k) / f64::from(STEPS) * each);
        [a, b, (each * each - a.abs().max(b.abs()).powi(2)).max(0.0).sqrt()]
    });
    pull.collect()
}

/// Greatest shift of a place by any of these pulls at two pins.
fn shift(first: DVec2, last: DVec2, p: DVec2, pulls: &[[f64; 3]]) -> f64 {
    /// The square of a shift is greater than all before, or so nearly that rounding may have made it
    /// less.
    const NEARLY: f64 = 1.0 - 1e-9;
    let span = first.distance(last).max(f64::MIN_POSITIVE);
    let along = (last - first) / span;
    let (s, h) = ((p - first).dot(along) / span, along.perp_dot(p - first) / span);
    let (mut most, mut square) = (0.0_f64, 0.0_f64);
    for [a, b, free] in pulls {
        let across = a * (1.0 - s) + b * s;
        let pulled = ((b - a) * h).abs() + free;
        let here = across * across + pulled * pulled;
        if here >= square * NEARLY {
            square = square.max(here);
            most = most.max(across.hypot(pulled));
        }
    }
    most
}

/// The same by the root of the sum of squares, per unit at each pin: every error is as likely in
/// any direction, so half of its square falls across the line and half along it.
fn likely_factor(first: DVec2, last: DVec2, p: DVec2) -> f64 {
    let span = first.distance(last).max(f64::MIN_POSITIVE);
    let along = (last - first) / span;
    let (s, h) = ((p - first).dot(along) / span, along.perp_dot(p - first) / span);
    (((1.0 - s).powi(2) + s * s) / 2.0 + 0.25 + h * h).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::heard;

    const SIZE: DVec2 = DVec2::new(420.0, 140.0);

    fn pins(places: &[(f64, f64)]) -> Pins {
        Pins { places: places.iter().copied().map(DVec2::from).collect(), hole: Length::mm(6.4) }
    }

    fn run(places: &[(f64, f64)], turn: TurnAxis) -> (Registration, Vec<&'static str>) {
        let bed = Bed::usual(Length::inches(0.25));
        let parting = [DVec2::new(60.0, 70.0), DVec2::new(360.0, 100.0)];
        let (registration, findings) =
            heard(|out| register(SIZE, &pins(places), &bed, turn, &parting, out));
        (registration, findings.iter().map(|f| f.code.name).collect())
    }

    #[test]
    fn pins_off_the_middle_key_the_board_whichever_way_it_is_turned() {
        for turn in [TurnAxis::X, TurnAxis::Y] {
            let (registration, codes) = run(&[(12.0, 48.0), (408.0, 28.0)], turn);
            assert!(codes.is_empty(), "{codes:?}");
            assert_eq!(registration.mountings.len(), 8);
            for way in &registration.mountings {
                let right = way.way == RIGHT;
                assert_eq!(way.misses < Length::mm(6.4), right, "{way:?}");
                assert_eq!(
                    way.stands_off.is_some_and(|off| off < Length::mm(1.0)),
                    right,
                    "{way:?}"
                );
            }
        }
    }

    #[test]
    fn pins_on_a_middle_line_or_in_mirror_places_are_a_fault() {
        for places in [
            [(12.0, 70.0), (408.0, 70.0)],
            [(12.0, 40.0), (408.0, 40.0)],
            [(12.0, 40.0), (408.0, 100.0)],
        ] {
            assert!(run(&places, TurnAxis::X).1.contains(&"pins-not-keyed"), "{places:?}");
        }
        // Off by less than the play is no key.
        assert!(run(&[(12.0, 70.0), (408.0, 70.04)], TurnAxis::X).1.contains(&"pins-not-keyed"));
        assert!(run(&[(12.0, 70.0), (408.0, 60.0)], TurnAxis::X).1.is_empty());
    }

    #[test]
    fn three_pins_that_no_turn_brings_over_each_other_can_not_be_forced() {
        let (registration, codes) = run(&[(12.0, 40.0), (408.0, 28.0), (200.0, 12.0)], TurnAxis::X);
        assert!(codes.is_empty());
        let over: Vec<_> =
            registration.mountings.iter().filter(|m| m.way == "not turned over").collect();
        assert!(over.iter().all(|m| m.stands_off.is_none()), "{over:?}");
    }

    #[test]
    fn between_two_pins_the_worst_shift_is_the_play_and_beyond_them_it_grows_with_the_lever() {
        let (a, b) = (DVec2::ZERO, DVec2::new(400.0, 0.0));
        assert!((shift(a, b, DVec2::new(200.0, 0.0), &pulls(0.1)) - 0.1).abs() < 1e-9);
        assert!((shift(a, b, a, &pulls(0.1)) - 0.1).abs() < 1e-9);
        // Half a span beyond: 0.1 (1.5 + 0.5).
        assert!((shift(a, b, DVec2::new(600.0, 0.0), &pulls(0.1)) - 0.2).abs() < 1e-9);
        // Beside the line both ends turn it: 2 * 0.1 * 100 / 400 more, when nothing slides along.
        assert!(shift(a, b, DVec2::new(200.0, 100.0), &pulls(0.1)) > 0.1);
        assert!(likely_factor(a, b, DVec2::new(200.0, 0.0)) < 1.0);
    }

    #[test]
    fn loose_holes_are_told() {
        let loose = Pins { hole: Length::mm(7.2), ..pins(&[(12.0, 48.0), (408.0, 28.0)]) };
        let bed = Bed::usual(Length::inches(0.25));
        let (found, findings) =
            heard(|out| register(SIZE, &loose, &bed, TurnAxis::X, &[DVec2::new(60.0, 70.0)], out));
        assert_eq!(findings.iter().map(|f| f.code.name).collect::<Vec<_>>(), ["sides-mismatch"]);
        // 0.8675 of play in each of two holes, and twice 0.02.
        assert!(found.worst > Length::mm(0.85) && found.worst < Length::mm(1.1), "{}", found.worst);
        assert!(found.likely < found.worst);
        let tight = Pins { hole: Length::mm(6.36), ..loose };
        let (_, findings) = heard(|out| register(SIZE, &tight, &bed, TurnAxis::X, &[], out));
        assert_eq!(findings.iter().map(|f| f.code.name).collect::<Vec<_>>(), ["pin-tight"]);
    }
}
