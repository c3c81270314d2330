//! What the sheet says of the checks.

use crate::export::reach_map;
use crate::finding::Findings;
use crate::job::Job;
use crate::sheet::base64;
use crate::sheet::page::ChecksLines;

/// Rows, accepted cautions, reach and its maps. A map that can't be encoded is left out here; the
/// packet's own file says why.
pub(super) fn lines(job: &Job, findings: &Findings) -> ChecksLines {
    let accepted = findings.iter().filter_map(|finding| {
        let reason = finding.accepted.clone()?;
        Some([finding.code.name.to_owned(), finding.message.clone(), reason])
    });
    let map = |uncut| {
        let png = reach_map::png(uncut).ok()?;
        let (wide, high) = reach_map::size(uncut);
        let source = format!("data:image/png;base64,{}", base64::encoded(&png));
        Some((uncut.face, wide, high, source))
    };
    ChecksLines {
        rows: job.checks.rows.clone(),
        accepted: accepted.collect(),
        reached: job.checks.reached.clone(),
        maps: job.checks.uncut.iter().filter_map(map).collect(),
    }
}
