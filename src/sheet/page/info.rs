//! What a sheet says: plain values, filled in by the job.

use crate::check::Row;
use crate::check::reach::CutterReach;
use crate::export::list::ChangeInfo;
use crate::finding::Findings;
use crate::params::Cutter;
use crate::units::{Length, Unit};
use crate::work::PassHeights;

/// What the sheet says: of one piece, or of a set.
#[derive(Clone, Debug)]
pub struct SheetInfo {
    /// What the maker calls the work: the design's name, or the set's.
    pub name: String,
    /// The date as the maker gave it, if any.
    pub date: Option<String>,
    /// The shop's name.
    pub shop: String,
    /// The unit that the shop thinks in.
    pub unit: Unit,
    /// What the tool has to say about all pieces together.
    pub findings: Findings,
    /// The pieces, in order; one at least.
    pub pieces: Vec<PieceInfo>,
    /// The board that they are cut from.
    pub board: BoardInfo,
    /// What to do, in order.
    pub steps: Vec<StepLine>,
    /// The plugs of inlays, each in a setup of its own.
    pub plugs: Vec<PlugPage>,
    /// The shop's own notes.
    pub notes: Vec<String>,
    /// The packet's files.
    pub files: Vec<FileLine>,
}

/// What the sheet says of a piece.
#[derive(Clone, Debug)]
pub struct PieceInfo {
    /// The design's name.
    pub design: String,
    /// Its folder in the packet; empty for the packet itself.
    pub folder: String,
    /// `spoon`, `fork`, `turner`, `spreader` or `scoop`.
    pub kind: &'static str,
    /// Its wood.
    pub species: String,
    /// Sizes that the file asks for, and what the finished mesh has.
    pub sizes: Vec<SizeLine>,
    /// Other measured figures, such as volume and mass, with their units.
    pub figures: Vec<Labelled>,
    /// What fitting moved.
    pub changes: Vec<ChangeInfo>,
    /// What the tool has to say about it.
    pub findings: Findings,
    /// What the checks say.
    pub checks: ChecksLines,
    /// Shaded pictures of it, finished.
    pub pictures: Vec<PagePicture>,
    /// Plan and profile with their sizes, as an SVG element; empty for none.
    pub plan_svg: String,
    /// Cross-sections, as an SVG element; empty for none.
    pub profile_svg: String,
    /// What is left to sand.
    pub sand: Sand,
}

/// What the sheet says of the checks.
#[derive(Clone, Debug, Default)]
pub struct ChecksLines {
    /// One line for each rule.
    pub rows: Vec<Row>,
    /// Cautions that are accepted: code, message, reason.
    pub accepted: Vec<[String; 3]>,
    /// What each cutter would leave.
    pub reached: Vec<CutterReach>,
}

/// A board, and what is laid on it.
#[derive(Clone, Debug, PartialEq)]
pub struct BoardInfo {
    /// Its name.
    pub name: String,
    /// Its wood.
    pub species: String,
    /// Height to which the stock is planed before it is mounted.
    pub stock_height: Length,
    /// The board with the pieces on it, as an SVG element; empty for none.
    pub layout_svg: String,
    /// Its mountings, in order.
    pub setups: Vec<SetupLine>,
    /// The bed's holes for the pins; none where there are none.
    pub bed: Option<BedLine>,
    /// How well the two sides meet, and the ways to put the board back that were tried.
    pub register: Vec<String>,
}

/// What the machine leaves to be done by hand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sand {
    /// What is left everywhere, in words.
    pub ridges: String,
    /// How the maps of the ridges are to be read.
    pub ridge_scale: MapScale,
    /// How the maps of what is left are to be read.
    pub reach_scale: MapScale,
    /// Maps of where the ridges can be over the shop's limit; none of a side where they can't.
    pub ridge_maps: Vec<PagePicture>,
    /// Maps of what the finishing cutter can't reach; none of a side where it reaches all.
    pub maps: Vec<PagePicture>,
}

/// How maps of one kind are to be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MapScale {
    /// What they show.
    pub says: String,
    /// What white, dots, strokes, the lattice and black stand for.
    pub steps: Vec<String>,
}

/// A size asked for and measured.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeLine {
    /// What it is, such as `depth of the hollow`.
    pub what: String,
    /// What the file asks for, after fitting.
    pub asked: Length,
    /// What the finished mesh has.
    pub measured: Length,
    /// Whether it may be more than is asked for.
    pub at_least: bool,
}

/// A measured figure that the file doesn't ask for.
#[derive(Clone, Debug, PartialEq)]
pub struct Labelled {
    /// What it is.
    pub what: String,
    /// The figure with its unit.
    pub value: String,
    /// Whether it is an estimate, to be marked as one.
    pub estimate: bool,
}

