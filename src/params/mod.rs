//! The three files: design, board and shop, from text to checked values.

mod board;
mod design;
mod shop;

pub use board::{Board, Flaw, FlawKind, FlawShape, Reading};
pub use design::{
    Blade, Bound, Bowl, Design, Give, Handle, Head, Kind, Side, Slot, Station, TabPlace, Tabs,
    Tines,
};
pub use shop::{
    Bolt, BoltFit, BoltSize, Cutter, CutterForm, HoldDown, Limits, Pin, Shop, TurnAxis, Work, Zero,
};
