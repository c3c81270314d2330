//! The design with its plan: the drawing, lent by whoever has a disk, and what is said of it.

use super::follow::{Followed, NoFit, follow};
use super::sides::{DrawnSides, MOST_WAVES, NoPlan};
use crate::finding::{Code, Finding, Findings, Severity, Source, Spans};
use crate::inlay::Art;
use crate::params::{Design, PLAN_KEYS, faults, parse_design};
use crate::units::{Length, plain};
use glam::DVec2;

/// A plan that can't be had.
pub const PLAN_FILE: Code = Code {
    name: "plan-file",
    explain: "The drawing that `utensil.plan` names can't be had. It is looked for from the folder of the design \
        file, and must be an SVG or a DXF with one closed outline: in SVG a path or a plain shape, with a filling or \
        with a stroke; in DXF a closed polyline, or lines and arcs that join end to end. The middle of a stroke is \
        the outline, however wide it is drawn. Texts, pictures, linked copies (`use`) and splines of DXF are not \
        read: let your drawing program turn them into paths, or take them out.",
};

/// A drawing that is no plan.
pub const PLAN_OUTLINE: Code = Code {
    name: "plan-outline",
    explain: "The outline that is drawn can't be the plan of the utensil. It lies along the drawing from left to \
        right, the handle's end at the left and the tip at the right, and is seen from above. It is one outline, \
        without holes; tines and openings have keys of their own. A line straight across meets it twice and no \
        more: where it turns back on itself there is no single width. It is longer than it is wide, and everywhere wide enough \
        to be wood. The head's length is not in the drawing but in the design, and the widest place of the head must lie \
        within the range of its key `widest`.",
};

type LentFile<'a> = &'a dyn Fn(&str) -> Result<Vec<u8>, String>;

/// The outline leaves its own middle by this much at least, in mm, to be one with two different sides.
const CURVED: f64 = 0.02;

/// Reads a design file and the drawing of its plan, if it names one; `read` gives the bytes of a file by the name
/// that the design has for it, or says why it can't. The design is none where it, or its plan, can't be had, and
/// that is said.
pub fn design(
    text: &str,
    read: LentFile<'_>,
    findings: &mut Findings,
) -> (Option<Design>, Option<Spans>) {
    let (design, spans) = parse_design(text, findings).unzip();
    let Some(design) = design else { return (None, spans) };
    if design.plan.is_none() {
        return (Some(design), spans);
    }
    // What follows from a fault of the file would only be noise.
    if findings.iter().any(|finding| finding.severity == Severity::Fault) {
        return (None, spans);
    }
    match drawn(design, read) {
        Ok(design) => {
            let mut broken = false;
            for mut fault in faults(&design) {
                broken |= fault.severity == Severity::Fault;
                let key = fault.place.as_ref().map(|place| place.key.clone()).unwrap_or_default();
                if PLAN_KEYS.iter().any(|set| key.starts_with(set)) {
                    fault = fault.at(Source::Design, "utensil.plan");
                    fault.message = format!("Of the plan: {}", fault.message);
                    fault.help = "Change the drawing there, or the design's `length`s.".into();
                }
                findings.push(fault);
            }
            ((!broken).then_some(design), spans)
        }
        Err(finding) => {
            findings.push(finding.at(Source::Design, "utensil.plan"));
            (None, spans)
        }
    }
}

