//! How high are the cusps that the finishing passes leave?

use super::notes::Notes;
use super::reach::{Heights, NOTHING};
use super::{Context, Sides};
use crate::finding::{Code, Finding, Source};
use crate::params::CutterForm;
use crate::units::{Length, plain};

/// The cusps are too high even on a level place.
pub const CUSP_TOO_HIGH: Code = Code {
    name: "cusp-too-high",
    explain: "Two neighbouring passes of a ball leave a ridge between them of R - √(R² - s²/4) on \
        a level place, where R is the ball's radius and s the step-over; on a slope the passes lie \
        further apart along the surface (s / cos θ) and the ridge is higher. On a level place it \
        is already higher than the shop's limits.cusp. Take the step-over that the help names, or \
        a thicker ball where the hollow allows it, or sand more. The share of the surface over the \
        limit counts slopes as if every pass ran along them at their steepest, which is the worst \
        case. The rule doesn't see run-out and deflection, which add to it.",
};

/// Height of the ridge between two passes of a ball square to the surface, in mm: geometry.
pub(crate) fn cusp(radius: f64, step: f64) -> f64 {
    let under = radius * radius - 0.25 * step * step;
    if under > 0.0 { radius - under.sqrt() } else { radius }
}

/// The step-over that gives a ridge of that height, in mm: geometry.
pub(crate) fn step_for(radius: f64, cusp: f64) -> f64 {
    let cusp = cusp.clamp(0.0, radius);
    2.0 * (radius * radius - (radius - cusp) * (radius - cusp)).sqrt()
}

pub(super) fn look(at: &Context<'_>, sides: &Sides, notes: &mut Notes) -> Option<String> {
    let cutter = at.shop.cutter(&at.shop.work.finish)?;
    if cutter.form != CutterForm::Ball {
        return None;
    }
    let radius = cutter.diameter.half().as_mm();
    let step = cutter.step_over.as_mm();
    let limit = at.shop.limits.check.cusp;
    let level = cusp(radius, step);
    // 1 / cos θ on each cell of both sides.
    let mut steep: Vec<f64> =
        sides.grounds.iter().flat_map(|ground| slopes(&ground.heights)).collect();
    let over = steep.iter().filter(|s| cusp(radius, step * **s) > limit.as_mm()).count();
    let share = over as f64 / steep.len().max(1) as f64;
    // Nine tenths of the surface are no steeper than this.
    let index = steep.len() * 9 / 10;
    let tenth = match steep.is_empty() {
        true => 1.0,
        false => *steep.select_nth_unstable_by(index, f64::total_cmp).1,
    };
    let sloped = cusp(radius, step * tenth);
    let wanted = step_for(radius, limit.as_mm());
    notes.figure("cusp_level_mm", level);
    notes.figure("cusp_nine_tenths_mm", sloped);
    notes.figure("cusp_over_limit_percent", 100.0 * share);
    notes.figure("cusp_step_over_for_limit_mm", wanted);
    if level > limit.as_mm() {
        let index = at.shop.cutters.iter().position(|other| other.name == cutter.name);
        notes.say(
            Finding::caution(
                CUSP_TOO_HIGH,
                format!(
                    "steps of {} with \"{}\" leave cusps of {} mm on a level place; the shop \
                     allows {limit}",
                    cutter.step_over,
                    cutter.name,
                    plain(level, 3)
                ),
                format!("A step-over of {} or less keeps to it.", Length::mm(wanted)),
            )
            .at(Source::Shop, format!("cutter[{}].step_over", index.unwrap_or_default())),
        );
    }
    Some(format!(
        "{} mm level, up to {} mm on nine tenths of the surface; {} % over {limit}",
        plain(level, 3),
        plain(sloped, 3),
        plain(100.0 * share, 0)
    ))
}

/// 1 / cos of the slope of each inner cell.
pub(super) fn slopes(heights: &Heights) -> Vec<f64> {
    let Heights { columns, rows, cell, mm } = heights;
    let step = 2.0 * cell.as_mm();
    let mut found = Vec::new();
    for row in 1..rows.saturating_sub(1) {
        for column in 1..columns.saturating_sub(1) {
            let at = row * columns + column;
            let around = [at, at - 1, at + 1, at - columns, at + columns].map(|i| mm[i]);
            if around.iter().all(|z| *z > NOTHING) {
                let [_, west, east, south, north] = around.map(f64::from);
                let (x, y) = ((east - west) / step, (north - south) / step);
                found.push((1.0 + x * x + y * y).sqrt());
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cusps_are_as_the_geometry_says() {
        // R - √(R² - s²/4): D 6, s 0.5 gives 0.0104348142 mm; R 1.5875, s 0.15875 gives
        // 0.001985616787 mm (closed form, 30 digits).
        assert!((cusp(3.0, 0.5) - 0.010_434_814_2).abs() < 1e-9);
        assert!((cusp(1.5875, 0.15875) - 0.001_985_616_787).abs() < 1e-11);
        assert!((step_for(3.0, 0.005) - 0.346_265_793_9).abs() < 1e-9);
        // Square to a slope of 45°, plan step 0.5: 0.02090618.
        assert!((cusp(3.0, 0.5 * 2.0_f64.sqrt()) - 0.020_906_18).abs() < 1e-8);
        assert_eq!(cusp(3.0, 7.0), 3.0, "passes that do not meet leave the whole ball");
    }
}
