//! What the sheet says of the checks.

use crate::finding::Findings;
use crate::job::Piece;
use crate::sheet::page::ChecksLines;

/// Rows, accepted cautions and reach.
pub(super) fn lines(piece: &Piece, findings: &Findings) -> ChecksLines {
    let accepted = findings.iter().filter_map(|finding| {
        let reason = finding.accepted.clone()?;
        Some([finding.code.name.to_owned(), finding.message.clone(), reason])
    });
    ChecksLines {
        rows: piece.checks.rows.clone(),
        accepted: accepted.collect(),
        reached: piece.checks.reached.clone(),
    }
}
