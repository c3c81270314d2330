//! The list of a set's packet: what all pieces share, then each piece as a packet of its own says
//! it.

use super::{
    Change, ChecksInfo, FORMAT, File, GrainInfo, LIST, Measured, MeshInfo, MovedInfo, PacketInfo,
    RoundInfo, Said, Stock, TOOL, asked, file, listed, said,
};
use crate::export::{Artefact, ExportError};
use crate::finding::Finding;
use serde::Serialize;

#[derive(Serialize)]
struct SetList<'a> {
    format: u32,
    tool: &'static str,
    tool_version: &'static str,
    board: serde_json::Value,
    shop: serde_json::Value,
    pieces: Vec<PieceList<'a>>,
    /// About the board, the shop or the set.
    findings: Vec<Said<'a>>,
    files: Vec<File<'a>>,
}

#[derive(Serialize)]
struct PieceList<'a> {
    /// Where its files are in the packet.
    folder: &'a str,
    design: serde_json::Value,
    measured: &'a Measured,
    mesh: &'a MeshInfo,
    stock: &'a Stock,
    changes: &'a [Change],
    /// About this piece.
    findings: Vec<Said<'a>>,
    #[serde(flatten)]
    round: Option<&'a RoundInfo>,
    movement: &'a [MovedInfo],
    grain: &'a [GrainInfo],
    checks: &'a ChecksInfo,
}

impl<'a> PieceList<'a> {
    fn of(folder: &'a str, info: &'a PacketInfo) -> PieceList<'a> {
        PieceList {
            folder,
            design: asked::design(&info.design),
            measured: &info.measured,
            mesh: &info.mesh,
            stock: &info.stock,
            changes: &info.changes,
            findings: info.findings.iter().map(said).collect(),
            round: info.round.as_ref(),
            movement: &info.movement,
            grain: &info.grain,
            checks: &info.checks,
        }
    }
}

/// The list of a set's packet with these files. `pieces` are the folders of the pieces and what is
/// known of each; `findings` are about all.
///
/// # Errors
/// When there is no piece, or a figure is not a finite number.
pub fn set_list(
    pieces: &[(String, PacketInfo)],
    findings: &[Finding],
    artefacts: &[Artefact],
) -> Result<Artefact, ExportError> {
    let wrong = |message: String| ExportError::Library { format: LIST, message };
    let Some((_, first)) = pieces.first() else { return Err(wrong("no piece".to_owned())) };
    let lists = pieces.iter().map(|(folder, info)| PieceList::of(folder, info)).collect();
    let text = serde_json::to_string_pretty(&SetList {
        format: FORMAT,
        tool: TOOL,
        tool_version: env!("CARGO_PKG_VERSION"),
        board: asked::board(&first.board),
        shop: asked::shop(&first.shop),
        pieces: lists,
        findings: findings.iter().map(said).collect(),
        files: artefacts.iter().map(file).collect(),
    })
    .map_err(|error| wrong(error.to_string()))?;
    Ok(listed(text))
}
