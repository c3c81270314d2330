//! The list of a set's packet: what all pieces share, then each piece as a packet of its own says
//! it.

use super::{FORMAT, File, LIST, PacketInfo, PieceSaid, Said, TOOL, asked, file, listed, said};
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
    #[serde(flatten)]
    piece: PieceSaid<'a>,
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
    let lists = pieces.iter().map(|(folder, info)| PieceList {
        folder,
        design: asked::design(&info.design),
        piece: PieceSaid::of(info),
    });
    let text = serde_json::to_string_pretty(&SetList {
        format: FORMAT,
        tool: TOOL,
        tool_version: env!("CARGO_PKG_VERSION"),
        board: asked::board(&first.board),
        shop: asked::shop(&first.shop),
        pieces: lists.collect(),
        findings: findings.iter().map(said).collect(),
        files: artefacts.iter().map(file).collect(),
    })
    .map_err(|error| wrong(error.to_string()))?;
    Ok(listed(text))
}
