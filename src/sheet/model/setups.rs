//! What the sheet says of each mounting of the board, and of the order of work.

use super::super::Piece;
use super::super::board_view::{self, Shows};
use super::super::measure::Both;
use super::super::page::{DrillLine, Enter, PassLine, PlaceLine, SetupLine, Step};
use super::super::words::{self, fill};
use crate::job::{Job, Round};
use crate::mesh::Mesh;
use crate::params::{TurnAxis, Zero};
use crate::relief::Face;
use crate::units::{Length, Unit, plain};
use crate::workholding::{self, Boring, Hold, Setup};
use glam::DVec2;

/// The setups of a piece; steps are counted as `hold` has them.
pub(super) fn setups(piece: &Piece<'_>, round: &Round, hold: &Hold) -> Vec<SetupLine> {
    let one =
        |(at, (setup, relief)): (usize, &(Setup, Mesh))| one(piece, round, hold, at, setup, relief);
    round.setups.iter().enumerate().map(one).collect()
}

fn one(
    piece: &Piece<'_>,
    round: &Round,
    hold: &Hold,
    at: usize,
    setup: &Setup,
    relief: &Mesh,
) -> SetupLine {
    let job = piece.job;
    let face = setup.face.name();
    let count = (at + 1).to_string();
    let name = fill(words::SETUP_NAME, &[("count", &count), ("face", face)]);
    let turn = match (setup.face, job.order.shop.turn) {
        (Face::Top, _) => words::LIES_TOP,
        (Face::Bottom, TurnAxis::X) => words::TURN_X,
        (Face::Bottom, TurnAxis::Y) => words::TURN_Y,
    };
    let figure = |length: Length| Both::of(length).line();
    let lowest = workholding::lowest(relief, setup.stock_bottom);
    let held = round.hold_downs.len().to_string();
    let (mount, mind) = match setup.face {
        Face::Top => (words::MOUNT_TOP, words::MIND_TOP),
        Face::Bottom => (words::MOUNT_BOTTOM, words::MIND_BOTTOM),
    };
    SetupLine {
        count: at + 1,
        name: face.to_owned(),
        picture: board_view::svg(&[(job, round)], at, Shows::Setup, &name),
        turn: turn.to_owned(),
        position: round.hold.mounts[at].word.clone(),
        enter: enter(job, round, at),
        heights: vec![
            (words::STOCK_TOP.to_owned(), figure(setup.stock_top)),
            (words::STOCK_BOTTOM.to_owned(), figure(setup.stock_bottom)),
            (words::DEEPEST.to_owned(), figure(lowest)),
        ],
        places: places(round, at, setup),
        mount: vec![mount.to_owned(), fill(words::MOUNT_HOLD_DOWNS, &[("count", &held)])],
        passes: passes(piece, round, hold, setup.face),
        before: vec![
            words::BEFORE_ZERO.to_owned(),
            fill(words::BEFORE_FILES, &[("face", &piece.path(face))]),
            words::BEFORE_LOOK.to_owned(),
            words::BEFORE_LIMIT.to_owned(),
            fill(words::BEFORE_HEIGHT, &[("height", &figure(round.hold_down.height))]),
        ],
        mind: mind.to_owned(),
    }
}

/// Where each axis is zero, and what to enter for it.
fn enter(job: &Job, round: &Round, at: usize) -> Vec<Enter> {
    let unit = job.order.shop.unit;
    let zero = round.hold.mounts[at].zero;
    let z = match job.order.shop.zero {
        Zero::Top => words::ENTER_Z_TOP,
        Zero::Bottom => words::ENTER_Z_BED,
    };
    let figure = |mm: f64| entered(Length::mm(mm), unit);
    let line = |axis, at: &str, enter| Enter { axis, at: at.to_owned(), enter };
    vec![
        line("X", words::ENTER_X, figure(zero.x)),
        line("Y", words::ENTER_Y, figure(zero.y)),
        line("Z", z, fill(words::OVER_BED, &[("height", &figure(zero.z))])),
    ]
}

/// A figure to be typed: of the shop's unit, as fine as a machine takes it.
fn entered(length: Length, unit: Unit) -> String {
    let places = match unit {
        Unit::Millimetre => 3,
        Unit::Inch => 4,
    };
    let figure = plain(length.as_unit(unit), places).replace('-', "\u{2212}");
    format!("{figure}\u{a0}{}", unit.symbol())
}

