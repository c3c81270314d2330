//! What is looked at before an inlay is made, and on what was made.

use super::bed_of_art::{BedOfArt, Recess, Underside};
use super::inlaid::Inlaid;
use super::one::{Cutters, InlayOrder, OneInlay};
use super::{codes, standing, trim};
use crate::check::{BeamSection, Slice};
use crate::finding::{Finding, Findings, Source};
use crate::fit::movement::{Growth, change};
use crate::outline::ArcPath;
use crate::params::{Board, CutterForm, InlaySide, PlugGrain, species, weakest};
use crate::units::{Length, plain};
use glam::DVec2;

/// Wood that the art keeps to the face's edges, in mm (common practice, no source).
const LAND_MM: f64 = 1.0;
/// The face may be as steep as this part of the flank.
const STEEPEST: f64 = 0.6;
/// So little wood under a recess is as good as none, in mm (no source).
const NONE_MM: f64 = 0.8;
/// Strokes that the tip can't enter may add up to this, in mm: the points of a few leaves (no source).
const SHUT_MM: f64 = 2.0;
/// A cutter that gets into less of the art than this loses what shows (no source).
const REACHED: f64 = 0.97;
/// Plug and handle may differ by this, in mm: about what a film of glue gives (no source).
const DIFFER: Length = Length::mm(0.1);
/// The hand holds the handle up to here, and a load lies so far behind the tip, in mm, as for `weak`.
const HAND_MM: f64 = 90.0;
const BEHIND_MM: f64 = 2.0;
/// Strips of a section, in mm.
const STRIP_MM: f64 = 0.25;

/// Whether the art lies on its face.
pub(super) fn face(one: &OneInlay<'_>, bed: &BedOfArt<'_>, out: &mut Findings) -> Option<()> {
    let body = one.order.body;
    let side = match one.inlay.side {
        InlaySide::Top => "top",
        InlaySide::Bottom => "bottom",
    };
    let inside = one.order.outline.inside();
    let top = one.inlay.side == InlaySide::Top;
    let land = |p: DVec2| {
        let p = one.in_plan(p);
        let far = one.order.outline.distance(p).as_mm();
        if inside(p) { far } else { -far }
    };
    let points = &bed.shore.points;
    let least = points.iter().map(|p| (land(*p), *p)).min_by(|a, b| a.0.total_cmp(&b.0))?;
    if let (land, p) = least
        && land < LAND_MM
    {
        let (needs, by) = (Length::mm(LAND_MM), Length::mm(land.abs()));
        let goes = if land < 0.0 {
            format!("reaches {by} beyond the face's edge")
        } else {
            format!("leaves {by} of wood at the face's edge")
        };
        let at = Length::mm(one.in_plan(p).x.max(0.0));
        let message = format!(
            "the art of the inlay {goes}, {at} from the handle's end; it must leave {needs}"
        );
        let help = "Move it, turn it, or make it smaller.";
        let finding = Finding::fault(codes::INLAY_OFF_FACE, message, help);
        out.push(one.about(finding, "at").on(one.in_plan(p), Some(side)));
        return None;
    }
    let first = points.first().map(|p| body.past_line(one.in_plan(*p)));
    let other = points.iter().copied().find(|p| Some(body.past_line(one.in_plan(*p))) != first);
    if let Some(p) = other.filter(|_| top) {
        let message = "the art of the inlay crosses a line where the face breaks";
        let help = "Move it wholly to one side of the hollow's edge or of the bevel.";
        let finding = Finding::fault(codes::INLAY_OFF_FACE, message, help);
        out.push(one.about(finding, "at").on(one.in_plan(p), Some(side)));
        return None;
    }
    let slope = |p: DVec2| {
        let across = |step: DVec2| ((bed.face)(p + step) - (bed.face)(p - step)) / 0.02;
        DVec2::new(across(DVec2::new(0.01, 0.0)), across(DVec2::new(0.0, 0.01))).length()
    };
    let steepest = points.iter().map(|p| (slope(*p), *p)).max_by(|a, b| a.0.total_cmp(&b.0))?;
    if steepest.0 > STEEPEST * bed.shore.slope {
        let message = format!(
            "under the art the face slopes by {} degrees, and the vee's flank stands at {}",
            plain(steepest.0.atan().to_degrees(), 0),
            plain(bed.shore.slope.atan().to_degrees(), 0)
        );
        let help = "Take a sharper vee, or move the art nearer to the crest.";
        let finding = Finding::fault(codes::INLAY_STEEP, message, help);
        out.push(one.about(finding, "cutter").on(one.in_plan(steepest.1), Some(side)));
        return None;
    }
    Some(())
}

