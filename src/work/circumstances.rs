//! What the order of work depends on.

use crate::cutting::PassKind;
use crate::relief::Face;

/// What the steps and their wording depend on.
#[derive(Clone, Debug, Default)]
pub struct Circumstances {
    /// What is planed off each face, as it is written.
    pub skim: String,
    /// The stock's height.
    pub stock: String,
    /// Diameter of the pins' holes.
    pub hole: String,
    /// How many pins.
    pub pins: usize,
    /// A dowel's diameter.
    pub dowel: String,
    /// Its length.
    pub dowel_long: String,
    /// How much of it is in the bed.
    pub dowel_in_bed: String,
    /// How much of it is in the board.
    pub dowel_in_board: String,
    /// How far it ends under the board's upper face.
    pub dowel_below: String,
    /// How the board is turned.
    pub turn: &'static str,
    /// Name of the boring cutter; none where the shop has none.
    pub bore: Option<String>,
    /// The pieces on the board.
    pub pieces: Vec<PieceWork>,
    /// How many hold-downs stand in each setup.
    pub hold_downs: [usize; 2],
    /// How many rebates each face gets.
    pub rebates: [usize; 2],
    /// Their depth, as it is written.
    pub rebate: String,
    /// Whether spacers are made.
    pub spacers: bool,
    /// The work positions' words.
    pub positions: [Option<String>; 2],
}

/// What is done to one piece.
#[derive(Clone, Debug, Default)]
pub struct PieceWork {
    /// Its design's name.
    pub name: String,
    /// The passes over it, each with its cutter's name.
    pub passes: Vec<(PassKind, Face, String)>,
    /// How far its slots go.
    pub slots_deep: CutDepth,
    /// How far its openings go.
    pub openings_deep: CutDepth,
    /// How many places are cleaned up.
    pub clean_up: usize,
    /// Its inlays.
    pub inlays: Vec<InlayWork>,
}

/// How deep something is cut through the wood.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CutDepth {
    /// Under the stock's upper face, as it is written.
    pub said: String,
    /// Whether it ends at the bed, because there is hardly any space under the wood.
    pub to_bed: bool,
}

/// What the order of work knows of an inlay.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InlayWork {
    /// The face that it is let into.
    pub face: Face,
    /// Its folder in the piece's.
    pub folder: String,
    /// What is done to its plug, with its wood; none for one that is poured.
    pub plug: Option<PlugWork>,
    /// What one that is poured takes up to the face, in mL, as it is written.
    pub resin: Option<String>,
}

/// What the order of work knows of a plug. Lengths as they are written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlugWork {
    /// Its wood.
    pub species: String,
    /// The height that its stock is planed to.
    pub stock: String,
    /// The cutter that clears, and the vee.
    pub cutters: [String; 2],
    /// How far it stands over the face when it has been sawn off.
    pub proud: String,
}
