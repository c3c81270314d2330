//! Thin wood: the least true thickness, and edges that run across the grain.

use super::notes::Notes;
use super::{Context, Sides};
use crate::finding::{Code, Finding, Source};
use crate::params::{Head, Side};
use crate::units::{Length, plain};
use glam::{DVec2, DVec3};

/// A thin edge lies across the grain.
pub const CHIP_OUT: Code = Code {
    name: "chip-out",
    explain: "An edge whose outline runs across the grain (the tip, the front of a blade, the \
        handle's end) is thinner than the shop's limits.chip just inside the rim. Its fibres are \
        short and nothing stands behind them, so a cutter that runs out over the edge, or climbs \
        over it from outside, breaks pieces out. Make the edge thicker (utensil.edge, blade.front \
        or bowl.wall) and thin it by hand, or let the finishing passes run along that edge, from \
        the middle of the piece towards it last, with its skirt still standing behind it. The \
        rule takes the grain to be straight along the direction that the board file names.",
};

/// The edge is looked at this far inside the outline: where a first rounding by hand ends (common
/// practice, no source).
const INSIDE: f64 = 1.5;
/// Cells from one looked-at place to the next.
const STRIDE: usize = 5;
/// Thicker than this, in mm, is not looked at more closely.
const THICK: f64 = 8.0;

pub(super) fn look(at: &Context<'_>, sides: &Sides, notes: &mut Notes) -> Option<String> {
    let mut says = Vec::new();
    if let Some((thick, place)) = least(sides) {
        notes.figure("thickness_true_least_mm", thick);
        notes.figure("thickness_true_least_at_mm", place.x);
        says.push(format!(
            "least true thickness {} mm, at {} mm",
            plain(thick, 2),
            plain(place.x, 0)
        ));
    }
    if let Some((thick, place)) = across_grain(at) {
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
                        "the edge at {} mm from the handle's end runs across the grain and is {} \
                         mm thick {INSIDE} mm inside the outline; the shop's least is {limit}",
                        plain(place.x, 0),
                        plain(thick, 2)
                    ),
                    "Make it thicker and thin it by hand, or finish along that edge with its skirt \
                     still standing.",
                )
                .at(Source::Design, key),
            );
        }
    }
    (!says.is_empty()).then(|| says.join("; "))
}

/// Least distance from the top to the bottom, in any direction, away from the rim; with its place.
fn least(sides: &Sides) -> Option<(f64, DVec2)> {
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
    let rim = (2.0 / cell).ceil() as usize;
    let mut best: Option<(f64, DVec2)> = None;
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
        let reach = (least / cell).ceil() as usize;
        for r in (row.saturating_sub(reach)..=row + reach).step_by(BOTTOM) {
            for c in (column.saturating_sub(reach)..=column + reach).step_by(BOTTOM) {
                if let Some(z) = under(c, r) {
                    let apart = DVec3::new(
                        (c as f64 - column as f64) * cell,
                        (r as f64 - row as f64) * cell,
                        high - z,
                    );
                    least = least.min(apart.length());
                }
            }
        }
        if best.is_none_or(|(thick, _)| least < thick) {
            best = Some((least, sides.place(column, row)));
        }
    }
    best
}

/// The thinnest edge that runs more across the grain than along it, and where.
fn across_grain(at: &Context<'_>) -> Option<(f64, DVec2)> {
    const STEPS: u32 = 600;
    let length = at.body.length();
    let grain = DVec2::from_angle(at.board.grain.as_radians());
    let mut best: Option<(f64, DVec2)> = None;
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
            if best.is_none_or(|(least, _)| thick < least) {
                best = Some((thick, p));
            }
        }
    }
    best
}
