//! A solid's faces as flat polygons that share their corners, for meshing.
//!
//! Promised: where a face is flat its polygon lies in it; a round wall's facets touch it from the
//! outside of its arcs, off by at most the error given, so that a round hole is nowhere narrower;
//! and no corner lies on the line between its neighbours where an arc runs on smoothly.
//! Not promised: anything but flat faces and walls swept along an arc.

use super::edge::EdgeId;
use super::edge::{Shape, tidy};
use super::error::KernelError;
use super::solid::{FaceBounds, Solid};
use crate::units::Length;
use glam::DVec3;
use std::collections::{BTreeMap, VecDeque};

/// No arc is cut into more parts: at 0.01 mm that is a radius of over ten metres.
const MOST_PARTS: usize = 1024;

/// Sine of the angle by which a smooth joint may bend: the file's tolerance over a millimetre.
const SMOOTH: f64 = 1e-6;

const NO_FACETS: KernelError = KernelError::Prism("a wall is not swept along an arc");

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
        let FaceBounds { edges, faces, .. } = &self.bounds;
        let (points, between) = self.bounds.corners(error.as_mm());
        // The corners along an edge, both ends with it.
        let along = |id: &EdgeId| {
            let mut line = vec![edges[id.index].from as u32];
            line.extend(between.get(&id.index).into_iter().flatten());
            line.push(edges[id.index].to as u32);
            if id.reversed {
                line.reverse();
            }
            line
        };
        let mut polygons = Vec::new();
        for (loops, flat) in faces {
            let lines: Vec<Vec<Vec<u32>>> =
                loops.iter().map(|ring| ring.iter().map(along).collect()).collect();
            match &lines[..] {
                lines if *flat => {
                    let ring = |lines: &Vec<Vec<u32>>| {
                        lines.iter().flat_map(|line| &line[1..]).copied().collect()
                    };
                    polygons.push(lines.iter().map(ring).collect());
                }
                [lines] if lines.len() == 4 => {
                    let arc = loops[0].iter().position(|id| between.contains_key(&id.index));
                    let turn = arc.filter(|turn| *turn < 2).ok_or(NO_FACETS)?;
                    let pairs = lines[turn].windows(2).zip(lines[turn + 2].windows(2).rev());
                    polygons.extend(pairs.map(|(a, b)| vec![vec![a[0], a[1], b[0], b[1]]]));
                }
                _ => return Err(NO_FACETS),
            }
        }
        Ok(Facets { points, faces: polygons })
    }
}

impl FaceBounds {
    /// Corners, those of the vertices first, and for each arc which of them lie between its ends.
    fn corners(&self, error: f64) -> (Vec<DVec3>, BTreeMap<usize, Vec<u32>>) {
        let mut points = self.vertices.clone();
        let mut arcs: BTreeMap<usize, VecDeque<DVec3>> = BTreeMap::new();
        for (index, edge) in self.edges.iter().enumerate() {
            if let Shape::Arc { middle, weight } = edge.shape {
                let ends = [edge.from, edge.to].map(|k| self.vertices[k]);
                arcs.insert(index, tangents(ends, middle, weight, error));
            }
        }
        // Where an arc runs on smoothly its end would lie on the line between its neighbours, and
        // a triangle there have no area. It slides along that line to the polygon's next corner.
        for (vertex, id) in self.smooth() {
            let own = arcs.get_mut(&id.index);
            let next =
                own.and_then(|own| if id.reversed { own.pop_back() } else { own.pop_front() });
            points[vertex] = next.unwrap_or(points[vertex]);
        }
        let mut between = BTreeMap::new();
        for (index, own) in arcs {
            let start = points.len() as u32;
            points.extend(own);
            between.insert(index, (start..points.len() as u32).collect());
        }
        (points, between)
    }

    /// Vertices where an arc runs on smoothly, each with an arc that begins there; of two arcs the
    /// one that is not reversed, so that both ends of a wall agree.
    fn smooth(&self) -> BTreeMap<usize, EdgeId> {
        let way = |id: EdgeId| {
            let poles = self.edges[id.index].poles(&self.vertices, id.reversed).points;
            (poles[1] - poles[0]).normalize_or_zero()
        };
        let is_arc = |id: &EdgeId| matches!(self.edges[id.index].shape, Shape::Arc { .. });
        let mut found = BTreeMap::new();
        for ring in self.faces.iter().flat_map(|(loops, _)| loops) {
            for (before, after) in ring.iter().zip(ring.iter().cycle().skip(1)) {
                let both = [before.reversed(), *after];
                let [back, on] = both.map(way);
                let arc = both.into_iter().filter(is_arc).min_by_key(|id| id.reversed);
                if let Some(id) = arc
                    && back.cross(on).length() <= SMOOTH
                    && back.dot(on) < 0.0
                {
                    found.insert(self.edges[id.index].ends(id.reversed).0, id);
                }
            }
        }
        found
    }
}

/// Corners of the polygon that touches an arc at equal steps from its beginning to its end: the
/// middle control points of its equal parts.
fn tangents([a, b]: [DVec3; 2], middle: DVec3, mut weight: f64, error: f64) -> VecDeque<DVec3> {
    let mut parts = vec![[a, middle, b]];
    loop {
        let half = |[a, m, b]: [DVec3; 3]| {
            let near = |end: DVec3| (end + weight * m) / (1.0 + weight);
            let middle = (near(a) + near(b)) / 2.0;
            [[a, near(a), middle], [middle, near(b), b]]
        };
        parts = parts.into_iter().flat_map(half).collect();
        weight = ((1.0 + weight) / 2.0).sqrt();
        let [a, m, b] = parts[0];
        let off = m.distance((a + b) / 2.0) / (1.0 + weight);
        if off <= error || parts.len() >= MOST_PARTS {
            return parts.into_iter().map(|[_, m, _]| tidy(m)).collect();
        }
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
        assert!(matches!(found, Err(KernelError::Prism(_))));
    }
}