/// A file of the packet.
#[derive(Clone, Debug, PartialEq, Eq)]
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
    /// The work position's word, if the shop lists any.
    pub position: Option<String>,
    /// Where each axis is zero.
    pub enter: Vec<Enter>,
    /// Heights in the setup's frame: what, and its figure.
    pub heights: Vec<(String, String)>,
    /// Pins and hold-downs.
    pub places: Vec<PlaceLine>,
    /// What the places are measured from.
    pub measure: Vec<String>,
    /// What to mount, in order.
    pub mount: Vec<String>,
    /// How the pins' holes are bored, where they are.
    pub bore: Option<BoreLine>,
    /// What is cut, in order.
    pub passes: Vec<PassLine>,
    /// The height that clears all that stands on the bed, in words.
    pub lift: String,
    /// What to look at before the spindle starts.
    pub before: Vec<String>,
    /// What to mind.
    pub mind: String,
}

/// The setup of a plug on its own board.
#[derive(Clone, Debug)]
pub struct PlugPage {
    /// What it is, and of which wood.
    pub title: String,
    /// Its board, and the height that it is planed to.
    pub board: String,
    /// How its grain runs.
    pub grain: String,
    /// The board with the plug on it, as an SVG element.
    pub picture: String,
    /// Plug and recess, cut across, as an SVG element.
    pub section: String,
    /// What is said under it.
    pub hatching: String,
    /// Each axis, and where it is zero.
    pub zero: Vec<[String; 2]>,
    /// Heights and other figures: what, and its figure.
    pub heights: Vec<(String, String)>,
    /// The bolts of its hold-downs.
    pub places: Vec<PlaceLine>,
    /// What to mount and to look at.
    pub mount: Vec<String>,
    /// What is cut, in order.
    pub passes: Vec<PassLine>,
    /// What is done with it when it is carved, in order.
    pub then: Vec<String>,
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
    /// What to enter: the zero in the machine's own coordinates.
    pub enter: String,
}

/// A place in a setup's plan.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceLine {
    /// As the picture has it, such as `P1`.
    pub name: String,
    /// What is there.
    pub what: String,
    /// In the setup's frame, X and Y.
    pub at: [Length; 2],
    /// In the machine's own, X and Y; none where the shop lists no work position.
    pub on_bed: Option<[Length; 2]>,
}

/// The holes of the bed.
#[derive(Clone, Debug, PartialEq)]
pub struct BedLine {
    /// Where its file is zero, in words.
    pub zero: Vec<String>,
    /// How they are bored.
    pub bore: BoreLine,
    /// The holes.
    pub holes: Vec<DrillLine>,
}

/// A hole to bore in the bed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrillLine {
    /// The pin, counted from 1.
    pub pin: usize,
    /// For which setup, counted from 1.
    pub setup: usize,
    /// X and Y in the machine's own frame.
    pub on_bed: [Length; 2],
    /// Its diameter.
    pub diameter: Length,
    /// How deep the tip goes.
    pub depth: Length,
}

/// A step of the work.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StepLine {
    /// What to do.
    pub what: String,
    /// Why, or why now.
    pub why: String,
    /// What to be careful of; empty for nothing.
    pub mind: String,
    /// The packet's files that are used.
    pub files: Vec<Loaded>,
}

/// A file to load, with the unit that it must be read in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Loaded {
    /// Its path, or what stands for that of all pieces.
    pub name: String,
    /// `mm` or `in`; empty where it has none.
    pub unit: String,
}

/// A step that is cut by machine.
#[derive(Clone, Debug, PartialEq)]
pub struct PassLine {
    /// Its number in the order of work.
    pub count: usize,
    /// What is done, such as `rough`.
    pub work: String,
    /// The cutters; none where the shop has none for it.
    pub cutters: Vec<Cutter>,
    /// The heights in the setup's frame, each with the pieces that it is for; none named for all.
    pub levels: Vec<(String, PassHeights)>,
    /// The packet's files that are loaded.
    pub files: Vec<Loaded>,
}

/// How holes are bored.
#[derive(Clone, Debug, PartialEq)]
pub struct BoreLine {
    /// Its number in the order of work.
    pub count: usize,
    /// What is bored.
    pub work: String,
    /// The cutter; none where the shop has none for it.
    pub cutter: Option<Cutter>,
    /// Straight down, or round on a path, in words.
    pub way: String,
    /// How deep before it is lifted out to clear the chips.
    pub peck: Option<Length>,
    /// Z where it begins, and where the tip ends.
    pub heights: [Length; 2],
    /// The file that is loaded.
    pub files: Vec<Loaded>,
}

/// A shaded picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PagePicture {
    /// What is to be seen, in words.
    pub caption: String,
    /// What it shows, for those who can't see it.
    pub alt: String,
    /// In picture elements.
    pub width: u32,
    /// In picture elements.
    pub height: u32,
    /// The picture itself, as a `data:` address.
    pub source: String,
}
