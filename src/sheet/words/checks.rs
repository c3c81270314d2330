//! Words of the sheet's checks.

pub(in crate::sheet) const CHECKS: &str = "Checks";
pub(in crate::sheet) const RULE: &str = "Rule";
pub(in crate::sheet) const VERDICT: &str = "Verdict";
pub(in crate::sheet) const FIGURES: &str = "Figures";
pub(in crate::sheet) const ACCEPTED_ALL: &str = "Accepted by the maker";
pub(in crate::sheet) const ACCEPTED: &str = "Accepted:";
pub(in crate::sheet) const CHECKS_MIND: &str = "Strength, time, mass and moisture are estimates. \
     `treenwright explain CODE` says what a rule does not see.";
pub(in crate::sheet) const LEFT_BY_EACH: &str = "What each cutter would leave";
pub(in crate::sheet) const CUTTER_SIDE: &str = "Cutter and side";
pub(in crate::sheet) const MOST_LEFT: &str = "Most left, {unit}";
pub(in crate::sheet) const LEFT_VOLUME: &str = "Volume, {unit}\u{b3}";
pub(in crate::sheet) const LEFT_AREA: &str = "To sand, {unit}\u{b2}";
pub(in crate::sheet) const WOULD: &str = "Would do";
pub(in crate::sheet) const YES: &str = "yes";
pub(in crate::sheet) const NO: &str = "no";
pub(in crate::sheet) const ON_SIDE: &str = "{cutter}, {side}";
pub(in crate::sheet) const FINISHES: &str = "{cutter}, {side} (finishes)";
pub(in crate::sheet) const LEFT_MIND: &str = "Ridges between passes are not counted. Only a ball can \
     finish; the others are there to compare.";
