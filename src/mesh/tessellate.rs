//! Meshing the formula: the coarse grid's triangles are halved where the exact surface lies
//! farther from them than the tolerance.
//!
//! Promised: closed and oriented by construction (neighbours always share whole edges); every
//! sampled point of the exact surface lies within the tolerance of its triangle's plane, sampled
//! once more, and more densely, after the last halving; triangles have the shapes of the coarse
//! grid's (newest-vertex bisection, W. F. Mitchell 1989), so refinement makes no slivers; the same
//! mesh on any number of threads; no triangle through another, where halving can mend that.
//! Not promised: the least possible number of triangles; an error between the samples.

mod untangle;

use super::grid::{self, Patch, Surface};
use super::{BodyMesh, Mesh};
use crate::shape::{Body, Lattice};
use crate::units::Length;
use glam::DVec3;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// The finest tolerance that may be asked for.
pub const FINEST: Length = Length::mm(0.002);
/// The coarsest.
pub const COARSEST: Length = Length::mm(0.1);
/// What is asked for when nothing is said: a fifth of a 0.1 mm hand tool's mark (common practice,
/// no source).
pub const USUAL: Length = Length::mm(0.02);

/// Share of the tolerance at which a triangle is halved: the final, denser sampling may find a
/// little more than the first.
const SAFETY: f64 = 0.92;
/// More halvings of one coarse triangle than this would mean that the surface is not smooth.
const MOST_PASSES: usize = 60;
/// Nor would a mesh of more triangles than this be one: five times what a large turner needs at
/// the finest tolerance. Its error then stands over the tolerance, and the job is refused.
const MOST_TRIANGLES: usize = 2_000_000;
/// So often triangles are halved that pass through others: each time the mesh comes four times
/// nearer to the surface there, which does not.
const MOST_UNTANGLINGS: usize = 12;
const NONE: u32 = u32::MAX;

#[derive(Clone, Copy)]
struct Edge {
    ends: [u32; 2],
    triangles: [u32; 2],
    /// The exact surface at the middle of the edge's parameters.
    middle: DVec3,
    known: bool,
    /// The point and the halves, once the edge has been halved.
    point: u32,
    halves: [u32; 2],
    marked: bool,
}

#[derive(Clone, Copy)]
struct Triangle {
    patch: Patch,
    corners: [u32; 3],
    /// Opposite the corners. The first is halved next.
    edges: [u32; 3],
    places: [[f64; 2]; 3],
    /// How far the exact surface in its middle lies from its plane; NaN while that isn't known.
    middle_off: f64,
}

struct Halving<'a> {
    surface: Surface<'a>,
    points: Vec<DVec3>,
    triangles: Vec<Triangle>,
    edges: Vec<Edge>,
    /// Of the triangles there were at the last look for tangled ones: which have been cut since.
    new: Vec<bool>,
}

/// Meshes the body to a tolerance.
pub fn tessellate(body: &Body, lattice: &Lattice, tolerance: Length) -> BodyMesh {
    let mut work = Halving::start(Surface { body, lattice });
    let tolerance = tolerance.as_mm();
    let mut fresh: Vec<u32> = (0..work.triangles.len() as u32).collect();
    for _ in 0..MOST_PASSES {
        work.learn_middles(&fresh);
        let rough = work.over(&fresh, tolerance * SAFETY);
        fresh = work.halve(&rough);
        if fresh.is_empty() || work.triangles.len() > MOST_TRIANGLES {
            break;
        }
    }
    let all = (0..work.triangles.len() as u32).collect();
    let mut error = work.settle(all, tolerance);
    // A surface that does fold would take any number.
    let most = 2 * work.triangles.len() + 100_000;
    let mut untangled = false;
    for _ in 0..MOST_UNTANGLINGS {
        let tangled = work.tangled();
        untangled = tangled.is_empty();
        if untangled || error > tolerance || work.triangles.len() > most {
            break;
        }
        let fresh = work.halve(&tangled);
        error = error.max(work.settle(fresh, tolerance));
    }
    work.finish(Length::mm(error), untangled)
}

