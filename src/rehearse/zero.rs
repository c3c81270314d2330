//! Why a program carves what it should not: the usual mistakes are tried, and the one that explains
//! what is seen is named.
//!
//! The program is carved once more, in a block without end and in its own coordinates. Each mistake
//! is then a map from these to the setup's frame under which the carved surface would lie on the
//! relief. What is left to say is how well it does.

use super::cells::BoardCells;
use super::codes::{WRONG_CUTTER, WRONG_UNIT, ZERO_OFF};
use super::form::CuttingForm;
use super::ground::{Belongs, KeptGround, NO_PIECE};
use super::guesses::{Guess, UNLIKELY, guesses};
use super::replay::{RehearsalOrder, replay, zeros};
use super::slips::{Slip, Slips};
use super::stage::StageCutter;
use super::timber::{MotionTool, Timber};
use crate::finding::Severity;
use crate::program::{Action, Motion};
use crate::units::{MM_PER_INCH, plain};
use glam::{DAffine3, DVec2, DVec3};
use std::io;

/// About so many cells are carved; no side of one is less than half a millimetre in the wood.
const CELLS: f64 = 300_000.0;
const CELL_MM: f64 = 0.5;

/// Places of the piece that are compared.
const SAMPLES: usize = 6000;

/// A ball of so many cells covers what lies between the passes of a path that is looked at coarsely.
const COVERING: f64 = 1.5;

/// Differences over this count as this, in mm.
const FAR_MM: f64 = 3.0;

/// What a place that the program never comes to counts.
const UNTOUCHED_MM: f64 = 2.0;

/// Cut deeper than this on the coarse cells is too deep, in mm.
const DEEP_MM: f64 = 0.4;

/// So much of the piece must be cut for a program to be compared, and so little of that too deep for
/// it to fit.
const TOUCHED: f64 = 0.4;
const TOO_DEEP: f64 = 0.03;

/// A shift along fewer axes may cost so much more.
const ABOUT_AS_WELL: f64 = 1.1;

/// How well the cuts lie on the relief.
#[derive(Clone, Copy, Debug)]
struct Fits {
    cost: f64,
    too_deep: f64,
    touched: f64,
}

/// The program's own surface.
struct Free {
    timber: Timber,
    start: f32,
}

/// What a program is carved with.
#[derive(Clone, Copy)]
enum CarvedBy {
    /// The cutters that it names: a model of the wrong size is cut with cutters of the right one.
    Named,
    /// The same, so much larger or smaller as its numbers are: they stand for another unit.
    Scaled,
    /// Another cutter.
    Other(CuttingForm),
}

/// A sample of a relief.
type Sampled = Vec<(DVec3, f64)>;

