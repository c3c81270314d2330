//! Flat regions between closed loops, filled with triangles.
//!
//! Promised: triangles counter-clockwise in the plan, only the given points as corners, every
//! given edge an edge of the result, and no triangle across an edge.
//! Not promised: well-shaped triangles. No points are added.

use super::Mesh;
use glam::{DVec2, DVec3};
use spade::handles::FixedVertexHandle;
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};

/// A directed edge between two points, and the label of the region on its left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seed {
    /// From this point.
    pub from: u32,
    /// To that point.
    pub to: u32,
    /// What the region on the left is called.
    pub label: u32,
}

/// A triangle of a labelled region.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RegionTriangle {
    /// Corners, counter-clockwise, as indices of the given points.
    pub corners: [u32; 3],
    /// The label of its region.
    pub label: u32,
}

const NO_LABEL: u32 = u32::MAX;

/// A face in space is laid flat on this grid: a nanometre's thousandth, finer than any two of its
/// corners lie apart.
const PLAN_GRID_PER_MM: f64 = 1e9;

/// Fills the regions to the left of the seeds with triangles. Points in mm. The edges, and the
/// seeds too, are kept as edges and bound the regions. `None` if two points coincide, edges
/// cross, a point lies on an edge, or two seeds call one region by different names.
pub fn fill_regions(
    points: &[DVec2],
    edges: &[[u32; 2]],
    seeds: &[Seed],
) -> Option<Vec<RegionTriangle>> {
    let corners = points.iter().map(|p| Point2::new(p.x, p.y)).collect();
    let fixed: Vec<[usize; 2]> = edges
        .iter()
        .copied()
        .chain(seeds.iter().map(|seed| [seed.from, seed.to]))
        .map(|[a, b]| [a as usize, b as usize])
        .collect();
    if fixed.iter().any(|[a, b]| a == b || *a >= points.len() || *b >= points.len()) {
        return None;
    }
    let mut crossing = false;
    let plan = ConstrainedDelaunayTriangulation::<Point2<f64>>::try_bulk_load_cdt(
        corners,
        fixed.clone(),
        |_| crossing = true,
    )
    .ok()?;
    let handle = |index: usize| FixedVertexHandle::from_index(index);
    let whole = fixed.iter().all(|[a, b]| plan.exists_constraint(handle(*a), handle(*b)));
    if crossing || !whole || plan.num_vertices() != points.len() {
        return None;
    }

    let mut labels = vec![NO_LABEL; plan.num_all_faces()];
    let mut open = Vec::new();
    for seed in seeds {
        let edge =
            plan.get_edge_from_neighbors(handle(seed.from as usize), handle(seed.to as usize))?;
        let face = edge.face();
        if face.is_outer() {
            return None;
        }
        let index = face.fix().index();
        if labels[index] == NO_LABEL {
            labels[index] = seed.label;
            open.push(face.fix());
            while let Some(face) = open.pop() {
                let face = plan.face(face).as_inner()?;
                for side in face.adjacent_edges() {
                    if side.is_constraint_edge() {
                        continue;
                    }
                    let next = side.rev().face();
                    if next.is_outer() {
                        return None;
                    }
                    if labels[next.fix().index()] == NO_LABEL {
                        labels[next.fix().index()] = seed.label;
                        open.push(next.fix());
                    }
                }
            }
        } else if labels[index] != seed.label {
            return None;
        }
    }

    let pieces = plan
        .inner_faces()
        .filter(|face| labels[face.fix().index()] != NO_LABEL)
        .map(|face| RegionTriangle {
            corners: face.vertices().map(|corner| corner.fix().index() as u32),
            label: labels[face.fix().index()],
        })
        .collect();
    Some(pieces)
}

/// Fills the region bounded by closed loops, the outer one counter-clockwise and holes clockwise.
/// Points in mm; corners are indices into the loops laid end to end. `None` as for
/// [`fill_regions`].
pub fn fill_loops(loops: &[Vec<DVec2>]) -> Option<Vec<[u32; 3]>> {
    let mut points = Vec::new();
    let mut seeds = Vec::new();
    for ring in loops {
        let first = points.len() as u32;
        let count = ring.len() as u32;
        points.extend_from_slice(ring);
        seeds.extend((0..count).map(|i| Seed {
            from: first + i,
            to: first + (i + 1) % count,
            label: 0,
        }));
    }
    let pieces = fill_regions(&points, &[], &seeds)?;
    Some(pieces.into_iter().map(|piece| piece.corners).collect())
}