/// The middle of a triangle, by the weights of its corners.
const MIDDLE: [f64; 3] = [1.0 / 3.0; 3];
/// Besides, for the final measurement: a pattern that the halving never samples.
const DENSE: [[f64; 3]; 3] = [[0.6, 0.2, 0.2], [0.2, 0.6, 0.2], [0.2, 0.2, 0.6]];

impl<'a> Halving<'a> {
    fn start(surface: Surface<'a>) -> Halving<'a> {
        let grid = grid::of(&surface);
        let mut work = Halving {
            surface,
            points: grid.points,
            triangles: Vec::with_capacity(grid.seeds.len() * 8),
            edges: Vec::with_capacity(grid.seeds.len() * 12),
            new: Vec::new(),
        };
        let mut known: BTreeMap<[u32; 2], u32> = BTreeMap::new();
        for seed in grid.seeds {
            let index = work.triangles.len() as u32;
            let edges = [[1, 2], [2, 0], [0, 1]].map(|[i, j]| {
                let mut ends = [seed.corners[i], seed.corners[j]];
                ends.sort_unstable();
                *known.entry(ends).or_insert_with(|| {
                    work.edges.push(Edge::new(ends));
                    (work.edges.len() - 1) as u32
                })
            });
            for edge in edges {
                work.edges[edge as usize].join(index);
            }
            work.triangles.push(Triangle {
                patch: seed.patch,
                corners: seed.corners,
                edges,
                places: seed.places,
                middle_off: f64::NAN,
            });
        }
        work
    }

    /// Computes the exact middles of the edges of these triangles, where not yet known.
    fn learn_middles(&mut self, triangles: &[u32]) {
        let mut wanted: Vec<(u32, Patch, [f64; 2])> = Vec::new();
        for &index in triangles {
            let triangle = self.triangles[index as usize];
            for (k, edge) in triangle.edges.into_iter().enumerate() {
                if !self.edges[edge as usize].known {
                    self.edges[edge as usize].known = true;
                    let [p, q] = [triangle.places[(k + 1) % 3], triangle.places[(k + 2) % 3]];
                    wanted.push((edge, triangle.patch, between(p, q)));
                }
            }
        }
        let surface = &self.surface;
        let middles: Vec<DVec3> = wanted
            .par_iter()
            .with_min_len(256)
            .map(|(_, patch, place)| surface.at(*patch, *place))
            .collect();
        for ((edge, ..), middle) in wanted.into_iter().zip(middles) {
            self.edges[edge as usize].middle = middle;
        }
    }

    /// Greatest distance of the sampled surface from each triangle's plane: on its edges, in its
    /// middle and at these samples; some distance over `enough`, where the edges alone show one.
    fn errors(&mut self, triangles: &[u32], samples: &[[f64; 3]], enough: f64) -> Vec<f64> {
        let found: Vec<(f64, f64)> = triangles
            .par_iter()
            .with_min_len(256)
            .map(|&index| {
                let triangle = &self.triangles[index as usize];
                let [p, q, r] = triangle.corners.map(|corner| self.points[corner as usize]);
                let normal = (q - p).cross(r - p).normalize_or_zero();
                let middles =
                    triangle.edges.map(|edge| self.edges[edge as usize].middle).into_iter();
                let off = |sample: DVec3| (sample - p).dot(normal).abs();
                let beside = middles.map(off).fold(0.0, f64::max);
                if beside > enough {
                    return (beside, triangle.middle_off);
                }
                let inside = |weights: &[f64; 3]| {
                    let place = std::array::from_fn(|axis| {
                        (0..3).map(|k| weights[k] * triangle.places[k][axis]).sum()
                    });
                    off(self.surface.at(triangle.patch, place))
                };
                let middle = match triangle.middle_off {
                    off if off.is_nan() => inside(&MIDDLE),
                    known => known,
                };
                (samples.iter().map(inside).fold(beside.max(middle), f64::max), middle)
            })
            .collect();
        for (index, (_, middle)) in triangles.iter().zip(&found) {
            self.triangles[*index as usize].middle_off = *middle;
        }
        found.into_iter().map(|(error, _)| error).collect()
    }

    /// Halves these triangles, and what comes of them, until none strays by more than the tolerance.
    /// Gives the greatest error that was met on what is left.
    fn settle(&mut self, mut check: Vec<u32>, tolerance: f64) -> f64 {
        let mut error = 0.0_f64;
        for _ in 0..MOST_PASSES {
            self.learn_middles(&check);
            let errors = self.errors(&check, &DENSE, f64::INFINITY);
            let (over, within): (Vec<_>, Vec<_>) =
                check.iter().zip(errors).partition(|(_, error)| *error > tolerance);
            error = within.iter().fold(error, |most, (_, error)| most.max(*error));
            if over.is_empty() || self.triangles.len() > MOST_TRIANGLES {
                error = over.iter().fold(error, |most, (_, error)| most.max(*error));
                break;
            }
            let over: Vec<u32> = over.into_iter().map(|(triangle, _)| *triangle).collect();
            check = self.halve(&over);
        }
        error
    }

    /// Those of the triangles whose error is over a limit.
    fn over(&mut self, triangles: &[u32], limit: f64) -> Vec<u32> {
        let errors = self.errors(triangles, &[], limit);
        triangles
            .iter()
            .zip(errors)
            .filter(|(_, error)| *error > limit)
            .map(|(triangle, _)| *triangle)
            .collect()
    }

    /// Halves these triangles, and their neighbours as far as needed so that no corner lies inside
    /// an edge. Returns the triangles that are new.
    fn halve(&mut self, triangles: &[u32]) -> Vec<u32> {
        let mut open: Vec<u32> = triangles.to_vec();
        let mut cut: Vec<u32> = Vec::new();
        while let Some(index) = open.pop() {
            let edge = self.triangles[index as usize].edges[0];
            if self.edges[edge as usize].marked {
                continue;
            }
            self.edges[edge as usize].marked = true;
            for neighbour in self.edges[edge as usize].triangles {
                if neighbour != NONE {
                    cut.push(neighbour);
                    open.push(neighbour);
                }
            }
        }
        // A neighbour may need the middle of an edge that was not sampled on its account.
        self.learn_middles(&cut);
        cut.sort_unstable();
        cut.dedup();
        let mut fresh = Vec::with_capacity(cut.len() * 3);
        for index in cut {
            self.bisect(index, &mut fresh);
        }
        fresh
    }

    /// Halves a triangle at its first edge, and its halves again where their first edges are
    /// marked.
    fn bisect(&mut self, index: u32, fresh: &mut Vec<u32>) {
        let old = self.triangles[index as usize];
        if !self.edges[old.edges[0] as usize].marked {
            fresh.push(index);
            return;
        }
        let [v0, v1, v2] = old.corners;
        let [e0, e1, e2] = old.edges;
        let middle = self.split(e0);
        let inner = self.edges.len() as u32;
        self.edges.push(Edge::new([v0, middle]));
        let half_at = |edge: &Edge, end: u32| edge.halves[usize::from(edge.ends[1] == end)];
        let near_v1 = half_at(&self.edges[e0 as usize], v1);
        let near_v2 = half_at(&self.edges[e0 as usize], v2);
        let [p0, p1, p2] = old.places;
        let place = between(p1, p2);
        let other = self.triangles.len() as u32;
        if let Some(new) = self.new.get_mut(index as usize) {
            *new = true;
        }
        self.triangles[index as usize] = Triangle {
            corners: [middle, v0, v1],
            edges: [e2, near_v1, inner],
            places: [place, p0, p1],
            middle_off: f64::NAN,
            ..old
        };
        self.triangles.push(Triangle {
            corners: [middle, v2, v0],
            edges: [e1, inner, near_v2],
            places: [place, p2, p0],
            middle_off: f64::NAN,
            ..old
        });
        self.edges[e1 as usize].replace(index, other);
        self.edges[inner as usize].join(index);
        self.edges[inner as usize].join(other);
        self.edges[near_v1 as usize].join(index);
        self.edges[near_v2 as usize].join(other);
        self.bisect(index, fresh);
        self.bisect(other, fresh);
    }

    /// The point in the middle of an edge; made with the edge's halves on first asking.
    fn split(&mut self, edge: u32) -> u32 {
        let old = self.edges[edge as usize];
        if old.point != NONE {
            return old.point;
        }
        let point = self.points.len() as u32;
        self.points.push(old.middle);
        let first = self.edges.len() as u32;
        self.edges.push(Edge::new([old.ends[0], point]));
        self.edges.push(Edge::new([point, old.ends[1]]));
        let edge = &mut self.edges[edge as usize];
        edge.point = point;
        edge.halves = [first, first + 1];
        point
    }

    fn finish(self, error: Length, untangled: bool) -> BodyMesh {
        let kinds: [fn(&Patch) -> bool; 3] = [
            |patch| matches!(patch, Patch::Top(_)),
            |patch| matches!(patch, Patch::Bottom(_)),
            |patch| matches!(patch, Patch::Wall(_)),
        ];
        let mut triangles = Vec::with_capacity(self.triangles.len());
        let ranges = kinds.map(|kind| {
            let start = triangles.len();
            triangles.extend(self.triangles.iter().filter(|t| kind(&t.patch)).map(|t| t.corners));
            start..triangles.len()
        });
        let rims = self.rims();
        let [top, bottom, wall] = ranges;
        let [rim_bottom, rim_top] = rims;
        let mesh = Mesh { points: self.points, triangles };
        BodyMesh { mesh, top, bottom, wall, rim_top, rim_bottom, error, untangled }
    }

    /// The points along the wall's lower and upper edge, counter-clockwise.
    fn rims(&self) -> [Vec<u32>; 2] {
        let order: BTreeMap<usize, usize> = self
            .surface
            .lattice
            .rim()
            .iter()
            .enumerate()
            .map(|(position, side)| (side.edge, position))
            .collect();
        let mut found: [Vec<(usize, f64, u32)>; 2] = [Vec::new(), Vec::new()];
        for triangle in &self.triangles {
            let Patch::Wall(side) = triangle.patch else { continue };
            for (corner, [a, b]) in triangle.corners.iter().zip(triangle.places) {
                // The end of one edge is the start of the next.
                if a < 1.0 && (b == 0.0 || b == 1.0) {
                    found[usize::from(b == 1.0)].push((order[&side.edge], a, *corner));
                }
            }
        }
        found.map(|mut points| {
            points.sort_unstable_by(|p, q| p.0.cmp(&q.0).then(p.1.total_cmp(&q.1)));
            points.dedup_by_key(|p| p.2);
            points.into_iter().map(|p| p.2).collect()
        })
    }
}

impl Edge {
    fn new(ends: [u32; 2]) -> Edge {
        Edge {
            ends,
            triangles: [NONE; 2],
            middle: DVec3::ZERO,
            known: false,
            point: NONE,
            halves: [NONE; 2],
            marked: false,
        }
    }

    fn join(&mut self, triangle: u32) {
        self.replace(NONE, triangle);
    }

    fn replace(&mut self, old: u32, new: u32) {
        if let Some(slot) = self.triangles.iter_mut().find(|slot| **slot == old) {
            *slot = new;
        }
    }
}

fn between(p: [f64; 2], q: [f64; 2]) -> [f64; 2] {
    [0.5 * (p[0] + q[0]), 0.5 * (p[1] + q[1])]
}
