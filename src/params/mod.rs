//! The three files: design, board and shop, from text to checked values.

mod air;
mod bed;
mod board;
mod checks;
mod clamp;
mod codes;
mod design;
mod dimension;
mod example;
mod flaw;
mod give;
mod handle;
mod harmful;
mod inlay;
mod keys;
mod mirror;
mod opening;
mod parse;
mod plan;
mod read;
mod shop;
mod species;
mod tabs;
mod validate;

pub use air::{Air, equilibrium};
pub use bed::{Bed, Holder, PinFit, Position, Serves, TabLoad, Travel};
pub use board::{Board, Form, Grain, Nominal, Reading};
pub use checks::{Accept, CheckLimits, Limits, Load};
pub use clamp::{Along, BoltHead, Clamp, Fixing, HoldForm, Insert, Stop, StopSide, Track};
pub use codes::{CODES, FIGURE_DOUBTFUL, MORE_FAULTS};
pub use design::{Blade, Bowl, Design, Head, Kind, Slot, TineTip, Tines, dimension, widest_room};
pub use dimension::{Dimension, Station};
pub use example::{Example, example};
pub use flaw::{Flaw, FlawKind, FlawShape};
pub use give::{Bound, Give};
pub use handle::{EndShape, Facets, Flats, Handle, Knob};
pub use harmful::{Harm, harm};
pub use inlay::{Inlay, InlayFill, InlaySide, PlugGrain};
pub(crate) use keys::echo;
pub use keys::{Varying, form, reference, schema};
pub use opening::Opening;
pub use parse::{parse_board, parse_design, parse_shop, unit_of_shop};
pub use plan::{DrawnPlan, PLAN_KEYS};
pub use shop::{
    Bolt, BoltFit, BoltSize, Cutter, CutterForm, HoldDown, Paper, Pin, Shop, TurnAxis, Work, Zero,
};
pub use species::{Species, hankinson, known, species, weakest};
pub use tabs::{AutoTabs, CleanUp, Side, TabPlace, Tabs};
pub(crate) use validate::{BLADE_EASED, FLAT_FROM, SLENDER, THIN_AT};
pub use validate::{faults, margins, outline_places, room, slip, slipped};

use crate::finding::Source;
use crate::units::Length;

/// The complete, commented example of each file.
pub const fn template(source: Source) -> &'static str {
    match source {
        Source::Design => Example::Spoon.text(),
        Source::Board => Example::Board.text(),
        Source::Shop => Example::Shop.text(),
    }
}

/// A length as the three files write it, such as `"0.02 mm"` or `"1-1/4 in"`.
///
/// # Errors
/// What is wrong with the text, in words.
pub fn length(text: &str) -> Result<Length, &'static str> {
    read::length(text)
}
