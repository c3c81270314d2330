//! What `packet.json` says of the checks.

use super::rounded;
use crate::check::reach::CutterReach;
use crate::check::{Checks, Cusps, Over, Row};
use serde::Serialize;
use std::collections::BTreeMap;

/// What the rules looked at and found.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct ChecksInfo {
    /// One line for each rule.
    pub rules: Vec<CheckInfo>,
    /// Figures by their names, which end in their unit. Strength, time and the like are estimates.
    pub figures: BTreeMap<String, f64>,
    /// What each cutter of the shop would leave of each side.
    pub reach: Vec<ReachInfo>,
    /// How high the cusps between the finishing passes are on each part of each side.
    pub cusps: Vec<CuspsInfo>,
}

/// What a cutter of the shop would leave of one side.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReachInfo {
    /// The cutter's name.
    pub cutter: String,
    /// `top` or `bottom`.
    pub side: &'static str,
    /// Whether it is the one that the shop finishes with.
    pub finishes: bool,
    /// Whether it may be named for finishing.
    pub may_finish: bool,
    /// Whether what it leaves is within the shop's limit.
    pub would_do: bool,
    /// Most that is left.
    pub most_mm: f64,
    /// Where that is: along the piece from the handle's end, and to the left of its middle.
    pub most_at_mm: [f64; 2],
    /// Volume that is left.
    pub volume_mm3: f64,
    /// Where more than 0.02 mm is left, in the plan: the area to sand.
    pub area_to_sand_mm2: f64,
}

impl From<&CutterReach> for ReachInfo {
    fn from(one: &CutterReach) -> ReachInfo {
        ReachInfo {
            cutter: one.cutter.clone(),
            side: one.face.name(),
            finishes: one.finishes,
            may_finish: one.may,
            would_do: one.would,
            most_mm: rounded(one.most.as_mm()),
            most_at_mm: [rounded(one.at.x), rounded(one.at.y)],
            volume_mm3: rounded(one.volume_mm3),
            area_to_sand_mm2: rounded(one.area_mm2),
        }
    }
}

/// The cusps on one part of a side.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CuspsInfo {
    /// `top` or `bottom`.
    pub side: &'static str,
    /// What a maker calls it, such as `hollow` or `handle edge`.
    pub part: &'static str,
    /// Its area in the plan.
    pub area_mm2: f64,
    /// What share of it is over the shop's limit at worst, where the passes run level along every
    /// slope.
    pub over_limit_percent: f64,
    /// The same where they run along the piece.
    pub over_limit_along_percent: f64,
    /// The same where they run across it.
    pub over_limit_across_percent: f64,
    /// The highest, at worst.
    pub highest_mm: f64,
    /// Where that is: along the piece from the handle's end, and to the left of its middle.
    pub highest_at_mm: [f64; 2],
}

impl CuspsInfo {
    /// The parts of a side.
    fn of(side: &Cusps) -> impl Iterator<Item = CuspsInfo> + '_ {
        side.parts.iter().map(|on| {
            let Over { worst, along, across } = on.over;
            CuspsInfo {
                side: side.face.name(),
                part: on.part.name(),
                area_mm2: rounded(on.area_mm2),
                over_limit_percent: rounded(100.0 * worst),
                over_limit_along_percent: rounded(100.0 * along),
                over_limit_across_percent: rounded(100.0 * across),
                highest_mm: rounded(on.most.as_mm()),
                highest_at_mm: [rounded(on.at.x), rounded(on.at.y)],
            }
        })
    }
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
    pub fn of(checks: &Checks) -> ChecksInfo {
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
            reach: checks.reached.iter().map(ReachInfo::from).collect(),
            cusps: checks.cusps.iter().flat_map(CuspsInfo::of).collect(),
        }
    }
}
