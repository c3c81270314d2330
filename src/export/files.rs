//! Which files a job has, and how each is made.
//!
//! Models are in millimetres always (STL says no unit, and most programs take millimetres);
//! outlines are in the shop's unit, which stands in the DXF header.

use super::dxf::{self, Layer};
use super::{Artefact, ExportError, hold, stl, svg, threemf, words};
use crate::job::{Job, Round};
use crate::mesh::Mesh;
use crate::outline::ArcPath;
use crate::params::FlawShape;
use crate::relief::Face;
use crate::setup::Setup;
use crate::shape;
use crate::units::{Length, Unit};
use glam::DVec2;
use rayon::prelude::*;

type Bytes = Result<Vec<u8>, ExportError>;

/// A file that a job can make.
pub(super) struct Plan<'a> {
    pub(super) name: String,
    role: &'static str,
    unit: &'static str,
    frame: &'static str,
    make: Box<dyn Fn() -> Bytes + Sync + Send + 'a>,
}

/// All files of a job, but for the sheet and the list.
///
/// # Errors
/// When a library refuses to write one; a fault of the tool.
pub fn all(job: &Job) -> Result<Vec<Artefact>, ExportError> {
    made(plans(job))
}

/// Some files of a job by their names.
///
/// # Errors
/// When the job has no file of that name, or a library refuses to write one.
pub fn only(job: &Job, names: &[String]) -> Result<Vec<Artefact>, ExportError> {
    made(chosen(plans(job), names)?)
}

/// Those of the plans that are wanted, in the order in which they are.
pub(super) fn chosen<'a>(
    mut plans: Vec<Plan<'a>>,
    names: &[String],
) -> Result<Vec<Plan<'a>>, ExportError> {
    let known: Vec<String> = plans.iter().map(|plan| plan.name.clone()).collect();
    let mut wanted = Vec::new();
    for name in names {
        let Some(index) = plans.iter().position(|plan| plan.name == *name) else {
            return Err(ExportError::NoSuchFile { name: name.clone(), known });
        };
        wanted.push(plans.remove(index));
    }
    Ok(wanted)
}

pub(super) fn made(plans: Vec<Plan<'_>>) -> Result<Vec<Artefact>, ExportError> {
    plans
        .into_par_iter()
        .with_max_len(1)
        .map(|plan| {
            let bytes = (plan.make)()?;
            let Plan { name, role, unit, frame, .. } = plan;
            Ok(Artefact { name, role, unit, frame, bytes })
        })
        .collect()
}

pub(super) fn plans(job: &Job) -> Vec<Plan<'_>> {
    let design = &job.order.design;
    let mesh = &job.mesh.mesh;
    let mut plans = Plans(Vec::new());
    // The slowest first, so that two threads share the work well.
    plans.model("body.step", words::SOLID, "design", || {
        let solid = shape::solid(&job.body, &job.lattice).map_err(step_error)?;
        solid.step(&design.name).map_err(step_error)
    });
    plans.model("body.3mf", words::BODY, "design", || threemf::threemf(mesh, &design.name));
    plans.mesh("body.stl", words::BODY, "design", mesh);
    if let Some(round) = &job.round {
        let finished = words::FINISHED;
        plans.mesh("finished.stl", finished, "design", &round.finished);
        for (setup, relief) in &round.setups {
            plans.setup(job, round, setup, relief);
            plans.limits(job, round, setup.face);
            plans.rebates(job, round, setup.face);
        }
        plans.workholding(job, round);
        plans.bed(job, round);
        plans.board(job, round);
        for uncut in &job.checks.uncut {
            let name = format!("reach-{}.png", uncut.face.name());
            let role = words::REACH_MAP;
            plans.add(name, role, "", "", || super::reach_map::png(uncut));
        }
        for cusps in &job.checks.cusps {
            let name = format!("cusps-{}.png", cusps.face.name());
            plans.add(name, words::CUSP_MAP, "", "", || super::cusp_map::png(cusps));
        }
    }
    plans.0
}

pub(super) struct Plans<'a>(pub(super) Vec<Plan<'a>>);

impl<'a> Plans<'a> {
    fn add(
        &mut self,
        name: impl Into<String>,
        role: &'static str,
        unit: &'static str,
        frame: &'static str,
        make: impl Fn() -> Bytes + Sync + Send + 'a,
    ) {
        self.0.push(Plan { name: name.into(), role, unit, frame, make: Box::new(make) });
    }

    /// A model, in millimetres.
    pub(super) fn model(
        &mut self,
        name: &str,
        role: &'static str,
        frame: &'static str,
        make: impl Fn() -> Bytes + Sync + Send + 'a,
    ) {
        self.add(name, role, Unit::Millimetre.symbol(), frame, make);
    }

    pub(super) fn mesh(
        &mut self,
        name: &str,
        role: &'static str,
        frame: &'static str,
        mesh: &'a Mesh,
    ) {
        self.model(name, role, frame, || stl::stl(mesh));
    }

    /// A drawing as DXF and as SVG.
    pub(super) fn drawing(
        &mut self,
        stem: &str,
        role: &'static str,
        frame: &'static str,
        unit: Unit,
        layers: Vec<Drawn>,
    ) {
        let layers = std::sync::Arc::new(layers);
        let shared = std::sync::Arc::clone(&layers);
        self.add(format!("{stem}.dxf"), role, unit.symbol(), frame, move || {
            let layers: Vec<Layer<'_>> = layers.iter().map(Drawn::layer).collect();
            dxf::drawing(&layers, unit)
                .map_err(|error| ExportError::Library { format: "DXF", message: error.to_string() })
        });
        self.add(format!("{stem}.svg"), role, unit.symbol(), frame, move || {
            let layers: Vec<Layer<'_>> = shared.iter().map(Drawn::layer).collect();
            Ok(svg::drawing(&layers, unit, extent(&shared)).into_bytes())
        });
    }