/// Explains what is astray in one program, if a usual mistake does.
///
/// # Errors
/// When the program can't be read.
pub fn explain(
    order: &RehearsalOrder<'_>,
    program: usize,
    ground: &KeptGround,
    cells: &BoardCells,
    out: &mut Slips,
) -> io::Result<()> {
    let stage = order.stage;
    let Some((low, high, cutter)) = extent(order, program)? else { return Ok(()) };
    let own = sampled(ground, cells);
    if own.is_empty() {
        return Ok(());
    }
    let mut found: Option<(Fits, Guess)> = None;
    let Some(free) = carved(order, program, low, high, 1.0, CarvedBy::Named)? else {
        return Ok(());
    };
    let base = fits(&free, &own, DAffine3::IDENTITY);
    if base.too_deep < TOO_DEEP && base.touched > TOUCHED {
        // Only a few places are wrong: the program as a whole is where it should be.
        return Ok(());
    }
    let consider = |found: &mut Option<(Fits, Guess)>, fit: Fits, guess: Guess| {
        let cost = fit.cost * guess.handicap;
        if lies_well(&fit, &base)
            && found.as_ref().is_none_or(|(best, other)| cost < best.cost * other.handicap)
        {
            *found = Some((fit, guess));
        }
    };
    let other = other_side(order, cells, ground);
    for guess in guesses(order) {
        let samples = if guess.other_side { &other } else { &own };
        consider(&mut found, fits(&free, samples, guess.map), guess);
    }
    let (up, down) = (MM_PER_INCH, 1.0 / MM_PER_INCH);
    for (scale, by, says) in [
        (up, CarvedBy::Scaled, "its numbers are inches and are read as millimetres"),
        (down, CarvedBy::Scaled, "its numbers are millimetres and are read as inches"),
        (
            up,
            CarvedBy::Named,
            "the model in inches was read as millimetres, so that all is 25.4 times too small",
        ),
        (
            down,
            CarvedBy::Named,
            "the model in millimetres was read as inches, so that all is 25.4 times too large",
        ),
    ] {
        let size = (high - low) * scale;
        // No use in looking when the result would not be about as large as the board.
        if size.x > 2.0 * stage.size.x || size.x < 0.05 * stage.size.x {
            continue;
        }
        if let Some(free) = carved(order, program, low, high, scale, by)? {
            let map = DAffine3::from_scale(DVec3::splat(scale));
            let guess = Guess {
                code: WRONG_UNIT,
                says: says.to_owned(),
                map,
                other_side: false,
                handicap: 1.0,
            };
            consider(&mut found, fits(&free, &own, map), guess);
        }
    }
    if let Some(cutter) = cutter
        && base.touched > TOUCHED
    {
        let mut others: Vec<(Fits, &StageCutter)> = Vec::new();
        for other in stage.cutters.iter().enumerate().filter(|(i, _)| *i != cutter).map(|(_, c)| c)
        {
            if let Some(free) = carved(order, program, low, high, 1.0, CarvedBy::Other(other.form))?
            {
                let fit = fits(&free, &own, DAffine3::IDENTITY);
                if lies_well(&fit, &base) {
                    others.push((fit, other));
                }
            }
        }
        // A path that leaves a little fits several cutters, and a path that goes all over the piece is
        // most likely the finisher's: it is told first, and the others after it.
        others.sort_by(|(a, one), (b, two)| {
            let finishes = |cutter: &StageCutter| cutter.name == stage.finish;
            finishes(two).cmp(&finishes(one)).then(a.cost.total_cmp(&b.cost))
        });
        if let Some((fit, best)) = others.first() {
            let also: Vec<&str> =
                others[1..].iter().map(|(_, cutter)| cutter.name.as_str()).collect();
            let also =
                if also.is_empty() { String::new() } else { format!(" or {}", also.join(" or ")) };
            let says = format!(
                "it was made for {}{also}, not for {}",
                best.name, stage.cutters[cutter].name
            );
            let likely = best.name == stage.finish;
            let guess = Guess {
                code: WRONG_CUTTER,
                says,
                map: DAffine3::IDENTITY,
                other_side: false,
                handicap: if likely { 1.0 } else { UNLIKELY },
            };
            consider(&mut found, *fit, guess);
        }
    }
    if found.as_ref().is_none_or(|(fit, _)| fit.cost > 0.25)
        && let Some((fit, by)) = shifted(&free, &own)
    {
        let part = |value: f64, name: &str| {
            (value.abs() > 0.14).then(|| format!("{} mm along {name}", plain(value, 1)))
        };
        let parts: Vec<String> =
            [part(by.x, "X"), part(by.y, "Y"), part(by.z, "Z")].into_iter().flatten().collect();
        if !parts.is_empty() {
            let says = format!("its zero is off by about {}", parts.join(", "));
            consider(
                &mut found,
                fit,
                Guess {
                    code: ZERO_OFF,
                    says,
                    map: DAffine3::from_translation(-by),
                    other_side: false,
                    handicap: UNLIKELY,
                },
            );
        }
    }
    if let Some((_, guess)) = found {
        out.add(
            "",
            Slip {
                code: guess.code,
                severity: Severity::Fault,
                program,
                line: 0,
                worst_line: 0,
                says: format!("the program would fit if it is so: {}", guess.says),
                help: "Put that right first, and rehearse again: it explains the rest.",
                at: None,
                amount: 0.0,
                times: 1,
            },
        );
    }
    Ok(())
}

/// Whether a guess lies on the relief, and much better than the program as it is.
fn lies_well(fit: &Fits, base: &Fits) -> bool {
    fit.touched > TOUCHED && fit.too_deep < TOO_DEEP && fit.cost < 0.75 * base.cost
}

