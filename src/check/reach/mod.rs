//! Reach: the surface that a cutter really leaves, and how it differs from the one asked for.

mod advice;
mod closing;
mod cutters;
mod field;
mod ground;
mod kernel;
mod radius;
mod rule;
mod search;
mod tool;

pub use closing::{Heights, NOTHING, closing};
pub use cutters::Reached;
pub(super) use ground::Cut;
pub use ground::{Ground, surface};
pub use radius::least_concave;
pub(super) use rule::look;
pub use rule::{CELL, UNCUT, Uncut, uncut};
pub use tool::Tool;
