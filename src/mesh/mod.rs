//! Triangle meshes: made from the formula, audited, measured.

use glam::DVec3;

/// A triangle mesh. Points in mm; triangles counter-clockwise seen from outside.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    /// Corners.
    pub points: Vec<DVec3>,
    /// Three corners each.
    pub triangles: Vec<[u32; 3]>,
}

pub mod flat;
