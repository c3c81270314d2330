//! The rule: figures, the line of the table, and what there is to say.

use super::part::CuspParts;
use super::side::{Cusps, OnPart, Passes, cusps};
use super::step_for;
use crate::check::notes::Notes;
use crate::check::reach::NOTHING;
use crate::check::{Context, Sides, least_step};
use crate::finding::{Code, Finding, Source};
use crate::params::Cutter;
use crate::relief::Face;
use crate::units::{Length, Unit, plain};

/// The cusps are too high on a level place, or on much of a side.
pub const CUSP_TOO_HIGH: Code = Code {
    name: "cusp-too-high",
    explain: "Two neighbouring passes of a ball cutter leave a ridge between them. It is higher \
        than the shop's limits.cusp: on level places already, or, at worst, on more than a quarter \
        of one side (the quarter is common practice, no source). Take the step-over that the \
        finding gives, run the passes the other way, or sand more where cusps-top.png and \
        cusps-bottom.png are dark. A thicker ball leaves lower ridges wherever it fits into the \
        hollow. The height of a ridge is R - √(R² - d²/4), where R is the ball's radius and d the \
        distance along the surface from one pass to the next. On a level place d is the step-over \
        s. On a slope it is s √(1 + a² / (1 + b²)), with a the slope across the passes and b the \
        slope along them. So passes straight up and down a slope leave no more than on a level \
        place, and passes level along it leave the most, which counts as the worst. In a hollow of \
        radius r the ridge is 1 / (1 - R/r) times as high, on a back 1 / (1 + R/r) times. The \
        surface is sampled in cells of 0.2 mm; the outermost cell is left out, and a steep strip \
        narrower than the step-over counts like a wide one. The rule doesn't know which way your \
        path program runs, and leaves out run-out and bending of the cutter, which make ridges \
        higher.",
};

/// The share of a side that may be over the limit at worst (no source): what stands over it on the
/// shipped designs, a twentieth, is the edge that is rounded by hand; from a quarter on it is a
/// surface of its own to be sanded harder.
const MANY: f64 = 0.25;
/// Most steps that a step-over is made finer by.
const FINER: u32 = 256;
/// Parts with less of what is over than this are not named.
const NAMED: f64 = 0.1;

pub(in crate::check) fn look(at: &Context<'_>, sides: &Sides, notes: &mut Notes) -> Option<String> {
    let passes = Passes::of(at.shop)?;
    let limit = at.shop.limits.check.cusp;
    let parts = CuspParts::of(at, sides);
    let [top, bottom] = [0, 1].map(|side| (Face::BOTH[side], &sides.grounds[side]));
    let with = |passes: Passes| {
        let of = |(face, ground)| {
            let part = |index, place| parts.part(face, index, place);
            cusps(face, ground, passes, part, |index| parts.is_smooth(face, index))
        };
        let (top, bottom) = rayon::join(|| of(top), || of(bottom));
        [top, bottom]
    };
    let both = with(passes);

    let level = passes.level();
    let sloped = quantile(&both, 0.9).unwrap_or(level);
    let cells = [0, 1].map(|side| both[side].parts.iter().map(|on| on.area_mm2).sum::<f64>());
    let whole = (cells[0] + cells[1]).max(f64::MIN_POSITIVE);
    let share = |over: fn(&Cusps) -> f64| {
        100.0 * (cells[0] * over(&both[0]) + cells[1] * over(&both[1])) / whole
    };
    let [worst, along, across] = [
        share(|side| side.over.worst),
        share(|side| side.over.along),
        share(|side| side.over.across),
    ];
    notes.figure("cusp_level_mm", level);
    notes.figure("cusp_nine_tenths_mm", sloped);
    notes.figure("cusp_over_limit_percent", worst);
    notes.figure("cusp_over_limit_along_percent", along);
    notes.figure("cusp_over_limit_across_percent", across);
    notes.figure("cusp_step_over_for_limit_mm", step_for(passes.radius, passes.limit));
    for side in &both {
        figures(side, notes);
    }
    if let Some(finding) = finding(at, passes, &both, with) {
        notes.say(finding);
    }
    let says = format!(
        "{} mm on level places, up to {} mm on nine tenths of the surface; over {limit} at worst: \
         {}; passes along the length leave {} % over the limit, passes across it {} %",
        plain(level, 3),
        plain(sloped, 3),
        both.each_ref().map(said).join("; "),
        percent(along),
        percent(across)
    );
    notes.checks.cusps.extend(both);
    Some(says)
}

fn figures(side: &Cusps, notes: &mut Notes) {
    let mut figure =
        |what: &str, value: f64| notes.figure(format!("cusp_{}_{what}", side.face.name()), value);
    figure("over_limit_percent", 100.0 * side.over.worst);
    figure("over_limit_along_percent", 100.0 * side.over.along);
    figure("over_limit_across_percent", 100.0 * side.over.across);
    figure("highest_mm", side.most.as_mm());
    figure("highest_at_x_mm", side.at.x);
    figure("highest_at_y_mm", side.at.y);
}

