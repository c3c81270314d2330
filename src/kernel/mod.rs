//! The B-rep room: shells of spline patches and flat faces, closed into a solid and written as
//! STEP. Nothing outside this room names the B-rep library.
//!
//! Promised: neighbouring faces share their edges and vertices, every edge lies on its faces to
//! rounding, a [`Solid`] is closed, connected, oriented and not inside out, its volume and the
//! measured error of its fitted surfaces are known, and the same calls give the same bytes.
//! Not promised: that faces don't cut through each other (the caller's surfaces must not), nor
//! any Boolean operation. Two faces may meet along whole edges only.
//!
//! Coordinates and lengths inside this room are millimetres.

mod edge;
mod error;
mod face;
mod facets;
mod prism;
mod shell;
mod solid;
mod spline;
mod step;

#[cfg(test)]
pub(crate) mod judge;
#[cfg(test)]
mod test_solids;

pub use edge::EdgeId;
pub use error::KernelError;
pub use facets::Facets;
pub use prism::{Bore, Corner, Prism, Sunk};
pub use shell::{Shell, VertexId};
pub use solid::Solid;
