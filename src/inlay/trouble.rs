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
    /// It is packed.
    #[error("is packed (gzip)")]
    Packed,
    /// Numbers of it are none, or beyond all measure.
    #[error("has places that are no numbers, or so far out that no form is left")]
    Numbers,
    /// It holds something that has no outline here.
    #[error("holds {what}, which has no outline that is read")]
    Holds {
        /// What.
        what: String,
    },
    /// It holds an outline that is open.
    #[error("holds an outline that does not close: it ends at {place}, in the drawing's own units")]
    Open {
        /// Where.
        place: String,
    },
    /// There is nothing to cut.
    #[error("holds no closed outline with a filling{}", beside(.only.as_ref()))]
    Empty {
        /// What it holds instead.
        only: Option<String>,
    },
    /// There is too much.
    #[error("holds more than {MOST_PARTS} lines and curves")]
    TooMuch,
}

impl ArtTrouble {
    /// What to do.
    pub const fn help(&self) -> &'static str {
        match self {
            ArtTrouble::Kind => {
                "Name an SVG or a DXF file, as seen from the design's folder; its ending says which it is."
            }
            ArtTrouble::Packed => "Save it as plain SVG, which is not packed.",
            ArtTrouble::Broken { .. } | ArtTrouble::Numbers => {
                "Open it in a drawing program and save it again, as plain SVG or as DXF."
            }
            ArtTrouble::Holds { .. } => {
                "In your drawing program turn it into paths, or a spline of a DXF into polylines or arcs; or take it out."
            }
            ArtTrouble::Open { .. } => "Close it in your drawing program: its ends must meet.",
            ArtTrouble::Empty { .. } => {
                "Give the outlines a filling; a stroke has to be turned into a path first."
            }
            ArtTrouble::TooMuch => {
                "Simplify it in your drawing program: a tenth of that is much for a handle."
            }
        }
    }
}

fn beside(only: Option<&String>) -> String {
    only.map_or_else(String::new, |only| format!("; it has {only}, which are not cut"))
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
