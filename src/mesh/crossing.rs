//! Triangles of a mesh that pass through each other, touch where they share nothing, or lie in
//! one another.
//!
//! Promised: on coordinates that 32-bit floats hold, as the files have them, the answer is exact
//! (J. R. Shewchuk, "Adaptive precision floating-point arithmetic and fast robust geometric
//! predicates", 1997). Neighbours that touch along the corner or the edge that they share do not
//! cross; two that lie on one another do.
//! Not promised: anything about triangles that have no area in those floats.

use super::boxes::{Bounds, Tree};
use glam::{DVec2, DVec3};
use rayon::prelude::*;
use robust::{Coord, Coord3D, orient2d, orient3d};

/// The most pairs that are kept of a part of the mesh: one that is folded over and over has
/// millions.
pub(super) const MOST: usize = 2000;

/// Pairs that cross, the lower index first, in order; not all when there are very many. Two points
/// with equal coordinates must be one.
pub(super) fn crossings(points: &[DVec3], triangles: &[[u32; 3]]) -> Vec<[u32; 2]> {
    crossings_of(points, triangles, |_| true)
}

/// The same for pairs of which one triangle at least is asked for.
pub(super) fn crossings_of(
    points: &[DVec3],
    triangles: &[[u32; 3]],
    asked: impl Fn(u32) -> bool + Sync,
) -> Vec<[u32; 2]> {
    let boxes: Vec<Bounds> = triangles
        .par_iter()
        .with_min_len(4096)
        .map(|corners| Bounds::round(corners.map(|corner| points[corner as usize])))
        .collect();
    let tree = Tree::of(&boxes, &asked);
    let parts: Vec<Vec<[u32; 2]>> = (0..tree.parts())
        .into_par_iter()
        .map(|part| {
            let mut found = Vec::new();
            tree.meet(part, |one, other| {
                let [p, q] = [one, other].map(|index| triangles[index as usize]);
                let asked = asked(one) || asked(other);
                if found.len() < MOST && asked && cross(points, p, q) {
                    found.push([one.min(other), one.max(other)]);
                }
            });
            found
        })
        .collect();
    let mut found = parts.concat();
    found.sort_unstable();
    found
}

/// Whether two triangles have more in common than the corners that they share. Nearly all that are
/// near each other are seen to have not by a few products, and no exact sign is needed to tell.
fn cross(points: &[DVec3], one: [u32; 3], other: [u32; 3]) -> bool {
    let shared = |corner: &u32| other.contains(corner);
    let at = |corner: u32| points[corner as usize];
    let clear = || clear_of(points, one, other) || clear_of(points, other, one);
    match one.iter().filter(|corner| shared(corner)).count() {
        0 => !clear() && apart(one.map(at), other.map(at)),
        1 => {
            let turned = (first(one, &other, true), first(other, &one, true));
            let (p, q) = (turned.0.map(at), turned.1.map(at));
            !parted(p, q) && !clear() && fan(p, q)
        }
        2 => {
            let turned = (first(one, &other, false), first(other, &one, false));
            let (p, q) = (turned.0.map(at), turned.1.map(at));
            !unfolded(p, q) && folded(p, q)
        }
        _ => true,
    }
}

/// Of a product of lengths: far more than its rounding.
const SURE: f64 = 1e-13;

/// Whether triangles with a common edge, their first corners off it, surely lie on far sides of it:
/// the half planes in which they lie are more than a right angle apart.
fn unfolded([p, a, b]: [DVec3; 3], [q, ..]: [DVec3; 3]) -> bool {
    let (edge, p, q) = (b - a, p - a, q - a);
    let turn = edge.cross(p).dot(edge.cross(q));
    let long = edge.length_squared();
    turn < 0.0 && turn * turn > SURE * SURE * long * long * p.length_squared() * q.length_squared()
}

/// Whether a plane through the common first corner of two triangles surely parts them: the one half
/// way between their middles does for nearly all.
fn parted([v, a, b]: [DVec3; 3], [_, c, d]: [DVec3; 3]) -> bool {
    let [a, b, c, d] = [a, b, c, d].map(|p| p - v);
    let (one, other) = (a + b, c + d);
    let normal = one * other.length() - other * one.length();
    let over = |p: DVec3| {
        let parts = normal * p;
        let sum = parts.x + parts.y + parts.z;
        (sum, SURE * (parts.x.abs() + parts.y.abs() + parts.z.abs()))
    };
    let above = |p: DVec3| {
        let (sum, sure) = over(p);
        sum > sure
    };
    above(a) && above(b) && above(-c) && above(-d)
}

