//! Does the finishing cutter reach everything, and what is left to sand?

use super::advice;
use super::cutters::{self, CutterReach};
use super::left::{Uncut, uncut};
use crate::check::notes::{Notes, beside};
use crate::check::{Context, Sides};
use crate::finding::{Code, Finding, Source};
use crate::relief::Face;
use crate::units::{Length, plain};

/// The finishing cutter leaves more than may be sanded off.
pub const UNCUT: Code = Code {
    name: "uncut",
    explain: "Somewhere on this side the finishing cutter leaves more wood than the shop's \
        limits.uncut, because its ball is rounder than the hollow it must follow. Take a thinner \
        ball, make the design less tight at the place given, or sand it. The map in the packet \
        shows where. What is left is the surface that the ball makes at its lowest possible \
        places, less the design (a grey-scale closing with the exact ball; J. Serra, Image \
        Analysis and Mathematical Morphology, 1982). It is calculated on cells of 0.2 mm, and near \
        steep edges with the exact normals, so a groove narrower than a cell may be missed. The \
        rule leaves out bending of the cutter, play in the machine and the ridges between passes.",
};

pub(in crate::check) fn look(at: &Context<'_>, sides: &Sides, notes: &mut Notes) -> Option<String> {
    let limit = at.shop.limits.check.uncut;
    let mut says = Vec::new();
    let finish = at.shop.cutter(&at.shop.work.finish)?;
    let (both, others) = rayon::join(
        || {
            let [top, bottom] = [0, 1].map(|side| (Face::BOTH[side], &sides.grounds[side]));
            let uncut = |(face, ground)| uncut(at.body, face, ground, sides.tool);
            rayon::join(|| uncut(top), || uncut(bottom))
        },
        || cutters::others(at),
    );
    let both = [both.0, both.1];
    let mut least: Option<Length> = None;
    for uncut in &both {
        let side = uncut.face.name();
        notes.figure(format!("reach_{side}_uncut_most_mm"), uncut.most.as_mm());
        notes.figure(format!("reach_{side}_uncut_volume_mm3"), uncut.volume_mm3);
        notes.figure(format!("reach_{side}_uncut_area_mm2"), uncut.area_mm2);
        if let Some((radius, _)) = uncut.concave {
            notes.figure(format!("reach_{side}_concave_radius_least_mm"), radius.as_mm());
            least = Some(least.map_or(radius, |least| least.min(radius)));
        }
        says.push(match plain(uncut.most.as_mm(), 2).as_str() {
            "0" => format!("{side}: all cut"),
            most => format!("{side}: {most} mm left at most"),
        });
        notes.checks.reached.push(CutterReach::of(finish, uncut, true, limit));
    }
    notes.checks.reached.extend(others);
    let mut advice: Option<Option<String>> = None;
    for uncut in both {
        if uncut.most > limit {
            let change = advice.get_or_insert_with(|| advice::change(at, sides.tool));
            let reached = &notes.checks.reached;
            let finding = finding(at, &uncut, limit, change.as_deref(), least, reached);
            notes.say(finding);
        }
        notes.checks.uncut.push(uncut);
    }
    if let Some(radius) = least {
        says.push(format!(
            "tightest hollow R {} mm, ball R {} mm",
            plain(radius.as_mm(), 1),
            plain(finish.diameter.half().as_mm(), 2)
        ));
    }
    says.extend(cutters::says(&notes.checks.reached));
    Some(says.join("; "))
}

fn finding(
    at: &Context<'_>,
    uncut: &Uncut,
    limit: Length,
    change: Option<&str>,
    tightest: Option<Length>,
    reached: &[CutterReach],
) -> Finding {
    let Uncut { face, most, at: place, .. } = uncut;
    let balls: Vec<String> = cutters::would_do(reached)
        .into_iter()
        .filter(|name| reached.iter().any(|one| one.cutter == *name && one.may))
        .map(|name| format!("\"{name}\""))
        .collect();
    let mut ways = Vec::new();
    match (balls.as_slice(), tightest) {
        ([], Some(radius)) => ways.push(format!(
            "No other ball in this shop is thin enough. One of {} mm or less would do: the \
             tightest hollow has R {} mm.",
            plain((20.0 * radius.as_mm()).floor() / 10.0, 1),
            plain(radius.as_mm(), 2)
        )),
        ([], None) => {}
        (names, _) => ways.push(format!(
            "{} of this shop would reach everything: name it at work.finish.",
            names.join(" or ")
        )),
    }
    ways.extend(change.map(|change| {
        let finish = &at.shop.work.finish;
        format!("Or {change} would let \"{finish}\" in.")
    }));
    // Rounded up: a place of half a square millimetre was told as none.
    ways.push(format!("Or sand {} mm\u{b2} by hand.", plain(uncut.area_mm2.ceil(), 0)));
    Finding::caution(
        UNCUT,
        format!(
            "on the {} the finishing cutter leaves {} mm of wood {} mm from the handle's end, {}; \
             the shop's limit is {limit}",
            face.name(),
            plain(most.as_mm(), 2),
            plain(place.x, 0),
            beside(place.y)
        ),
        ways.join(" "),
    )
    .on(*place, Some(face.name()))
    .at(Source::Shop, "work.finish")
}
