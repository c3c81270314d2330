//! Thin wood: the least true thickness, the upright edge, and edges that run across the grain.

use super::context::INSIDE;
use super::cure::{self, Sense};
use super::notes::{Notes, beside};
use super::{Context, Sides, thin};
use crate::finding::{Code, Finding, Source};
use crate::params::{Design, Head, Side};
use crate::shape::Body;
use crate::units::{Length, plain};
use glam::{DVec2, DVec3};

/// A thin edge lies across the grain.
pub const CHIP_OUT: Code = Code {
    name: "chip-out",
    explain: "An edge that runs across the grain (the tip, the front of a blade, the handle's end) \
        is thinner than the shop's limits.chip just inside the rim. Its fibres are short, with \
        nothing behind them, so a cutter that runs out over the edge, or climbs onto it from \
        outside, breaks pieces off. Make the edge thicker (utensil.edge, blade.front or bowl.wall) \
        and thin it by hand. Or let the last finishing passes run along that edge, in the \
        direction the finding gives, from the middle of the piece towards it, while its skirt \
        still stands behind it. The rule takes the grain as straight, in the direction given in \
        the board file.",
};

/// There is little wood somewhere inside the rim.
pub const THIN_PLACE: Code = Code {
    name: "thin-place",
    explain: "More than 2 mm inside the outline, the wood is thinner somewhere than the shop's \
        limits.thin. Thickness is the shortest distance from top to bottom in any direction; on a \
        slant it is less than the upright thickness. The place is found on cells of 1 mm and then \
        refined on the exact surface. Make the wood thicker there: utensil.edge beside the rim, \
        elsewhere bowl.wall, blade.thickness or handle.thickness. The rule leaves out slots and \
        what sanding takes off.",
};

/// The upright edge is like a knife.
pub const KNIFE_EDGE: Code = Code {
    name: "knife-edge",
    explain: "The upright edge all round, where the two carved sides meet, is lower somewhere than \
        the shop's limits.edge. Such a thin edge is sharp in the hand and in the mouth, frays \
        under sandpaper, and shows the smallest step between the two setups. Make utensil.edge or \
        blade.front higher, and round the edge by hand. The rule looks at the design only, not at \
        the step that play in the pins can cause (see sides-mismatch).",
};

/// Cells from one looked-at place to the next.
const STRIDE: usize = 5;
/// Nearer to the outline than this, in mm, is the rim itself.
const RIM: f64 = 2.0;
/// Thicker than this, in mm, is not looked at more closely.
const THICK: f64 = 8.0;

pub(super) fn look(at: &Context<'_>, sides: &Sides, notes: &mut Notes) -> Option<String> {
    let mut says = Vec::new();
    if let Some((thick, place)) = least(sides).map(|(_, ends)| closed_in(at, ends)) {
        notes.figure("thickness_true_least_mm", thick);
        notes.figure("thickness_true_least_at_mm", place.x);
        says.push(format!(
            "least thickness in any direction {} mm, at {} mm",
            plain(thick, 2),
            plain(place.x, 0)
        ));
        let limit = at.shop.limits.check.thin;
        let neck = at.body.neck_x().as_mm();
        let key = match at.design.head {
            _ if place.x < neck => "handle.thickness",
            Head::Bowl(_) => "bowl.wall",
            Head::Blade(_) => "blade.thickness",
        };
        // Of a wall that must be thicker than this, wall-too-thin tells how thick.
        let told = key == "bowl.wall" && thin::wall_falls_short(at) && at.shop.limits.wall >= limit;
        if thick < limit.as_mm() && !told {
            notes.say(
                Finding::caution(
                    THIN_PLACE,
                    format!(
                        "the wood is only {} mm thick {} mm from the handle's end, {}; the \
                         shop's least is {limit}",
                        plain(thick, 2),
                        plain(place.x, 0),
                        beside(place.y)
                    ),
                    stout_enough(at, sides, key, thick),
                )
                .on(place, None)
                .at(Source::Design, key),
            );
        }
    }
    let (edge, place) = upright(at);
    notes.figure("edge_height_least_mm", edge);
    let limit = at.shop.limits.check.edge;
    if edge < limit.as_mm() {
        notes.say(
            Finding::caution(
                KNIFE_EDGE,
                format!(
                    "the upright edge is only {} mm high {} mm from the handle's end; the shop's \
                     least is {limit}",
                    plain(edge, 2),
                    plain(place.x, 0)
                ),
                high_enough(at),
            )
            .on(place, None)
            .at(Source::Design, "utensil.edge"),
        );
    }
    if let Some((thick, place, along)) = across_grain(at) {
        let degrees = along.to_angle().to_degrees().rem_euclid(180.0);
        notes.figure("edge_across_grain_passes_deg", degrees);
        notes.figure("edge_across_grain_least_mm", thick);
        says.push(format!(
            "edge across the grain {} mm thick, at {} mm",
            plain(thick, 2),
            plain(place.x, 0)
        ));
        let limit = at.shop.limits.check.chip;
        if thick < limit.as_mm() {
            let key = match at.design.head {
                Head::Blade(_) if place.x > at.body.widest_x().as_mm() => "blade.front",
                _ => "utensil.edge",
            };
            notes.say(
                Finding::caution(
                    CHIP_OUT,
                    format!(
                        "the edge {} mm from the handle's end runs across the grain and is only {} \
                         mm thick {INSIDE} mm inside the outline; the shop's least is {limit}",
                        plain(place.x, 0),
                        plain(thick, 2)
                    ),
                    format!(
                        "Passes along the length run out over this edge and can chip it. Let the \
                         last passes run along it, at {} degrees to the length, from the middle of \
                         the piece towards the edge, while its skirt still stands. Or make it \
                         thicker and thin it by hand.",
                        plain(degrees, 0)
                    ),
                )
                .on(place, None)
                .at(Source::Design, key),
            );
        }
    }
    (!says.is_empty()).then(|| says.join("; "))
}

