//! What `packet.json` says of the checks.

use super::rounded;
use crate::check::{Checks, Row};
use serde::Serialize;
use std::collections::BTreeMap;

/// What the rules looked at and found.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct ChecksInfo {
    /// One line for each rule.
    pub rules: Vec<CheckInfo>,
    /// Figures by their names, which end in their unit. Strength, time and the like are estimates.
    pub figures: BTreeMap<String, f64>,
}

/// What one rule says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CheckInfo {
    /// What it is about.
    pub rule: &'static str,
    /// `good`, `accepted`, `caution` or `fault`.
    pub verdict: &'static str,
    /// Its key figures in words.
    pub says: String,
}

impl ChecksInfo {
    /// Of a job's checks.
    pub(super) fn of(checks: &Checks) -> ChecksInfo {
        let row = |row: &Row| CheckInfo {
            rule: row.rule,
            verdict: row.verdict.name(),
            says: row.says.clone(),
        };
        ChecksInfo {
            rules: checks.rows.iter().map(row).collect(),
            figures: checks
                .figures
                .iter()
                .filter(|(_, value)| value.is_finite())
                .map(|(name, value)| (name.clone(), rounded(*value)))
                .collect(),
        }
    }
}
