//! What the tool has to say about a piece, or about all.

use super::marks::text;
use crate::finding::{Finding, Findings, Severity};
use crate::sheet::words::{self, fill};
use maud::{Markup, html};

pub(super) fn findings(findings: &Findings, heading: &dyn Fn(&str) -> String) -> Markup {
    html! {
        (list(findings, &heading(words::FAULTS), Severity::Fault))
        (list(findings, &heading(words::CAUTIONS), Severity::Caution))
    }
}

fn list(findings: &Findings, title: &str, severity: Severity) -> Markup {
    let all: Vec<&Finding> = findings.iter().filter(|f| f.severity == severity).collect();
    html! {
        @if !all.is_empty() {
            section {
                h2 { (title) }
                @for finding in all {
                    div .finding.(severity.name()) {
                        p .message {
                            span .severity { (severity.name()) } " " (text(&finding.message))
                        }
                        @if !finding.help.is_empty() { p { (text(&finding.help)) } }
                        p .code { (text(&place(finding))) }
                    }
                }
            }
        }
    }
}

fn place(finding: &Finding) -> String {
    let code = ("code", finding.code.name);
    match &finding.place {
        Some(place) if !place.key.is_empty() => {
            let values = [code, ("key", place.key.as_str()), ("file", place.source.name())];
            fill(words::IN_FILE, &values)
        }
        _ => fill(words::CODE, &[code]),
    }
}
