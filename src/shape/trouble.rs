//! Bodies that can't be made, though each of their figures may be what it is.

use super::bowl::NoHollow;
use super::facets::{FacetPlace, NoFacet};
use super::{Body, HeadSkins, Parts};
use crate::finding::{Code, Finding, Source};
use crate::units::{Length, plain};

/// The rim land leaves no clean hollow.
pub const RIM_TOO_WIDE: Code = Code {
    name: "rim-too-wide",
    explain: "The rim land is so wide that the hollow inside it has no clean edge. The edge of the \
        hollow runs beside the outline, at the width of the rim land. Where the outline bends more \
        tightly than that, at the corners of a full head or at a blunt front, the edge would turn \
        back on itself. Where a narrow head opens only slowly from the neck, a wide rim land \
        leaves no hollow there. Make the rim narrower, or the head rounder: a lower fullness, a \
        widest place nearer to its middle, or a wider head.",
};

/// The handle's smooth line does what its stations don't.
pub const HANDLE_SWINGS: Code = Code {
    name: "handle-swings",
    explain: "Between its stations, or in the rounding of its end, the handle swings out or in. A \
        smooth line goes through the stations. Two stations that are close together and differ in \
        size make the line steep, and a steep line swings past the sizes on both sides of it. \
        Before the first station the line goes straight on into the rounding of the end. A handle \
        can't be made where it is steeper than two in one, thinner than its edge is high, or, in \
        the rounding of its end, narrower than a quarter of its first width. A handle that still widens \
        steeply at the neck carries the head on, which may become a twentieth wider than its `width` \
        and no more. Move such stations \
        apart, or leave one out. At the end, shorten the rounding or make the first two sizes more \
        alike.",
};

/// The flats along the handle have no room.
pub const FACETS_NO_ROOM: Code = Code {
    name: "facets-no-room",
    explain: "The handle has no room for its flats. The sloping flats reach in from each side, as far as \
        `chamfer` says. If they reach in too far, next to nothing is left of the flat on top; if hardly \
        at all, they are thinner than a cutter can leave. Of eight flats two stand upright, and each \
        must be at least as high as `utensil.edge`. Along the handle the flats come out of the round \
        section over the length `run` and go back into it over the same length, so they need twice \
        that. Change `chamfer`, `from`, `to` or `run`, or make the handle wider or thicker there.",
};

/// The knob at the handle's end has no room.
pub const KNOB_NO_ROOM: Code = Code {
    name: "knob-no-room",
    explain: "The handle has no room for the knob at its end, or the knob is none. It must have run out \
        into the handle before the neck, and it must be at least as wide and as thick as the handle would be at \
        its 0 % without it. Make the knob shorter or larger, or the handle longer or slimmer there.",
};

/// The hollow can't be deepest where the design has it.
pub const DEEPEST_NO_ROOM: Code = Code {
    name: "deepest-no-room",
    explain: "The hollow is to be deepest (bowl.deepest) where it has only begun, or has nearly ended: \
        it would fall like a pit there, with sides that no cutter follows. It can be at most half of the \
        way from the widest place to the neck or the tip, and less where the hollow opens late, which follows \
        from the shoulder, the rim land and where the bowl is widest. Write a place nearer to where \
        the bowl is widest, or make the shoulder shorter or the rim narrower.",
};

/// All codes of the shape room.
pub const CODES: &[Code] =
    &[RIM_TOO_WIDE, HANDLE_SWINGS, FACETS_NO_ROOM, KNOB_NO_ROOM, DEEPEST_NO_ROOM];

/// Steepest that the smooth line may be, where two stations may be no steeper than one in one.
const STEEPEST: f64 = 2.0;
/// Least width in the rounding of the end, as a share of the first station's.
const LEAST_END: f64 = 0.25;
/// Greatest width there, as the same share: what flares more is no rounding.
const MOST_END: f64 = 2.0;

/// Least and most width of a head with an outline of its own, as a share of what a plain one has there:
/// beyond, it is another head (no source).
const LEAST_SPREAD: f64 = 0.3;
const MOST_SPREAD: f64 = 3.0;

/// Widest that a plain head may become behind its widest place, as a share of its width: more is another
/// outline, on which hollow and back don't go (no source).
const MOST_SWELL: f64 = 1.05;

