//! What the sheet says of each mounting of the board.

use super::super::page::{Enter, PassLine, PlaceLine, SetupLine};
use super::super::whole::{Sheet, Whole};
use super::super::words::{self, fill};
use super::bed;
use super::steps::loaded;
use crate::bed::{WANTED, spacer::Make};
use crate::cutting::PassKind;
use crate::drawing::board::{self, Shows};
use crate::job::{Job, Mounted, Mounting};
use crate::params::{HoldForm, StopSide, TurnAxis, Zero};
use crate::relief::Face;
use crate::setup::Setup;
use crate::units::{Length, Unit, plain};
use crate::work::{self, PassHeights, Task};
use glam::DVec2;

/// The setups of the board with all pieces on it.
pub(super) fn setups(pieces: &[Whole<'_>], sheet: &Sheet<'_>) -> Vec<SetupLine> {
    let drawn: Vec<Mounted<'_>> = pieces.iter().map(|piece| piece.at).collect();
    (0..2).filter_map(|at| one(pieces, sheet, &drawn, at)).collect()
}

fn one(
    pieces: &[Whole<'_>],
    sheet: &Sheet<'_>,
    drawn: &[Mounted<'_>],
    at: usize,
) -> Option<SetupLine> {
    let Mounted { job, mounting, .. } = *drawn.first()?;
    let setup = mounting.setups.get(at)?;
    let face = setup.face.name();
    let count = (at + 1).to_string();
    let name = fill(board::SETUP_NAME, &[("count", &count), ("face", face)]);
    let turn = match (setup.face, job.shop.turn) {
        (Face::Top, _) => words::LIES_TOP,
        (Face::Bottom, TurnAxis::X) => words::TURN_X,
        (Face::Bottom, TurnAxis::Y) => words::TURN_Y,
    };
    let unit = job.shop.unit;
    let figure = |length: Length| entered(length, unit);
    let lowest = drawn.iter().map(|piece| piece.carved.lowest[at]).reduce(Length::min)?;
    let (mount, mind) = match setup.face {
        Face::Top => (words::MOUNT_TOP, words::MIND_TOP),
        Face::Bottom => (words::MOUNT_BOTTOM, words::MIND_BOTTOM),
    };
    let files = if drawn.len() > 1 { words::BEFORE_FILES_OF_SET } else { words::BEFORE_FILES };
    let lift = figure(work::lift(setup, mounting.clamps.over()));
    Some(SetupLine {
        count: at + 1,
        name: face.to_owned(),
        picture: board::svg(drawn, at, Shows::Setup, &name),
        turn: turn.to_owned(),
        position: mounting.mounts[at].word.clone(),
        enter: enter(job, mounting, at),
        heights: vec![
            (words::STOCK_TOP.to_owned(), figure(setup.stock_top)),
            (words::STOCK_BOTTOM.to_owned(), figure(setup.stock_bottom)),
            (words::DEEPEST.to_owned(), figure(setup.stock_bottom + lowest)),
        ],
        places: places(mounting, at, setup),
        measure: measure(mounting, at),
        mount: mounted(mounting, at, mount, unit),
        bore: (at == 0).then(|| bed::of_board(pieces, sheet, mounting)).flatten(),
        passes: passes(pieces, sheet, &mounting.steps, setup.face),
        before: vec![
            words::BEFORE_ZERO.to_owned(),
            fill(files, &[("face", face)]),
            words::BEFORE_LOOK.to_owned(),
            words::BEFORE_LIMIT.to_owned(),
            fill(words::BEFORE_HEIGHT, &[("height", &lift)]),
        ],
        lift: fill(words::LIFT, &[("height", &lift)]),
        mind: mind.to_owned(),
    })
}

/// Where each axis is zero, and what to enter for it.
fn enter(job: &Job, mounting: &Mounting, at: usize) -> Vec<Enter> {
    let unit = job.shop.unit;
    let zero = mounting.mounts[at].zero;
    let z = match job.shop.zero {
        Zero::Top => words::ENTER_Z_TOP,
        Zero::Bottom => words::ENTER_Z_BED,
    };
    let figure = |mm: f64| entered(Length::mm(mm), unit);
    let line = |axis, at: &str, enter| Enter { axis, at: at.to_owned(), enter };
    vec![
        line("X", words::ENTER_X, figure(zero.x)),
        line("Y", words::ENTER_Y, figure(zero.y)),
        line("Z", &fill(z, &[("height", &figure(zero.z))]), words::TOUCH_OFF.to_owned()),
    ]
}

/// A figure to be typed, in the shop's unit: three places, as everywhere. Of an inch that is half of
/// what a router of this class repeats.
pub(super) fn entered(length: Length, unit: Unit) -> String {
    let figure = plain(length.to_print(unit), 3).replace('-', "\u{2212}");
    format!("{figure}\u{a0}{}", unit.symbol())
}

/// Pins, the bolts of hold-downs, and spacers in the setup's own frame, and on the bed.
fn places(mounting: &Mounting, at: usize, setup: &Setup) -> Vec<PlaceLine> {
    let mount = &mounting.mounts[at];
    let both = |p: DVec2| [Length::mm(p.x), Length::mm(p.y)];
    let line = |name: String, what: String, at: DVec2| {
        let on_bed = mount.word.is_some().then(|| both(mount.on_bed(at)));
        PlaceLine { name, what, at: both(at), on_bed }
    };
    let on_board = |place: &DVec2| setup.from_board.place(*place);
    let pins = (1..)
        .zip(&mounting.pins.places)
        .map(|(i, at)| line(format!("P{i}"), words::PIN_PLACE.to_owned(), on_board(at)));
    let blocks = (1..).zip(&mounting.clamps.places[at]).map(|(i, place)| {
        let what = match place.form {
            HoldForm::Low => words::LOW_HOLD_DOWN_PLACE,
            _ => words::HOLD_DOWN_PLACE,
        };
        // The edge is named as it lies now.
        let inward = on_board(&place.inward) - on_board(&DVec2::ZERO);
        let [left, right, front, back] = words::EDGES;
        let edge = match (inward.x > 0.5, inward.x < -0.5, inward.y > 0.5) {
            (true, ..) => left,
            (_, true, _) => right,
            (.., true) => front,
            _ => back,
        };
        line(format!("H{i}"), fill(what, &[("edge", edge)]), on_board(&place.bolt))
    });
    let spacers = (1..).zip(mounting.clamps.stands(at)).map(|(i, (spacer, place))| {
        let what = fill(words::SPACER_PLACE, &[("edge", spacer.side.name())]);
        line(format!("S{i}"), what, place)
    });
    pins.chain(blocks).chain(spacers).collect()
}

/// What the places are measured from.
fn measure(mounting: &Mounting, at: usize) -> Vec<String> {
    let mut told = vec![words::MEASURE_BOARD.to_owned()];
    if mounting.mounts[at].word.is_some() {
        told.push(words::MEASURE_BED.to_owned());
    }
    told
}

/// What to do when mounting.
fn mounted(mounting: &Mounting, side: usize, first: &str, unit: Unit) -> Vec<String> {
    let figure = |length: Length| entered(length, unit);
    let mut lines = Vec::new();
    let mut spaced = false;
    for spacer in &mounting.clamps.spacers[side] {
        let axis = match spacer.side {
            StopSide::Left => "X",
            StopSide::Front => "Y",
        };
        let (size, at) = (figure(spacer.size), figure(spacer.stop_at));
        let count = spacer.at.len().to_string();
        let values = [
            ("side", spacer.side.name()),
            ("axis", axis),
            ("at", at.as_str()),
            ("size", size.as_str()),
            ("mark", spacer.mark()),
            ("count", &count),
        ];
        let how = match spacer.make {
            Make::Against => words::STOP_AGAINST,
            Make::Print if spacer.mark().is_empty() => words::STOP_PRINT_BARE,
            Make::Print => words::STOP_PRINT,
            Make::Cut => words::STOP_CUT,
        };
        spaced |= spacer.make != Make::Against;
        lines.push(fill(how, &values));
    }
    lines.push(first.to_owned());
    if let Some(depth) =
        mounting.clamps.rebate.filter(|_| !mounting.clamps.rebates(side).is_empty())
    {
        lines.push(fill(words::MOUNT_REBATES, &[("depth", &figure(depth))]));
    }
    let holds = mounting.clamps.models.first().map_or(0.0, |model| model.lip_holds_n);
    let pull = plain((holds / 10.0).round() * 10.0, 0);
    let count = mounting.clamps.places[side].len();
    let set = if count == 1 { words::MOUNT_HOLD_DOWN } else { words::MOUNT_HOLD_DOWNS };
    lines.push(fill(set, &[("count", &count.to_string()), ("pull", &pull)]));
    if count < WANTED {
        lines.push(words::MOUNT_FEW.to_owned());
    }
    if spaced {
        lines.push(words::SPACERS_OUT.to_owned());
    }
    lines
}

/// What is cut in a setup, in order: each step once, with the files of all pieces that need it.
fn passes(
    pieces: &[Whole<'_>],
    sheet: &Sheet<'_>,
    order: &[work::Step],
    face: Face,
) -> Vec<PassLine> {
    let cut = |(at, step): (usize, &work::Step)| {
        let kind = step.task.pass().filter(|_| !matches!(step.task, Task::BorePins))?;
        let cutters = step.cutters.iter().filter_map(|name| sheet.job.shop.cutter(name));
        Some(PassLine {
            count: at + 1,
            work: kind.work().to_owned(),
            cutters: cutters.cloned().collect(),
            levels: levels(pieces, step, kind, face),
            files: loaded(pieces, sheet, step),
        })
    };
    let steps = order.iter().enumerate();
    steps.filter(|(_, step)| step.setup == Some(face)).filter_map(cut).collect()
}

/// The heights of a step's passes: once where they are the same for all its pieces.
fn levels(
    pieces: &[Whole<'_>],
    step: &work::Step,
    kind: PassKind,
    face: Face,
) -> Vec<(String, PassHeights)> {
    let mut all: Vec<(Vec<&str>, PassHeights)> = Vec::new();
    let own = step.pieces.iter().filter_map(|index| pieces.get(*index));
    for Whole { at, .. } in own {
        let mine = at.carved.passes.iter().filter(|pass| pass.kind == kind);
        // Cleaning up stands once in the order and may be of the other face.
        let Some(pass) = mine.min_by_key(|pass| pass.face != face) else { continue };
        let levels = at.levels(pass);
        match all.iter_mut().find(|(_, other)| *other == levels) {
            Some((names, _)) => names.push(&at.piece.design.name),
            None => all.push((vec![&at.piece.design.name], levels)),
        }
    }
    let alone = all.len() == 1;
    let named = |names: Vec<&str>| if alone { String::new() } else { names.join(", ") };
    all.into_iter().map(|(names, levels)| (named(names), levels)).collect()
}
