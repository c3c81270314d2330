//! Why a file is no art.

use thiserror::Error;

/// Most curves and lines of one piece of art: fifty times a rich one.
pub(super) const MOST_PARTS: usize = 100_000;

/// Why a file is no art.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum ArtTrouble {
    /// The file's form is not one that is read.
    #[error("is neither SVG nor DXF")]
    Kind,
    /// It is broken.
    #[error("can't be read as {format}: {why}")]
    Broken {
        /// `SVG` or `DXF`.
        format: &'static str,
        /// What its reader says.
        why: String,
    },
    /// It holds something that has no outline.
    #[error("holds {what}, which has no outline")]
    Holds {
        /// What.
        what: String,
    },
    /// It holds an outline that is open.
    #[error("holds an outline that does not close")]
    Open,
    /// There is nothing to cut.
    #[error("holds no closed outline; a line's stroke is none")]
    Empty,
    /// There is too much.
    #[error("holds more than {MOST_PARTS} lines and curves")]
    TooMuch,
}
