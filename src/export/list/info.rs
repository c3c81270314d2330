//! What `packet.json` says of the pieces of a job.

use super::{
    ChangeInfo, ChecksInfo, Entry, GrainInfo, LaidInfo, Measured, MeshInfo, MovedInfo, PlaceInfo,
    RoundInfo, SetupInfo, StockInfo,
};
use crate::finding::Findings;
use crate::fit::{self, movement};
use crate::job::{Job, Mounted, Piece};
use crate::params::{Kind, species};
use crate::units::{Angle, Length};

impl Entry {
    /// Of each piece of a job, with its folder and what of the findings is about it alone.
    pub fn all(job: &Job, folders: &[String], findings: &Findings) -> Vec<Entry> {
        let mounted = job.mounted();
        let pieces = job.pieces.iter().zip(folders).enumerate();
        pieces
            .map(|(index, (piece, folder))| {
                let at = mounted.get(index);
                Entry {
                    folder: folder.clone(),
                    design: piece.design.clone(),
                    measured: measured(job, piece),
                    mesh: MeshInfo {
                        tolerance: job.tolerance,
                        error_max: piece.mesh.error,
                        triangles: piece.mesh.mesh.triangles.len(),
                        angle_least: Angle::degrees(piece.audit.least_angle_deg),
                    },
                    stock: StockInfo {
                        usable: piece.stock.usable,
                        height: piece.stock.height,
                        spare: piece.stock.spare,
                    },
                    changes: piece.changes.iter().map(change).collect(),
                    findings: findings.about(piece.number),
                    round: at.map(round),
                    movement: movement::sizes(&piece.design, &job.board)
                        .iter()
                        .map(moved)
                        .collect(),
                    grain: at.map(grain).unwrap_or_default(),
                    checks: ChecksInfo::of(&piece.checks),
                }
            })
            .collect()
    }
}

fn moved(size: &movement::Moved) -> MovedInfo {
    MovedInfo { what: size.what, now: size.now, radial: size.radial, tangential: size.tangential }
}

fn grain(at: &Mounted<'_>) -> Vec<GrainInfo> {
    let all = fit::grain(&at.piece.design, &at.job.board, at.placement);
    let said = |at: fit::GrainAt| GrainInfo { place: at.place, angle: Angle::degrees(at.degrees) };
    all.into_iter().map(said).collect()
}

fn change(change: &crate::fit::Change) -> ChangeInfo {
    ChangeInfo {
        key: change.key.clone(),
        from: change.asked.clone(),
        to: change.fitted.clone(),
        limit: change.limit.clone(),
    }
}

fn measured(job: &Job, piece: &Piece) -> Measured {
    let sizes = &piece.sizes;
    let size = sizes.high - sizes.low;
    let finished = piece.carved.as_ref().map(|carved| carved.finished.volume_mm3());
    let volume = finished.unwrap_or(piece.solids.body_mm3);
    Measured {
        length: Length::mm(size.x),
        width: Length::mm(size.y),
        height: Length::mm(size.z),
        bowl_depth: sizes.bowl_depth,
        wall_least: Some(sizes.wall_least),
        rim_least: sizes.rim_least,
        body_volume_mm3: piece.solids.body_mm3,
        body_area_mm2: piece.audit.area_mm2,
        // A slotted hollow holds nothing.
        capacity_ml: matches!(piece.design.kind, Kind::Spoon | Kind::Scoop)
            .then_some(piece.solids.hollow_mm3 / 1000.0),
        // 1 kg/m³ is 1e-6 g/mm³.
        mass_g: species(&job.board.species).map(|species| species.density_kg_m3 * 1e-6 * volume),
        handle_width_least: sizes.handle_width[0],
        handle_width_most: sizes.handle_width[1],
        handle_thickness_least: sizes.handle_thickness[0],
        handle_thickness_most: sizes.handle_thickness[1],
        tine_width_least: piece.tines.map(|tines| tines.tine_width_least),
    }
}

fn round(at: &Mounted<'_>) -> RoundInfo {
    let Mounted { carved, placement, .. } = at;
    let place = |p: glam::DVec2| PlaceInfo { x: Length::mm(p.x), y: Length::mm(p.y) };
    let setup = |index: usize| {
        let setup = &carved.setups[index].0;
        SetupInfo {
            design_to_setup: setup.from_design.matrix(),
            board_to_setup: setup.from_board.matrix(),
            stock_top: setup.stock_top,
            stock_bottom: setup.stock_bottom,
        }
    };
    RoundInfo {
        setups: [("top", setup(0)), ("bottom", setup(1))].into(),
        placement: LaidInfo { origin: place(placement.origin), angle: placement.angle },
        workholding: super::hold::piece(at),
        inlays: super::inlays::of(at),
    }
}
