//! What the sheet says of the plugs, each on a board and in a setup of its own.

use super::super::page::{PassLine, PlaceLine, PlugPage};
use super::super::whole::{Sheet, Whole};
use super::super::words::{self, fill};
use super::setups::entered;
use crate::cutting::PassKind;
use crate::drawing::mated::{MatedFigures, mated};
use crate::export::dxf::Layer;
use crate::export::svg;
use crate::inlay::{Inlaid, Plug};
use crate::outline::ArcPath;
use crate::params::{Cutter, Zero};
use crate::units::Length;
use crate::work::{PassHeights, Task, lift};
use glam::DVec2;

/// A page for each plug of all pieces.
pub(super) fn plugs(pieces: &[Whole<'_>], sheet: &Sheet<'_>) -> Vec<PlugPage> {
    let each =
        pieces.iter().flat_map(|whole| whole.at.carved.inlays.iter().map(move |one| (whole, one)));
    each.filter_map(|(whole, inlay)| one(whole, sheet, inlay, inlay.plug.as_ref()?)).collect()
}

fn one(whole: &Whole<'_>, sheet: &Sheet<'_>, inlay: &Inlaid, plug: &Plug) -> Option<PlugPage> {
    let shop = &sheet.job.shop;
    let unit = shop.unit;
    let figure = |length: Length| entered(length, unit);
    let setup = &plug.setup;
    let name = inlay.name.replace('-', " ");
    let z = match shop.zero {
        Zero::Top => words::PLUG_Z_TOP,
        Zero::Bottom => words::PLUG_Z_BED,
    };
    let down = setup.stock_top - plug.deep;
    let design = whole.at.piece.design.inlay.get(inlay.number)?;
    let steps = &sheet.job.mounting.as_ref()?.steps;
    let at = |task: Task| steps.iter().position(|step| step.task == task);
    let (step, glue) = (at(Task::Plugs(inlay.face))?, at(Task::Glue(inlay.face))? + 1);
    let levels = |cutter: &Cutter, end: Length| PassHeights {
        start: setup.stock_top,
        end,
        depth: Some(cutter.depth_of_pass()),
        leaves: Length::ZERO,
        lift: lift(setup, plug.hold_down.over),
        over_tabs: None,
    };
    let files = |names: &[&str]| -> Vec<_> {
        let path = |name: &&str| whole.path(&format!("{}/plug/{name}", inlay.folder()));
        names.iter().map(path).map(|name| super::steps::known(sheet, name)).collect()
    };
    let pass = |work: &str, cutter: &Cutter, names: &[&str]| PassLine {
        count: step + 1,
        work: work.to_owned(),
        cutters: vec![cutter.clone()],
        levels: vec![(String::new(), levels(cutter, down))],
        files: files(names),
    };
    let size = plug.board.size();
    let corners = [DVec2::ZERO, DVec2::new(size.x, 0.0), size, DVec2::new(0.0, size.y)];
    let layers = [
        Layer::new("board", vec![ArcPath::polygon(corners)]),
        Layer::new("limit", plug.area.clone()),
        Layer::new("outline", plug.outline.clone()),
        Layer::new("hold-downs", plug.holds.iter().map(|hold| hold.plan.clone()).collect()),
    ];
    let gap = |[least, most]: [Length; 2]| match [least, most].map(|gap| gap.said(unit)) {
        [least, most] if least == most => least,
        [least, most] => fill(words::FROM_TO, &[("least", &least), ("most", &most)]),
    };
    let holds = (plug.hold_down.lip_holds_n / 10.0).round() * 10.0;
    Some(PlugPage {
        title: fill(words::PLUG_TITLE, &[("name", &name), ("wood", &plug.board.species)]),
        board: fill(
            words::PLUG_BOARD,
            &[("board", &plug.board.name), ("stock", &figure(plug.stock))],
        ),
        grain: words::PLUG_GRAIN[design.grain as usize].to_owned(),
        section: mated(
            &plug.section,
            &MatedFigures { name: &name, depth: design.depth, under: design.under },
            unit,
        ),
        hatching: fill(
            words::PLUG_HATCHING,
            &[("kind", &sheet.job.board.species), ("wood", &plug.board.species)],
        ),
        picture: svg::drawing(&layers, unit, window(plug, size)),
        zero: [("X", words::ENTER_X), ("Y", words::ENTER_Y), ("Z", z)]
            .map(|(axis, at)| [axis.to_owned(), at.to_owned()])
            .to_vec(),
        heights: vec![
            (words::STOCK_TOP.to_owned(), figure(setup.stock_top)),
            (words::STOCK_BOTTOM.to_owned(), figure(setup.stock_bottom)),
            (words::PLUG_DOWN.to_owned(), figure(down)),
            (words::PLUG_PLATE.to_owned(), figure(plug.plate)),
            (words::PLUG_FLANK_GAP.to_owned(), gap(plug.flank_gap)),
            (words::PLUG_FOOT_GAP.to_owned(), gap(plug.foot_gap)),
            (words::PLUG_TIP.to_owned(), figure(inlay.tip_leaves)),
        ],
        places: bolts(plug),
        then: words::PLUG_STEPS
            .iter()
            .map(|step| {
                let values = [("under", design.under.said(unit)), ("glue", glue.to_string())];
                fill(step, &values.each_ref().map(|(name, value)| (*name, value.as_str())))
            })
            .collect(),
        mount: vec![
            fill(words::PLUG_MOUNT, &[("pull", &format!("{holds:.0}"))]),
            words::PLUG_LIE.to_owned(),
            words::BEFORE_ZERO.to_owned(),
            words::BEFORE_LIMIT.to_owned(),
        ],
        passes: vec![
            pass(PassKind::Rough.work(), &plug.clear, &["relief.stl", "limit.dxf"]),
            pass(words::PLUG_VEE, &plug.vee, &["relief.stl"]),
        ],
        mind: words::PLUG_MIND.to_owned(),
    })
}

/// The bolts of its hold-downs, in its frame.
fn bolts(plug: &Plug) -> Vec<PlaceLine> {
    let [left, right, ..] = words::EDGES;
    let each = (1..).zip(&plug.holds).map(|(count, hold)| PlaceLine {
        name: format!("H{count}"),
        what: fill(words::HOLD_DOWN_PLACE, &[("edge", if hold.left { left } else { right })]),
        at: hold.bolt.to_array().map(Length::mm),
        on_bed: None,
    });
    each.collect()
}

/// What is drawn: the board and the hold-downs.
fn window(plug: &Plug, size: DVec2) -> (DVec2, DVec2) {
    let holds = plug.holds.iter().filter_map(|hold| hold.plan.bounds());
    let (low, high) =
        holds.fold((DVec2::ZERO, size), |(low, high), hold| (low.min(hold.0), high.max(hold.1)));
    (low - 2.0, high + 2.0)
}
