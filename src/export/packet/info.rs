//! What `packet.json` says of a job.

use super::{
    Change, ChecksInfo, GrainInfo, HoldDownInfo, LaidInfo, Measured, MeshInfo, MovedInfo,
    PacketInfo, PlaceInfo, RoundInfo, SetupInfo, Stock,
};
use crate::finding::Findings;
use crate::fit::{self, movement};
use crate::job::Job;
use crate::params::{Kind, species};
use crate::units::{Angle, Length};

impl PacketInfo {
    /// Of a job, and what there is to say about it.
    pub fn of(job: &Job, findings: &Findings) -> PacketInfo {
        let order = &job.order;
        PacketInfo {
            design: order.design.clone(),
            board: order.board.clone(),
            shop: order.shop.clone(),
            measured: measured(job),
            mesh: MeshInfo {
                tolerance: order.tolerance,
                error_max: job.mesh.error,
                triangles: job.mesh.mesh.triangles.len(),
                angle_least: Angle::degrees(job.audit.least_angle_deg),
            },
            stock: Stock {
                usable: job.stock.usable,
                height: job.stock.height,
                spare: job.stock.spare,
            },
            changes: job.changes.iter().map(change).collect(),
            findings: findings.iter().cloned().collect(),
            round: job.round.as_ref().map(round),
            movement: movement::sizes(&order.design, &order.board).iter().map(moved).collect(),
            grain: grain(job),
            checks: ChecksInfo::of(&job.checks),
        }
    }
}

fn moved(size: &movement::Moved) -> MovedInfo {
    MovedInfo { what: size.what, now: size.now, radial: size.radial, tangential: size.tangential }
}

fn grain(job: &Job) -> Vec<GrainInfo> {
    let Some(round) = &job.round else { return Vec::new() };
    let at = fit::grain(&job.order.design, &job.order.board, &round.placement);
    let said = |at: fit::GrainAt| GrainInfo { place: at.place, angle: Angle::degrees(at.degrees) };
    at.into_iter().map(said).collect()
}

fn change(change: &crate::fit::Change) -> Change {
    Change {
        key: change.key.clone(),
        from: change.asked.clone(),
        to: change.fitted.clone(),
        limit: change.limit.clone(),
    }
}

fn measured(job: &Job) -> Measured {
    let sizes = &job.sizes;
    let size = sizes.high - sizes.low;
    let finished = job.round.as_ref().map(|round| round.finished.volume_mm3());
    let volume = finished.unwrap_or(job.solids.body_mm3);
    Measured {
        length: Length::mm(size.x),
        width: Length::mm(size.y),
        height: Length::mm(size.z),
        bowl_depth: sizes.bowl_depth,
        wall_least: Some(sizes.wall_least),
        rim_least: sizes.rim_least,
        body_volume_mm3: job.solids.body_mm3,
        body_area_mm2: job.audit.area_mm2,
        // A slotted hollow holds nothing.
        capacity_ml: (job.order.design.kind == Kind::Spoon)
            .then_some(job.solids.hollow_mm3 / 1000.0),
        // 1 kg/m³ is 1e-6 g/mm³.
        mass_g: species(&job.order.board.species)
            .map(|species| species.density_kg_m3 * 1e-6 * volume),
        handle_width_least: sizes.handle_width[0],
        handle_width_most: sizes.handle_width[1],
        handle_thickness_least: sizes.handle_thickness[0],
        handle_thickness_most: sizes.handle_thickness[1],
        tine_width_least: job.tines.map(|tines| tines.tine_width_least),
    }
}

fn round(round: &crate::job::Round) -> RoundInfo {
    let place = |p: glam::DVec2| PlaceInfo { x: Length::mm(p.x), y: Length::mm(p.y) };
    let setup = |index: usize| {
        let setup = &round.setups[index].0;
        SetupInfo {
            design_to_setup: setup.from_design.matrix(),
            board_to_setup: setup.from_board.matrix(),
            stock_top: setup.stock_top,
            stock_bottom: setup.stock_bottom,
        }
    };
    RoundInfo {
        setups: [("top", setup(0)), ("bottom", setup(1))].into(),
        placement: LaidInfo { origin: place(round.placement.origin), angle: round.placement.angle },
        pins: round.pins.places.iter().map(|p| place(*p)).collect(),
        pin_hole: round.pins.hole,
        hold_downs: round.clamps.places.iter().flatten().map(|held| place(held.at)).collect(),
        workholding: super::hold::value(round),
        hold_down: round.clamps.models.first().map(|model| HoldDownInfo {
            bearing: model.bearing,
            height: model.height,
            hole: model.hole.radius * 2.0,
        }),
    }
}