/// Whether one triangle surely lies beside another but for corners that they share: seen along the
/// axis on which the other is broadest, all of it lies outside an edge of the other. So lie nearly
/// all neighbours, and no exact sign is needed to tell.
fn clear_of(points: &[DVec3], one: [u32; 3], other: [u32; 3]) -> bool {
    let corners = one.map(|corner| points[corner as usize]);
    let [a, b, c] = corners;
    let normal = (b - a).cross(c - a);
    let [size_x, size_y, size_z] = normal.abs().to_array();
    let axis = if size_x > size_y.max(size_z) {
        0
    } else if size_y > size_z {
        1
    } else {
        2
    };
    let (u, v) = [(1, 2), (2, 0), (0, 1)][axis];
    let turn = normal[axis].signum();
    (0..3).any(|i| {
        let (from, to) = (corners[i], corners[(i + 1) % 3]);
        let (ends, way) = ([one[i], one[(i + 1) % 3]], to - from);
        other.iter().all(|corner| {
            let off = points[*corner as usize] - from;
            let (left, right) = (way[u] * off[v], way[v] * off[u]);
            ends.contains(corner) || turn * (left - right) < -SURE * (left.abs() + right.abs())
        })
    })
}

/// The corners turned so that the first is the only one that the other triangle has, or has not.
fn first(corners: [u32; 3], other: &[u32; 3], has: bool) -> [u32; 3] {
    let [a, b, c] = corners;
    let is = |corner: u32| other.contains(&corner) == has;
    match (is(a), is(b)) {
        (true, _) => [a, b, c],
        (_, true) => [b, c, a],
        _ => [c, a, b],
    }
}

/// Triangles without a common corner.
fn apart(one: [DVec3; 3], other: [DVec3; 3]) -> bool {
    let over = sides(one, other);
    if all_of_one_side(over) {
        return false;
    }
    let under = sides(other, one);
    if all_of_one_side(under) {
        return false;
    }
    if over == [0.0; 3] {
        return lie_in_one_another(one, other);
    }
    let edges = [(0, 1), (1, 2), (2, 0)];
    edges.into_iter().any(|(i, j)| pierces(other[i], other[j], over[i], over[j], one))
        || edges.into_iter().any(|(i, j)| pierces(one[i], one[j], under[i], under[j], other))
}

/// Triangles with their first corner in common.
fn fan(one: [DVec3; 3], other: [DVec3; 3]) -> bool {
    let over = sides(one, other);
    let under = sides(other, one);
    if over == [0.0; 3] {
        let flat = Flat::of(one);
        let ([v, a, b], [_, c, d]) = (flat.all(one), flat.all(other));
        let between = |p: Coord<f64>, [from, to]: [Coord<f64>; 2]| {
            let turn = orient2d(v, from, to).signum();
            turn * orient2d(v, from, p) >= 0.0 && turn * orient2d(v, p, to) >= 0.0
        };
        return [c, d].into_iter().any(|p| between(p, [a, b]))
            || [a, b].into_iter().any(|p| between(p, [c, d]));
    }
    // Both begin in the common corner; the one that reaches less far ends in its far edge.
    pierces(other[1], other[2], over[1], over[2], one)
        || pierces(one[1], one[2], under[1], under[2], other)
}

/// Triangles with a common edge, their first corners off it: folded flat onto each other.
fn folded([p, a, b]: [DVec3; 3], [q, ..]: [DVec3; 3]) -> bool {
    if orient(a, b, p, q) != 0.0 {
        return false;
    }
    let flat = Flat::of([p, a, b]);
    let [p, a, b] = flat.all([p, a, b]);
    orient2d(a, b, p) * orient2d(a, b, flat.at(q)) >= 0.0
}

/// Triangles in one plane without a common corner.
fn lie_in_one_another(one: [DVec3; 3], other: [DVec3; 3]) -> bool {
    let flat = Flat::of(one);
    let (mut one, mut other) = (flat.all(one), flat.all(other));
    for corners in [&mut one, &mut other] {
        if orient2d(corners[0], corners[1], corners[2]) < 0.0 {
            corners.swap(1, 2);
        }
    }
    // Two convex shapes are apart when all of one lies outside an edge of the other.
    let outside = |of: [Coord<f64>; 3], all: [Coord<f64>; 3]| {
        (0..3).any(|i| all.iter().all(|p| orient2d(of[i], of[(i + 1) % 3], *p) < 0.0))
    };
    !outside(one, other) && !outside(other, one)
}

