//! Why a file is no art, or a text can't be written.

use thiserror::Error;

/// Most curves and lines of one piece of art: fifty times a rich one.
pub(super) const MOST_PARTS: usize = 100_000;

/// Most letters of a text: what is read at a glance, and more than any handle holds.
pub(super) const MOST_LETTERS: usize = 60;

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

/// Why a text can't be written with a font.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum LettersTrouble {
    /// The font is none.
    #[error("can't be read as a font (TTF or OTF): {why}")]
    Broken {
        /// What its reader says.
        why: String,
    },
    /// It lacks letters.
    #[error("has no letter {which}")]
    Missing {
        /// Which, each with its code point.
        which: String,
    },
    /// A mark that stands over another letter is a letter of its own.
    #[error("has {} as a mark of its own, which would not come to stand over its letter", named(*letter))]
    Mark {
        /// Which.
        letter: char,
    },
    /// A script whose letters can't be put one after the other.
    #[error("is not looked at: {} is of a script that joins its letters or runs from right to left", named(*letter))]
    Joined {
        /// Which.
        letter: char,
    },
    /// Too many letters.
    #[error("is not looked at: the text has more than {MOST_LETTERS} letters")]
    Long,
    /// There is nothing to cut.
    #[error("writes nothing of this text: it has no letter with an outline")]
    Empty,
}

impl LettersTrouble {
    /// Of letters that a font lacks; more than four are only counted.
    pub(super) fn missing(letters: &[char]) -> LettersTrouble {
        const TOLD: usize = 4;
        let mut told: Vec<String> = letters.iter().take(TOLD).map(|c| named(*c)).collect();
        if letters.len() > TOLD {
            told.push(format!("and {} more", letters.len() - TOLD));
        }
        LettersTrouble::Missing { which: told.join(", ") }
    }

    /// Whether the text is at fault, not the file.
    pub(super) const fn of_text(&self) -> bool {
        !matches!(self, LettersTrouble::Broken { .. })
    }
}

/// A letter with its code point, which tells apart what looks alike; one that can't be seen by that alone.
fn named(letter: char) -> String {
    let code = format!("U+{:04X}", u32::from(letter));
    let seen = !letter.is_control() && !letter.is_whitespace();
    if seen { format!("\"{letter}\" ({code})") } else { code }
}