/// Box of the feeds, and the cutter when there is only one. None when there are none.
fn extent(
    order: &RehearsalOrder<'_>,
    program: usize,
) -> io::Result<Option<(DVec3, DVec3, Option<usize>)>> {
    let mut span: Option<(DVec3, DVec3)> = None;
    let mut cutters: Vec<usize> = Vec::new();
    each_feed(order, program, &mut |motion, index| {
        let (a, b) = (motion.from.min(motion.to), motion.from.max(motion.to));
        span = Some(span.map_or((a, b), |(low, high)| (low.min(a), high.max(b))));
        if !cutters.contains(&index) {
            cutters.push(index);
        }
    })?;
    let one = if cutters.len() == 1 { cutters.first().copied() } else { None };
    Ok(span.map(|(low, high)| (low, high, one)))
}

fn each_feed(
    order: &RehearsalOrder<'_>,
    program: usize,
    each: &mut dyn FnMut(&Motion, usize),
) -> io::Result<()> {
    replay((order.open)(program)?, zeros(order.stage, true), &mut |said| {
        if let Ok(Action::Move(motion)) = said
            && !motion.rapid
            && let Some(index) =
                order.cutters.get(&motion.tool).or_else(|| order.cutters.get(&None))
        {
            each(&motion, *index);
        }
    })?;
    Ok(())
}

/// The program carved into a block without end. In its own coordinates the wood is `scale` times
/// smaller.
fn carved(
    order: &RehearsalOrder<'_>,
    program: usize,
    low: DVec3,
    high: DVec3,
    scale: f64,
    by: CarvedBy,
) -> io::Result<Option<Free>> {
    let reach = order.stage.cutters.iter().map(|cutter| cutter.form.radius).fold(0.0, f64::max);
    let reach = if matches!(by, CarvedBy::Scaled) { reach / scale } else { reach };
    let (low2, high2) = (low.truncate() - reach, high.truncate() + reach);
    let size = high2 - low2;
    let cell = (size.x * size.y / CELLS).sqrt().max(CELL_MM / scale);
    if !cell.is_finite() || cell <= 0.0 {
        return Ok(None);
    }
    let cells = BoardCells::over(low2, high2, cell);
    if cells.count() as f64 > 8.0 * CELLS {
        return Ok(None);
    }
    let start = high.z + 1.0;
    let mut timber = Timber::flat(cells, start, f64::NEG_INFINITY);
    let bare = KeptGround {
        relief: Vec::new(),
        least: vec![f32::NEG_INFINITY; cells.count()],
        belongs: vec![Belongs::Frame; cells.count()],
        piece: vec![NO_PIECE; cells.count()],
    };
    let mut lot: Vec<(Motion, MotionTool)> = Vec::new();
    each_feed(order, program, &mut |motion, index| {
        let form = match by {
            // A cutter that is small beside a cell would miss most of their middles.
            CarvedBy::Named if order.stage.cutters[index].form.radius < cell => {
                CuttingForm::bull(COVERING * cell, COVERING * cell)
            }
            CarvedBy::Named => order.stage.cutters[index].form,
            CarvedBy::Scaled => order.stage.cutters[index].form.scaled(1.0 / scale),
            CarvedBy::Other(form) => form,
        };
        lot.push((*motion, MotionTool { form, holder: None, deep: f32::INFINITY }));
        if lot.len() >= 1 << 16 {
            timber.carve(&lot, &bare);
            lot.clear();
        }
    })?;
    timber.carve(&lot, &bare);
    Ok(Some(Free { timber, start: start as f32 }))
}

/// Places all over a piece's relief.
fn sampled(ground: &KeptGround, cells: &BoardCells) -> Sampled {
    let body: Vec<usize> = ground.of_body().collect();
    let stride = (body.len() / SAMPLES).max(1);
    body.iter().step_by(stride).map(|index| sample(cells, &ground.relief, *index)).collect()
}

/// A place of a relief with how much it may be off by its slope on a coarse cell.
fn sample(cells: &BoardCells, relief: &[f32], index: usize) -> (DVec3, f64) {
    let z = relief[index];
    let reach = (CELL_MM / cells.cell).round().max(1.0) as usize;
    let beside = [
        index.wrapping_sub(reach),
        index + reach,
        index.wrapping_sub(reach * cells.columns),
        index + reach * cells.columns,
    ];
    let drop = beside
        .iter()
        .filter_map(|i| relief.get(*i))
        .map(|other| z - other)
        .filter(|d| d.is_finite())
        .fold(0.0, f32::max);
    (cells.middle(index).extend(f64::from(z)), f64::from(drop))
}