/// On which side of a triangle's plane the corners of another lie.
fn sides([a, b, c]: [DVec3; 3], other: [DVec3; 3]) -> [f64; 3] {
    other.map(|p| orient(a, b, c, p))
}

fn all_of_one_side(sides: [f64; 3]) -> bool {
    sides.iter().all(|s| *s > 0.0) || sides.iter().all(|s| *s < 0.0)
}

/// Whether an edge, whose ends lie on those sides of a triangle's plane, meets the triangle. An
/// edge in its plane does not: another of its own triangle's ends where it would.
fn pierces(p: DVec3, q: DVec3, from: f64, to: f64, [a, b, c]: [DVec3; 3]) -> bool {
    if from * to > 0.0 || (from == 0.0 && to == 0.0) {
        return false;
    }
    let turns = [(a, b), (b, c), (c, a)].map(|(u, v)| orient(p, q, u, v));
    turns.iter().all(|t| *t >= 0.0) || turns.iter().all(|t| *t <= 0.0)
}

fn orient(a: DVec3, b: DVec3, c: DVec3, d: DVec3) -> f64 {
    let at = |p: DVec3| Coord3D { x: p.x, y: p.y, z: p.z };
    orient3d(at(a), at(b), at(c), at(d))
}

/// A plane along the axes in which a triangle has area.
struct Flat(usize);

impl Flat {
    fn of([a, b, c]: [DVec3; 3]) -> Flat {
        let normal = (b - a).cross(c - a).abs();
        let steepest = (0..3).fold(0, |best, k| if normal[k] > normal[best] { k } else { best });
        Flat(steepest)
    }

    fn at(&self, p: DVec3) -> Coord<f64> {
        let DVec2 { x, y } = match self.0 {
            0 => DVec2::new(p.y, p.z),
            1 => DVec2::new(p.z, p.x),
            _ => p.truncate(),
        };
        Coord { x, y }
    }

