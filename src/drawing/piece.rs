//! The dimensioned drawing of the piece: plan, section along its middle, cross-sections.
//!
//! Third-angle projection: the plan stands above the side that is seen from below it on the paper.

mod cut;
mod sections;

use super::ink::{Anchor, Ink, Line, MAIN};
use super::measure::Both;
use super::words;
use crate::job::Piece;
use crate::params::{Head, Side};
use crate::shape::Body;
use crate::units::{Length, Unit};
use glam::DVec2;

pub(crate) use sections::sections;
use sections::{LEFT, RIGHT};

/// Width of the drawings on paper, in mm: what A4 leaves between margins of 15 mm.
pub(crate) const WIDE: f64 = 180.0;

/// Plan and profile, above each other.
pub(crate) fn views(piece: &Piece, unit: Unit) -> String {
    let (ink, size) = drawn(piece, unit);
    ink.done(size, words::VIEWS_NAME)
}

/// The cross-sections, one SVG element after another, each as large on paper as it is drawn.
pub(crate) fn cross_sections(piece: &Piece, unit: Unit) -> String {
    let named = |title: &str| words::fill(words::SECTION_NAME, &[("section", title)]);
    sections::drawn(piece, unit)
        .into_iter()
        .map(|drawn| drawn.ink.done_at_size(drawn.size, &named(&drawn.title)))
        .collect()
}

fn drawn(piece: &Piece, unit: Unit) -> (Ink, DVec2) {
    let mut ink = Ink::default();
    let length = piece.body.length().as_mm();
    let scale = (RIGHT - LEFT) / length;
    let (low, high) = (piece.sizes.low, piece.sizes.high);
    let middle = 10.0 + high.y * scale;
    let plan = |p: DVec2| DVec2::new(LEFT + p.x * scale, middle - p.y * scale);
    let foot = middle - low.y * scale;
    let below = plan_view(&mut ink, (piece, unit), &plan, foot);
    // The profile's highest place, and its zero line.
    let level = below + 13.0 + high.z.max(0.0) * scale;
    let side = |x: f64, z: f64| DVec2::new(LEFT + x * scale, level - z * scale);
    profile(&mut ink, (piece, unit), &side);
    let end = level - low.z.min(0.0) * scale + 10.5;
    let before = match (&piece.design.tines, piece.design.opening.is_empty()) {
        (None, true) => "",
        (None, false) => words::BEFORE_OPENINGS,
        (Some(_), _) => words::BEFORE_SLOTS,
    };
    let caption = words::fill(words::PROFILE_CAPTION, &[("before", before)]);
    ink.words(DVec2::new(LEFT, end), Anchor::Start, false, MAIN, &caption);
    let symbol = end + 9.0;
    third_angle(&mut ink, DVec2::new(LEFT, symbol));
    let beside = DVec2::new(LEFT + 24.0, symbol + 1.0);
    ink.words(beside, Anchor::Start, false, MAIN, words::PROJECTION);
    (ink, DVec2::new(WIDE, symbol + 6.0))
}

/// The piece from above. Returns how far down it reaches.
fn plan_view(
    ink: &mut Ink,
    (piece, unit): (&Piece, Unit),
    plan: &dyn Fn(DVec2) -> DVec2,
    foot: f64,
) -> f64 {
    let body = &piece.body;
    let length = piece.body.length().as_mm();
    let cuts = piece.outlines.cuts();
    for run in cut::finished(&piece.outlines.body, &cuts) {
        ink.lines(Line::Seen, &run.iter().map(|p| plan(*p)).collect::<Vec<_>>(), false);
    }
    if let Some(hollow) = &piece.outlines.hollow {
        for run in cut::outside(&cut::dense(hollow), &cuts) {
            ink.lines(Line::Thin, &run.iter().map(|p| plan(*p)).collect::<Vec<_>>(), false);
        }
    }
    let along: Vec<DVec2> = (0..=60)
        .map(|i| length * (f64::from(i) / 60.0 * 1.04 - 0.02))
        .map(|x| plan(DVec2::new(x, body.middle_at(Length::mm(x.clamp(0.0, length))).y)))
        .collect();
    ink.lines(Line::Middle, &along, false);

    // Where the cross-sections are taken, seen towards the tip.
    for section in sections(piece) {
        let ends = [(Side::Left, -1.0), (Side::Right, 1.0)];
        for (side, down) in ends {
            let edge = plan(body.outline_at(section.x, side));
            let (from, to) = (edge + DVec2::Y * down * 1.2, edge + DVec2::Y * down * 4.2);
            ink.lines(Line::Seen, &[from, to], false);
            ink.arrow(to + DVec2::X * 3.4, DVec2::X);
            ink.lines(Line::Thin, &[to, to + DVec2::X * 2.0], false);
            let letter = to + DVec2::new(-1.0, if down < 0.0 { 0.6 } else { 1.8 });
            ink.words(letter, Anchor::End, false, MAIN, &section.letter);
        }
    }

    // Lengths in rows below, the shortest nearest.
    let end = plan(DVec2::ZERO);
    let tip = plan(DVec2::new(length, 0.0));
    let neck_x = body.neck_x().as_mm();
    let neck = plan(body.outline_at(body.neck_x(), Side::Right));
    let at = |x: f64| plan(DVec2::new(x, body.middle_at(Length::mm(x)).y));
    let mut row = foot + 11.0;
    if let Some(tines) = &piece.design.tines {
        let root = at(length - tines.slot.length.as_mm());
        ink.across(root, tip, row, &Both::of(tines.slot.length, unit));
        row += 11.0;
    }
    ink.across(end, neck, row, &Both::of(Length::mm(neck_x), unit));
    ink.across(neck, tip, row, &Both::of(Length::mm(length - neck_x), unit));
    row += 11.0;
    ink.across(end, tip, row, &Both::of(body.length(), unit));

    // The width of the head beside its tip.
    let widest = body.widest_x();
    let [left, right] = [Side::Left, Side::Right].map(|side| body.outline_at(widest, side));
    let figure = Both::of(Length::mm(left.y - right.y), unit);
    ink.upright(plan(left), plan(right), RIGHT + 9.0, Anchor::Start, "", &figure);
    row + 4.0
}