fn drawn(mut design: Design, read: LentFile<'_>) -> Result<Design, Box<Finding>> {
    let Some(plan) = design.plan.clone() else { return Ok(design) };
    let name = &plan.file;
    let lost = |why: String, help: &'static str| Box::new(Finding::fault(PLAN_FILE, why, help));
    let bytes = read(name).map_err(|why| {
        lost(
            format!("The plan `{name}` can't be read: {why}."),
            "Name an SVG or DXF file with one closed outline, as seen from the design's folder.",
        )
    })?;
    let length = design.length.as_mm();
    let mut rings = Art::rings(name, &bytes, length)
        .map_err(|why| lost(format!("The plan `{name}` {why}."), why.help()))?;
    let none = |message: String, help: &str| {
        Box::new(Finding::fault(PLAN_OUTLINE, message, help.to_owned()))
    };
    if rings.is_empty() {
        return Err(none(
            format!("The outline of the plan `{name}` encloses nothing."),
            "Draw one closed outline, the handle's end at the left and the tip at the right.",
        ));
    }
    let (Some(ring), true) = (rings.pop(), rings.is_empty()) else {
        return Err(none(
            format!("The plan `{name}` holds {} outlines; a plan is one.", rings.len() + 1),
            "Take the others out of the drawing; `[[opening]]` and `[tines]` cut what lies inside.",
        ));
    };
    let sides = DrawnSides::of(ring, length).map_err(|why| match why {
        NoPlan::Back(p) => none(
            format!(
                "The plan `{name}` turns back on itself {} from the handle's end, {}: there a line across meets it \
                 more than twice.",
                Length::mm(p.x),
                beside(p)
            ),
            "Draw each side so that it runs from the handle's end to the tip without turning back.",
        ),
        NoPlan::Wide => none(
            format!("The plan `{name}` is wider than it is long."),
            "Turn the drawing: it lies along, the handle's end at the left and the tip at the right.",
        ),
        NoPlan::Wavy(count) => none(
            format!(
                "A side of the plan `{name}` goes in and out {count} times; the most is {MOST_WAVES}.",
            ),
            "Draw the sides smooth; what is carved into an edge is a step of its own, by hand.",
        ),
        NoPlan::Thin(x) => none(
            format!("The plan `{name}` is next to nothing wide {} from the handle's end.", Length::mm(x)),
            "Draw it wider there: a line across must meet two sides.",
        ),
    })?;
    let neck = length - design.head.length().as_mm();
    if neck <= 0.0 {
        // Faults of its lengths are told as of any design.
        return Err(none(
            format!("Of the plan's {} the head takes {}.", design.length, design.head.length()),
            "Write a greater `utensil.length`, or a shorter head.",
        ));
    }
    let at_neck = sides.middle(neck);
    let sides = sides.moved(-at_neck);
    // A handle that is wider than any head may be the head.
    let change = || {
        let wide = |x: f64| sides.width(x).as_mm();
        let places = (1..400).map(|i| length * f64::from(i) / 400.0);
        let widest = places.max_by(|a, b| wide(*a).total_cmp(&wide(*b)));
        if widest.is_some_and(|x| x < 0.5 * length) { TURNED } else { CHANGE }
    };
    let straight = (1..400).all(|i| sides.middle(length * f64::from(i) / 400.0).abs() < CURVED);
    let Followed { design: fitted, off, at } = follow(&design, &sides, !straight).map_err(|why| match why {
        NoFit::Widest { at, least, most } => none(
            format!(
                "The head of the plan `{name}` is widest at {} % of its length from the neck; it must be at {} % to \
                 {} %.",
                plain(100.0 * at, 0),
                plain(100.0 * least, 0),
                plain(100.0 * most, 0),
            ),
            change(),
        ),
        NoFit::Neck => none(
            format!("The plan `{name}` leaves no handle that could follow it."),
            change(),
        ),
    })?;
    design = fitted;
    if let Some(plan) = &mut design.plan {
        (plan.off, plan.at) = (Length::mm(off), Length::mm(at));
    }
    Ok(design)
}

const CHANGE: &str = "Change the head's `length`, which says where the neck is, or the drawing.";
const TURNED: &str = "The drawing is widest in its left half. If the head is there, turn the drawing half round: the \
                      handle's end lies at the left.";

fn beside(p: DVec2) -> &'static str {
    if p.y < 0.0 { "on its right" } else { "on its left" }
}