/// Whether the recess leaves a piece that holds.
pub(super) fn wood(one: &OneInlay<'_>, bed: &BedOfArt<'_>, out: &mut Findings) -> Option<()> {
    let InlayOrder { body, shop, .. } = *one.order;
    let under = |p: DVec2| {
        let p = one.in_plan(p);
        body.top(p) - body.bottom(p) - one.inlay.depth.as_mm()
    };
    let least =
        bed.shore.points.iter().map(|p| (under(*p), *p)).min_by(|a, b| a.0.total_cmp(&b.0))?;
    let wall = shop.limits.wall;
    if least.0 < wall.as_mm() {
        let left = Length::mm(least.0.max(0.0));
        let message = format!(
            "under the recess only {left} of wood would be left; the shop's least wall is {wall}"
        );
        let help = "Make `depth` less, or move the art to a stouter place.";
        let none = least.0 < NONE_MM;
        let grave = if none { Finding::fault } else { Finding::caution };
        let finding = grave(codes::INLAY_TOO_DEEP, message, help);
        out.push(one.about(finding, "depth").on(one.in_plan(least.1), None));
        if none {
            return None;
        }
    }
    standing::look(one, bed, out);
    weak(one, bed, out);
    Some(())
}

/// Whether the cutter of a poured inlay gets into its art.
pub(super) fn reached(
    one: &OneInlay<'_>,
    bed: &BedOfArt<'_>,
    touched: &[Vec<DVec2>],
    cutters: &Cutters<'_>,
    out: &mut Findings,
) -> Option<()> {
    let area = |loops: &[Vec<DVec2>]| -> f64 {
        loops.iter().map(|ring| ArcPath::polygon(ring.iter().copied()).signed_area()).sum()
    };
    let (all, own) = (area(&bed.loops), area(touched));
    let share = own / all;
    if share < REACHED {
        let none = own <= 0.0;
        let message = format!(
            "\"{}\", diameter {}, gets into {} % of the art",
            cutters.clear.name,
            cutters.clear.diameter,
            plain(100.0 * share.max(0.0), 0)
        );
        let help =
            "Name a thinner cutter with `cutter`, make the art larger, or draw its strokes wider.";
        let finding = if none { Finding::fault } else { Finding::caution };
        out.push(one.about(finding(codes::INLAY_THIN, message, help), "size"));
        if none {
            return None;
        }
    }
    Some(())
}

/// Whether the recess's cutters can cut it.
pub(super) fn recess(
    one: &OneInlay<'_>,
    recess: &Recess,
    cutters: &Cutters<'_>,
    out: &mut Findings,
) {
    if let (true, Some(p)) = (recess.shut.0 > SHUT_MM, recess.shut.1) {
        let message = format!(
            "along {} of the art a stroke is thinner than the vee's tip, {}",
            Length::mm(recess.shut.0),
            one.inlay.tip
        );
        let help = "Make the art larger, draw the stroke wider, or take a vee with a finer tip.";
        let finding = Finding::caution(codes::INLAY_THIN, message, help);
        out.push(one.about(finding, "tip").on(one.in_plan(p), None));
    }
    vee_long(one, cutters, one.inlay.depth, "the recess", true, out);
}

fn vee_long(
    one: &OneInlay<'_>,
    cutters: &Cutters<'_>,
    deep: Length,
    what: &str,
    grave: bool,
    out: &mut Findings,
) {
    let vee = cutters.vee;
    let CutterForm::Vee(angle) = vee.form else { return };
    let cone = Length::mm(vee.diameter.half().as_mm() / (angle.as_radians() / 2.0).tan());
    let reach = cone.min(vee.flute);
    if reach < deep {
        let message =
            format!("\"{}\" cuts {reach} deep at most, and {what} is {deep} deep", vee.name);
        let help = "Take a longer vee, or make `depth` or `proud` less.";
        let finding = if grave { Finding::fault } else { Finding::caution };
        out.push(one.about(finding(codes::INLAY_VEE_SHORT, message, help), "cutter"));
    }
}

