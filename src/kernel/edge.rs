//! Edges as plain control points.

use super::spline::{Knots, SplineFit, gauss};
use glam::DVec3;

/// How far a caller's curve may end off its vertex, or a surface lie off its edge, and still be
/// taken for joined, in mm: the tolerance that the STEP file states.
pub(super) const JOIN: f64 = 1e-6;

/// Control points are kept on this grid to keep the file short: a hundredth of the tolerance
/// that the file states, so that it never shows.
const GRID_PER_MM: f64 = 1e8;

/// Most that a coordinate may be, in mm: a kilometre, past any workshop, and little enough for
/// [`GRID_PER_MM`] to be exact.
const FARTHEST: f64 = 1e6;

/// Whether a point is finite and within a kilometre.
pub(super) fn sound(p: DVec3) -> bool {
    p.abs().max_element() <= FARTHEST && !p.is_nan()
}

/// The nearest point of the grid, without negative zeros.
pub(super) fn tidy(p: DVec3) -> DVec3 {
    (p * GRID_PER_MM).round() / GRID_PER_MM + DVec3::ZERO
}

/// An edge of a shell, in one of its two directions.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct EdgeId {
    pub(super) index: usize,
    pub(super) reversed: bool,
}

impl EdgeId {
    /// The same edge the other way round.
    #[must_use]
    pub fn reversed(self) -> EdgeId {
        EdgeId { reversed: !self.reversed, ..self }
    }

    pub(super) fn turned(self, turn: bool) -> EdgeId {
        if turn { self.reversed() } else { self }
    }
}

/// The form of an edge between its two vertices.
#[derive(Clone, Debug)]
pub(super) enum Shape {
    Line,
    /// A quadratic rational Bezier curve: its middle control point and that point's weight.
    Arc {
        middle: DVec3,
        weight: f64,
    },
    /// Control points, and the samples that they were made from.
    Spline {
        points: Vec<DVec3>,
        samples: Vec<DVec3>,
    },
}

/// An arc from `a` to `b`, counter-clockwise about the axis.
pub(super) fn arc_through(a: DVec3, b: DVec3, centre: DVec3, axis: DVec3) -> Option<Shape> {
    let axis = axis.try_normalize()?;
    let (p, q) = (a - centre, b - centre);
    let radius = (p.length() + q.length()) / 2.0;
    let round = (p.length() - q.length()).abs() <= JOIN;
    let square = p.dot(axis).abs() <= JOIN && q.dot(axis).abs() <= JOIN;
    let cosine = p.dot(q) / (radius * radius);
    let least_cosine = 170_f64.to_radians().cos();
    // asked for, not against, so that a NaN fails
    if !(round && square && sound(centre) && p.cross(q).dot(axis) > 0.0 && cosine >= least_cosine) {
        return None;
    }
    let middle = centre + (p + q) / (1.0 + cosine);
    Some(Shape::Arc { middle, weight: ((1.0 + cosine) / 2.0).sqrt() })
}

/// An edge between two vertices.
#[derive(Clone, Debug)]
pub(super) struct SolidEdge {
    pub from: usize,
    pub to: usize,
    pub shape: Shape,
}

/// Control points and weights of an edge in the direction asked for.
#[derive(Clone, Debug)]
pub(super) struct Poles {
    pub points: Vec<DVec3>,
    /// Empty where all are 1.
    pub weights: Vec<f64>,
}

impl SolidEdge {
    pub fn ends(&self, reversed: bool) -> (usize, usize) {
        if reversed { (self.to, self.from) } else { (self.from, self.to) }
    }

    pub fn count(&self) -> Option<usize> {
        match &self.shape {
            Shape::Spline { points, .. } => Some(points.len()),
            _ => None,
        }
    }

    pub fn poles(&self, vertices: &[DVec3], reversed: bool) -> Poles {
        let (a, b) = (vertices[self.from], vertices[self.to]);
        let (mut points, weights) = match &self.shape {
            Shape::Line => (vec![a, b], Vec::new()),
            Shape::Arc { middle, weight } => (vec![a, *middle, b], vec![1.0, *weight, 1.0]),
            Shape::Spline { points, .. } => (points.clone(), Vec::new()),
        };
        if reversed {
            points.reverse();
        }
        Poles { points, weights }
    }

    /// Control points and samples as a side of a patch fitted by `fit`.
    pub fn side(
        &self,
        vertices: &[DVec3],
        reversed: bool,
        fit: &SplineFit,
    ) -> Option<[Vec<DVec3>; 2]> {
        let [mut points, mut samples] = match &self.shape {
            Shape::Line => {
                let (a, b) = (vertices[self.from], vertices[self.to]);
                let even: Vec<DVec3> = fit.sites.iter().map(|&t| a.lerp(b, t)).collect();
                [even.clone(), even]
            }
            Shape::Spline { points, samples } => [points.clone(), samples.clone()],
            Shape::Arc { .. } => return None,
        };
        if reversed {
            points.reverse();
            samples.reverse();
        }
        (points.len() == fit.sites.len()).then_some([points, samples])
    }

    /// Places along the edge and steps that sum to its chord, for line integrals.
    pub fn steps(&self, vertices: &[DVec3]) -> Vec<[DVec3; 2]> {
        let Poles { points, weights } = self.poles(vertices, false);
        let knots = Knots::even(points.len());
        let mut steps = Vec::new();
        for (t, w) in gauss(knots.spans()) {
            let basis = knots.basis(t);
            let (mut at, mut along) = (DVec3::ZERO, DVec3::ZERO);
            let (mut weight, mut weight_slope) = (0.0, 0.0);
            for k in 0..=knots.degree {
                let own = weights.get(basis.first + k).copied().unwrap_or(1.0);
                let point = own * points[basis.first + k];
                at += basis.value[k] * point;
                along += basis.slope[k] * point;
                weight += basis.value[k] * own;
                weight_slope += basis.slope[k] * own;
            }
            let place = at / weight;
            let slope = (along - weight_slope * place) / weight;
            steps.push([place, slope * w]);
        }
        steps
    }
}