/// Least length over which a knob may run out, in mm: a cutter can follow no less.
const LEAST_KNOB: f64 = 1.0;

/// A key, what it sizes in words, and places along the handle with the slope there.
type SlopesAlong = (&'static str, &'static str, Vec<(f64, f64)>);

impl Body {
    /// What can't be made about it, if anything; its lattice is then not to be trusted.
    pub fn trouble(&self) -> Option<Finding> {
        self.handle_trouble().or_else(|| self.hollow_trouble())
    }

    /// How much room the handle's flats have to spare, in mm: along it, beside the outline, on top and on the
    /// sides; negative where there is trouble. None without flats.
    pub fn facet_spare(&self) -> Option<[f64; 4]> {
        self.0.handle.facet_spare(&self.0.plan)
    }

    fn handle_trouble(&self) -> Option<Finding> {
        let Parts { plan, handle, head, knob } = &*self.0;
        if let Some(finding) = self.knob_trouble() {
            return Some(finding);
        }
        let (widths, thicknesses) = (plan.half_widths(), handle.half_thicknesses());
        let pairs = |all: &[[f64; 3]]| all.iter().map(|[x, _, slope]| (*x, *slope)).collect();
        let lines: [SlopesAlong; 4] = [
            ("handle.width", "each side of its width", pairs(&widths)),
            ("handle.thickness", "each half of its thickness", pairs(&thicknesses)),
            ("handle.curve", "its middle line", handle.rise.slopes(plan.length)),
            ("handle.sway", "its middle line to the side", plan.sway.slopes(plan.length)),
        ];
        for (key, what, slopes) in lines {
            let steepest = slopes.into_iter().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
            // Asked for, not against, so that a NaN fails.
            if let Some((x, slope)) = steepest.filter(|(_, slope)| !within(slope.abs())) {
                let past = x > plan.neck;
                // Past the neck the two middle lines are the head's own.
                let key = match key {
                    "handle.curve" | "handle.sway" if past => key.replace("handle", head.table()),
                    _ => key.to_owned(),
                };
                let knob = knob.filter(|out| x > plan.end && x < *out);
                let key = match knob {
                    Some(_) if key == "handle.width" || key == "handle.thickness" => {
                        "handle.knob".to_owned()
                    }
                    _ => key,
                };
                let part = if past { "head" } else { "handle" };
                let message = format!(
                    "The {part} swings at {}: {what} changes by {} for each 1 forward there; the \
                     most is {STEEPEST:.0}.",
                    self.place(x),
                    plain(slope.abs(), 1),
                );
                return Some(self.swings(&key, message));
            }
        }
        if let Some(finding) = self.swell_trouble().or_else(|| self.outline_trouble()) {
            return Some(finding);
        }
        let lower = |a: &&[f64; 3], b: &&[f64; 3]| a[1].total_cmp(&b[1]);
        let [x, half, _] = thicknesses.iter().min_by(lower)?;
        if *half < handle.half_edge() {
            let message = format!(
                "The handle is {} thick at {}, which is less than the height of its edge, {}.",
                Length::mm(2.0 * half),
                self.place(*x),
                Length::mm(2.0 * handle.half_edge()),
            );
            return Some(self.swings("handle.thickness", message));
        }
        if let Some(finding) = self.facet_trouble() {
            return Some(finding);
        }
        let first = plan.half_open(plan.end);
        let ends = widths.iter().filter(|[x, ..]| *x <= plan.end);
        let sound = LEAST_END * first..=MOST_END * first;
        let [x, half, _] = ends.into_iter().find(|[_, half, _]| !sound.contains(half))?;
        let only = if *half < first { "only " } else { "" };
        let message = format!(
            "The handle is {only}{} wide at {}, in the rounding of its end; its first width is {}.",
            Length::mm(2.0 * half),
            self.place(*x),
            Length::mm(2.0 * first),
        );
        Some(self.swings("handle.width", message))
    }

