//! A solid's faces as flat polygons that share their corners, for meshing.
//!
//! Promised: where a face is flat its polygon lies in it; a round wall's facets touch it from the
//! outside of its arcs, off by at most the error given, so that a round hole is nowhere narrower;
//! and no corner lies on the line between its neighbours where an arc runs on smoothly.
//! Not promised: anything but flat faces and walls swept upright along an arc.

use super::edge::tidy;
use super::error::KernelError;
use super::solid::Solid;
use crate::units::Length;
use glam::DVec3;
use std::collections::{BTreeMap, VecDeque};
use std::iter::once;
use truck_modeling as truck;

/// No arc is cut into more parts: at 0.01 mm that is a radius of over ten metres.
const MOST_PARTS: usize = 1024;

/// Sine of the angle by which a smooth joint may bend: the file's tolerance over a millimetre.
const SMOOTH: f64 = 1e-6;

/// Flat polygons that share their corners.
#[derive(Clone, Debug, PartialEq)]
pub struct Facets {
    /// Corners, in mm.
    pub points: Vec<DVec3>,
    /// The loops of each polygon as indices of the corners: the outer one counter-clockwise seen
    /// from outside, holes clockwise.
    pub faces: Vec<Vec<Vec<u32>>>,
}

impl Solid {
    /// Its faces as flat polygons; arcs are off by at most `error`.
    ///
    /// # Errors
    /// A face that is neither flat nor swept along an arc.
    pub fn facets(&self, error: Length) -> Result<Facets, KernelError> {
        let body = Body::of(self);
        let (lines, points) = Polylines::new(&body, error.as_mm());
        let mut faces = Vec::new();
        for (face, (surface, rings)) in body.faces.iter().enumerate() {
            match (surface, &rings[..]) {
                (truck::Surface::Plane(_), rings) => {
                    faces.push(rings.iter().map(|ring| lines.ring(ring)).collect());
                }
                (truck::Surface::NurbsSurface(_), [ring]) if ring.len() == 4 => {
                    let turn = usize::from(body.edges[ring[0].0].arc.is_none());
                    let [one, other] = [ring[turn], ring[turn + 2]].map(|side| lines.along(side));
                    let pairs = one.windows(2).zip(other.windows(2).rev());
                    faces.extend(pairs.map(|(a, b)| vec![vec![a[0], a[1], b[0], b[1]]]));
                }
                _ => return Err(KernelError::NotFacets { face }),
            }
        }
        Ok(Facets { points, faces })
    }
}

/// An edge of a loop, and whether it is run along from its front to its back.
type Side = (usize, bool);

struct Edge {
    ends: [usize; 2],
    arc: Option<Arc>,
}

/// What bounds the faces, numbered in their order.
struct Body {
    vertices: Vec<DVec3>,
    edges: Vec<Edge>,
    faces: Vec<(truck::Surface, Vec<Vec<Side>>)>,
}

impl Body {
    fn of(solid: &Solid) -> Body {
        let mut body = Body { vertices: Vec::new(), edges: Vec::new(), faces: Vec::new() };
        // A solid of this room is one shell.
        for shell in solid.body.compress().boundaries {
            body.vertices.extend(shell.vertices.iter().map(|p| DVec3::new(p.x, p.y, p.z)));
            body.edges.extend(shell.edges.iter().map(|edge| Edge {
                ends: [edge.vertices.0, edge.vertices.1],
                arc: Arc::of(&edge.curve),
            }));
            body.faces.extend(shell.faces.into_iter().map(|face| {
                let rings = face.boundaries.iter();
                let rings =
                    rings.map(|ring| ring.iter().map(|s| (s.index, s.orientation)).collect());
                (face.surface, rings.collect())
            }));
        }
        body
    }

    /// Unit direction of a loop where it enters a side (end 0) or leaves it (end 1).
    fn direction(&self, (index, forward): Side, end: usize) -> DVec3 {
        let Edge { ends, arc } = &self.edges[index];
        let [a, b] = ends.map(|k| self.vertices[k]);
        let [from, to] = match arc {
            Some(Arc { points: [_, middle, _], .. }) if (end == 1) == forward => [*middle, b],
            Some(Arc { points: [_, middle, _], .. }) => [a, *middle],
            None => [a, b],
        };
        let way = (to - from).normalize_or_zero();
        if forward { way } else { -way }
    }

    /// Vertices where an arc runs on smoothly, each with an arc that ends there and with which end.
    /// Of two arcs it is the one that begins there, so that both ends of a wall agree.
    fn smooth(&self) -> BTreeMap<usize, (usize, usize)> {
        let mut found = BTreeMap::new();
        for ring in self.faces.iter().flat_map(|(_, rings)| rings) {
            for (&a, &b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
                let (before, after) = (self.direction(a, 1), self.direction(b, 0));
                if before.cross(after).length() > SMOOTH || before.dot(after) < 0.0 {
                    continue;
                }
                let ends = [(a.0, usize::from(a.1)), (b.0, usize::from(!b.1))];
                let arcs = ends.into_iter().filter(|(index, _)| self.edges[*index].arc.is_some());
                if let Some((index, end)) = arcs.min_by_key(|(_, end)| *end) {
                    found.insert(self.edges[index].ends[end], (index, end));
                }
            }
        }
        found
    }
}

