//! What the sheet says of each mounting of the board, and of the order of work.

use super::super::page::{DrillLine, Enter, PassLine, PlaceLine, SetupLine, StepLine};
use super::super::whole::Whole;
use super::super::words::{self, fill};
use crate::bed::spacer::Make;
use crate::drawing::board::{self, Shows};
use crate::drawing::measure::Both;
use crate::job::{Carved, Job, Mounted, Mounting};
use crate::params::{HoldForm, StopSide, TurnAxis, Zero};
use crate::relief::Face;
use crate::setup::Setup;
use crate::units::{Length, Unit, plain};
use crate::work::{self, Boring};
use glam::DVec2;

/// The setups of the board with all pieces on it; steps are counted as `order` has them.
pub(super) fn setups(pieces: &[Whole<'_>], order: &[work::Step]) -> Vec<SetupLine> {
    let drawn: Vec<Mounted<'_>> = pieces.iter().map(|piece| piece.at).collect();
    (0..2).filter_map(|at| one(pieces, &drawn, order, at)).collect()
}

fn one(
    pieces: &[Whole<'_>],
    drawn: &[Mounted<'_>],
    order: &[work::Step],
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
    let figure = |length: Length| Both::of(length).line();
    let lowest = drawn.iter().map(|piece| piece.carved.lowest[at]).reduce(Length::min)?;
    let (mount, mind) = match setup.face {
        Face::Top => (words::MOUNT_TOP, words::MIND_TOP),
        Face::Bottom => (words::MOUNT_BOTTOM, words::MIND_BOTTOM),
    };
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
        mount: mounted(mounting, at, mount),
        passes: passes(pieces, order, setup.face),
        before: vec![
            words::BEFORE_ZERO.to_owned(),
            fill(words::BEFORE_FILES, &[("face", face)]),
            words::BEFORE_LOOK.to_owned(),
            words::BEFORE_LIMIT.to_owned(),
            fill(words::BEFORE_HEIGHT, &[("height", &figure(mounting.clamps.over()))]),
        ],
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
    let on_board = mounting.mounts[at].zero_on_board;
    let line = |axis, at: &str, enter, board: Option<f64>| Enter {
        axis,
        at: at.to_owned(),
        enter,
        board: board.map(&figure).unwrap_or_default(),
    };
    vec![
        line("X", words::ENTER_X, figure(zero.x), Some(on_board.x)),
        line("Y", words::ENTER_Y, figure(zero.y), Some(on_board.y)),
        line("Z", z, fill(words::OVER_BED, &[("height", &figure(zero.z))]), None),
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
fn places(mounting: &Mounting, at: usize, setup: &Setup) -> Vec<PlaceLine> {
    let mount = &mounting.mounts[at];
    let line = |name: String, what: String, place: DVec2| {
        let at = setup.from_board.place(place);
        let both = |p: DVec2| [Length::mm(p.x), Length::mm(p.y)];
        PlaceLine { name, what, at: both(at), on_bed: both(mount.on_bed(at)) }
    };
    let hole = Both::of(mounting.pins.hole).main;
    let pins = (1..)
        .zip(&mounting.pins.places)
        .map(|(i, at)| line(format!("P{i}"), fill(words::PIN_PLACE, &[("hole", &hole)]), *at));
    let blocks = (1..).zip(&mounting.clamps.places[at]).map(|(i, place)| {
        let what = match place.form {
            HoldForm::Low => words::LOW_HOLD_DOWN_PLACE,
            _ => words::HOLD_DOWN_PLACE,
        };
        // The edge is named as it lies now.
        let inward = setup.from_board.place(place.inward) - setup.from_board.place(DVec2::ZERO);
        let [left, right, front, back] = words::EDGES;
        let edge = match (inward.x > 0.5, inward.x < -0.5, inward.y > 0.5) {
            (true, ..) => left,
            (_, true, _) => right,
            (.., true) => front,
            _ => back,
        };
        line(format!("H{i}"), fill(what, &[("edge", edge)]), place.at)
    });
    let spacers = (1..).zip(mounting.clamps.stands(at)).map(|(i, (spacer, place))| {
        let what = fill(words::SPACER_PLACE, &[("edge", spacer.side.name())]);
        let both = |p: DVec2| [Length::mm(p.x), Length::mm(p.y)];
        PlaceLine {
            name: format!("S{i}"),
            what,
            at: both(place),
            on_bed: both(mount.on_bed(place)),
        }
    });
    pins.chain(blocks).chain(spacers).collect()
}

/// What to do when mounting.
fn mounted(mounting: &Mounting, side: usize, first: &str) -> Vec<String> {
    let figure = |length: Length| Both::of(length).main;
    let mut lines = Vec::new();
    let mut stops = Vec::new();
    for spacer in &mounting.clamps.spacers[side] {
        let axis = match spacer.side {
            StopSide::Left => "X",
            StopSide::Front => "Y",
        };
        let (size, at) = (figure(spacer.size), figure(spacer.stop_at));
        let values = [
            ("side", spacer.side.name()),
            ("axis", axis),
            ("at", at.as_str()),
            ("size", size.as_str()),
            ("mark", spacer.mark()),
        ];
        let how = match spacer.make {
            Make::Against => words::STOP_AGAINST,
            Make::Print if spacer.mark().is_empty() => words::STOP_PRINT_BARE,
            Make::Print => words::STOP_PRINT,
            Make::Cut => words::STOP_CUT,
        };
        stops.push(fill(how, &values));
    }
    if !stops.is_empty() {
        lines.push(fill(words::STOPS, &[("list", &stops.join("; "))]));
    }
    lines.push(first.to_owned());
    if let Some(depth) =
        mounting.clamps.rebate.filter(|_| !mounting.clamps.rebates(side).is_empty())
    {
        lines.push(fill(words::MOUNT_REBATES, &[("depth", &figure(depth))]));
    }
    let holds = mounting.clamps.models.first().map_or(0.0, |model| model.lip_holds_n);
    let pull = plain((holds / 10.0).round() * 10.0, 0);
    let count = mounting.clamps.places[side].len().to_string();
    lines.push(fill(words::MOUNT_HOLD_DOWNS, &[("count", &count), ("pull", &pull)]));
    lines
}

/// What is cut in a setup, in order: each step once, with the files of all pieces that need it.
fn passes(pieces: &[Whole<'_>], order: &[work::Step], face: Face) -> Vec<PassLine> {
    let cut = |(at, step): (usize, &work::Step)| {
        let own: Vec<(&Whole<'_>, &work::Step)> = pieces
            .iter()
            .filter_map(|piece| {
                Some((piece, piece.at.carved.steps.iter().find(|s| s.task == step.task)?))
            })
            .collect();
        let (piece, first) = own.first()?;
        let shop = &piece.at.job.shop;
        // What every piece loads from its own folder is said once.
        let each = own.len() > 1 && own.len() == pieces.len();
        let files: Vec<String> = if each {
            first.files.iter().map(|name| fill(words::EACH_FILE, &[("name", name)])).collect()
        } else {
            let own = own.iter();
            own.flat_map(|(piece, step)| step.files.iter().map(|name| piece.path(name))).collect()
        };
        Some(PassLine {
            count: at + 1,
            work: step.task.pass()?.work().to_owned(),
            cutter: first.cutter.as_ref().and_then(|name| shop.cutter(name)).cloned(),
            files,
        })
    };
    let steps = order.iter().enumerate();
    steps
        .filter(|(_, step)| step.setup == Some(face) && !step.files.is_empty())
        .filter_map(cut)
        .collect()
}

/// The order of work. `loads` has the files named at each step.
pub(super) fn steps(order: &[work::Step], loads: bool) -> Vec<StepLine> {
    order
        .iter()
        .map(|step| {
            let files = if loads { step.files.as_slice() } else { &[] };
            StepLine {
                what: step.what.clone(),
                why: step.why.to_owned(),
                mind: step.mind.to_owned(),
                files: files.iter().map(|name| (*name).to_owned()).collect(),
            }
        })
        .collect()
}

/// The drill chart: the board's holes, then the bed's for each setup.
pub(super) fn drill(mounting: &Mounting) -> Vec<DrillLine> {
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
    mounting.borings.iter().map(line).collect()
}

/// How well the two sides meet and why, and that the board goes back one way only.
pub(super) fn register(carved: &Carved) -> Vec<String> {
    let registration = &carved.registration;
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