    fn knob_trouble(&self) -> Option<Finding> {
        let Parts { plan, handle, knob, .. } = &*self.0;
        let out = (*knob)?;
        let says = |message: String, key: &str, help: &str| {
            Some(Finding::fault(KNOB_NO_ROOM, message, help).at(Source::Design, key))
        };
        // Asked for, not against, so that a NaN fails.
        let room = out <= plan.neck && out >= plan.end + LEAST_KNOB;
        if !room {
            let message = format!(
                "The knob runs out {} from the handle's very end; it must be {} to {}, between the \
                 rounding of the end and the neck.",
                Length::mm(out),
                Length::mm(plan.end + LEAST_KNOB),
                Length::mm(plan.neck),
            );
            return says(message, "handle.knob.length", "Change its `length`, or `handle.end`.");
        }
        for (word, key, times) in
            [("wide", "width", plan.knob()), ("thick", "thickness", handle.knob())]
        {
            if let Some(times) = times.filter(|times| *times < 1.0) {
                let message = format!(
                    "The knob is only {} % as {word} as the handle would be there without it.",
                    plain(100.0 * times, 0)
                );
                let help = format!("Make its `{key}` greater, or the handle slimmer at 0 %.");
                return says(message, &format!("handle.knob.{key}"), &help);
            }
        }
        None
    }

    fn facet_trouble(&self) -> Option<Finding> {
        let Parts { plan, handle, .. } = &*self.0;
        let (message, key, help) = match handle.facet_trouble(plan)? {
            NoFacet::Short { long } if long <= 0.0 => (
                "The flats end before they begin.".to_owned(),
                "to",
                "`from` and `to` count from the handle's end: make `from` the smaller one."
                    .to_owned(),
            ),
            NoFacet::Short { long } => (
                "The flats go back into the round section before they have come out of it."
                    .to_owned(),
                "run",
                format!(
                    "Write run = \"{}\" or less, or move `from` and `to` apart: they need twice `run` \
                     between them.",
                    Length::mm((5.0 * long).floor() / 10.0)
                ),
            ),
            NoFacet::Top(FacetPlace { x, reach, here, everywhere }) => (
                format!(
                    "The sloping flats reach in by {} at {}, where the handle is {} wide and {} \
                     thick; they may by {} to {}.",
                    Length::mm(reach),
                    self.place(x),
                    Length::mm(2.0 * plan.half_open(x)),
                    Length::mm(2.0 * handle.half_in_middle(x)),
                    typed(here)[0],
                    typed(here)[1],
                ),
                "chamfer",
                format!("{}, or change the handle's width there.", chamfer(everywhere)),
            ),
            NoFacet::Side(FacetPlace { x, reach, everywhere, .. }) => (
                format!(
                    "The sloping flats come down by {} on both faces at {}, where the handle is {} \
                     thick; that leaves no upright flat as high as the edge, {}.",
                    Length::mm(reach),
                    self.place(x),
                    Length::mm(2.0 * handle.half_in_middle(x)),
                    Length::mm(2.0 * handle.half_edge()),
                ),
                "chamfer",
                format!(
                    "{}, lower `edge` in [utensil], or make the handle thicker there.",
                    chamfer(everywhere)
                ),
            ),
        };
        let key = format!("handle.facets.{key}");
        Some(Finding::fault(FACETS_NO_ROOM, message, help).at(Source::Design, key))
    }

    /// A head that swells beyond its width, carried on by the handle.
    fn swell_trouble(&self) -> Option<Finding> {
        let plan = &self.0.plan;
        let [x, times] = plan.swelling();
        // Asked for, not against, so that a NaN fails.
        if times <= MOST_SWELL {
            return None;
        }
        let message = format!(
            "The handle still widens at the neck, and carries the head on to {} wide at {}; its width \
             is {}.",
            Length::mm(2.0 * times * plan.half_width),
            self.place(x),
            Length::mm(2.0 * plan.half_width),
        );
        let help = "Make the handle narrower towards the neck, or let it widen earlier; or make the head wider.";
        Some(Finding::fault(HANDLE_SWINGS, message, help).at(Source::Design, "handle.width"))
    }

    /// An outline of the head's own that its smooth line can't keep to.
    fn outline_trouble(&self) -> Option<Finding> {
        let Parts { plan, head, .. } = &*self.0;
        let [x, times, slope] = plan.spreads().into_iter().find(|[_, times, slope]| {
            !within(slope.abs()) || !(LEAST_SPREAD..=MOST_SPREAD).contains(times)
        })?;
        let message = if within(slope.abs()) {
            format!(
                "The head's outline swings at {}: it is {} times as wide there as a plain one; it \
                 may be {LEAST_SPREAD} to {MOST_SPREAD:.0} times.",
                self.place(x),
                plain(times, 2),
            )
        } else {
            format!(
                "The head's outline swings at {}: each side of it changes by {} for each 1 forward \
                 there; the most is {STEEPEST:.0}.",
                self.place(x),
                plain(slope.abs(), 1),
            )
        };
        Some(self.swings(&format!("{}.outline", head.table()), message))
    }

