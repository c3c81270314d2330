//! What the sheet says of each mounting of the board, and of the order of work.

use super::super::board_view::{self, Shows};
use super::super::measure::Both;
use super::super::page::{CutterLine, Enter, FileLine, PlaceLine, SetupLine, Step};
use super::super::words::{self, fill};
use crate::export::Artefact;
use crate::job::{Job, Round};
use crate::mesh::Mesh;
use crate::params::{HoldForm, StopSide, TurnAxis, Zero};
use crate::relief::Face;
use crate::units::{Length, plain};
use crate::workholding::Setup;
use crate::workholding::passes;
use crate::workholding::spacer::Make;
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
    let side = usize::from(setup.face == Face::Bottom);
    let mount = &round.hold.mounts[side];
    let figure = |length: Length| Both::of(length).line();
    let enter = |axis, at: &str, bed: f64, board: Option<f64>| Enter {
        axis,
        at: at.to_owned(),
        bed: Length::mm(bed),
        board: board.map(Length::mm),
    };
    let [lowest, _] = relief.bounds();
    let hole = figure(round.pins.hole);
    let held = &round.clamps.places[side];
    let count_held = held.len().to_string();
    let fasten = match setup.face {
        Face::Top => fill(words::MOUNT_PINS_TOP, &[("hole", &hole)]),
        Face::Bottom => words::MOUNT_PINS_BOTTOM.to_owned(),
    };
    let mut before = vec![
        words::BEFORE_ZERO.to_owned(),
        fill(words::BEFORE_FILES, &[("face", face)]),
        words::BEFORE_LOOK.to_owned(),
        words::BEFORE_LIMIT.to_owned(),
        fill(words::BEFORE_HEIGHT, &[("height", &figure(round.clamps.over()))]),
    ];
    if setup.face == Face::Bottom {
        before.push(words::BEFORE_TURN.to_owned());
    }
    SetupLine {
        count,
        name: face.to_owned(),
        picture: board_view::svg(job, round, setup, Shows::Setup, &name),
        turn: turn.to_owned(),
        position: position(round, side),
        enter: vec![
            enter("X", words::ENTER_X, mount.zero.x, Some(mount.zero_on_board.x)),
            enter("Y", words::ENTER_Y, mount.zero.y, Some(mount.zero_on_board.y)),
            enter("Z", zero, mount.zero.z, None),
        ],
        heights: vec![
            (words::STOCK_TOP.to_owned(), figure(setup.stock_top)),
            (words::STOCK_BOTTOM.to_owned(), figure(setup.stock_bottom)),
            (words::DEEPEST.to_owned(), figure(Length::mm(lowest.z))),
        ],
        places: places(round, setup),
        mount: mounting(round, side, fasten, &count_held),
        cutters: cutters(job, setup.face),
        files: files.iter().filter(|file| file.frame == face).map(FileLine::from).collect(),
        before,
        mind: words::MIND_SETUP.to_owned(),
    }
}

/// Pins and hold-downs in the setup's own frame.
fn places(round: &Round, setup: &Setup) -> Vec<PlaceLine> {
    let side = usize::from(setup.face == Face::Bottom);
    let line = |name: String, what: String, at: DVec2| {
        let at = setup.from_board.place(at);
        PlaceLine { name, what, x: Length::mm(at.x), y: Length::mm(at.y) }
    };
    let hole = Both::of(round.pins.hole).main;
    let pins = (1..)
        .zip(&round.pins.places)
        .map(|(i, at)| line(format!("P{i}"), fill(words::PIN_PLACE, &[("hole", &hole)]), *at));
    let blocks = (1..).zip(&round.clamps.places[side]).map(|(i, place)| {
        let what = match place.form {
            HoldForm::Low => words::LOW_HOLD_DOWN_PLACE,
            _ => words::HOLD_DOWN_PLACE,
        };
        // The edge is named as it lies now.
        let inward = setup.from_board.place(place.inward) - setup.from_board.place(DVec2::ZERO);
        let edge = match (inward.x > 0.5, inward.x < -0.5, inward.y > 0.5) {
            (true, ..) => "left",
            (_, true, _) => "right",
            (.., true) => "front",
            _ => "back",
        };
        line(format!("H{i}"), fill(what, &[("edge", edge)]), place.at)
    });
    let spacers = (1..).zip(round.clamps.stands(side)).map(|(i, (spacer, at))| PlaceLine {
        name: format!("S{i}"),
        what: fill(words::SPACER_PLACE, &[("edge", spacer.side.name())]),
        x: Length::mm(at.x),
        y: Length::mm(at.y),
    });
    pins.chain(blocks).chain(spacers).collect()
}