    fn all(&self, corners: [DVec3; 3]) -> [Coord<f64>; 3] {
        corners.map(|p| self.at(p))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pairs(points: &[[f64; 3]], triangles: &[[u32; 3]]) -> usize {
        let points: Vec<DVec3> = points.iter().map(|p| DVec3::from_array(*p)).collect();
        crossings(&points, triangles).len()
    }

    const FLOOR: [[f64; 3]; 3] = [[0.0, 0.0, 0.0], [4.0, 0.0, 0.0], [0.0, 4.0, 0.0]];

    /// The floor's triangle and one that shares none of its corners.
    fn beside(other: [[f64; 3]; 3]) -> bool {
        pairs(&[FLOOR, other].concat(), &[[0, 1, 2], [3, 4, 5]]) == 1
    }

    #[test]
    fn a_triangle_that_stands_in_another_crosses_it_and_one_over_it_does_not() {
        assert!(beside([[1.0, 1.0, -1.0], [1.0, 1.0, 1.0], [1.5, 1.0, 1.0]]));
        assert!(!beside([[1.0, 1.0, 1e-12], [1.0, 1.0, 1.0], [1.5, 1.0, 1.0]]));
        // Through its plane, beside it.
        assert!(!beside([[3.0, 3.0, -1.0], [3.0, 3.0, 1.0], [3.5, 3.0, 1.0]]));
        // A corner exactly on its face, on its edge, on its corner: they share no point of the mesh.
        assert!(beside([[1.0, 1.0, 0.0], [1.0, 1.0, 1.0], [1.5, 1.0, 1.0]]));
        assert!(beside([[1.0, 0.0, 0.0], [1.0, -1.0, 1.0], [1.5, -1.0, 1.0]]));
        assert!(!beside([[1.0, -1e-12, 0.0], [1.0, -1.0, 1.0], [1.5, -1.0, 1.0]]));
        // An edge that lies in its plane.
        assert!(beside([[1.0, 1.0, 0.0], [3.0, 3.0, 0.0], [3.0, 3.0, 1.0]]));
        assert!(!beside([[3.0, 2.0, 0.0], [3.0, 3.0, 0.0], [3.0, 3.0, 1.0]]));
        // A thin one through it, its corners all outside.
        assert!(beside([[-1.0, 1.0, -1.0], [5.0, 1.0, 1.0], [5.0, 1.1, 1.0]]));
    }

    #[test]
    fn triangles_in_one_plane_cross_when_they_lie_in_one_another() {
        assert!(beside([[1.0, 1.0, 0.0], [1.2, 1.0, 0.0], [1.0, 1.2, 0.0]]));
        assert!(beside([[-9.0, -9.0, 0.0], [30.0, -9.0, 0.0], [-9.0, 30.0, 0.0]]));
        assert!(!beside([[3.0, 3.0, 0.0], [4.0, 3.0, 0.0], [3.0, 4.0, 0.0]]));
    }

    #[test]
    fn neighbours_cross_only_beyond_what_they_share() {
        let with = |p: [f64; 3], q: [f64; 3], r: [f64; 3]| {
            let points = [FLOOR.to_vec(), vec![p, q, r]].concat();
            [pairs(&points, &[[0, 1, 2], [0, 3, 4]]), pairs(&points, &[[0, 1, 2], [5, 1, 0]])]
        };
        // Round the corner 0: standing over, lying beside, standing through, lying on it.
        assert_eq!(with([1.0, 1.0, 1.0], [2.0, 1.0, 1.0], [0.0, -4.0, 0.0]), [0, 0]);
        assert_eq!(with([-1.0, 1.0, 0.0], [-2.0, 1.0, 0.0], [1.0, 1.0, 1.0]), [0, 0]);
        assert_eq!(with([1.0, 1.0, 1.0], [2.0, 1.0, -1.0], [1.0, 1.0, 0.0]), [1, 1]);
        assert_eq!(with([1.0, 1.0, 0.0], [9.0, 1.0, 1.0], [1.0, -1.0, 1e-300]), [1, 0]);
        assert_eq!(with([9.0, -1.0, 0.0], [-1.0, 9.0, 0.0], [-1.0, -1.0, 0.0]), [1, 0]);
        // Through it from a far corner.
        assert_eq!(with([9.0, 9.0, 5.0], [9.0, 9.0, -5.0], [0.0, 0.0, 4.0]), [1, 0]);
        let twice = [[0, 1, 2], [2, 0, 1]];
        assert_eq!(pairs(&FLOOR, &twice), 1);
    }

    /// Against every pair, on a heap of triangles thrown at random.
    #[test]
    fn the_tree_of_boxes_misses_no_pair() {
        let mut state = 1_u64;
        let mut next = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            f64::from((state >> 40) as f32 / 16_777_216.0)
        };
        let mut points = Vec::new();
        for _ in 0..700 {
            let middle = DVec3::new(60.0 * next(), 9.0 * next(), 9.0 * next());
            for _ in 0..3 {
                points
                    .push((middle + DVec3::new(next(), next(), next()) * 3.0).as_vec3().as_dvec3());
            }
        }
        let triangles: Vec<[u32; 3]> = (0..700).map(|i| [3 * i, 3 * i + 1, 3 * i + 2]).collect();
        let found = crossings(&points, &triangles);
        let at = |corner: u32| points[corner as usize];
        let mut known = Vec::new();
        for i in 0..700 {
            for j in i + 1..700 {
                let [p, q] = [i, j].map(|index: u32| triangles[index as usize]);
                let exact = apart(p.map(at), q.map(at));
                assert_eq!(cross(&points, p, q), exact);
                if exact {
                    known.push([i, j]);
                }
            }
        }
        assert!(known.len() > 100, "{}", known.len());
        assert_eq!(found, known);
    }

    /// Random triangles round a corner and round an edge, many of them nearly in one plane.
    #[test]
    fn what_is_seen_at_a_glance_to_be_clear_is_clear() {
        let mut state = 7_u64;
        let mut next = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            f64::from((state >> 40) as f32 / 16_777_216.0) - 0.5
        };
        let mut seen = [0; 4];
        for round in 0..40_000 {
            let flat = [1.0, 1e-3, 1e-7, 0.0][round % 4];
            let p: [DVec3; 5] = std::array::from_fn(|_| {
                DVec3::new(next() + 300.0, next(), flat * next()).as_vec3().as_dvec3()
            });
            let [v, a, b, c, d] = p;
            let (one, other) = ([v, a, b], [v, c, d]);
            if parted(one, other) {
                assert!(!fan(one, other), "{p:?}");
                seen[0] += 1;
            } else {
                seen[1] += usize::from(fan(one, other));
            }
            let (one, other) = ([a, v, b], [c, b, v]);
            if unfolded(one, other) {
                assert!(!folded(one, other), "{p:?}");
                seen[2] += 1;
            } else {
                seen[3] += usize::from(folded(one, other));
            }
        }
        assert!(seen.iter().all(|count| *count > 1000), "{seen:?}");
    }
}
