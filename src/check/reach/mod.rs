//! Reach: the surface that a cutter really leaves, and how it differs from the one asked for.

mod advice;
mod closing;
mod cutters;
mod field;
mod ground;
mod kernel;
mod left;
mod radius;
mod rule;
mod search;
mod tool;

pub use closing::{HeightGrid, NOTHING, closing};
pub use cutters::CutterReach;
pub(super) use ground::CrossCut;
pub use ground::{SideGrid, surface};
pub use left::{CELL, Uncut, uncut};
pub use radius::least_concave;
pub use rule::UNCUT;
pub(super) use rule::look;
pub use tool::Tool;
