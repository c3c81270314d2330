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
    /// What to do, in order.
    pub steps: Vec<Step>,
    /// The pins' holes.
    pub drill: Vec<DrillLine>,
    /// How well the two sides meet: a sentence, the causes, and the ways that were tried.
    pub register: Vec<String>,
    /// What is left to do by hand, and with what.
    pub finishing: Vec<&'static str>,
    /// The shop's own notes.
    pub notes: Vec<String>,
    /// Shaded pictures of the finished piece.
    pub pictures: Vec<Picture>,
    /// Plan and profile with their sizes, as an SVG element; empty for none.
    pub plan_svg: String,
    /// Cross-sections, as an SVG element; empty for none.
    pub profile_svg: String,
    /// The board with the piece on it, as an SVG element; empty for none.
    pub layout_svg: String,
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
    /// Which it is, from 1.
    pub count: usize,
    /// Its name, such as `top`.
    pub name: String,
    /// The board on the bed, as an SVG element; empty for none.
    pub picture: String,
    /// How the board comes into it: how it lies, or how it is turned over.
    pub turn: String,
    /// Where each axis is zero.
    pub enter: Vec<Enter>,
    /// Heights in the setup's frame: what, and its figure.
    pub heights: Vec<(String, String)>,
    /// Pins and hold-downs.
    pub places: Vec<PlaceLine>,
    /// What to mount, in order.
    pub mount: Vec<String>,
    /// What is cut with what.
    pub cutters: Vec<CutterLine>,
    /// The files to load.
    pub files: Vec<FileLine>,
    /// What to look at before the spindle starts.
    pub before: Vec<String>,
    /// What to mind.
    pub mind: String,
}

/// Where an axis is zero.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Enter {
    /// `X`, `Y` or `Z`.
    pub axis: &'static str,
    /// The place, in words.
    pub at: String,
}

/// A place in a setup's plan.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceLine {
    /// As the picture has it, such as `P1`.
    pub name: String,
    /// What is there.
    pub what: String,
    /// In the setup's frame.
    pub x: Length,
    /// In the setup's frame.
    pub y: Length,
}

/// A hole to bore.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrillLine {
    /// The pin, counted from 1.
    pub pin: usize,
    /// In what it is bored, and for which setup.
    pub what: &'static str,
    /// X and Y in the setup's frame.
    pub at: [Length; 2],
    /// X and Y in the machine's own.
    pub on_bed: [Length; 2],
    /// Its diameter.
    pub diameter: Length,
    /// Its depth.
    pub depth: Length,
}

/// A step of the work.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// What to do.
    pub what: String,
    /// Why, or why now.
    pub why: String,
    /// What to mind; empty for nothing.
    pub mind: String,
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