/// The work position, in words.
fn position(round: &Round, side: usize) -> String {
    match &round.hold.mounts[side].word {
        Some(word) => fill(words::POSITION, &[("word", word)]),
        None => words::NO_POSITION.to_owned(),
    }
}

/// What to do when mounting.
fn mounting(round: &Round, side: usize, fasten: String, count: &str) -> Vec<String> {
    let figure = |length: Length| Both::of(length).main;
    let mut lines = Vec::new();
    let mut stops = Vec::new();
    for spacer in &round.clamps.spacers[side] {
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
            ("mark", spacer.mark.as_str()),
        ];
        let how = match spacer.make {
            Make::Against => words::STOP_AGAINST,
            Make::Print if spacer.mark.is_empty() => words::STOP_PRINT_BARE,
            Make::Print => words::STOP_PRINT,
            Make::Cut => words::STOP_CUT,
        };
        stops.push(fill(how, &values));
    }
    if !stops.is_empty() {
        lines.push(fill(words::STOPS, &[("list", &stops.join("; "))]));
    }
    lines.push(fasten);
    if let Some(depth) = round.clamps.rebate.filter(|_| !round.clamps.rebates(side).is_empty()) {
        lines.push(fill(words::MOUNT_REBATES, &[("depth", &figure(depth))]));
    }
    let holds = round.clamps.models.first().map_or(0.0, |model| model.lip_holds_n);
    let pull = plain((holds / 10.0).round() * 10.0, 0);
    lines.push(fill(words::MOUNT_HOLD_DOWNS, &[("count", count), ("pull", &pull)]));
    lines
}

/// What a setup is cut with; slots are cut in the second.
fn cutters(job: &Job, face: Face) -> Vec<CutterLine> {
    let shop = &job.order.shop;
    let slots = job.order.design.tines.is_some() && face == Face::Bottom;
    let clear = passes::clearing_cutter(shop).map(|cutter| &cutter.name);
    let works = [
        (words::WORK_ROUGH, &shop.work.rough, true),
        (words::WORK_CLEAR, clear.unwrap_or(&shop.work.rough), clear.is_some()),
        (words::WORK_FINISH, &shop.work.finish, true),
        (words::WORK_SLOTS, &shop.work.slots, slots),
    ];
    let found = works.into_iter().filter(|(.., needed)| *needed).filter_map(|(work, name, _)| {
        Some(CutterLine { work: work.to_owned(), cutter: shop.cutter(name)?.clone() })
    });
    found.collect()
}

pub(super) fn steps(job: &Job) -> Vec<Step> {
    let board = &job.order.board;
    let shop = &job.order.shop;
    let figure = |length: Length| Both::of(length).line();
    let step_over =
        shop.cutter(&shop.work.finish).map(|cutter| (cutter.diameter, cutter.step_over));
    let (ridge, apart) = step_over
        .map_or((Length::ZERO, Length::ZERO), |(diameter, step)| (ridge(diameter, step), step));
    let values = [
        ("top", figure(board.skim_top)),
        ("bottom", figure(board.skim_bottom)),
        ("height", figure(job.stock.height)),
        ("ridge", format!("{}\u{a0}mm", plain(ridge.as_mm(), 3))),
        ("step", format!("{}\u{a0}mm", plain(apart.as_mm(), 2))),
    ];
    let values: Vec<(&str, &str)> = values.iter().map(|(name, v)| (*name, v.as_str())).collect();
    let mut steps = vec![
        words::STEP_SKIM,
        words::STEP_PRINT,
        words::STEP_PINS,
        words::STEP_TOP,
        words::STEP_TURN,
        words::STEP_BOTTOM,
    ];
    if job.order.design.tines.is_some() {
        steps.push(words::STEP_SLOTS);
    }
    steps.extend([words::STEP_SAW, words::STEP_SAND]);
    steps
        .into_iter()
        .map(|step| {
            let [what, why, mind] = step.map(|text| fill(text, &values));
            Step { what, why, mind }
        })
        .collect()
}

/// How high the ridges are that a ball of a diameter leaves on a flat place when its passes are
/// `step` apart: the sagitta of the chord.
fn ridge(diameter: Length, step: Length) -> Length {
    let radius = diameter.half().as_mm();
    let half = step.half().as_mm().min(radius);
    Length::mm(radius - (radius * radius - half * half).max(0.0).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A ball of 6 mm and passes 1 mm apart: 3 - sqrt(9 - 0.25) = 0.04196 mm.
    #[test]
    fn ridges_have_the_height_of_the_arc_over_its_chord() {
        let high = ridge(Length::mm(6.0), Length::mm(1.0)).as_mm();
        assert!((high - 0.041_960_11).abs() < 1e-7, "{high}");
    }
}