/// A circular arc as a rational Bezier curve of standard form.
#[derive(Clone, Copy)]
struct Arc {
    points: [DVec3; 3],
    weight: f64,
}

impl Arc {
    fn of(curve: &truck::Curve) -> Option<Arc> {
        let truck::Curve::NurbsCurve(curve) = curve else { return None };
        let &[a, m, b] = curve.control_points().as_slice() else { return None };
        let place = |p: truck::Vector4| DVec3::new(p.x, p.y, p.z) / p.w;
        Some(Arc { points: [a, m, b].map(place), weight: m.w / (a.w * b.w).sqrt() })
    }

    fn middle(&self) -> DVec3 {
        let [a, m, b] = self.points;
        (a + 2.0 * self.weight * m + b) / (2.0 * (1.0 + self.weight))
    }

    fn halves(self) -> [Arc; 2] {
        let ([a, m, b], w, middle) = (self.points, self.weight, self.middle());
        let weight = ((1.0 + w) / 2.0).sqrt();
        let near = |end: DVec3| (end + w * m) / (1.0 + w);
        [[a, near(a), middle], [middle, near(b), b]].map(|points| Arc { points, weight })
    }

    /// Corners of the polygon that touches it at equal steps from its beginning to its end.
    fn tangents(self, error: f64) -> VecDeque<DVec3> {
        let mut parts = self.halves().to_vec();
        while parts[0].points[1].distance(parts[0].middle()) > error && parts.len() < MOST_PARTS {
            parts = parts.into_iter().flat_map(Arc::halves).collect();
        }
        parts.into_iter().map(|part| part.points[1]).collect()
    }
}

/// The corners along each edge.
struct Polylines<'a> {
    body: &'a Body,
    /// Corners between the ends of arcs.
    between: BTreeMap<usize, Vec<u32>>,
}

impl<'a> Polylines<'a> {
    /// Gives the corners' places too.
    fn new(body: &'a Body, error: f64) -> (Polylines<'a>, Vec<DVec3>) {
        let mut points = body.vertices.clone();
        let arcs = body.edges.iter().map(|edge| edge.arc).enumerate();
        let mut tangents: BTreeMap<usize, VecDeque<DVec3>> =
            arcs.filter_map(|(index, arc)| Some((index, arc?.tangents(error)))).collect();
        // Where an arc runs on smoothly its end would lie on the line between its neighbours, and
        // a triangle there have no area. It slides along that line to the polygon's next corner.
        for (vertex, (index, end)) in body.smooth() {
            let own = tangents.get_mut(&index);
            let corner =
                own.and_then(|own| if end == 0 { own.pop_front() } else { own.pop_back() });
            points[vertex] = corner.map_or(points[vertex], tidy);
        }
        let mut between = BTreeMap::new();
        for (index, own) in tangents {
            let start = points.len() as u32;
            points.extend(own.into_iter().map(tidy));
            between.insert(index, (start..points.len() as u32).collect());
        }
        (Polylines { body, between }, points)
    }

    /// The corners along a side, both ends with it.
    fn along(&self, (index, forward): Side) -> Vec<u32> {
        let [from, to] = self.body.edges[index].ends.map(|vertex| vertex as u32);
        let between = self.between.get(&index).into_iter().flatten().copied();
        let mut line: Vec<u32> = once(from).chain(between).chain(once(to)).collect();
        if !forward {
            line.reverse();
        }
        line
    }

    /// The corners round a loop.
    fn ring(&self, sides: &[Side]) -> Vec<u32> {
        let along = sides.iter().map(|side| self.along(*side));
        along.flat_map(|line| line.into_iter().skip(1)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::test_solids::{block_with_hole, lens};
    use super::*;
    use glam::DVec2;
    use std::f64::consts::{PI, TAU};

    #[test]
    fn a_bore_becomes_a_polygon_that_touches_it_and_has_no_needless_corner() {
        let facets = block_with_hole().unwrap().facets(Length::mm(0.01)).unwrap();
        // The profile's six walls, two ends, and the bore's: 64 to the circle.
        assert_eq!(facets.faces.len(), 6 + 2 + 64);
        let holes: Vec<&Vec<u32>> = facets.faces.iter().flat_map(|f| f.iter().skip(1)).collect();
        assert_eq!(holes.len(), 2, "below and above");
        for hole in holes {
            let plan: Vec<DVec2> = hole
                .iter()
                .map(|k| facets.points[*k as usize].truncate() - DVec2::new(45.0, 0.0))
                .collect();
            assert_eq!(plan.len(), 64);
            let round = 3.3 / (PI / 64.0).cos();
            for (a, b) in plan.iter().zip(plan.iter().cycle().skip(1)) {
                assert!(
                    (((*a + *b) / 2.0).length() - 3.3).abs() < 1e-7,
                    "a flat touches the circle"
                );
                assert!((a.length() - round).abs() < 1e-7 && round < 3.3 + 0.01);
                assert!((a.angle_to(*b).abs() - TAU / 64.0).abs() < 1e-7);
            }
        }
    }

    #[test]
    fn a_free_surface_has_no_facets() {
        let found = lens(8).solid().unwrap().facets(Length::mm(0.01));
        assert!(matches!(found, Err(KernelError::NotFacets { .. })));
    }
}
