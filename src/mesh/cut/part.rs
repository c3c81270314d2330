//! What all of a cut goes by.

/// A corner of the mesh that lies nearer to an outline than this, in mm, is moved along the mesh
/// onto it. At a hundredth of it, triangles would be left that the 32-bit floats of a file (steps
/// of 3e-5 mm at 300 mm) can't hold in shape; the change of volume grows with its square and is
/// here two ten-millionths at most (measured on 105 random forks). In a very fine mesh it is less.
pub(super) const NEAR: f64 = 0.02;

/// A corner of an outline takes in the mesh's nearest corner from this many times as far, so that it
/// does not lie close to two edges which run into that corner at 10 degrees, the least angle of a
/// body's mesh.
pub(super) const AT_CORNER: f64 = 6.0;

/// The mesh could not be cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CutFailed;

/// What a triangle of the body belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Part {
    Top,
    Bottom,
    Wall,
}
