//! What `packet.json` says of a finding.

use crate::finding::Finding;
use serde::Serialize;

/// What every list of findings says of each.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct FindingInfo<'a> {
    /// Stable name of its kind.
    pub code: &'static str,
    /// `fault` or `caution`.
    pub severity: &'static str,
    /// What is wrong.
    pub message: &'a str,
    /// What to do.
    pub help: &'a str,
}

impl<'a> FindingInfo<'a> {
    /// Of a finding.
    pub fn of(finding: &'a Finding) -> FindingInfo<'a> {
        FindingInfo {
            code: finding.code.name,
            severity: finding.severity.name(),
            message: &finding.message,
            help: &finding.help,
        }
    }
}

/// A finding as the packet's list has it.
#[derive(Serialize)]
pub(super) struct ListedFinding<'a> {
    #[serde(flatten)]
    info: FindingInfo<'a>,
    /// The maker's reason, for a caution that the design file accepts.
    #[serde(skip_serializing_if = "Option::is_none")]
    accepted: Option<&'a str>,
    #[serde(rename = "where")]
    place: Option<Where<'a>>,
}

#[derive(Serialize)]
struct Where<'a> {
    file: &'static str,
    key: &'a str,
}

impl<'a> ListedFinding<'a> {
    pub(super) fn of(finding: &'a Finding) -> ListedFinding<'a> {
        let at = finding.place.as_ref();
        ListedFinding {
            info: FindingInfo::of(finding),
            accepted: finding.accepted.as_deref(),
            place: at.map(|place| Where { file: place.source.name(), key: &place.key }),
        }
    }
}
