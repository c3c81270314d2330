//! Cautions that the maker accepts, with a reason, in the design file.

use crate::finding::{Code, Finding, Findings, Severity, Source};
use crate::params::Accept;

/// The design accepts something that is not there to be accepted.
pub const ACCEPT_UNUSED: Code = Code {
    name: "accept-unused",
    explain: "The design's [accept] table names a code, and no caution of this job has that code. \
        The code may be misspelt, or the caution went away when the design or the board changed. A \
        fault can't be accepted, because the job can't be made with it. Correct the code or take \
        the line out. A line left behind would silently accept the same caution when it comes back \
        for another reason.",
};

/// Marks the cautions that a piece's design accepts, of those about it and about all, and says which
/// lines of it accept nothing.
pub fn accept(list: &[Accept], piece: Option<usize>, findings: &mut Findings) {
    for Accept { code, reason } in list {
        let mut found = false;
        for finding in findings.iter_mut().filter(|finding| finding.concerns(piece)) {
            if finding.code.name == code && finding.severity == Severity::Caution {
                finding.accepted = Some(reason.clone());
                found = true;
            }
        }
        if !found {
            let unused = Finding::caution(
                ACCEPT_UNUSED,
                format!("the design accepts \"{code}\", but this job has no such caution"),
                "Correct the code, or take the line out of [accept].",
            )
            .at(Source::Design, format!("accept.{code}"));
            findings.push(Finding { piece, ..unused });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CODE: Code = Code { name: "some-code", explain: "" };

    #[test]
    fn a_caution_is_accepted_and_a_fault_is_not() {
        let accept_it = [Accept { code: "some-code".into(), reason: "because".into() }];
        let mut findings = Findings::new();
        findings.push(Finding::caution(CODE, "m", "h"));
        accept(&accept_it, None, &mut findings);
        assert_eq!(findings.iter().count(), 1);
        assert!(findings.iter().all(|f| f.accepted.as_deref() == Some("because")));

        let mut findings = Findings::new();
        findings.push(Finding::fault(CODE, "m", "h"));
        accept(&accept_it, None, &mut findings);
        assert!(findings.has_fault());
        assert!(findings.iter().any(|f| f.code == ACCEPT_UNUSED));
        assert!(findings.iter().all(|f| f.accepted.is_none()));
    }
}