    fn swings(&self, key: &str, message: String) -> Finding {
        Finding::fault(
            HANDLE_SWINGS,
            message,
            "Move stations that are close together apart, make their sizes more alike, or leave \
             one out.",
        )
        .at(Source::Design, key)
    }

    /// A place along the handle in words.
    fn place(&self, x: f64) -> String {
        let plan = &self.0.plan;
        if x > plan.neck {
            format!("{} past the neck", Length::mm(x - plan.neck))
        } else if x < plan.end {
            format!("{} from its very end", Length::mm(x))
        } else {
            format!("{} %", plain(100.0 * (x - plan.end) / (plan.neck - plan.end), 1))
        }
    }

    fn hollow_trouble(&self) -> Option<Finding> {
        let HeadSkins::Bowl(bowl) = &self.0.head else { return None };
        let plan = &self.0.plan;
        let varies = bowl.land().varies();
        let rim = Length::mm(bowl.land().beside());
        let rim = if varies {
            format!("rim land {rim} wide at the sides")
        } else {
            format!("rim land of {rim}")
        };
        let (message, help) = match bowl.trouble(plan)? {
            NoHollow::Deepest(nearest) => {
                let share = 100.0 * nearest / (plan.length - plan.neck);
                let short = nearest < plan.widest - plan.neck;
                let share = if short { (share * 10.0).ceil() } else { (share * 10.0).floor() };
                let message = "The hollow is to be deepest too far from where the bowl is widest.";
                let help = format!(
                    "Write deepest = \"{} %\", or a place nearer to the widest.",
                    plain(share / 10.0, 1)
                );
                let finding = Finding::fault(DEEPEST_NO_ROOM, message, help);
                return Some(finding.at(Source::Design, "bowl.deepest"));
            }
            NoHollow::Bend { radius, land, most } => {
                let most = Length::mm((most * 10.0).floor() / 10.0);
                let write = match varies {
                    true => format!("Make the rim land {most} wide or less there"),
                    false => format!("Write rim = \"{most}\" or less"),
                };
                (
                    format!(
                        "A rim land of {} is too wide for the outline of the head, whose tightest \
                         bend has a radius of {}.",
                        Length::mm(land),
                        Length::mm(radius)
                    ),
                    format!(
                        "{write}, or {}",
                        match plan.is_own() {
                            true => "make the outline rounder where it bends most.",
                            false =>
                                "give the head a lower fullness or a widest place nearer to its middle.",
                        }
                    ),
                )
            }
            NoHollow::Narrow(past) => (
                format!(
                    "A {rim} leaves next to no hollow {} past the neck, where the \
                     outline is narrow.",
                    Length::mm(past)
                ),
                "Make the rim narrower, or the outline wider there.".to_owned(),
            ),
            NoHollow::Rear => (
                format!("A {rim} leaves no hollow behind the head's widest place."),
                "Make the rim narrower, or the head wider.".to_owned(),
            ),
        };
        Some(Finding::fault(RIM_TOO_WIDE, message, help).at(Source::Design, "bowl.rim"))
    }
}

fn within(slope: f64) -> bool {
    slope <= STEEPEST
}

/// What to write for `chamfer`, within what has room everywhere along the flats.
fn chamfer(everywhere: [f64; 2]) -> String {
    match typed(everywhere) {
        [least, most] if least < most => {
            format!("Write chamfer = \"{most}\" or less, down to {least}")
        }
        _ => "No one `chamfer` has room all along: let the flats begin later or end earlier"
            .to_owned(),
    }
}

/// A range as it is typed, in hundredths of a millimetre, rounded inwards.
fn typed([least, most]: [f64; 2]) -> [Length; 2] {
    [(100.0 * least).ceil() / 100.0, (100.0 * most).floor() / 100.0].map(Length::mm)
}