/// The piece cut along its middle line, before slots are cut.
fn profile(ink: &mut Ink, (piece, unit): (&Piece, Unit), side: &dyn Fn(f64, f64) -> DVec2) {
    let body = &piece.body;
    let length = body.length().as_mm();
    let top = cut::along(body, Body::top);
    let bottom = cut::along(body, Body::bottom);
    let closed: Vec<DVec2> =
        top.iter().chain(bottom.iter().rev()).map(|p| side(p.x, p.y)).collect();
    ink.hatched(&closed);
    ink.lines(Line::Seen, &closed, true);
    let parting: Vec<DVec2> = (1..200)
        .map(|i| body.outline_at(Length::mm(length * f64::from(i) / 200.0), Side::Right))
        .map(|p| side(p.x, body.parting(p)))
        .collect();
    ink.lines(Line::Limit, &parting, false);

    // Height over all on the left.
    let extreme = |points: &[DVec2], sign: f64| {
        points.iter().copied().max_by(|a, b| (sign * a.y).total_cmp(&(sign * b.y)))
    };
    if let (Some(high), Some(low)) = (extreme(&top, 1.0), extreme(&bottom, -1.0)) {
        let figure = Both::of(Length::mm(high.y - low.y), unit);
        let (high, low) = (side(high.x, high.y), side(low.x, low.y));
        ink.upright(high, low, LEFT - 6.0, Anchor::End, "", &figure);
    }
    // Depth and wood on the right, one under the other.
    let neck = body.neck_x().as_mm();
    let head: Vec<DVec2> = top.iter().copied().filter(|p| p.x > neck).collect();
    match (&piece.design.head, piece.sizes.bowl_depth) {
        (Head::Bowl(_), Some(depth)) => {
            // Deepest from the land straight over it, however the head is curved.
            let below = |p: &DVec2| body.land(body.middle_at(Length::mm(p.x))) - p.y;
            let deepest = head.iter().copied().max_by(|a, b| below(a).total_cmp(&below(b)));
            let Some(lowest) = deepest else { return };
            let rim = side(length, lowest.y + depth.as_mm());
            let deep = side(lowest.x, lowest.y);
            let figure = Both::of(depth, unit);
            // Shallow hollows leave no room for both figures beside their own lines.
            let under = body.bottom(body.middle_at(Length::mm(lowest.x)));
            let wood = Length::mm(lowest.y - under);
            let under = side(lowest.x, under);
            ink.dimension(rim, deep, RIGHT + 9.0);
            ink.dimension(deep, under, RIGHT + 9.0);
            let x = RIGHT + 9.0;
            let high = ((rim.y + deep.y) / 2.0).min(deep.y - 2.6);
            let low = ((deep.y + under.y) / 2.0).max(high + 7.2);
            ink.beside(DVec2::new(x, high), Anchor::Start, words::HOLLOW, &figure);
            ink.beside(DVec2::new(x, low), Anchor::Start, words::WALL, &Both::of(wood, unit));
        }
        _ => {
            let place = body.middle_at(body.widest_x());
            let [up, down] = [body.top(place), body.bottom(place)];
            let figure = Both::of(Length::mm(up - down), unit);
            let (up, down) = (side(place.x, up), side(place.x, down));
            ink.upright(up, down, RIGHT + 9.0, Anchor::Start, "", &figure);
        }
    }
}

/// The mark of third-angle projection (ISO 5456-2): a cone's end, and its side to the right of it
/// with the narrow end towards it.
fn third_angle(ink: &mut Ink, at: DVec2) {
    let round = at + DVec2::new(4.0, 0.0);
    ink.circle(Line::Outline, round, 3.0);
    ink.circle(Line::Outline, round, 1.5);
    let cone = at + DVec2::new(10.5, 0.0);
    let corners = [
        cone + DVec2::new(0.0, -1.5),
        cone + DVec2::new(7.0, -3.0),
        cone + DVec2::new(7.0, 3.0),
        cone + DVec2::new(0.0, 1.5),
    ];
    ink.lines(Line::Outline, &corners, true);
    ink.lines(Line::Middle, &[at, at + DVec2::X * 19.0], false);
}

#[cfg(test)]
pub(crate) mod tests;
