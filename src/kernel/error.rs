//! What can go wrong between a caller's surfaces and a solid.

use crate::units::Length;
use thiserror::Error;

/// Why a solid could not be made or written. Faces and edges are counted from 0 in the order in
/// which they were added.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum KernelError {
    /// A coordinate or size is not a number, or lies more than a kilometre away.
    #[error("a coordinate is not a number or is over a kilometre away")]
    OutOfRange,
    /// An id came from another shell.
    #[error("an edge or vertex is not of this shell")]
    UnknownId,
    /// An edge has no length, or joins a vertex to itself.
    #[error("edge {edge} has no length")]
    NoLength {
        /// The edge.
        edge: usize,
    },
    /// A curve does not end at its vertices.
    #[error("the curve of edge {edge} ends {:.6} um off its vertex", .gap.as_mm() * 1000.0)]
    EndsApart {
        /// The edge.
        edge: usize,
        /// How far off.
        gap: Length,
    },
    /// The number of control points is under 2 or over 1000.
    #[error("edge {edge} can't have {count} control points (2 to 1000)")]
    ControlPoints {
        /// The edge.
        edge: usize,
        /// The number asked for.
        count: usize,
    },
    /// The ends of an arc are not at one distance from its centre, square to its axis, or the arc
    /// is not between 0 and 170 degrees, counter-clockwise about its axis.
    #[error("edge {edge} is not an arc of 0 to 170 degrees about its centre and axis")]
    NotAnArc {
        /// The edge.
        edge: usize,
    },
    /// The edges of a face don't form a closed loop.
    #[error("the edges of face {face} don't form a closed loop")]
    LoopBroken {
        /// The face.
        face: usize,
    },
    /// Opposite sides of a face have different numbers of control points or kinds of curve.
    #[error("opposite sides of face {face} differ in kind or control points")]
    SidesDiffer {
        /// The face.
        face: usize,
    },
    /// A surface does not reach the edges that bound it.
    #[error("the surface of face {face} is {:.6} um off its edge", .gap.as_mm() * 1000.0)]
    OffEdge {
        /// The face.
        face: usize,
        /// How far off.
        gap: Length,
    },
    /// The edges of a flat face don't lie in one plane.
    #[error("an edge of face {face} is {:.6} um off the face's plane", .gap.as_mm() * 1000.0)]
    NotFlat {
        /// The face.
        face: usize,
        /// How far off.
        gap: Length,
    },
    /// The faces don't close: the library's own words.
    #[error("the faces don't close: {0}")]
    NotClosed(String),
    /// The faces close, with their outsides inward.
    #[error("the faces close inside out")]
    InsideOut,
    /// A prism's profile or hole can't be made.
    #[error("the block can't be made: {0}")]
    Prism(&'static str),
    /// The STEP writer failed, or wrote what this room doesn't know.
    #[error("STEP could not be written: {0}")]
    Writing(&'static str),
}
