//! One inlay of a piece: what it is asked for with, the frame in which its face looks up, and its cutters.

use super::bed_of_art::Underside;
use super::bring::Brought;
use super::codes;
use crate::finding::{Finding, Findings, Source};
use crate::fit::Stock;
use crate::mesh::Mesh;
use crate::outline::ArcPath;
use crate::params::{Board, Cutter, CutterForm, Design, Inlay, InlayFill, InlaySide, Shop};
use crate::relief::Face;
use crate::shape::Body;
use glam::{DAffine2, DVec2, DVec3};

/// What inlays are made from.
#[derive(Clone, Copy)]
pub struct InlayOrder<'a> {
    /// The design that is made.
    pub design: &'a Design,
    /// The exact body.
    pub body: &'a Body,
    /// Its outline.
    pub outline: &'a ArcPath,
    /// How it lies in the height of the stock.
    pub stock: &'a Stock,
    /// The board that it is carved from.
    pub board: &'a Board,
    /// The shop.
    pub shop: &'a Shop,
    /// The files of the design's inlays, in their order.
    pub brought: &'a [Option<Brought>],
}

/// One inlay of a piece.
pub(super) struct OneInlay<'a> {
    pub(super) order: &'a InlayOrder<'a>,
    pub(super) number: usize,
    pub(super) inlay: &'a Inlay,
    pub(super) name: String,
}

impl OneInlay<'_> {
    /// A finding about a key of this inlay.
    pub(super) fn about(&self, finding: Finding, key: &str) -> Finding {
        finding.at(Source::Design, format!("inlay[{}].{key}", self.number))
    }

    pub(super) fn upside_down(&self) -> bool {
        self.inlay.side == InlaySide::Bottom
    }

    /// From the frame in which the face looks up into the design's, and back: a half turn about X, or
    /// nothing.
    pub(super) fn turned(&self, p: DVec3) -> DVec3 {
        if self.upside_down() { DVec3::new(p.x, -p.y, -p.z) } else { p }
    }

    pub(super) fn in_plan(&self, p: DVec2) -> DVec2 {
        self.turned(p.extend(0.0)).truncate()
    }

    /// A path of the plan, into the other frame.
    pub(super) fn path(&self, path: &ArcPath) -> ArcPath {
        match self.upside_down() {
            true => path.transformed(DAffine2::from_scale(DVec2::new(1.0, -1.0))),
            false => path.clone(),
        }
    }

    /// A mesh into the other frame: a rotation, which keeps orientations.
    pub(super) fn mesh(&self, mesh: &Mesh) -> Mesh {
        let points = mesh.points.iter().map(|p| self.turned(*p)).collect();
        Mesh { points, triangles: mesh.triangles.clone() }
    }

    pub(super) fn face(&self) -> Face {
        if self.upside_down() { Face::Bottom } else { Face::Top }
    }
}

/// An upright wall is as good as a vee's of this angle, in radians, where the face's slope is judged.
const UPRIGHT: f64 = 0.02;

/// What an inlay is cut with.
pub(super) struct Cutters<'a> {
    pub(super) vee: &'a Cutter,
    /// Included angle, in radians.
    pub(super) angle: f64,
    pub(super) clear: &'a Cutter,
    pub(super) trim: &'a Cutter,
}

/// The cutters; a fault where the shop has none that does.
pub(super) fn cutters<'a>(one: &OneInlay<'a>, out: &mut Findings) -> Option<Cutters<'a>> {
    let (shop, inlay) = (one.order.shop, one.inlay);
    let [flanks, clear] = inlay.cutters(shop);
    let trim = shop.cutter(&shop.work.finish)?;
    let mut fault = |what: &str, key: &str| {
        let message = format!("the shop has no {what} for this inlay");
        let help = "Name one of the shop's cutters, or write down another in the shop file.";
        out.push(one.about(Finding::fault(codes::INLAY_CUTTER, message, help), key));
    };
    if inlay.fill == InlayFill::Poured {
        if flanks.is_none() {
            fault("flat cutter", "cutter");
        }
        let flat = flanks?;
        return Some(Cutters { vee: flat, angle: UPRIGHT, clear: flat, trim });
    }
    let angle = flanks.and_then(|cutter| match cutter.form {
        CutterForm::Vee(angle) => Some((cutter, angle.as_radians())),
        _ => None,
    });
    if angle.is_none() {
        fault("vee", "cutter");
    }
    if clear.is_none() {
        fault("flat cutter", "clear");
    }
    let (vee, angle) = angle?;
    Some(Cutters { vee, angle, clear: clear?, trim })
}

/// Wood under the plate that stays behind a plug.
pub(super) fn plate_of(under: &Underside, board: &Board) -> f64 {
    under.lowest + board.usable_height().as_mm() - under.plate
}
