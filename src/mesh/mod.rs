//! Triangle meshes: made from the formula, audited, measured.

mod audit;
mod boxes;
mod crossing;
mod cut;
mod fan;
pub mod flat;
mod grid;
mod heights;
mod measure;
mod posts;
mod rim;
mod tessellate;
#[cfg(test)]
mod upright;
mod words;

pub use audit::{Audit, FLATTEST_MM, audit, audit_in, closed, crossings};
pub use cut::{CutFailed, cut_through};
pub use heights::Heights;
pub use measure::{Size, Sizes, measure};
pub use posts::{Post, with_posts};
pub use tessellate::{COARSEST, FINEST, USUAL, tessellate};

use crate::units::Length;
use glam::DVec3;
use std::ops::Range;

/// A triangle mesh. Points in mm; triangles counter-clockwise seen from outside.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    /// Corners.
    pub points: Vec<DVec3>,
    /// Three corners each.
    pub triangles: Vec<[u32; 3]>,
}

/// The mesh of a whole body, with its parts told apart.
#[derive(Clone, Debug, PartialEq)]
pub struct BodyMesh {
    /// The closed mesh, in the design frame.
    pub mesh: Mesh,
    /// Triangles of the top skin.
    pub top: Range<usize>,
    /// Triangles of the bottom skin.
    pub bottom: Range<usize>,
    /// Triangles of the rim wall.
    pub wall: Range<usize>,
    /// Points of the top skin's rim, counter-clockwise in the plan.
    pub rim_top: Vec<u32>,
    /// Points of the bottom skin's rim, counter-clockwise in the plan; not always as many.
    pub rim_bottom: Vec<u32>,
    /// Greatest measured distance of the exact surface from the mesh.
    pub error: Length,
    /// Whether it has been looked at for triangles that pass through others, and has none.
    pub untangled: bool,
}

impl Mesh {
    /// The corners of a triangle.
    pub fn corners(&self, triangle: [u32; 3]) -> [DVec3; 3] {
        triangle.map(|corner| self.points[corner as usize])
    }

    /// What a closed mesh encloses, in mm³; negative when it is inside out.
    pub fn volume_mm3(&self) -> f64 {
        let six = |triangle: &[u32; 3]| {
            let [p, q, r] = self.corners(*triangle);
            p.dot(q.cross(r)) / 6.0
        };
        self.triangles.iter().fold(0.0, |sum, triangle| sum + six(triangle))
    }

    /// Middle of the mass of a closed mesh, in mm; its first point when it encloses nothing.
    pub fn middle(&self) -> DVec3 {
        let origin = self.points.first().copied().unwrap_or_default();
        let mut sum = (0.0, DVec3::ZERO);
        for triangle in &self.triangles {
            let [a, b, c] = self.corners(*triangle).map(|p| p - origin);
            let six = a.dot(b.cross(c));
            sum = (sum.0 + six, sum.1 + (a + b + c) * (six / 4.0));
        }
        if sum.0 != 0.0 { origin + sum.1 / sum.0 } else { origin }
    }

    /// Least and greatest coordinates.
    pub fn bounds(&self) -> [DVec3; 2] {
        self.points.iter().fold(
            [DVec3::splat(f64::INFINITY), DVec3::splat(f64::NEG_INFINITY)],
            |[least, most], point| [least.min(*point), most.max(*point)],
        )
    }
}
