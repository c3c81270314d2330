//! `packet.json`: what a packet has in it, for other programs and for the writer itself.
//!
//! Promised: the keys of format 2, in this order; names end in their unit; every number finite;
//! the same text for the same job. Its last key, `seal`, is the SHA-256 of all text before it, so
//! that the writer can tell a list that someone has edited.

use super::{Artefact, ExportError};
use crate::finding::Findings;
use crate::job::Job;
use crate::params::{Board, Design, Shop};
use crate::units::{Angle, Length};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

mod asked;
mod checks;
mod clamps;
mod figures;
mod findings;
mod hold;
mod info;
mod inlays;

pub use checks::{CheckInfo, ChecksInfo, ReachInfo};
pub use findings::FindingInfo;

use figures::{degrees, figure, in_mm, mm, no, rounded, some_figure, some_mm};
use findings::ListedFinding;

/// Number of this contract: raised when a key changes its name or its meaning.
pub const FORMAT: u32 = 2;

/// Name of the list in a packet.
pub const LIST: &str = "packet.json";

const TOOL: &str = env!("CARGO_PKG_NAME");

/// What it is for.
const ROLE: &str = "what is in the packet";

/// All that `packet.json` says of a piece.
#[derive(Clone, Debug)]
pub struct Entry {
    /// Where its files are in the packet; empty for the packet itself.
    pub folder: String,
    /// The design as it is made: after fitting, with every default filled in.
    pub design: Design,
    /// What was measured on the finished mesh.
    pub measured: Measured,
    /// How the mesh was made.
    pub mesh: MeshInfo,
    /// What the board gives and the design needs.
    pub stock: StockInfo,
    /// What fitting moved.
    pub changes: Vec<ChangeInfo>,
    /// What the tool has to say about it.
    pub findings: Findings,
    /// What stands round the piece; absent when only the body was made.
    pub round: Option<RoundInfo>,
    /// Sizes across the grain, now and in use.
    pub movement: Vec<MovedInfo>,
    /// The grain where the piece is thin.
    pub grain: Vec<GrainInfo>,
    /// What the rules looked at and found.
    pub checks: ChecksInfo,
}

/// Where the piece lies, and how it is carved.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoundInfo {
    /// The setups by their names, `top` and `bottom`.
    pub setups: BTreeMap<&'static str, SetupInfo>,
    /// Where the piece lies on the board.
    pub placement: LaidInfo,
    /// How its sides meet, what its tabs bear, its passes.
    pub workholding: Value,
    /// Its inlays.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub inlays: Vec<Value>,
}

/// A place in a plan.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PlaceInfo {
    /// Along X.
    #[serde(rename = "x_mm", serialize_with = "mm")]
    pub x: Length,
    /// Along Y.
    #[serde(rename = "y_mm", serialize_with = "mm")]
    pub y: Length,
}

/// Where a piece lies on the board: its design's origin, and the angle from the board's X to the
/// design's, counter-clockwise seen from above.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LaidInfo {
    /// The origin, on the board.
    #[serde(flatten)]
    pub origin: PlaceInfo,
    /// The angle.
    #[serde(rename = "angle_deg", serialize_with = "degrees")]
    pub angle: Angle,
}

/// One mounting of the board. The matrices are 4 × 4, row by row, in mm: a point in homogeneous
/// coordinates is multiplied from the right.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SetupInfo {
    /// From the design frame into the setup's.
    pub design_to_setup: [[f64; 4]; 4],
    /// From the board's frame, with the design's heights, into the setup's.
    pub board_to_setup: [[f64; 4]; 4],
    /// Height of the stock's upper face as it lies, in the setup's frame.
    #[serde(rename = "stock_top_mm", serialize_with = "mm")]
    pub stock_top: Length,
    /// Height of its lower face as it lies.
    #[serde(rename = "stock_bottom_mm", serialize_with = "mm")]
    pub stock_bottom: Length,
}

