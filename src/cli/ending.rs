//! The exit status.

use std::process::ExitCode;

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ending {
    /// It did what was asked.
    Done,
    /// The input has faults, or the job can't be made.
    Faults,
    /// The arguments are wrong.
    Usage,
}

impl From<Ending> for ExitCode {
    fn from(ending: Ending) -> ExitCode {
        ExitCode::from(match ending {
            Ending::Done => 0,
            Ending::Faults => 1,
            Ending::Usage => 2,
        })
    }
}
