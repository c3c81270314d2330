//! The keys of `packet.json` that a rehearsal reads.

use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Debug, Deserialize)]
pub(super) struct PacketList {
    pub(super) format: u32,
    pub(super) tool: String,
    pub(super) seal: String,
    pub(super) board: ListedBoard,
    pub(super) shop: ListedShop,
    pub(super) mounting: Option<ListedMounting>,
    /// Of a set.
    pub(super) pieces: Option<Vec<ListedPiece>>,
    /// Of one piece.
    pub(super) design: Option<ListedDesign>,
    pub(super) setups: Option<BTreeMap<String, ListedSetup>>,
    pub(super) workholding: Option<ListedPasses>,
    pub(super) checks: Option<ListedChecks>,
    pub(super) files: Vec<ListedFile>,
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedPiece {
    pub(super) folder: String,
    pub(super) design: ListedDesign,
    pub(super) setups: BTreeMap<String, ListedSetup>,
    pub(super) workholding: ListedPasses,
    pub(super) checks: ListedChecks,
}

#[derive(Clone, Debug, Deserialize)]
pub(super) struct ListedDesign {
    pub(super) name: String,
}

#[derive(Debug, Default, Deserialize)]
pub(super) struct ListedChecks {
    #[serde(default)]
    pub(super) reach: Vec<ListedReach>,
}

#[derive(Clone, Debug, Deserialize)]
pub(super) struct ListedReach {
    pub(super) side: String,
    pub(super) finishes: bool,
    pub(super) most_mm: f64,
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedBoard {
    pub(super) name: String,
    pub(super) species: String,
    pub(super) length_mm: f64,
    pub(super) width_mm: f64,
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedFile {
    pub(super) name: String,
    pub(super) unit: Option<String>,
}

#[derive(Clone, Debug, Deserialize)]
pub(super) struct ListedCutter {
    pub(super) name: String,
    #[serde(default)]
    pub(super) number: Option<f64>,
    pub(super) form: String,
    pub(super) angle_deg: Option<f64>,
    pub(super) corner_mm: Option<f64>,
    pub(super) diameter_mm: f64,
    pub(super) flute_mm: f64,
    pub(super) stick_out_mm: f64,
    pub(super) feed_mm_min: f64,
    pub(super) speed_rpm: f64,
    pub(super) plunge_mm_min: Option<f64>,
    pub(super) pass_depth_mm: f64,
    pub(super) step_over_mm: Option<f64>,
    pub(super) holder: Option<ListedHolder>,
}

#[derive(Clone, Copy, Debug, Deserialize)]
pub(super) struct ListedHolder {
    pub(super) diameter_mm: f64,
    pub(super) nose_mm: f64,
    pub(super) length_mm: f64,
}

#[derive(Clone, Copy, Debug, Default, Deserialize)]
pub(super) struct ListedMachine {
    pub(super) x_mm: Option<f64>,
    pub(super) y_mm: Option<f64>,
    pub(super) z_mm: Option<f64>,
    #[serde(default)]
    pub(super) nose_mm: f64,
    pub(super) acceleration_mm_s2: Option<f64>,
    pub(super) rapid_mm_min: Option<f64>,
    pub(super) safe_mm: Option<f64>,
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedPosition {
    pub(super) name: String,
    pub(super) at_mm: [f64; 2],
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedLimits {
    pub(super) uncut_mm: f64,
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedWork {
    pub(super) finish: String,
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedShop {
    pub(super) name: String,
    pub(super) unit: String,
    pub(super) turn: String,
    pub(super) zero: String,
    pub(super) cutters: Vec<ListedCutter>,
    pub(super) holder: ListedHolder,
    #[serde(default)]
    pub(super) machine: ListedMachine,
    #[serde(default)]
    pub(super) positions: Vec<ListedPosition>,
    pub(super) limits: ListedLimits,
    pub(super) work: ListedWork,
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedSetup {
    pub(super) board_to_setup: [[f64; 4]; 4],
    pub(super) design_to_setup: [[f64; 4]; 4],
    pub(super) stock_top_mm: f64,
    pub(super) stock_bottom_mm: f64,
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedPasses {
    pub(super) passes: Vec<ListedPass>,
}

#[derive(Clone, Debug, Deserialize)]
pub(super) struct ListedPass {
    pub(super) setup: String,
    pub(super) pass: String,
    pub(super) cutter: String,
    pub(super) end_z_mm: f64,
    pub(super) lift_z_mm: f64,
    pub(super) leaves_mm: f64,
    pub(super) pass_depth_mm: Option<f64>,
    pub(super) tip_lowest_mm: Option<f64>,
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedMount {
    pub(super) setup: String,
    pub(super) position: Option<String>,
    pub(super) enter_x_mm: f64,
    pub(super) enter_y_mm: f64,
    pub(super) enter_z_over_bed_mm: f64,
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedDowel {
    pub(super) in_board_mm: f64,
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedBore {
    pub(super) end_z_mm: f64,
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedDrilling {
    pub(super) cutter: String,
    pub(super) path_mm: Option<f64>,
    pub(super) peck_mm: Option<f64>,
    pub(super) board: ListedBore,
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedModel {
    pub(super) form: String,
    pub(super) over_mm: f64,
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedClamp {
    pub(super) form: String,
    pub(super) block_mm: Vec<[f64; 2]>,
    pub(super) rebate_mm: Option<Vec<[f64; 2]>>,
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedClamps {
    pub(super) setup: String,
    pub(super) places: Vec<ListedClamp>,
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedHoldDowns {
    pub(super) models: Vec<ListedModel>,
    pub(super) setups: Vec<ListedClamps>,
}

#[derive(Debug, Deserialize)]
pub(super) struct ListedMounting {
    pub(super) pins_mm: Vec<[f64; 2]>,
    pub(super) pin_hole_mm: f64,
    pub(super) dowel: ListedDowel,
    pub(super) drilling: Option<ListedDrilling>,
    pub(super) mounts: Vec<ListedMount>,
    pub(super) hold_downs: ListedHoldDowns,
}