/// Figures measured on the body's finished mesh.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Measured {
    /// Over all, along X.
    #[serde(rename = "length_mm", serialize_with = "mm")]
    pub length: Length,
    /// Over all, along Y.
    #[serde(rename = "width_mm", serialize_with = "mm")]
    pub width: Length,
    /// Over all, along Z.
    #[serde(rename = "height_mm", serialize_with = "mm")]
    pub height: Length,
    /// From the rim plane to the lowest point of the hollow.
    #[serde(rename = "bowl_depth_mm", serialize_with = "some_mm", skip_serializing_if = "no")]
    pub bowl_depth: Option<Length>,
    /// Least wood between hollow and back, or of a blade.
    #[serde(rename = "wall_least_mm", serialize_with = "some_mm", skip_serializing_if = "no")]
    pub wall_least: Option<Length>,
    /// Least width of the rim land.
    #[serde(rename = "rim_least_mm", serialize_with = "some_mm", skip_serializing_if = "no")]
    pub rim_least: Option<Length>,
    /// Volume of the body, unslotted.
    #[serde(serialize_with = "figure")]
    pub body_volume_mm3: f64,
    /// Surface of the body, unslotted.
    #[serde(serialize_with = "figure")]
    pub body_area_mm2: f64,
    /// What the hollow holds, level with its lowest rim.
    #[serde(serialize_with = "some_figure", skip_serializing_if = "Option::is_none")]
    pub capacity_ml: Option<f64>,
    /// Mass in the board's species; absent where its density is not known.
    #[serde(serialize_with = "some_figure", skip_serializing_if = "Option::is_none")]
    pub mass_g: Option<f64>,
    /// Least width of the handle.
    #[serde(rename = "handle_width_least_mm", serialize_with = "mm")]
    pub handle_width_least: Length,
    /// Greatest width of the handle.
    #[serde(rename = "handle_width_most_mm", serialize_with = "mm")]
    pub handle_width_most: Length,
    /// Least thickness of the handle.
    #[serde(rename = "handle_thickness_least_mm", serialize_with = "mm")]
    pub handle_thickness_least: Length,
    /// Greatest thickness of the handle.
    #[serde(rename = "handle_thickness_most_mm", serialize_with = "mm")]
    pub handle_thickness_most: Length,
    /// Least width of a tine.
    #[serde(
        rename = "tine_width_least_mm",
        serialize_with = "some_mm",
        skip_serializing_if = "no"
    )]
    pub tine_width_least: Option<Length>,
}

/// How the mesh of the body was made.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct MeshInfo {
    /// The greatest distance from the exact surface that was asked for.
    #[serde(rename = "tolerance_mm", serialize_with = "mm")]
    pub tolerance: Length,
    /// The greatest distance that was measured.
    #[serde(rename = "error_max_mm", serialize_with = "mm")]
    pub error_max: Length,
    /// Triangles of the body.
    pub triangles: usize,
    /// The least angle in any triangle.
    #[serde(rename = "angle_least_deg", serialize_with = "degrees")]
    pub angle_least: Angle,
}

/// What the board gives and what the design needs of it.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct StockInfo {
    /// The greatest height that a flat stock of the board can have.
    #[serde(rename = "usable_mm", serialize_with = "mm")]
    pub usable: Length,
    /// The height that the stock is planed to.
    #[serde(rename = "height_mm", serialize_with = "mm")]
    pub height: Length,
    /// What is left over the design.
    #[serde(rename = "spare_mm", serialize_with = "mm")]
    pub spare: Length,
}

/// Something that fitting moved.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ChangeInfo {
    /// Key of the design file.
    pub key: String,
    /// What the file asks for, with its unit.
    pub from: String,
    /// What is made, with its unit.
    pub to: String,
    /// The limit that its give sets on that side, with its unit.
    pub limit: String,
}

/// A size across the grain, at the board's moisture and at that in use.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MovedInfo {
    /// What it is.
    pub what: &'static str,
    /// As it is carved.
    #[serde(rename = "now_mm", serialize_with = "mm")]
    pub now: Length,
    /// In use, if it lies along the rays.
    #[serde(rename = "use_radial_mm", serialize_with = "mm")]
    pub radial: Length,
    /// In use, if it lies along the rings.
    #[serde(rename = "use_tangential_mm", serialize_with = "mm")]
    pub tangential: Length,
}

/// The grain at one place of the piece.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct GrainInfo {
    /// Where.
    pub place: &'static str,
    /// From the handle's line, counter-clockwise seen from above.
    #[serde(rename = "angle_deg", serialize_with = "degrees")]
    pub angle: Angle,
}

#[derive(Serialize)]
struct List<'a> {
    format: u32,
    tool: &'static str,
    tool_version: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    design: Option<Value>,
    board: Value,
    shop: Value,
    /// What belongs to the board, for all its pieces.
    #[serde(skip_serializing_if = "Option::is_none")]
    mounting: Option<Value>,
    #[serde(flatten)]
    pieces: Pieces<'a>,
    files: Vec<File<'a>>,
}

/// A single piece is the packet; several have their own parts of the list.
#[derive(Serialize)]
#[serde(untagged)]
enum Pieces<'a> {
    One(PieceSaid<'a>),
    Several {
        pieces: Vec<InFolder<'a>>,
        /// About the board, the shop or the set.
        findings: Vec<ListedFinding<'a>>,
    },
}

#[derive(Serialize)]
struct InFolder<'a> {
    folder: &'a str,
    design: Value,
    #[serde(flatten)]
    piece: PieceSaid<'a>,
}

/// What a list says of one piece, alone or in a set, beside its design.
#[derive(Serialize)]
struct PieceSaid<'a> {
    measured: &'a Measured,
    mesh: &'a MeshInfo,
    stock: &'a StockInfo,
    changes: &'a [ChangeInfo],
    findings: Vec<ListedFinding<'a>>,
    #[serde(flatten)]
    round: Option<&'a RoundInfo>,
    movement: &'a [MovedInfo],
    grain: &'a [GrainInfo],
    checks: &'a ChecksInfo,
}

