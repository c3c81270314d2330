//! What can go wrong between a caller's surfaces and a solid.

use crate::units::Length;
use std::fmt;

/// Why a solid could not be made or written. Faces and edges are counted from 0 in the order in
/// which they were added.
#[derive(Clone, Debug, PartialEq)]
pub enum KernelError {
    /// A coordinate or size is not a number, or lies more than a kilometre away.
    OutOfRange,
    /// An id came from another shell.
    UnknownId,
    /// An edge has no length, or joins a vertex to itself.
    NoLength {
        /// The edge.
        edge: usize,
    },
    /// A curve does not end at its vertices.
    EndsApart {
        /// The edge.
        edge: usize,
        /// How far off.
        gap: Length,
    },
    /// The number of control points is under 2 or over 1000.
    ControlPoints {
        /// The edge.
        edge: usize,
        /// The number asked for.
        count: usize,
    },
    /// The ends of an arc are not at one distance from its centre, square to its axis, or the arc
    /// is not between 0 and 170 degrees, counter-clockwise about its axis.
    NotAnArc {
        /// The edge.
        edge: usize,
    },
    /// The edges of a face don't form a closed loop.
    LoopBroken {
        /// The face.
        face: usize,
    },
    /// Opposite sides of a face have different numbers of control points or kinds of curve.
    SidesDiffer {
        /// The face.
        face: usize,
    },
    /// A surface does not reach the edges that bound it.
    OffEdge {
        /// The face.
        face: usize,
        /// How far off.
        gap: Length,
    },
    /// The edges of a flat face don't lie in one plane.
    NotFlat {
        /// The face.
        face: usize,
        /// How far off.
        gap: Length,
    },
    /// The faces don't close: the library's own words.
    NotClosed(String),
    /// The faces close, with their outsides inward.
    InsideOut,
    /// A prism's profile or hole can't be made.
    Prism(&'static str),
    /// The STEP writer failed, or wrote what this room doesn't know.
    Writing(&'static str),
}

impl fmt::Display for KernelError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let micron = |gap: &Length| gap.as_mm() * 1000.0;
        match self {
            KernelError::OutOfRange => {
                write!(f, "a coordinate is not a number or is over a kilometre away")
            }
            KernelError::UnknownId => write!(f, "an edge or vertex is not of this shell"),
            KernelError::NoLength { edge } => write!(f, "edge {edge} has no length"),
            KernelError::EndsApart { edge, gap } => {
                write!(f, "the curve of edge {edge} ends {:.6} um off its vertex", micron(gap))
            }
            KernelError::ControlPoints { edge, count } => {
                write!(f, "edge {edge} can't have {count} control points (2 to 1000)")
            }
            KernelError::NotAnArc { edge } => {
                write!(f, "edge {edge} is not an arc of 0 to 170 degrees about its centre and axis")
            }
            KernelError::LoopBroken { face } => {
                write!(f, "the edges of face {face} don't form a closed loop")
            }
            KernelError::SidesDiffer { face } => {
                write!(f, "opposite sides of face {face} differ in kind or control points")
            }
            KernelError::OffEdge { face, gap } => {
                write!(f, "the surface of face {face} is {:.6} um off its edge", micron(gap))
            }
            KernelError::NotFlat { face, gap } => {
                write!(f, "an edge of face {face} is {:.6} um off the face's plane", micron(gap))
            }
            KernelError::NotClosed(why) => write!(f, "the faces don't close: {why}"),
            KernelError::InsideOut => write!(f, "the faces close inside out"),
            KernelError::Prism(why) => write!(f, "the block can't be made: {why}"),
            KernelError::Writing(why) => write!(f, "STEP could not be written: {why}"),
        }
    }
}

impl std::error::Error for KernelError {}