/// The same of the other side's relief, in the other setup's frame.
fn other_side(order: &RehearsalOrder<'_>, cells: &BoardCells, ground: &KeptGround) -> Sampled {
    let stage = order.stage;
    let mut relief = vec![f32::NAN; cells.count()];
    for piece in &stage.pieces {
        for (own, [top, _]) in relief.iter_mut().zip(cells.tops(&piece.other)) {
            *own = if own.is_nan() { top } else { own.max(top) };
        }
    }
    let (columns, rows) = (cells.columns, cells.rows);
    let turned = |index: usize| {
        let (x, y) = (index % columns, index / columns);
        if stage.end_for_end { y * columns + columns - 1 - x } else { (rows - 1 - y) * columns + x }
    };
    let body: Vec<usize> =
        ground.of_body().map(turned).filter(|index| relief[*index].is_finite()).collect();
    let stride = (body.len() / SAMPLES).max(1);
    body.iter().step_by(stride).map(|index| sample(cells, &relief, *index)).collect()
}

/// How well a map lays the cuts on the relief.
fn fits(free: &Free, samples: &Sampled, map: DAffine3) -> Fits {
    let back = map.inverse();
    let cells = &free.timber.cells;
    let (mut cost, mut deep, mut touched) = (0.0, 0usize, 0usize);
    for (place, slack) in samples {
        let there = cells.index(back.transform_point3(*place).truncate());
        let height = there.map(|index| free.timber.top[index]).filter(|z| *z < free.start);
        let Some(height) = height else {
            cost += UNTOUCHED_MM;
            continue;
        };
        touched += 1;
        let middle = there.map_or(DVec2::ZERO, |index| cells.middle(index));
        let over = map.transform_point3(middle.extend(f64::from(height))).z - place.z;
        let below = -over - slack;
        if below > DEEP_MM {
            deep += 1;
        }
        let off = if over >= 0.0 { over } else { (below.max(0.0)) * 4.0 };
        cost += off.min(FAR_MM);
    }
    let all = samples.len().max(1) as f64;
    Fits {
        cost: cost / all,
        too_deep: deep as f64 / (touched.max(1)) as f64,
        touched: touched as f64 / all,
    }
}

/// The small shift that lays the cuts on the relief best: by how much the zero is off.
fn shifted(free: &Free, samples: &Sampled) -> Option<(Fits, DVec3)> {
    let fit = |by: DVec3| fits(free, samples, DAffine3::from_translation(-by));
    let mut best = (fit(DVec3::ZERO), DVec3::ZERO);
    // By coarse steps in the plan and in height, then finer round the best.
    for (step, reach) in [(2.0, 5), (1.0, 3), (0.5, 2), (0.2, 3), (0.1, 2)] {
        let around = best.1;
        for x in -reach..=reach {
            for y in -reach..=reach {
                for z in -reach..=reach {
                    let by = around + DVec3::new(f64::from(x), f64::from(y), f64::from(z)) * step;
                    let found = fit(by);
                    if found.cost < best.0.cost - 1e-9 {
                        best = (found, by);
                    }
                }
            }
        }
    }
    // A zero is off along one axis more often than along all: what explains it about as well with
    // fewer of them is told.
    for axes in [DVec3::Z, DVec3::X, DVec3::Y, DVec3::new(1.0, 1.0, 0.0)] {
        let mut plain = (fit(best.1 * axes), best.1 * axes);
        for axis in [DVec3::X, DVec3::Y, DVec3::Z].into_iter().filter(|axis| axes.dot(*axis) > 0.0)
        {
            let around = plain.1;
            for step in -10..=10 {
                let by = around + axis * f64::from(step) * 0.1;
                let found = fit(by);
                if found.cost < plain.0.cost - 1e-9 {
                    plain = (found, by);
                }
            }
        }
        if plain.0.cost < ABOUT_AS_WELL * best.0.cost && plain.0.too_deep < TOO_DEEP {
            best = plain;
            break;
        }
    }
    Some(best).filter(|(_, by)| by.length() > 0.14)
}
