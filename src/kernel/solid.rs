//! A closed solid: topology checked by the B-rep library, volume by integration.

use super::edge::{EdgeId, Poles, SolidEdge};
use super::error::KernelError;
use super::face::{FaceSurface, SolidFace};
use super::spline::Knots;
use crate::units::Length;
use glam::DVec3;
use truck_modeling as truck;

/// What bounds a solid's faces, as control points.
#[derive(Clone, Debug)]
pub(super) struct FaceBounds {
    pub vertices: Vec<DVec3>,
    pub edges: Vec<SolidEdge>,
    /// The loops of each face, and whether it is flat.
    pub faces: Vec<(Vec<Vec<EdgeId>>, bool)>,
}

/// A closed, connected, oriented solid.
#[derive(Clone, Debug)]
pub struct Solid {
    pub(super) body: truck::Solid,
    pub(super) bounds: FaceBounds,
    volume: f64,
    fit_error: f64,
}

impl Solid {
    pub(super) fn close(
        vertices: Vec<DVec3>,
        edges: Vec<SolidEdge>,
        faces: Vec<SolidFace>,
        edge_error: f64,
    ) -> Result<Solid, KernelError> {
        let volume: f64 = faces.iter().map(|face| face.volume).sum();
        let fit_error = faces.iter().map(|face| face.error).fold(edge_error, f64::max);
        let corners: Vec<truck::Vertex> =
            vertices.iter().map(|&p| truck::Vertex::new(point(p))).collect();
        let sides = edges
            .iter()
            .map(|edge| {
                let curve = curve(edge.poles(&vertices, false));
                truck::Edge::try_new(&corners[edge.from], &corners[edge.to], curve)
            })
            .collect::<Result<Vec<_>, _>>()
            .map_err(refused)?;
        let mut bounds = FaceBounds { vertices, edges, faces: Vec::new() };
        let shell = faces
            .into_iter()
            .map(|face| {
                let wires = face
                    .loops
                    .iter()
                    .map(|ring| {
                        ring.iter()
                            .map(|id| {
                                let side = &sides[id.index];
                                if id.reversed { side.inverse() } else { side.clone() }
                            })
                            .collect()
                    })
                    .collect();
                let flat = matches!(face.surface, FaceSurface::Plane { .. });
                bounds.faces.push((face.loops, flat));
                truck::Face::try_new(wires, surface(face.surface))
            })
            .collect::<Result<Vec<_>, _>>()
            .map_err(refused)?;
        let body = truck::Solid::try_new(vec![shell.into_iter().collect()]).map_err(refused)?;
        // asked for, not against, so that a NaN fails
        let outside_out = volume > 0.0;
        if !outside_out {
            return Err(KernelError::InsideOut);
        }
        Ok(Solid { body, bounds, volume, fit_error })
    }

    /// Volume in cubic mm, by Gauss quadrature over the faces, to about a thousandth of a
    /// millionth; with arcs wider than a right angle to a hundredth of one.
    pub fn volume_mm3(&self) -> f64 {
        self.volume
    }

    /// Greatest distance between a fitted edge or surface and the one that was asked for, at the
    /// same parameters, measured half-way between the places where they meet.
    pub fn fit_error(&self) -> Length {
        Length::mm(self.fit_error)
    }
}

fn refused(why: impl std::error::Error) -> KernelError {
    KernelError::NotClosed(why.to_string())
}

fn point(p: DVec3) -> truck::Point3 {
    truck::Point3::new(p.x, p.y, p.z)
}

/// Homogeneous coordinates.
fn weighted(p: DVec3, weight: f64) -> truck::Vector4 {
    truck::Vector4::new(p.x * weight, p.y * weight, p.z * weight, weight)
}

fn knots(count: usize) -> truck::KnotVec {
    truck::KnotVec::from(Knots::even(count).knots)
}

// `new_unchecked` below: the number of knots is right by construction, and the checked
// constructors panic or copy.

fn curve(poles: Poles) -> truck::Curve {
    let Poles { points, weights } = poles;
    let knots = knots(points.len());
    match points.as_slice() {
        [a, b] => truck::Curve::Line(truck::Line(point(*a), point(*b))),
        _ if weights.is_empty() => {
            let points = points.into_iter().map(point).collect();
            truck::Curve::BSplineCurve(truck::BSplineCurve::new_unchecked(knots, points))
        }
        _ => {
            let points = points.iter().zip(&weights).map(|(p, w)| weighted(*p, *w)).collect();
            let curve = truck::BSplineCurve::new_unchecked(knots, points);
            truck::Curve::NurbsCurve(truck::NurbsCurve::new(curve))
        }
    }
}

fn surface(surface: FaceSurface) -> truck::Surface {
    match surface {
        FaceSurface::Plane { origin, axes: [u, v] } => truck::Surface::Plane(truck::Plane::new(
            point(origin),
            point(origin + u),
            point(origin + v),
        )),
        FaceSurface::Spline(net) => {
            let knots = (knots(net.rows), knots(net.columns));
            let rows = net.points.chunks(net.columns);
            if net.weights.is_empty() {
                let rows = rows.map(|row| row.iter().map(|&p| point(p)).collect()).collect();
                let surface = truck::BSplineSurface::new_unchecked(knots, rows);
                truck::Surface::BSplineSurface(surface)
            } else {
                let rows = rows
                    .zip(&net.weights)
                    .map(|(row, w)| row.iter().map(|p| weighted(*p, *w)).collect())
                    .collect();
                let surface = truck::BSplineSurface::new_unchecked(knots, rows);
                truck::Surface::NurbsSurface(truck::NurbsSurface::new(surface))
            }
        }
    }
}
