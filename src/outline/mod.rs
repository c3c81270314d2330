//! Closed outlines made of straight lines and arcs.

use glam::DVec2;

/// A corner of a path, and how the path goes on from there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArcVertex {
    /// Where, in mm.
    pub point: DVec2,
    /// Tangent of a quarter of the included angle of the arc to the next corner; positive
    /// counter-clockwise, 0 for a straight line (DXF Reference, LWPOLYLINE, group 42).
    pub bulge: f64,
}

/// A path of lines and tangent arcs.
#[derive(Clone, Debug, PartialEq)]
pub struct ArcPath {
    /// Corners in order.
    pub vertices: Vec<ArcVertex>,
    /// Whether the last corner joins the first.
    pub closed: bool,
}
