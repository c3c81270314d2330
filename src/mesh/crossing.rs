//! Triangles of a mesh that pass through each other, touch where they share nothing, or lie in
//! one another.
//!
//! Promised: on coordinates that 32-bit floats hold, as the files have them, the answer is exact
//! (J. R. Shewchuk, "Adaptive precision floating-point arithmetic and fast robust geometric
//! predicates", 1997). Neighbours that touch along the corner or the edge that they share do not
//! cross; two that lie on one another do.
//! Not promised: anything about triangles that have no area in those floats.

use super::boxes::{Bounds, Tree};
use super::fan::{SURE, broadest, open_fans};
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
    let open = open_fans(points, triangles);
    let parts: Vec<Vec<[u32; 2]>> = (0..tree.parts())
        .into_par_iter()
        .map(|part| {
            let mut found = Vec::new();
            tree.meet(part, |one, other| {
                let [p, q] = [one, other].map(|index| triangles[index as usize]);
                let asked = asked(one) || asked(other);
                if found.len() < MOST && asked && cross((points, &open), p, q) {
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
fn cross((points, open): (&[DVec3], &[bool]), one: [u32; 3], other: [u32; 3]) -> bool {
    let shared = |corner: &u32| other.contains(corner);
    let at = |corner: u32| points[corner as usize];
    let clear = || clear_of(points, one, other) || clear_of(points, other, one);
    let beside = |corner: &&u32| shared(corner) && open[**corner as usize];
    match one.iter().filter(|corner| shared(corner)).count() {
        1 | 2 if one.iter().any(|corner| beside(&corner)) => false,
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
    let (u, v) = broadest(normal);
    let turn = normal[3 - u - v].signum();
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
mod tests;
