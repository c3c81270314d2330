//! A parallel projection, fitted so that the whole mesh is in the picture.

use crate::mesh::Mesh;
use glam::{DVec2, DVec3};
use rayon::prelude::*;

/// From where the mesh is seen. All views are parallel projections.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum View {
    /// From above, the tip to the right.
    Top,
    /// From below, the tip to the right: the top view turned about X.
    Bottom,
    /// From the right side (negative Y), the tip to the right.
    Side,
    /// From above, the right and a little from the tip.
    ThreeQuarter,
}

impl View {
    /// All views.
    pub const ALL: [View; 4] = [View::Top, View::Bottom, View::Side, View::ThreeQuarter];

    /// `top`, `bottom`, `side` or `three-quarter`.
    pub const fn name(self) -> &'static str {
        match self {
            View::Top => "top",
            View::Bottom => "bottom",
            View::Side => "side",
            View::ThreeQuarter => "three-quarter",
        }
    }
}

/// Paper left free on each side, as a fraction of the picture's shorter side.
const MARGIN: f64 = 0.06;

/// Where the three-quarter view looks from: high enough to see into a hollow, low enough to see
/// the handle's curve (chosen by eye).
const THREE_QUARTER: DVec3 = DVec3::new(0.42, -0.72, 0.62);

/// Turns the mesh's frame into the picture's: x right, y up, z towards the eye.
#[derive(Clone, Copy)]
pub(super) struct Camera {
    right: DVec3,
    up: DVec3,
    toward: DVec3,
    middle: DVec2,
    scale: f64,
    centre: DVec2,
}

impl Camera {
    /// A camera that has all triangles in a picture of `wide` × `high` samples; none if there are
    /// no triangles or they have no extent.
    pub(super) fn fitted(
        mesh: &Mesh,
        triangles: &[[u32; 3]],
        view: View,
        (wide, high): (usize, usize),
    ) -> Option<Camera> {
        let (right, up, toward) = axes(view);
        let seen = |&corner: &u32| {
            let point = mesh.points[corner as usize];
            let seen = DVec2::new(point.dot(right), point.dot(up));
            (seen, seen)
        };
        let none = || (DVec2::INFINITY, DVec2::NEG_INFINITY);
        let both = |a: (DVec2, DVec2), b: (DVec2, DVec2)| (a.0.min(b.0), a.1.max(b.1));
        let (least, most) = triangles
            .par_iter()
            .map(|corners| corners.iter().map(seen).fold(none(), both))
            .reduce(none, both);
        let extent = most - least;
        if triangles.is_empty() || !extent.is_finite() || extent.max_element() <= 0.0 {
            return None;
        }
        let size = DVec2::new(wide as f64, high as f64);
        let room = size - DVec2::splat(2.0 * MARGIN * size.min_element());
        let scale = (room / extent.max(DVec2::splat(f64::MIN_POSITIVE))).min_element();
        let middle = (least + most) / 2.0;
        scale.is_finite().then_some(Camera { right, up, toward, middle, scale, centre: size / 2.0 })
    }

    /// How many samples a millimetre is.
    pub(super) fn samples_per_mm(&self) -> f64 {
        self.scale
    }

    /// Where a point falls: right and down in samples from the top left corner, and the height
    /// towards the eye in samples too.
    pub(super) fn projected(&self, point: DVec3) -> DVec3 {
        let seen = DVec2::new(point.dot(self.right), point.dot(self.up)) - self.middle;
        let x = self.centre.x + seen.x * self.scale;
        let y = self.centre.y - seen.y * self.scale;
        DVec3::new(x, y, point.dot(self.toward) * self.scale)
    }

    /// The point that falls there: [`Camera::projected`] backwards.
    pub(super) fn placed(&self, seen: DVec3) -> DVec3 {
        let x = (seen.x - self.centre.x) / self.scale + self.middle.x;
        let y = (self.centre.y - seen.y) / self.scale + self.middle.y;
        self.right * x + self.up * y + self.toward * (seen.z / self.scale)
    }

    /// A direction of the mesh's frame in the picture's: x right, y up, z towards the eye.
    pub(super) fn turned(&self, way: DVec3) -> DVec3 {
        DVec3::new(way.dot(self.right), way.dot(self.up), way.dot(self.toward))
    }
}

/// Right, up and towards the eye, in the mesh's frame.
fn axes(view: View) -> (DVec3, DVec3, DVec3) {
    match view {
        View::Top => (DVec3::X, DVec3::Y, DVec3::Z),
        View::Bottom => (DVec3::X, -DVec3::Y, -DVec3::Z),
        View::Side => (DVec3::X, DVec3::Z, -DVec3::Y),
        View::ThreeQuarter => {
            let toward = THREE_QUARTER.normalize();
            let right = DVec3::Z.cross(toward).normalize();
            (right, toward.cross(right), toward)
        }
    }
}
