//! What the rules write down: findings, one line each for the table, and figures.

use super::cusp::Cusps;
use super::reach::{Reached, Uncut};
use crate::finding::{Code, Finding, Findings, Severity};
use std::collections::BTreeMap;

/// How a rule ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Nothing to say against it.
    Good,
    /// A caution that the maker accepts.
    Accepted,
    /// A caution.
    Caution,
    /// A fault.
    Fault,
}

impl Verdict {
    /// `good`, `accepted`, `caution` or `fault`.
    pub const fn name(self) -> &'static str {
        match self {
            Verdict::Good => "good",
            Verdict::Accepted => "accepted",
            Verdict::Caution => "caution",
            Verdict::Fault => "fault",
        }
    }

    fn of(finding: &Finding) -> Verdict {
        match (finding.severity, &finding.accepted) {
            (Severity::Fault, _) => Verdict::Fault,
            (Severity::Caution, None) => Verdict::Caution,
            (Severity::Caution, Some(_)) => Verdict::Accepted,
        }
    }
}

/// What one rule says.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// What it is about, in a word or two.
    pub rule: &'static str,
    /// How it ended.
    pub verdict: Verdict,
    /// Its key figures in words.
    pub says: String,
}

/// What all rules say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Checks {
    /// One line for each rule that has something to look at.
    pub rows: Vec<Row>,
    /// Figures by their names, which end in their unit.
    pub figures: BTreeMap<String, f64>,
    /// What the finishing cutter can't reach, of each setup.
    pub uncut: Vec<Uncut>,
    /// How high its cusps are, on each side.
    pub cusps: Vec<Cusps>,
    /// What each cutter of the shop would leave of each side; the finishing cutter first.
    pub reached: Vec<Reached>,
    /// Which codes belong to which row.
    codes: Vec<(usize, &'static str)>,
}

impl Checks {
    /// Adds another's, after its own.
    pub fn extend(&mut self, other: Checks) {
        let before = self.rows.len();
        self.codes.extend(other.codes.into_iter().map(|(row, code)| (row + before, code)));
        self.rows.extend(other.rows);
        self.figures.extend(other.figures);
        self.uncut.extend(other.uncut);
        self.cusps.extend(other.cusps);
        self.reached.extend(other.reached);
    }

    /// Notes that what is said with that code of all pieces counts for a rule's row, too.
    pub fn belongs(&mut self, code: &Code, rule: &str) {
        let row = self.rows.iter().position(|row| row.rule == rule);
        self.codes.extend(row.map(|row| (row, code.name)));
    }

    /// Notes how each rule ended, now that it is known which cautions are accepted.
    pub fn settle(&mut self, findings: &Findings) {
        for (index, row) in self.rows.iter_mut().enumerate() {
            let codes = || self.codes.iter().filter(|(row, _)| *row == index).map(|(_, code)| code);
            if codes().next().is_none() {
                continue;
            }
            let own = findings.iter().filter(|f| codes().any(|code| f.code.name == *code));
            let worst = own.map(Verdict::of);
            row.verdict = worst.fold(Verdict::Good, |a, b| if rank(b) > rank(a) { b } else { a });
        }
    }
}

const fn rank(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Good => 0,
        Verdict::Accepted => 1,
        Verdict::Caution => 2,
        Verdict::Fault => 3,
    }
}

/// What a rule writes on.
#[derive(Default)]
pub(super) struct Notes {
    pub(super) findings: Findings,
    pub(super) checks: Checks,
}

impl Notes {
    /// A figure; its name ends in its unit.
    pub(super) fn figure(&mut self, name: impl Into<String>, value: f64) {
        self.checks.figures.insert(name.into(), value);
    }

    /// Something to say.
    pub(super) fn say(&mut self, finding: Finding) {
        self.findings.push(finding);
    }

    /// A row, when its rule has looked. `before` findings were there before it began.
    pub(super) fn row(&mut self, rule: &'static str, says: Option<String>, before: usize) {
        let new = || self.findings.iter().skip(before);
        if says.is_none() && new().next().is_none() {
            return;
        }
        let worst = new()
            .map(Verdict::of)
            .fold(Verdict::Good, |a, b| if rank(b) > rank(a) { b } else { a });
        let codes: Vec<&'static str> = new().map(|finding| finding.code.name).collect();
        let index = self.checks.rows.len();
        self.checks.codes.extend(codes.into_iter().map(|code| (index, code)));
        let says = says.unwrap_or_default();
        self.checks.rows.push(Row { rule, verdict: worst, says });
    }
}