/// Whether the piece still bears its load, with nothing counted for what fills the recess.
fn weak(one: &OneInlay<'_>, bed: &BedOfArt<'_>, out: &mut Findings) {
    let InlayOrder { body, board, shop, design, .. } = *one.order;
    let wood = species(&board.species).unwrap_or_else(weakest);
    let inside = super::even_odd::odd(&bed.loops);
    let ends =
        |pick: fn(f64, f64) -> f64, start| bed.shore.points.iter().map(|p| p.x).fold(start, pick);
    let (from, to) = (ends(f64::min, f64::INFINITY), ends(f64::max, f64::NEG_INFINITY));
    let depth = one.inlay.depth.as_mm();
    let length = body.length().as_mm();
    let held = HAND_MM.min(0.4 * length);
    let strength = wood.strength_mpa_at(board.grain.as_radians());
    let mut worst: Option<(f64, f64)> = None;
    let steps = ((to - from) / 0.5).ceil() as u32;
    for step in 0..=steps {
        let x = from + 0.5 * f64::from(step);
        let [right, left] = body.across(Length::mm(x));
        let count = ((left - right) / STRIP_MM).floor().max(0.0) as u32;
        let strips = (0..count).map(|k| {
            let p = DVec2::new(x, right + STRIP_MM * (f64::from(k) + 0.5));
            let cut = if inside(one.in_plan(p)) { depth } else { 0.0 };
            let (mut low, mut high) = (body.bottom(p), body.top(p));
            match one.inlay.side {
                InlaySide::Top => high -= cut,
                InlaySide::Bottom => low += cut,
            }
            Slice { low, high: high.max(low), width: STRIP_MM }
        });
        let section = BeamSection::of(x, strips);
        if section.second > 0.0 {
            let arm = length - BEHIND_MM - x.max(held);
            let stress = design.load.tip_n * arm * section.outer / section.second;
            let factor = strength / stress;
            if worst.is_none_or(|(least, _)| factor < least) {
                worst = Some((factor, x));
            }
        }
    }
    let wanted = shop.limits.check.safety;
    if let Some((factor, x)) = worst.filter(|(factor, _)| *factor < wanted) {
        let message = format!(
            "with the recess in it the piece bears {} times its load at {} mm from the handle's end; the shop's least is {} times",
            plain(factor, 1),
            plain(x, 0),
            plain(wanted, 1)
        );
        let help = "Make `depth` less, or move the art to a stouter place.";
        let finding = Finding::caution(codes::INLAY_WEAK, message, help);
        out.push(one.about(finding, "depth").on(DVec2::new(x, 0.0), None));
    }
}

/// Whether the plug has a foot and can be cut.
pub(super) fn plug(
    one: &OneInlay<'_>,
    under: &Underside,
    cutters: &Cutters<'_>,
    out: &mut Findings,
) -> Option<()> {
    let grave = under.volume <= 0.0;
    if grave || under.foot <= 0.0 {
        let message = match grave {
            true => "the room asked for at foot and flanks leaves no plug in the recess",
            false => "the plug has no foot: its flanks meet before they reach the floor",
        };
        let help = "Make `depth`, `gap` or `under` less, or the art larger.";
        let finding = if grave { Finding::fault } else { Finding::caution };
        out.push(one.about(finding(codes::INLAY_NO_FOOT, message, help), "depth"));
    }
    vee_long(one, cutters, Length::mm(under.plate - under.lowest), "the plug", false, out);
    (!grave).then_some(())
}

/// Whether plug and handle move alike.
pub(super) fn movement(
    one: &OneInlay<'_>,
    bed: &BedOfArt<'_>,
    plug: Option<&Board>,
    out: &mut Findings,
) {
    let Some(plug) = plug else { return };
    let moves = |board: &Board, size: f64| {
        let (now, later) = (board.moisture_now?, board.moisture_use?);
        Some(change(species(&board.species)?, Growth::Tangential, size, now, later))
    };
    let points = &bed.shore.points;
    let low = points.iter().copied().fold(DVec2::INFINITY, DVec2::min);
    let size = points.iter().copied().fold(DVec2::NEG_INFINITY, DVec2::max) - low;
    let own =
        |board: &Board, along: bool, size: f64| if along { Some(0.0) } else { moves(board, size) };
    let grain = one.inlay.grain;
    let pairs = [
        ("along", size.x, true, grain == PlugGrain::Along),
        ("across", size.y, false, grain == PlugGrain::Across),
    ];
    for (way, size, handle_along, plug_along) in pairs {
        let (Some(handle), Some(own)) =
            (own(one.order.board, handle_along, size), own(plug, plug_along, size))
        else {
            continue;
        };
        let differ = Length::mm((own - handle).abs());
        if differ > DIFFER {
            let more = if own > handle { "more" } else { "less" };
            let message = format!(
                "{way} the handle the plug of {} grows {differ} {more} than its recess until it is in use",
                plug.species
            );
            let help =
                "Let both boards settle where they will be used, or take woods that move alike.";
            out.push(one.about(Finding::caution(codes::INLAY_MOVES, message, help), "board"));
        }
    }
}

/// Whether inlays of one face keep clear of each other.
pub(super) fn apart(made: &[Inlaid], out: &mut Findings) {
    for (index, one) in made.iter().enumerate() {
        for other in made[..index].iter().filter(|other| other.face == one.face) {
            let points = other.art.iter().flat_map(|path| &path.vertices).map(|v| v.point);
            let near =
                points.clone().any(|p| one.art.iter().any(|path| path.distance(p) < trim::APART));
            let within = points
                .take(1)
                .any(|p| one.art.iter().filter(|path| path.contains(p)).count() % 2 == 1);
            if near || within {
                let message = format!(
                    "this inlay leaves less than {} to the inlay {}",
                    trim::APART,
                    other.name
                );
                let help = "Move one of them, or draw both as one art.";
                let finding = Finding::fault(codes::INLAY_APART, message, help);
                out.push(finding.at(Source::Design, format!("inlay[{}].at", one.number)));
            }
        }
    }
}