impl<'a> PieceSaid<'a> {
    fn of(info: &'a Entry) -> PieceSaid<'a> {
        PieceSaid {
            measured: &info.measured,
            mesh: &info.mesh,
            stock: &info.stock,
            changes: &info.changes,
            findings: info.findings.iter().map(ListedFinding::of).collect(),
            round: info.round.as_ref(),
            movement: &info.movement,
            grain: &info.grain,
            checks: &info.checks,
        }
    }
}

#[derive(Serialize)]
struct File<'a> {
    name: &'a str,
    role: &'static str,
    unit: Option<&'static str>,
    frame: Option<&'static str>,
    bytes: usize,
    sha256: String,
}

impl<'a> InFolder<'a> {
    fn of(entry: &'a Entry) -> InFolder<'a> {
        InFolder {
            folder: &entry.folder,
            design: asked::design(&entry.design),
            piece: PieceSaid::of(entry),
        }
    }
}

/// What a list says of a job's mounting; none where it has none.
pub fn mounting(job: &Job, folders: &[String]) -> Option<Value> {
    job.mounting.as_ref().map(|mounting| hold::mounting(mounting, folders))
}

/// The list of a packet with these files, as one more file of it. `findings` are about all pieces.
///
/// # Errors
/// When a figure is not a finite number.
pub fn list(
    (board, shop, mounting): (&Board, &Shop, Option<Value>),
    pieces: &[Entry],
    findings: &Findings,
    artefacts: &[Artefact],
) -> Result<Artefact, ExportError> {
    let (design, pieces) = match pieces {
        [one] => (Some(asked::design(&one.design)), Pieces::One(PieceSaid::of(one))),
        several => {
            let pieces = several.iter().map(InFolder::of).collect();
            (
                None,
                Pieces::Several {
                    pieces,
                    findings: findings.iter().map(ListedFinding::of).collect(),
                },
            )
        }
    };
    let text = serde_json::to_string_pretty(&List {
        format: FORMAT,
        tool: TOOL,
        tool_version: env!("CARGO_PKG_VERSION"),
        design,
        board: asked::board(board),
        shop: asked::shop(shop),
        mounting,
        pieces,
        files: artefacts.par_iter().with_max_len(1).map(file).collect(),
    })
    .map_err(|error| ExportError::Library { format: LIST, message: error.to_string() })?;
    Ok(Artefact {
        name: LIST.to_owned(),
        role: ROLE,
        unit: "mm",
        frame: "",
        bytes: sealed(text).into_bytes(),
    })
}

fn file(artefact: &Artefact) -> File<'_> {
    let some = |text: &'static str| (!text.is_empty()).then_some(text);
    File {
        name: &artefact.name,
        role: artefact.role,
        unit: some(artefact.unit),
        frame: some(artefact.frame),
        bytes: artefact.bytes.len(),
        sha256: sha256(&artefact.bytes),
    }
}

const SEAL: &str = ",\n  \"seal\": \"";

fn sealed(mut text: String) -> String {
    text.truncate(text.trim_end_matches(['\n', '}']).len());
    let seal = sha256(text.as_bytes());
    format!("{text}{SEAL}{seal}\"\n}}\n")
}

/// What is not as it was when the packet was written: the list itself, or files that were read and that it
/// names. Files that it does not name are none of its matter.
pub fn changed(list: &str, files: &[(String, Vec<u8>)]) -> Vec<String> {
    let Some(listed) = read(list) else { return vec!["packet.json".to_owned()] };
    let same = |name: &str, bytes: &[u8]| {
        listed.iter().find(|file| file.name == name).is_none_or(|file| file.sha256 == sha256(bytes))
    };
    let other = files.iter().filter(|(name, bytes)| !same(name, bytes));
    other.map(|(name, _)| name.clone()).collect()
}

/// A file that a list names.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
pub(super) struct Listed {
    pub(super) name: String,
    pub(super) bytes: u64,
    pub(super) sha256: String,
}

/// The files that a list names; nothing when this tool did not write the text, or someone changed
/// it since.
pub(super) fn read(text: &str) -> Option<Vec<Listed>> {
    #[derive(Deserialize)]
    struct Read {
        tool: String,
        files: Vec<Listed>,
        seal: String,
    }
    let (body, _) = text.rsplit_once(SEAL)?;
    let read: Read = serde_json::from_str(text).ok()?;
    let ours = read.tool == TOOL && read.seal == sha256(body.as_bytes());
    ours.then_some(read.files)
}

/// The SHA-256 of the bytes (FIPS 180-4), in lower-case hexadecimal.
pub(super) fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
pub(crate) mod tests;