/// What makes the thinnest place thick enough, where it is as thick as said.
fn stout_enough(at: &Context<'_>, sides: &Sides, key: &str, thick: f64) -> String {
    let limit = at.shop.limits.check.thin.as_mm();
    let does = |design: &Design| {
        cure::looked(at, sides, design, |at, sides| {
            let found = least(sides).map(|(_, ends)| closed_in(at, ends).0);
            found.is_none_or(|thick| thick >= limit)
        })
    };
    let found = match key {
        "handle.thickness" => {
            let least = (100.0 * (limit / thick - 1.0)).ceil().clamp(1.0, 1e3) as u32;
            cure::thicker_handle(at, least, does).map(|advice| format!("{advice}."))
        }
        // Beside the rim, under a steep side of the hollow, it is the edge that makes the difference.
        _ => cure::sentence(
            &["utensil.edge", key].map(|key| (key, cure::length(at, key, Sense::More, does))),
        ),
    };
    found.unwrap_or_else(|| {
        format!("Make {key} or utensil.edge greater; on this board neither does by itself.")
    })
}

/// What makes the upright edge high enough.
fn high_enough(at: &Context<'_>) -> String {
    let limit = at.shop.limits.check.edge.as_mm();
    let does = |design: &Design| upright(&Context { body: &Body::new(design), ..*at }).0 >= limit;
    let to = |key| (key, cure::length(at, key, Sense::More, does));
    let found = cure::sentence(&["utensil.edge", "blade.front"].map(to));
    let found = found.unwrap_or_else(|| "Make utensil.edge higher.".to_owned());
    format!("{found} Then round it by hand.")
}

/// Least distance from the top to the bottom, in any direction, away from the rim; with its ends.
fn least(sides: &Sides) -> Option<(f64, [DVec2; 2])> {
    /// Cells of the bottom from one to the next.
    const BOTTOM: usize = 2;
    let [top, bottom] = &sides.grounds;
    let heights = &top.heights;
    let (columns, cell) = (heights.columns, heights.cell.as_mm());
    let under = |column: usize, row: usize| {
        let z = bottom.heights.mm.get(row * columns + column).copied()?;
        (z > super::reach::NOTHING).then(|| -f64::from(z))
    };
    // The rim wall itself is no wall between hollow and back.
    let rim = (RIM / cell).ceil() as usize;
    let mut best: Option<(f64, [DVec2; 2])> = None;
    for (column, row, high, low) in sides.cells() {
        if column % STRIDE != 0 || row % STRIDE != 0 || high - low > THICK {
            continue;
        }
        let around =
            [(column - rim, row), (column + rim, row), (column, row - rim), (column, row + rim)];
        if around.iter().any(|(column, row)| under(*column, *row).is_none()) {
            continue;
        }
        let mut least = high - low;
        let mut under_it = (column, row);
        let reach = (least / cell).ceil() as usize;
        for r in (row.saturating_sub(reach)..=row + reach).step_by(BOTTOM) {
            for c in (column.saturating_sub(reach)..=column + reach).step_by(BOTTOM) {
                if let Some(z) = under(c, r) {
                    let apart = DVec3::new(
                        (c as f64 - column as f64) * cell,
                        (r as f64 - row as f64) * cell,
                        high - z,
                    );
                    if apart.length() < least {
                        least = apart.length();
                        under_it = (c, r);
                    }
                }
            }
        }
        if best.is_none_or(|(thick, _)| least < thick) {
            let ends = [(column, row), under_it].map(|(column, row)| sides.place(column, row));
            best = Some((least, ends));
        }
    }
    best
}