/// What the table says of a side.
fn said(side: &Cusps) -> String {
    let over = percent(100.0 * side.over.worst);
    let face = side.face.name();
    let Some(highest) = side.highest().filter(|_| side.over.worst > 0.0) else {
        return format!("{face} {over} %");
    };
    format!(
        "{face} {over} % ({}), highest {} mm, on the {} at {} mm",
        named(side),
        plain(highest.most.as_mm(), 2),
        highest.part.name(),
        plain(highest.at.x, 0)
    )
}

/// The parts that what is over lies on, the greatest area first, and how much of each is over.
fn named(side: &Cusps) -> String {
    let area = |on: &OnPart| on.area_mm2 * on.over.worst;
    let whole: f64 = side.parts.iter().map(area).sum();
    let mut parts: Vec<&OnPart> =
        side.parts.iter().filter(|on| area(on) >= NAMED * whole).collect();
    parts.sort_by(|a, b| area(b).total_cmp(&area(a)));
    let one = |on: &&OnPart| format!("{} {} %", on.part.name(), percent(100.0 * on.over.worst));
    parts.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// A share in whole per cent; what is there and rounds to nothing is said to be under one.
fn percent(share: f64) -> String {
    match share {
        none if none <= 0.0 => "0".to_owned(),
        little if little < 0.5 => "under 1".to_owned(),
        share => plain(share, 0),
    }
}

fn finding(
    at: &Context<'_>,
    passes: Passes,
    both: &[Cusps; 2],
    with: impl Fn(Passes) -> [Cusps; 2],
) -> Option<Finding> {
    let cutter = at.shop.cutter(&at.shop.work.finish)?;
    let limit = at.shop.limits.check.cusp;
    let wanted = step_for(passes.radius, passes.limit);
    let level = passes.level();
    // How much further apart than they are the tracks would have to lie on a level place to leave
    // cusps so high that just so much of a side is higher.
    let spread = |side: &Cusps| {
        let high = quantile(std::slice::from_ref(side), 1.0 - MANY).unwrap_or(level);
        step_for(passes.radius, high) / passes.step
    };
    let spread = spread(&both[0]).max(spread(&both[1])).max(1.0);
    // Steeper places than those are left out of that, so it is tried.
    let does = |step: Length| {
        let passes = Passes { step: step.as_mm(), ..passes };
        passes.level() <= passes.limit && with(passes).iter().all(|side| side.over.worst <= MANY)
    };
    let near = floored(wanted / spread, at.shop.unit, 0);
    let less = |steps| floored(wanted / spread, at.shop.unit, steps);
    let enough = match level > passes.limit || both.iter().any(|side| side.over.worst > MANY) {
        true if !does(near) => least_step(FINER, |steps| does(less(steps))).map(less),
        _ => Some(near),
    };
    let enough = enough.map(|step| format!("a step-over of {step} or less"));
    if level > passes.limit {
        let message = format!(
            "a step-over of {} with \"{}\" leaves ridges of {} mm on level places; the shop's \
             limit is {limit}",
            cutter.step_over(),
            cutter.name,
            plain(level, 3)
        );
        let help = match enough {
            Some(enough) => format!("Use {enough}; it is enough on slopes too."),
            None => "Use a much smaller step-over, or a thicker ball.".to_owned(),
        };
        return Some(about(at, cutter, message, help));
    }
    let worse = usize::from(both[1].over.worst > both[0].over.worst);
    let side = &both[worse];
    if side.over.worst <= MANY {
        return None;
    }
    let most = plain(100.0 * MANY, 0);
    let message = format!(
        "a step-over of {} with \"{}\" can leave ridges over {limit} on {} % of the {} ({})",
        cutter.step_over(),
        cutter.name,
        percent(100.0 * side.over.worst),
        side.face.name(),
        named(side)
    );
    let help = format!(
        "This is the worst case, with passes level along the slopes. Passes along the length leave \
         {} % of that side over the limit, passes across it {} %.{}",
        percent(100.0 * side.over.along),
        percent(100.0 * side.over.across),
        enough
            .map_or_else(String::new, |enough| format!(" With {enough} it is {most} % at worst."))
    );
    Some(about(at, cutter, message, help).on(side.at, Some(side.face.name())))
}

/// A step-over with no more places than it is printed with, and no more than it is, less so many of
/// the last of them.
fn floored(step: f64, unit: Unit, less: u32) -> Length {
    let places = match unit {
        Unit::Millimetre => 100.0,
        Unit::Inch => 1000.0,
    };
    let whole = (places * Length::mm(step).as_unit(unit) + 1e-9).floor() - f64::from(less);
    Length::mm(unit.in_mm() * whole.max(0.0) / places)
}

fn about(at: &Context<'_>, cutter: &Cutter, message: String, help: String) -> Finding {
    Finding::caution(CUSP_TOO_HIGH, message, help)
        .at(Source::Shop, at.shop.key_of(cutter, "step_over"))
}

/// The height in mm that a share of the cells of these sides keeps to, at worst; nothing of none.
fn quantile(sides: &[Cusps], share: f64) -> Option<f64> {
    let cells = sides.iter().flat_map(|side| &side.high.mm).copied();
    let mut high: Vec<f32> = cells.filter(|high| *high > NOTHING).collect();
    let index = (high.len() as f64 * share) as usize;
    (index < high.len()).then(|| f64::from(*high.select_nth_unstable_by(index, f32::total_cmp).1))
}
