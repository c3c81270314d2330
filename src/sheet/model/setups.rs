//! What the sheet says of each mounting of the board, and of the order of work.

use super::super::board_view::{self, Shows};
use super::super::measure::Both;
use super::super::page::{CutterLine, DrillLine, Enter, FileLine, PlaceLine, SetupLine, Step};
use super::super::words::{self, fill};
use crate::export::Artefact;
use crate::job::{Job, Round};
use crate::mesh::Mesh;
use crate::params::{TurnAxis, Zero};
use crate::relief::Face;
use crate::units::{Length, plain};
use crate::workholding::{Boring, Setup, order};
use glam::DVec2;

pub(super) fn setups(job: &Job, round: &Round, files: &[Artefact]) -> Vec<SetupLine> {
    (1..)
        .zip(&round.setups)
        .map(|(count, (setup, relief))| one(job, round, files, count, setup, relief))
        .collect()
}

fn one(
    job: &Job,
    round: &Round,
    files: &[Artefact],
    count: usize,
    setup: &Setup,
    relief: &Mesh,
) -> SetupLine {
    let shop = &job.order.shop;
    let face = setup.face.name();
    let name = fill(words::SETUP_NAME, &[("count", &count.to_string()), ("face", face)]);
    let turn = match (setup.face, shop.turn) {
        (Face::Top, _) => words::LIES_TOP,
        (Face::Bottom, TurnAxis::X) => words::TURN_X,
        (Face::Bottom, TurnAxis::Y) => words::TURN_Y,
    };
    let zero = match shop.zero {
        Zero::Top => words::ENTER_Z_TOP,
        Zero::Bottom => words::ENTER_Z_BED,
    };
    let enter = |axis, at: &str| Enter { axis, at: at.to_owned() };
    let figure = |length: Length| Both::of(length).line();
    let [lowest, _] = relief.bounds();
    let hole = figure(round.pins.hole);
    let count_held = round.hold_downs.len().to_string();
    let mount = match setup.face {
        Face::Top => fill(words::MOUNT_PINS_TOP, &[("hole", &hole)]),
        Face::Bottom => words::MOUNT_PINS_BOTTOM.to_owned(),
    };
    let mut before = vec![
        words::BEFORE_ZERO.to_owned(),
        fill(words::BEFORE_FILES, &[("face", face)]),
        words::BEFORE_LOOK.to_owned(),
        words::BEFORE_LIMIT.to_owned(),
        fill(words::BEFORE_HEIGHT, &[("height", &figure(round.hold_down.height))]),
    ];
    if setup.face == Face::Bottom {
        before.push(words::BEFORE_TURN.to_owned());
    }
    SetupLine {
        count,
        name: face.to_owned(),
        picture: board_view::svg(job, round, setup, Shows::Setup, &name),
        turn: turn.to_owned(),
        enter: vec![enter("X", words::ENTER_X), enter("Y", words::ENTER_Y), enter("Z", zero)],
        heights: vec![
            (words::STOCK_TOP.to_owned(), figure(setup.stock_top)),
            (words::STOCK_BOTTOM.to_owned(), figure(setup.stock_bottom)),
            (words::DEEPEST.to_owned(), figure(Length::mm(lowest.z))),
        ],
        places: places(round, setup),
        mount: vec![mount, fill(words::MOUNT_HOLD_DOWNS, &[("count", &count_held)])],
        cutters: cutters(job, setup.face),
        files: files.iter().filter(|file| file.frame == face).map(FileLine::from).collect(),
        before,
        mind: words::MIND_SETUP.to_owned(),
    }
}

/// Pins and hold-downs in the setup's own frame.
fn places(round: &Round, setup: &Setup) -> Vec<PlaceLine> {
    let line = |name: String, what: String, at: DVec2| {
        let at = setup.from_board.place(at);
        PlaceLine { name, what, x: Length::mm(at.x), y: Length::mm(at.y) }
    };
    let hole = Both::of(round.pins.hole).main;
    let pins = (1..)
        .zip(&round.pins.places)
        .map(|(i, at)| line(format!("P{i}"), fill(words::PIN_PLACE, &[("hole", &hole)]), *at));
    let blocks = (1..).zip(&round.hold_downs).map(|(i, place)| {
        // The edge is named as it lies now.
        let inward = setup.from_board.place(place.inward) - setup.from_board.place(DVec2::ZERO);
        let edge = match (inward.x > 0.5, inward.x < -0.5, inward.y > 0.5) {
            (true, ..) => "left",
            (_, true, _) => "right",
            (.., true) => "front",
            _ => "back",
        };
        line(format!("H{i}"), fill(words::HOLD_DOWN_PLACE, &[("edge", edge)]), place.at)
    });
    pins.chain(blocks).collect()
}

/// What a setup is cut with; slots are cut in the second.
fn cutters(job: &Job, face: Face) -> Vec<CutterLine> {
    let shop = &job.order.shop;
    let slots = job.order.design.tines.is_some() && face == Face::Bottom;
    let works = [
        (words::WORK_ROUGH, &shop.work.rough, true),
        (words::WORK_FINISH, &shop.work.finish, true),
        (words::WORK_SLOTS, &shop.work.slots, slots),
    ];
    let found = works.into_iter().filter(|(.., needed)| *needed).filter_map(|(work, name, _)| {
        Some(CutterLine { work: work.to_owned(), cutter: shop.cutter(name)?.clone() })
    });
    found.collect()
}

/// The order of work, as the checks know it too.
pub(super) fn steps(round: &Round) -> Vec<Step> {
    let step = |step: &order::Step| Step {
        what: step.what.clone(),
        why: step.why.to_owned(),
        mind: step.mind.to_owned(),
    };
    round.hold.steps.iter().map(step).collect()
}

/// The drill chart: the board's holes, then the bed's for each setup.
pub(super) fn drill(round: &Round) -> Vec<DrillLine> {
    let line = |hole: &Boring| DrillLine {
        pin: hole.pin,
        what: match (hole.in_board, hole.face) {
            (true, _) => words::DRILL_BOARD,
            (false, Face::Top) => words::DRILL_BED_TOP,
            (false, Face::Bottom) => words::DRILL_BED_BOTTOM,
        },
        at: [hole.at.x, hole.at.y].map(Length::mm),
        on_bed: [hole.on_bed.x, hole.on_bed.y].map(Length::mm),
        diameter: hole.diameter,
        depth: hole.depth,
    };
    round.hold.borings.iter().map(line).collect()
}

/// How well the two sides meet, and why.
pub(super) fn register(round: &Round) -> Vec<String> {
    let registration = &round.hold.registration;
    let figure = |length: Length| format!("{}\u{a0}mm", plain(length.as_mm(), 3));
    let least = registration.mountings.iter().filter(|way| way.misses > Length::ZERO);
    let least = least.min_by(|a, b| a.misses.as_mm().total_cmp(&b.misses.as_mm()));
    let mut lines = vec![fill(
        words::REGISTER,
        &[("worst", &figure(registration.worst)), ("likely", &figure(registration.likely))],
    )];
    for cause in &registration.causes {
        lines.push(format!("{}: {}", cause.what, figure(cause.most)));
    }
    if let Some(way) = least {
        let values = [
            ("count", registration.mountings.len().to_string()),
            ("way", way.way.to_owned()),
            ("misses", figure(way.misses)),
        ];
        let values: Vec<(&str, &str)> = values.iter().map(|(k, v)| (*k, v.as_str())).collect();
        lines.push(fill(words::KEYED, &values));
    }
    lines
}