/// The shortest way through the wood near a place, from the cells' on with the formula: the two
/// ends, on the top and on the bottom, walk towards each other.
fn closed_in(at: &Context<'_>, start: [DVec2; 2]) -> (f64, DVec2) {
    const WAYS: [DVec2; 4] = [DVec2::X, DVec2::Y, DVec2::NEG_X, DVec2::NEG_Y];
    const STEP: f64 = 1e-3;
    let inside = |p: DVec2, by: f64| {
        let ends = [p.x - by, p.x + by].map(|x| at.body.across(Length::mm(x)));
        ends.iter().all(|[right, left]| p.y > *right + by && p.y < *left - by)
    };
    let apart = |[p, q]: [DVec2; 2]| {
        if !inside(p, RIM) || !inside(q, STEP) {
            return f64::INFINITY;
        }
        p.extend(at.body.top(p)).distance(q.extend(at.body.bottom(q)))
    };
    let mut ends = start;
    let mut least =
        start[0].extend(at.body.top(start[0])).distance(start[1].extend(at.body.bottom(start[1])));
    let mut step = 1.0;
    while step > STEP {
        let near = (0..2).flat_map(|end| WAYS.map(|way| (end, way)));
        let next = near
            .map(|(end, way)| {
                let mut ends = ends;
                ends[end] += step * way;
                (apart(ends), ends)
            })
            .fold((least, ends), |a, b| if b.0 < a.0 { b } else { a });
        if next.0 < least { (least, ends) = next } else { step *= 0.5 }
    }
    (least, ends[0])
}

/// The lowest place of the upright edge, and its height.
fn upright(at: &Context<'_>) -> (f64, DVec2) {
    const STEPS: u32 = 400;
    let length = at.body.length();
    let places = [Side::Left, Side::Right].into_iter().flat_map(|side| {
        // The very ends, where the outline turns round, are as high as their neighbours.
        (1..STEPS).map(move |step| {
            at.body.outline_at(length * (f64::from(step) / f64::from(STEPS)), side)
        })
    });
    places
        .map(|p| (at.body.top(p) - at.body.bottom(p), p))
        .fold((f64::INFINITY, DVec2::ZERO), |a, b| if b.0 < a.0 { b } else { a })
}

/// The thinnest edge that runs more across the grain than along it, where, and how it runs.
fn across_grain(at: &Context<'_>) -> Option<(f64, DVec2, DVec2)> {
    const STEPS: u32 = 600;
    let length = at.body.length();
    let grain = DVec2::from_angle(at.board.grain.as_radians());
    let mut best: Option<(f64, DVec2, DVec2)> = None;
    for side in [Side::Left, Side::Right] {
        let point = |step: u32| {
            // Closer together towards both ends, where the outline turns round.
            let t = std::f64::consts::PI * f64::from(step) / f64::from(STEPS);
            at.body.outline_at(length * (0.5 - 0.5 * t.cos()), side)
        };
        for step in 1..STEPS {
            let along = (point(step + 1) - point(step - 1)).normalize_or_zero();
            let inward = match side {
                Side::Left => DVec2::new(along.y, -along.x),
                Side::Right => DVec2::new(-along.y, along.x),
            };
            if inward.dot(grain).abs() < std::f64::consts::FRAC_1_SQRT_2 {
                continue;
            }
            let p = point(step) + INSIDE * inward;
            let [right, left] = at.body.across(Length::mm(p.x));
            if p.y < right || p.y > left {
                continue;
            }
            let thick = at.body.top(p) - at.body.bottom(p);
            if best.is_none_or(|(least, ..)| thick < least) {
                best = Some((thick, p, along));
            }
        }
    }
    best
}
