//! A face with flanks and a floor let into it, or standing out of it, as triangles over the plan: sharp
//! along the art's outline, in the valleys, and where the flanks end at the floor.
//!
//! Promised: corners lie on the surface; no edge of the plan crosses the art's outline; the surface was
//! measured at the middle of each triangle and of its edges, and triangles were divided where it lay further
//! off than was asked, unless they were too small already.
//! Not promised: a bound on what is off anywhere else.

use super::level::FlankLines;
use super::sketch::{ArtGround, Fineness, Sketch};
use super::valley::{Lies, Reach};
use glam::{DVec2, DVec3};
use rayon::prelude::*;
use spade::Triangulation;
use spade::handles::FixedVertexHandle;

/// Corners nearer than this are one, in mm; on a flank of a vee of 15 degrees that is 0.005 mm upright.
const SAME_MM: f64 = 0.0006;
/// Parts of lines are no shorter for the surface's sake, in mm.
const LEAST_LINE_MM: f64 = 0.008;

/// The surface as triangles, counter-clockwise in the plan.
#[derive(Clone, Debug, Default)]
pub(super) struct Terrain {
    pub(super) points: Vec<DVec3>,
    pub(super) triangles: Vec<[u32; 3]>,
    /// How each triangle lies.
    pub(super) lies: Vec<Lies>,
    /// The border's corners, counter-clockwise.
    pub(super) border: Vec<u32>,
}

impl Terrain {
    /// Of a triangle, in the plan.
    pub(super) fn area(&self, triangle: &[u32; 3]) -> f64 {
        let [a, b, c] = triangle.map(|at| self.points[at as usize].truncate());
        (b - a).perp_dot(c - a) / 2.0
    }
}

/// The surface over a plan, with lines on it that are kept, as fine as asked where it is art and where it is
/// none; none where the outline can't be kept, or where that takes endless division.
pub(super) fn terrain(
    ground: &ArtGround<'_>,
    lines: &[&FlankLines],
    [inside, outside]: [Fineness; 2],
) -> Option<Terrain> {
    let mut fine = Sketch::new(ground, SAME_MM)?;
    let all: Vec<&Reach> =
        lines.iter().flat_map(|own| own.level.iter().chain(&own.valleys)).collect();
    let parts = all.par_iter().flat_map_iter(|reach| {
        let height = |p: DVec2| (ground.height)(p, reach.lies);
        let fine = if reach.lies == Lies::In { inside } else { outside };
        let mut parts = Vec::new();
        straight(&height, fine.tolerance, reach.ends, &mut parts);
        parts.into_iter().map(|ends| Reach { ends, lies: reach.lies })
    });
    let parts: Vec<Reach> = parts.collect();
    let ends = parts.iter().map(|reach| reach.ends.map(|p| fine.put(p, reach.lies)));
    let ends: Vec<[Option<FixedVertexHandle>; 2]> = ends.collect();
    let known = fine.sorted();
    for pair in ends {
        if let [Some(a), Some(b)] = pair {
            fine.keep_through(a, b, &known);
        }
    }
    fine.divide(&|lies| Some(if lies == Lies::In { inside } else { outside }));
    (!fine.endless).then(|| taken(&fine))
}

/// A line in parts along which the surface is straight: where three flanks meet a valley has a kink.
fn straight(
    height: &dyn Fn(DVec2) -> f64,
    tolerance: f64,
    [a, b]: [DVec2; 2],
    parts: &mut Vec<[DVec2; 2]>,
) {
    let middle = 0.5 * (a + b);
    let off = height(middle) - 0.5 * (height(a) + height(b));
    if off.abs() > tolerance && a.distance(b) > LEAST_LINE_MM {
        straight(height, tolerance, [a, middle], parts);
        straight(height, tolerance, [middle, b], parts);
    } else {
        parts.push([a, b]);
    }
}

fn taken(sketch: &Sketch<'_>) -> Terrain {
    let Sketch { plan, ground, .. } = sketch;
    let corners: Vec<_> = plan.vertices().map(|v| *v.data()).collect();
    let points = corners.par_iter().map(|c| c.at.extend((ground.height)(c.at, c.lies))).collect();
    let beyond = sketch.beyond();
    let faces = plan.inner_faces().filter(|face| !beyond[face.fix().index()]);
    let (triangles, lies) = faces
        .map(|face| (face.vertices().map(|v| v.fix().index() as u32), sketch.lies(&face)))
        .unzip();
    let border = sketch.border.iter().map(|at| at.index() as u32).collect();
    Terrain { points, triangles, lies, border }
}
