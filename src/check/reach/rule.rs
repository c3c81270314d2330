//! Does the finishing cutter reach everything, and what is left to sand?

use super::cutters::{self, Reached};
use super::radius::least_concave;
use super::{Cut, Ground, Heights, NOTHING, Tool, advice, closing};
use crate::check::notes::Notes;
use crate::check::{Context, Sides};
use crate::finding::{Code, Finding, Source};
use crate::params::CutterForm;
use crate::relief::Face;
use crate::shape::Body;
use crate::units::{Length, plain};
use glam::{DVec2, DVec3};
use rayon::prelude::*;

/// The finishing cutter leaves more than may be sanded off.
pub const UNCUT: Code = Code {
    name: "uncut",
    explain: "Somewhere on this side the finishing cutter leaves more wood than the shop's \
        limits.uncut, because its ball is rounder than the hollow it must follow. What is left is \
        the surface that the ball's lowest possible places make together, less the design (a \
        grey-scale closing with the exact ball; J. Serra, Image Analysis and Mathematical \
        Morphology, 1982). It is worked out on cells of 0.2 mm, and near steep edges with the \
        exact normals, so that a groove narrower than a cell may be missed. Take a thinner ball, \
        let more curve into the design at the place that is named, or sand it. The map in the \
        packet shows where. The rule doesn't see the cutter's deflection, the machine's play or \
        the cusps between passes.",
};

/// Distance of the cells: a sixteenth of a 1/8 in ball (common practice, no source).
pub const CELL: Length = Length::mm(0.2);

/// Less than this, in mm, is not counted as left: finer than the finest grit that wood is sanded
/// with (mean grain of P220: 0.068 mm, FEPA P series / ISO 6344) takes off in a stroke.
pub(super) const COUNTS: f64 = 0.02;

/// What the finishing cutter can't reach on one side.
#[derive(Clone, Debug, PartialEq)]
pub struct Uncut {
    /// Which side.
    pub face: Face,
    /// What is left standing over the design, in mm; [`NOTHING`] beside the body.
    pub left: Heights,
    /// Middle of the first cell in the design frame, in mm.
    pub origin: DVec2,
    /// Most that is left.
    pub most: Length,
    /// Where that is, in the design frame, in mm.
    pub at: DVec2,
    /// Its volume, in mm³.
    pub volume_mm3: f64,
    /// Where more than 0.02 mm is left, in mm² of the plan.
    pub area_mm2: f64,
    /// Least concave radius of this side of the design, and where that is; none if it is nowhere
    /// concave.
    pub concave: Option<(Length, DVec2)>,
}

/// What a tool leaves of one side, and how round that side is.
pub fn uncut(body: &Body, face: Face, ground: &Ground, tool: Tool) -> Uncut {
    Uncut { concave: least_concave(body, face, ground), ..left_by(body, face, ground, tool) }
}

/// What a tool leaves of one side.
pub(super) fn left_by(body: &Body, face: Face, ground: &Ground, tool: Tool) -> Uncut {
    let surface = &ground.heights;
    let (columns, cell) = (surface.columns, surface.cell.as_mm());
    let mut left = closing(surface, tool);
    let place = |index: usize| {
        ground.origin + cell * DVec2::new((index % columns) as f64, (index / columns) as f64)
    };
    left.mm.par_iter_mut().enumerate().with_min_len(4096).for_each(|(index, left)| {
        let height = surface.mm[index];
        if height <= NOTHING {
            return;
        }
        *left -= height;
        // The grid holds the tool to the cells' middles, which leaves false cusps on steep
        // places; there the tool is set on the exact normal.
        let found = f64::from(*left);
        if found > 0.25 * COUNTS && found < tool.false_cusp(slope(surface, index), cell) {
            *left = left.min(raised(body, face, ground, tool, place(index)) as f32);
        }
    });
    let counted = || left.mm.iter().enumerate().filter(|(_, left)| f64::from(**left) > COUNTS);
    let (worst, most) = left.mm.iter().enumerate().fold((0, 0.0_f32), |best, (index, left)| {
        if *left > best.1 { (index, *left) } else { best }
    });
    Uncut {
        face,
        most: Length::mm(f64::from(most)),
        at: place(worst),
        volume_mm3: counted().map(|(_, left)| f64::from(*left)).sum::<f64>() * cell * cell,
        area_mm2: counted().count() as f64 * cell * cell,
        concave: None,
        origin: ground.origin,
        left,
    }
}