/// A mesh of flat faces that share the points at their corners, in mm. Each face has its loops as
/// indices of the points: the outer one counter-clockwise seen from outside, holes clockwise.
/// `None` as for [`fill_regions`].
pub fn fill_faces(points: Vec<DVec3>, faces: &[Vec<Vec<u32>>]) -> Option<Mesh> {
    let mut triangles = Vec::new();
    for loops in faces {
        let place = |corner: &u32| points.get(*corner as usize).copied();
        let rings: Vec<Vec<DVec3>> =
            loops.iter().map(|ring| ring.iter().map(place).collect()).collect::<Option<_>>()?;
        let outer = rings.first()?;
        let origin = *outer.first()?;
        let pairs = outer.iter().zip(outer.iter().cycle().skip(1));
        let twice: DVec3 = pairs.map(|(a, b)| (a - origin).cross(b - origin)).sum();
        let normal = twice.try_normalize()?;
        let u = normal.any_orthonormal_vector();
        let v = normal.cross(u);
        // The library takes no coordinate that differs from zero only by rounding.
        let tidy = |x: f64| (x * PLAN_GRID_PER_MM).round() / PLAN_GRID_PER_MM;
        let flat = |p: &DVec3| DVec2::new((p - origin).dot(u), (p - origin).dot(v)).map(tidy);
        let plan: Vec<Vec<DVec2>> = rings.iter().map(|r| r.iter().map(flat).collect()).collect();
        let corners = loops.concat();
        let filled = fill_loops(&plan)?.into_iter();
        triangles.extend(filled.map(|triangle| triangle.map(|k| corners[k as usize])));
    }
    Some(Mesh { points, triangles })
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DQuat;

    fn area(points: &[DVec2], triangles: &[[u32; 3]]) -> f64 {
        triangles
            .iter()
            .map(|t| {
                let [a, b, c] = t.map(|i| points[i as usize]);
                (b - a).perp_dot(c - a) / 2.0
            })
            .sum()
    }

    fn square(half: f64) -> Vec<DVec2> {
        [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            .map(|(x, y)| DVec2::new(x, y) * half)
            .to_vec()
    }

    #[test]
    fn a_square_with_a_square_hole_has_the_area_between() {
        let mut hole = square(2.0);
        hole.reverse();
        let loops = [square(5.0), hole];
        let triangles = fill_loops(&loops).expect("two plain squares");
        assert!((area(&loops.concat(), &triangles) - (100.0 - 16.0)).abs() < 1e-9);
        assert_eq!(triangles.len(), 8, "8 corners and one hole");
    }

    /// Level faces whose heights differ by rounding, and sloping ones.
    #[test]
    fn faces_in_space_fill_wherever_they_lie() {
        for k in 0..500 {
            let turn = DQuat::from_rotation_x(if k % 2 == 0 { 1e-16 } else { f64::from(k) });
            let ring = |half: f64| -> Vec<DVec3> {
                square(half).iter().map(|p| turn * p.extend(f64::from(k) * 0.037)).collect()
            };
            let points = [ring(5.0), ring(2.0)].concat();
            let faces = [vec![vec![0, 1, 2, 3], vec![7, 6, 5, 4]], vec![vec![4, 5, 6, 7]]];
            let mesh = fill_faces(points, &faces).expect("two squares");
            assert_eq!(mesh.triangles.len(), 8 + 2);
            assert!((crate::mesh::audit(&mesh).area_mm2 - 100.0).abs() < 1e-6, "{k}");
        }
    }

    #[test]
    fn crossing_edges_and_double_points_are_refused() {
        let bow = vec![
            DVec2::new(0.0, 0.0),
            DVec2::new(4.0, 4.0),
            DVec2::new(4.0, 0.0),
            DVec2::new(0.0, 4.0),
        ];
        assert!(fill_loops(&[bow]).is_none());
        let mut twice = square(3.0);
        twice.push(twice[0]);
        assert!(fill_loops(&[twice]).is_none());
        assert!(fill_loops(&[vec![DVec2::ZERO]]).is_none());
    }
}
