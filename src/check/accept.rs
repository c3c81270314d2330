//! Cautions that the maker accepts, with a reason, in the design file.

use crate::finding::{Code, Finding, Findings, Severity, Source};
use crate::params::Accept;

/// The design accepts something that is not there to be accepted.
pub const ACCEPT_UNUSED: Code = Code {
    name: "accept-unused",
    explain: "The design's [accept] table names a code that no caution of this job has. It may be \
        misspelt, the caution may be gone since the design or the board changed, or it may be a \
        fault: a fault can't be accepted, since the job can't be made with it. Take the line out, \
        or mend its name. A line that stays behind would silently accept the same caution when it \
        comes back for another reason.",
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
                format!("the design accepts \"{code}\", and the job has no such caution"),
                "Take the line out of [accept], or mend the code.",
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