/// Slope of the surface at a cell, by its neighbours: the steeper of either side; without end at
/// the rim.
fn slope(surface: &Heights, index: usize) -> f64 {
    let at = |index: Option<usize>| {
        index.and_then(|index| surface.mm.get(index)).copied().filter(|z| *z > NOTHING)
    };
    let step = surface.cell.as_mm();
    let middle = at(Some(index));
    let steeper = |apart: usize| {
        let by = |other: Option<f32>| match (middle, other) {
            (Some(a), Some(b)) => (f64::from(a) - f64::from(b)).abs() / step,
            _ => f64::INFINITY,
        };
        by(at(index.checked_sub(apart))).max(by(at(Some(index + apart))))
    };
    steeper(1).hypot(steeper(surface.columns))
}

/// How far a tool that touches the surface at a place, on the exact normal, must be raised so that
/// it cuts into no cell round it, in mm.
fn raised(body: &Body, face: Face, ground: &Ground, tool: Tool, p: DVec2) -> f64 {
    /// Step of the differences that give the normal, in mm.
    const STEP: f64 = 1e-3;
    let height = |p: DVec2| Cut::of(body, face, p.x).height(p.y);
    let slope = |step: DVec2| (height(p + step) - height(p - step)) / (2.0 * STEP);
    let normal =
        DVec3::new(-slope(DVec2::X * STEP), -slope(DVec2::Y * STEP), 1.0).normalize_or_zero();
    let tip = tool.tip_touching(p.extend(height(p)), normal);
    let Heights { columns, rows, cell, mm } = &ground.heights;
    let cell = cell.as_mm();
    let middle = (tip.truncate() - ground.origin) / cell;
    let reach = tool.radius().as_mm() / cell;
    let span = |middle: f64, count: usize| {
        let from = (middle - reach).ceil().max(0.0) as usize;
        from..((middle + reach).floor().max(0.0) as usize + 1).min(count)
    };
    let mut most = 0.0_f64;
    for row in span(middle.y, *rows) {
        for column in span(middle.x, *columns) {
            let away = (DVec2::new(column as f64, row as f64) - middle).length() * cell;
            if let Some(over) = tool.height(away) {
                most = most.max(f64::from(mm[row * columns + column]) - tip.z - over);
            }
        }
    }
    most
}

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
        notes.checks.reached.push(Reached {
            cutter: finish.name.clone(),
            face: uncut.face,
            finishes: true,
            may: finish.form == CutterForm::Ball,
            most: uncut.most,
            at: uncut.at,
            volume_mm3: uncut.volume_mm3,
            area_mm2: uncut.area_mm2,
            would: uncut.most <= limit,
        });
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
    reached: &[Reached],
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
            "No other ball of this shop would do; one of {} mm or less would, since the tightest \
             hollow has R {} mm.",
            plain((20.0 * radius.as_mm()).floor() / 10.0, 1),
            plain(radius.as_mm(), 2)
        )),
        ([], None) => {}
        (names, _) => ways.push(format!(
            "{} of this shop would reach it all: name it under work.finish.",
            names.join(" or ")
        )),
    }
    ways.extend(change.map(|change| {
        let finish = &at.shop.work.finish;
        format!("Or {change} would let \"{finish}\" in.")
    }));
    ways.push(format!("Or sand {} mm\u{b2} by hand.", plain(uncut.area_mm2, 0)));
    Finding::caution(
        UNCUT,
        format!(
            "on the {} the finishing cutter leaves {} mm at {} mm from the handle's end, {} mm \
             beside the middle; the shop allows {limit}",
            face.name(),
            plain(most.as_mm(), 2),
            plain(place.x, 0),
            plain(place.y, 0)
        ),
        ways.join(" "),
    )
    .on(*place, Some(face.name()))
    .at(Source::Shop, "work.finish")
}