    fn setup(&mut self, job: &'a Job, round: &'a Round, setup: &Setup, relief: &'a Mesh) {
        let side = setup.face.name();
        let unit = job.order.shop.unit;
        let what = match setup.face {
            Face::Top => words::RELIEF_TOP,
            Face::Bottom => words::RELIEF_BOTTOM,
        };
        self.mesh(&format!("{side}/relief.stl"), what, side, relief);
        let turn = |path: &ArcPath| setup.from_design.path(path);
        let paths = |name, list: Vec<ArcPath>| vec![Drawn { name, paths: list, circles: vec![] }];
        let outlines = &job.outlines;
        let outline = paths("outline", vec![turn(&outlines.body)]);
        self.drawing(&format!("{side}/outline"), words::OUTLINE, side, unit, outline);
        if !outlines.slots.is_empty() {
            let slots = paths("slots", outlines.slots.iter().map(turn).collect());
            let role = words::SLOTS;
            self.drawing(&format!("{side}/slots"), role, side, unit, slots);
        }
        let tabs = paths("tabs", round.tabs.iter().map(|(_, path)| turn(path)).collect());
        self.drawing(&format!("{side}/tabs"), words::TABS, side, unit, tabs);
        let saw = paths("saw-lines", round.saw_lines.iter().map(turn).collect());
        let role = words::SAW;
        self.drawing(&format!("{side}/saw"), role, side, unit, saw);
        let limit = paths("limit", vec![turn(&outlines.limit.centre)]);
        let role = words::LIMIT;
        self.drawing(&format!("{side}/limit"), role, side, unit, limit);
        let hole = round.pins.hole.half();
        let holes = round.pins.places.iter().map(|p| (setup.from_board.place(*p), hole)).collect();
        let pins = vec![Drawn { name: "pins", paths: vec![], circles: holes }];
        self.drawing(&format!("{side}/pins"), words::PINS, side, unit, pins);
    }

    fn board(&mut self, job: &'a Job, round: &'a Round) {
        let layers = board(job, round);
        let role = words::BOARD;
        self.drawing("board", role, "board", job.order.shop.unit, layers);
    }
}

pub(super) fn step_error(error: crate::kernel::KernelError) -> ExportError {
    ExportError::Library { format: "STEP", message: error.to_string() }
}

/// A layer that owns its paths.
pub(crate) struct Drawn {
    pub(crate) name: &'static str,
    pub(crate) paths: Vec<ArcPath>,
    pub(crate) circles: Vec<(DVec2, Length)>,
}

impl Drawn {
    pub(crate) fn layer(&self) -> Layer<'_> {
        Layer {
            name: self.name,
            paths: &self.paths,
            circles: self.circles.clone(),
            texts: Vec::new(),
        }
    }
}

/// Everything on the board, in its own frame.
pub(crate) fn board(job: &Job, round: &Round) -> Vec<Drawn> {
    let board = &job.order.board;
    let size = DVec2::new(board.length.as_mm(), board.width.as_mm());
    let on_board = |path: &ArcPath| path.transformed(round.placement.affine());
    let edge =
        ArcPath::polygon([DVec2::ZERO, DVec2::new(size.x, 0.0), size, DVec2::new(0.0, size.y)]);
    let mut flaws = Drawn { name: "flaws", paths: vec![], circles: vec![] };
    for flaw in &board.flaws {
        match &flaw.shape {
            FlawShape::Circle { centre, radius } => flaws.circles.push((*centre, *radius)),
            FlawShape::Polygon(corners) => {
                flaws.paths.push(ArcPath::polygon(corners.iter().copied()))
            }
            FlawShape::Line(corners) => flaws
                .paths
                .push(ArcPath { closed: false, ..ArcPath::polygon(corners.iter().copied()) }),
        }
    }
    let drawn = |name, paths: Vec<ArcPath>| Drawn { name, paths, circles: vec![] };
    let outlines = &job.outlines;
    let pins = round.pins.places.iter().map(|p| (*p, round.pins.hole.half())).collect();
    let mut layers = vec![
        drawn("board", vec![edge]),
        flaws,
        drawn("outline", vec![on_board(&outlines.body)]),
        drawn("slots", outlines.slots.iter().map(on_board).collect()),
        drawn("tabs", round.tabs.iter().map(|(_, path)| on_board(path)).collect()),
        drawn("saw-lines", round.saw_lines.iter().map(on_board).collect()),
        drawn("limit", vec![on_board(&outlines.limit.centre)]),
        Drawn { name: "pins", paths: vec![], circles: pins },
    ];
    layers.extend(hold::board_layers(round));
    layers
}

/// Least and greatest corner of all that is drawn, with a little room, in mm.
pub(crate) fn extent(layers: &[Drawn]) -> (DVec2, DVec2) {
    /// So that no line is cut off at the edge of the picture.
    const ROOM: f64 = 2.0;
    let mut low = DVec2::splat(f64::INFINITY);
    let mut high = DVec2::splat(f64::NEG_INFINITY);
    for layer in layers {
        for (from, to) in layer.paths.iter().filter_map(ArcPath::bounds) {
            low = low.min(from);
            high = high.max(to);
        }
        for (centre, radius) in &layer.circles {
            low = low.min(*centre - radius.as_mm());
            high = high.max(*centre + radius.as_mm());
        }
    }
    (low - ROOM, high + ROOM)
}
