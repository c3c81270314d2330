//! What stands on the layers of a drawing.

use crate::bed::mounts::Mount;
use crate::export::dxf::Layer;
use crate::job::{Carved, Job, Mounted, Mounting};
use crate::outline::ArcPath;
use crate::params::FlawShape;
use crate::relief::Face;
use crate::setup::Setup;
use crate::units::Length;
use glam::DVec2;

/// Arms of the cross at a work position's zero.
const CROSS_MM: f64 = 8.0;

/// The corners of a board of that length and width, in mm.
fn corners(size: DVec2) -> [DVec2; 4] {
    [DVec2::ZERO, DVec2::new(size.x, 0.0), size, DVec2::new(0.0, size.y)]
}

/// An open path.
fn open(corners: impl IntoIterator<Item = DVec2>) -> ArcPath {
    ArcPath { closed: false, ..ArcPath::polygon(corners) }
}

/// The limits of a setup's passes, each as path of the centre and as area.
pub(super) fn limits(carved: &Carved, setup: &Setup) -> Vec<Layer<'static>> {
    let mut layers = Vec::new();
    for pass in carved.passes.iter().filter(|pass| pass.face == setup.face) {
        let turned = |paths: &[ArcPath]| paths.iter().map(|p| setup.from_design.path(p)).collect();
        let [centre, area] = pass.kind.layers();
        layers.push(Layer::new(centre, turned(&pass.centre)));
        layers.push(Layer::new(area, turned(&pass.area)));
    }
    layers
}

/// The bed's holes, for each setup on a layer, in the machine's own frame.
pub(super) fn bed_holes(mounting: &Mounting) -> Vec<Layer<'static>> {
    let of = |mount: &Mount| {
        let holes = mounting.borings.iter();
        let own = holes.filter(|hole| !hole.in_board && hole.face == mount.face);
        let bored = own.map(|hole| (hole.on_bed, hole.diameter.half())).collect();
        let name = match mount.face {
            Face::Top => "pins-top",
            Face::Bottom => "pins-bottom",
        };
        Layer::round(name, bored)
    };
    mounting.mounts.iter().map(of).collect()
}

/// What goes into the bed and stands on it, in the machine's own frame.
pub(super) fn bed(job: &Job, mounting: &Mounting) -> Vec<Layer<'static>> {
    let mut all = Vec::new();
    for (mount, holes) in mounting.mounts.iter().zip(bed_holes(mounting)) {
        let [stock, zero] = match mount.face {
            Face::Top => ["board-top", "zero-top"],
            Face::Bottom => ["board-bottom", "zero-bottom"],
        };
        let rectangle = ArcPath::polygon(corners(job.board.size()).map(|p| mount.on_bed(p)));
        let arm = |way: DVec2| open([way, -way].map(|way| mount.on_bed(way * CROSS_MM)));
        all.push(Layer::new(stock, vec![rectangle]));
        all.push(holes);
        all.push(Layer::new(zero, vec![arm(DVec2::X), arm(DVec2::Y)]));
    }
    let clamp = &job.shop.bed.clamp;
    let tracks: Vec<ArcPath> =
        clamp.tracks.iter().flat_map(|track| track.lines()).map(open).collect();
    let radius = job.shop.bolt.size.thickness().half();
    let inserts = clamp.inserts.iter().flat_map(|insert| insert.places());
    let inserts: Vec<(DVec2, Length)> = inserts.map(|at| (at, radius)).collect();
    if !tracks.is_empty() {
        all.push(Layer::new("tracks", tracks));
    }
    if !inserts.is_empty() {
        all.push(Layer::round("inserts", inserts));
    }
    all
}

/// Everything on the board, in its own frame.
pub(super) fn board(job: &Job, mounting: &Mounting) -> Vec<Layer<'static>> {
    const HELD: [[&str; 3]; 2] = [
        ["hold-downs-top", "rebates-top", "hold-down-blocks-top"],
        ["hold-downs-bottom", "rebates-bottom", "hold-down-blocks-bottom"],
    ];
    let mut flaws = Layer::new("flaws", Vec::new());
    for flaw in &job.board.flaws {
        match &flaw.shape {
            FlawShape::Circle { centre, radius } => flaws.circles.push((*centre, *radius)),
            FlawShape::Polygon(corners) => {
                flaws.paths.push(ArcPath::polygon(corners.iter().copied()))
            }
            FlawShape::Line(corners) => flaws.paths.push(open(corners.iter().copied())),
        }
    }
    let pieces = job.mounted();
    // Of all pieces, each where it lies.
    let laid = |name, paths: fn(&Mounted<'_>) -> Vec<ArcPath>| {
        let on_board = |at: &Mounted<'_>| {
            let affine = at.placement.affine();
            paths(at).into_iter().map(move |path| path.transformed(affine))
        };
        Layer::new(name, pieces.iter().flat_map(on_board).collect())
    };
    let pins = &mounting.pins;
    let holes = pins.places.iter().map(|p| (*p, pins.hole.half())).collect();
    let mut layers = vec![
        Layer::new("board", vec![ArcPath::polygon(corners(job.board.size()))]),
        flaws,
        laid("outline", |at| vec![at.piece.outlines.body.clone()]),
        laid("slots", |at| at.piece.outlines.slots.clone()),
        laid("tabs", |at| at.carved.tabs.iter().map(|(_, path)| path.clone()).collect()),
        laid("saw-lines", |at| at.carved.saw_lines.clone()),
        laid("limit", |at| vec![at.piece.outlines.limit.centre.clone()]),
        Layer::round("pins", holes),
    ];
    let openings = laid("openings", |at| at.piece.outlines.openings.clone());
    if !openings.paths.is_empty() {
        layers.push(openings);
    }
    let clamps = &mounting.clamps;
    for (side, [lips, rebates, blocks]) in HELD.into_iter().enumerate() {
        let places = &clamps.places[side];
        layers.push(Layer::new(lips, places.iter().map(|p| ArcPath::polygon(p.lip)).collect()));
        let cut = clamps.rebates(side);
        if !cut.is_empty() {
            layers.push(Layer::new(rebates, cut));
        }
        let outer = places.iter().map(|p| ArcPath::polygon(p.plan)).collect();
        let bolts = places.iter().filter_map(|p| Some((p.bolt, clamps.model(p)?.hole.radius)));
        let circles = bolts.collect();
        layers.push(Layer { circles, ..Layer::new(blocks, outer) });
    }
    layers
}
