//! What a sheet says: plain values, filled in by the job.

use crate::export::Artefact;
use crate::export::packet::Change;
use crate::finding::Findings;
use crate::params::Cutter;
use crate::units::{Length, Unit};

/// What the sheet says.
#[derive(Clone, Debug)]
pub struct SheetInfo {
    /// The design's name.
    pub design: String,
    /// `spoon`, `fork` or `turner`.
    pub kind: &'static str,
    /// The board's name.
    pub board: String,
    /// Its wood.
    pub species: String,
    /// The shop's name.
    pub shop: String,
    /// The unit that the shop thinks in.
    pub unit: Unit,
    /// Height to which the stock is planed before it is mounted.
    pub stock_height: Length,
    /// Sizes that the file asks for, and what the finished mesh has.
    pub sizes: Vec<Size>,
    /// Other measured figures, such as volume and mass, with their units.
    pub figures: Vec<Figure>,
    /// What fitting moved.
    pub changes: Vec<Change>,
    /// What the tool has to say.
    pub findings: Findings,
    /// The packet's files.
    pub files: Vec<FileLine>,
    /// The mountings of the board, in order.
    pub setups: Vec<SetupLine>,
    /// What each cutter is for.
    pub cutters: Vec<CutterLine>,
    /// What to do, in order.
    pub steps: Vec<String>,
    /// The shop's own notes.
    pub notes: Vec<String>,
    /// Shaded pictures of the finished piece.
    pub pictures: Vec<Picture>,
    /// The drawn plan, as an SVG element; empty for none.
    pub plan_svg: String,
    /// The drawn profile, as an SVG element; empty for none.
    pub profile_svg: String,
}

/// A size asked for and measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Size {
    /// What it is, such as `depth of the hollow`.
    pub what: String,
    /// What the file asks for, after fitting.
    pub asked: Length,
    /// What the finished mesh has.
    pub measured: Length,
}

/// A measured figure that the file doesn't ask for.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// What it is.
    pub what: String,
    /// The figure with its unit.
    pub value: String,
    /// Whether it is an estimate, to be marked as one.
    pub estimate: bool,
}

/// A file of the packet.
#[derive(Clone, Debug, PartialEq)]
pub struct FileLine {
    /// Its path in the packet.
    pub name: String,
    /// What it is for.
    pub role: String,
    /// Its frame; empty for none.
    pub frame: String,
    /// Its unit; empty for none.
    pub unit: String,
}

impl From<&Artefact> for FileLine {
    fn from(artefact: &Artefact) -> FileLine {
        FileLine {
            name: artefact.name.clone(),
            role: artefact.role.to_owned(),
            frame: artefact.frame.to_owned(),
            unit: artefact.unit.to_owned(),
        }
    }
}

/// One mounting of the board.
#[derive(Clone, Debug, PartialEq)]
pub struct SetupLine {
    /// Its name, such as `top`.
    pub name: String,
    /// Where X, Y and Z are zero, in words.
    pub zero: String,
    /// How the board comes into it: how it lies, or how it is turned over.
    pub turn: String,
    /// What to mount and to look at first, in order.
    pub mount: Vec<String>,
}

/// What a cutter is for.
#[derive(Clone, Debug, PartialEq)]
pub struct CutterLine {
    /// Its work, such as `finishing`.
    pub work: String,
    /// The cutter.
    pub cutter: Cutter,
}

/// A shaded picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// From where it is seen: `top`, `bottom`, `side` or `three-quarter`.
    pub view: &'static str,
    /// In picture elements.
    pub width: u32,
    /// In picture elements.
    pub height: u32,
    /// The picture itself, as a `data:` address.
    pub source: String,
}