/// Pins and hold-downs in the setup's own frame, and on the bed.
fn places(round: &Round, at: usize, setup: &Setup) -> Vec<PlaceLine> {
    let mount = &round.hold.mounts[at];
    let line = |name: String, what: String, place: DVec2| {
        let at = setup.from_board.place(place);
        let both = |p: DVec2| [Length::mm(p.x), Length::mm(p.y)];
        PlaceLine { name, what, at: both(at), on_bed: both(mount.on_bed(at)) }
    };
    let hole = Both::of(round.pins.hole).main;
    let pins = (1..)
        .zip(&round.pins.places)
        .map(|(i, at)| line(format!("P{i}"), fill(words::PIN_PLACE, &[("hole", &hole)]), *at));
    let blocks = (1..).zip(&round.hold_downs).map(|(i, place)| {
        // The edge is named as it lies now.
        let inward = setup.from_board.place(place.inward) - setup.from_board.place(DVec2::ZERO);
        let [left, right, front, back] = words::EDGES;
        let edge = match (inward.x > 0.5, inward.x < -0.5, inward.y > 0.5) {
            (true, ..) => left,
            (_, true, _) => right,
            (.., true) => front,
            _ => back,
        };
        line(format!("H{i}"), fill(words::HOLD_DOWN_PLACE, &[("edge", edge)]), place.at)
    });
    pins.chain(blocks).collect()
}

/// What is cut in a setup, in order. A setup of a piece counts its steps as the whole sheet does.
fn passes(piece: &Piece<'_>, round: &Round, hold: &Hold, face: Face) -> Vec<PassLine> {
    let shop = &piece.job.order.shop;
    let cut = round.hold.steps.iter().filter(|step| step.setup == Some(face));
    let cut = cut.filter(|step| !step.files.is_empty());
    cut.map(|step| {
        let count = hold.steps.iter().position(|other| other.key == step.key);
        let named = words::PASS_NAMES.iter().find(|(start, _)| step.key.starts_with(start));
        PassLine {
            count: count.map_or(0, |at| at + 1),
            work: named.map_or(step.key, |(_, name)| name).to_owned(),
            cutter: step.cutter.as_ref().and_then(|name| shop.cutter(name)).cloned(),
            files: step.files.iter().map(|name| piece.path(name)).collect(),
        }
    })
    .collect()
}

/// The order of work. `loads` has the files named at each step.
pub(super) fn steps(round: &Round, loads: bool) -> Vec<Step> {
    round
        .hold
        .steps
        .iter()
        .map(|step| {
            let files = if loads { step.files.as_slice() } else { &[] };
            Step {
                what: step.what.clone(),
                why: step.why.to_owned(),
                mind: step.mind.to_owned(),
                files: files.iter().map(|name| (*name).to_owned()).collect(),
            }
        })
        .collect()
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

/// How well the two sides meet and why, and that the board goes back one way only.
pub(super) fn register(round: &Round) -> Vec<String> {
    let registration = &round.hold.registration;
    let figure = |length: Length| format!("{}\u{a0}mm", plain(length.as_mm(), 3));
    let causes: Vec<String> = registration
        .causes
        .iter()
        .map(|cause| format!("{} {}", cause.what, figure(cause.most)))
        .collect();
    let values = [
        ("worst", figure(registration.worst)),
        ("likely", figure(registration.likely)),
        ("causes", causes.join("; ")),
    ];
    let mut lines = vec![fill(words::REGISTER, &values.each_ref().map(|(k, v)| (*k, v.as_str())))];
    let wrong = registration.mountings.iter().filter(|way| way.misses > Length::ZERO);
    if let Some(way) = wrong.min_by(|a, b| a.misses.as_mm().total_cmp(&b.misses.as_mm())) {
        let values = [
            ("count", registration.mountings.len().to_string()),
            ("way", way.way.to_owned()),
            ("misses", figure(way.misses)),
        ];
        lines.push(fill(words::KEYED, &values.each_ref().map(|(k, v)| (*k, v.as_str()))));
    }
    lines
}
