//! The files of a packet, each with what makes it; nothing is made before it is wanted.
//!
//! STL files that are carved from are in the unit that the shop asks for, since the format says none;
//! other models are in millimetres, as their formats say or as a slicer takes them. Outlines are in
//! the shop's unit, which stands in the DXF header.

use crate::export::dxf::{self, Layer};
use crate::export::{Artefact, ExportError, stl, svg};
use crate::mesh::Mesh;
use crate::sheet::FileLine;
use crate::units::Unit;
use glam::DVec2;
use rayon::prelude::*;
use std::sync::Arc;

pub(super) type Bytes = Result<Vec<u8>, ExportError>;

/// A file that a packet can have.
pub(super) struct ToMake<'a> {
    pub(super) name: String,
    pub(super) role: &'static str,
    pub(super) unit: &'static str,
    pub(super) frame: &'static str,
    make: Box<dyn Fn() -> Bytes + Sync + Send + 'a>,
}

impl ToMake<'_> {
    /// As the sheet has it.
    pub(super) fn line(&self) -> FileLine {
        let ToMake { name, role, unit, frame, .. } = self;
        let [role, unit, frame] = [role, unit, frame].map(|text| (*text).to_owned());
        FileLine { name: name.clone(), role, frame, unit }
    }
}

/// Files in a folder of the packet.
pub(super) struct Files<'a> {
    /// Empty for the packet itself.
    pub(super) folder: &'a str,
    pub(super) unit: Unit,
    /// Of the STL files that are carved from.
    pub(super) models: Unit,
    pub(super) all: Vec<ToMake<'a>>,
}

impl<'a> Files<'a> {
    pub(super) fn add(
        &mut self,
        name: &str,
        role: &'static str,
        unit: &'static str,
        frame: &'static str,
        make: impl Fn() -> Bytes + Sync + Send + 'a,
    ) {
        let name = match self.folder {
            "" => name.to_owned(),
            folder => format!("{folder}/{name}"),
        };
        self.all.push(ToMake { name, role, unit, frame, make: Box::new(make) });
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

    /// A model to carve from, as STL.
    pub(super) fn mesh(
        &mut self,
        name: &str,
        role: &'static str,
        frame: &'static str,
        mesh: &'a Mesh,
    ) {
        let unit = self.models;
        self.add(name, role, unit.symbol(), frame, move || stl::stl(mesh, unit));
    }

    /// A drawing as DXF and as SVG.
    pub(super) fn drawing(
        &mut self,
        stem: &str,
        role: &'static str,
        frame: &'static str,
        layers: impl Fn() -> Vec<Layer<'static>> + Sync + Send + 'a,
    ) {
        let unit = self.unit;
        let layers = Arc::new(layers);
        let same = Arc::clone(&layers);
        self.add(&format!("{stem}.dxf"), role, unit.symbol(), frame, move || {
            dxf::drawing(&layers(), unit)
        });
        self.add(&format!("{stem}.svg"), role, unit.symbol(), frame, move || {
            /// So that no line is cut off at the edge of the picture.
            const ROOM: DVec2 = DVec2::splat(2.0);
            let layers = same();
            let (low, high) = dxf::extents(&layers).unwrap_or_default();
            Ok(svg::drawing(&layers, unit, (low - ROOM, high + ROOM)).into_bytes())
        });
    }
}

/// Makes files, on all threads.
pub(super) fn made<'a>(files: Vec<&ToMake<'a>>) -> Result<Vec<Artefact>, ExportError> {
    files
        .into_par_iter()
        .with_max_len(1)
        .map(|file| {
            let ToMake { name, role, unit, frame, make } = file;
            Ok(Artefact { name: name.clone(), role, unit, frame, bytes: make()? })
        })
        .collect()
}
