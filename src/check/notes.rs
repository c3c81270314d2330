//! What the rules write down: findings, one line each for the table, and figures.

use super::cusp::Cusps;
use super::reach::{CutterReach, Uncut};
use crate::finding::{Finding, Findings, Severity};
use crate::units::plain;
use std::collections::BTreeMap;

/// How a rule ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
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

/// How far a place is beside the middle line, in words: `9 mm left of the middle`.
pub(super) fn beside(left_mm: f64) -> String {
    let way = if left_mm < 0.0 { "right" } else { "left" };
    match plain(left_mm.abs(), 0).as_str() {
        "0" => "on the middle line".to_owned(),
        far => format!("{far} mm {way} of the middle"),
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
    pub reached: Vec<CutterReach>,
}

impl Checks {
    /// Adds another's, after its own.
    pub fn extend(&mut self, other: Checks) {
        self.rows.extend(other.rows);
        self.figures.extend(other.figures);
        self.uncut.extend(other.uncut);
        self.cusps.extend(other.cusps);
        self.reached.extend(other.reached);
    }

    /// Notes that a rule found something on all pieces of a set together.
    pub(super) fn found(&mut self, rule: &str, verdict: Verdict) {
        for row in self.rows.iter_mut().filter(|row| row.rule == rule) {
            row.verdict = row.verdict.max(verdict);
        }
    }

    /// Notes how each rule ended for a piece, now that it is known which cautions are accepted.
    pub fn settle(&mut self, piece: Option<usize>, findings: &Findings) {
        // What is said of all pieces may have been found on others alone.
        for row in self.rows.iter_mut().filter(|row| row.verdict != Verdict::Good) {
            let own = findings.iter().filter(|f| f.rule == Some(row.rule) && f.concerns(piece));
            row.verdict = own.map(Verdict::of).max().unwrap_or(Verdict::Good);
        }
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

    /// Lets a rule look, and writes its row.
    pub(super) fn rule(
        &mut self,
        rule: &'static str,
        look: impl FnOnce(&mut Notes) -> Option<String>,
    ) {
        self.findings.rule(rule);
        let says = look(self);
        let own = self.findings.iter().filter(|finding| finding.rule == Some(rule));
        let worst = own.map(Verdict::of).max();
        if says.is_some() || worst.is_some() {
            let (verdict, says) = (worst.unwrap_or(Verdict::Good), says.unwrap_or_default());
            self.checks.rows.push(Row { rule, verdict, says });
        }
    }

    /// Says what was found, and gives the rest.
    pub(super) fn told(self, out: &mut Findings) -> Checks {
        out.extend(self.findings);
        self.checks
    }
}
