//! An inlay as it is made.

use super::basin::Poured;
use super::plug::Plug;
use crate::cutting::passes::Pass;
use crate::mesh::Mesh;
use crate::outline::ArcPath;
use crate::params::Design;
use crate::relief::Face;
use crate::units::{Length, Unit, plain};
use crate::work::{InlayWork, PlugWork};
use glam::DVec3;

/// An inlay. All but the plug in the design frame, in mm.
#[derive(Clone, Debug)]
pub struct Inlaid {
    /// Which of the design's it is.
    pub number: usize,
    /// What its files are called.
    pub name: String,
    /// The face that it is let into.
    pub face: Face,
    /// The face with its recess, closed to a solid down to the stock's far side.
    pub recess: Mesh,
    /// The art's outlines.
    pub art: Vec<ArcPath>,
    /// Where the flanks end at the floor.
    pub floor: Vec<ArcPath>,
    /// The line that the tip of the vee follows, in parts; whether each closes.
    pub tip_line: Vec<(Vec<DVec3>, bool)>,
    /// The passes over the piece.
    pub passes: Vec<Pass>,
    /// What fills it; none for one that is poured.
    pub plug: Option<Plug>,
    /// What is poured into it; none for a plug's.
    pub poured: Option<Poured>,
    /// The share of the floor that the clearing cutter reaches; none for one that is poured.
    pub floor_reached: Option<f64>,
    /// What is cut away, in mm³.
    pub recess_mm3: f64,
    /// What a flat tip can leave standing in the art's sharp corners, upright.
    pub tip_leaves: Length,
}

impl Inlaid {
    /// Where its files are in the folder of its piece.
    pub fn folder(&self) -> String {
        format!("inlay/{}", self.name)
    }

    /// What the order of work is told of it.
    pub fn work(&self, design: &Design, unit: Unit) -> InlayWork {
        let proud = design.inlay.get(self.number).map_or(Length::ZERO, |inlay| inlay.proud);
        let plug = self.plug.as_ref().map(|plug| PlugWork {
            species: plug.board.species.clone(),
            stock: plug.stock.said(unit),
            cutters: [plug.clear.name.clone(), plug.vee.name.clone()],
            proud: proud.said(unit),
        });
        let resin = self.poured.as_ref().map(|poured| plain(poured.volume_mm3 / 1000.0, 1));
        InlayWork { face: self.face, folder: self.folder(), plug, resin }
    }
}
