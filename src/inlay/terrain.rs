//! A face with flanks and a floor let into it, or standing out of it, as triangles over the plan: sharp
//! along the art's outline, in the valleys, and where the flanks end at the floor.
//!
//! Promised: corners lie on the surface; no edge of the plan crosses the art's outline; the surface was
//! measured at the middle of each triangle and of its edges, and triangles were divided where it lay further
//! off than the tolerance, unless they were as small as [`LEAST_MM`] already.
//! Not promised: a bound on what is off anywhere else.

use super::lines::joined;
use super::shore::Shore;
use super::valley::{ArtPlan, Lies, PlanCorner, Reach, middle, valleys};
use glam::{DVec2, DVec3};
use rayon::prelude::*;
use spade::handles::FixedVertexHandle;
use spade::{PositionInTriangulation, Triangulation};
use std::collections::{BTreeMap, BTreeSet};

/// What is meshed. Heights are those of a frame in which the face looks up.
#[derive(Clone, Copy)]
pub(super) struct ArtGround<'a> {
    pub(super) shore: &'a Shore,
    /// Whether a place is art.
    pub(super) inside: &'a (dyn Fn(DVec2) -> bool + Sync),
    /// The border, counter-clockwise.
    pub(super) border: &'a [DVec2],
    /// The surface.
    pub(super) height: &'a (dyn Fn(DVec2, Lies) -> f64 + Sync),
    /// Positive where a flank is the surface, negative on floor or plate.
    pub(super) flank: &'a (dyn Fn(DVec2, Lies) -> f64 + Sync),
    /// In mm.
    pub(super) tolerance: f64,
}

/// The surface as triangles, counter-clockwise in the plan.
#[derive(Clone, Debug, Default)]
pub(super) struct Terrain {
    pub(super) points: Vec<DVec3>,
    pub(super) triangles: Vec<[u32; 3]>,
    /// The border's corners, counter-clockwise.
    pub(super) border: Vec<u32>,
    /// Where flanks end, in pieces, with what is flank on either side.
    pub(super) level: Vec<Reach>,
}

/// Corners nearer than this are one, in mm; and none is put nearer to a line that is kept.
const SAME_MM: f64 = 0.002;
/// Squares that corners are looked up by, in mm.
const SQUARE_MM: f64 = 0.3;
/// Triangles whose longest edge is shorter are not divided, in mm.
const LEAST_MM: f64 = 0.02;
/// The first, coarse division, that finds where floors are: off by less than this, in mm.
const COARSE_MM: f64 = 0.1;
/// Its triangles are no smaller, in mm.
const COARSE_LEAST_MM: f64 = 0.25;
/// Rounds of division; each halves triangles at least.
const ROUNDS: usize = 24;
/// A level's chords leave it by no more than this, in mm.
const LEVEL_MM: f64 = 0.0005;
/// Corners of a level are no nearer to each other, in mm, but for those that must be there.
const THIN_MM: f64 = 0.02;
/// Edges are no longer, in mm: so flats get corners of their own, and no triangle is the sliver between
/// three corners of a smooth line.
const MOST_MM: f64 = 1.5;
/// Halvings that find a level on an edge.
const HALVINGS: usize = 32;

/// The surface over a plan; none where lines can't be kept, which no checked art is known to do.
pub(super) fn terrain(ground: &ArtGround<'_>) -> Option<Terrain> {
    let (level, valleys) = lines(ground)?;
    let mut fine = Sketch::new(ground)?;
    let ends: Vec<[Option<FixedVertexHandle>; 2]> = level
        .iter()
        .chain(&valleys)
        .map(|reach| reach.ends.map(|p| fine.put(p, reach.lies)))
        .collect();
    let known = fine.sorted();
    for pair in ends {
        if let [Some(a), Some(b)] = pair {
            fine.keep_through(a, b, &known);
        }
    }
    fine.divide(ground.tolerance, LEAST_MM);
    Some(Terrain { level, ..fine.taken() })
}

/// Where flanks end, and where they meet as far as they are flanks.
pub(super) fn lines(ground: &ArtGround<'_>) -> Option<(Vec<Reach>, Vec<Reach>)> {
    let mut sketch = Sketch::new(ground)?;
    let flank = |p: DVec2| (ground.flank)(p, Lies::Out);
    for reach in valleys(&sketch.plan, &sketch.lies(), ground.shore, &flank) {
        sketch.line(reach.ends, reach.lies);
    }
    sketch.divide(COARSE_MM, COARSE_LEAST_MM);
    let (level, valleys) = sketch.levels();
    Some((thinned(&level, &valleys), valleys))
}

/// Levels without corners that lie needlessly near to each other; where a valley runs in, one stays.
fn thinned(level: &[Reach], valleys: &[Reach]) -> Vec<Reach> {
    let fixed: BTreeSet<[u64; 2]> = valleys
        .iter()
        .flat_map(|reach| reach.ends)
        .map(|p| p.to_array().map(f64::to_bits))
        .collect();
    let mut all = Vec::new();
    for lies in [Lies::In, Lies::Out] {
        let own = level.iter().filter(|reach| reach.lies == lies).map(|reach| reach.ends);
        for line in joined(&own.collect::<Vec<_>>()) {
            let mut kept: Vec<DVec2> = Vec::new();
            let count = line.corners.len();
            for (at, p) in line.corners.into_iter().enumerate() {
                let stays = fixed.contains(&p.to_array().map(f64::to_bits))
                    || at == 0
                    || (at + 1 == count && !line.closed);
                if stays || kept.last().is_none_or(|last| last.distance(p) > THIN_MM) {
                    kept.push(p);
                }
            }
            let next = kept.iter().skip(1).chain(kept.first().filter(|_| line.closed));
            all.extend(kept.iter().zip(next).map(|(a, b)| Reach { ends: [*a, *b], lies }));
        }
    }
    all
}

struct Sketch<'a> {
    ground: &'a ArtGround<'a>,
    plan: ArtPlan,
    border: Vec<FixedVertexHandle>,
    near: BTreeMap<(i64, i64), Vec<FixedVertexHandle>>,
}

impl<'a> Sketch<'a> {
    /// The art's outline and the border.
    fn new(ground: &'a ArtGround<'a>) -> Option<Sketch<'a>> {
        let plan = ArtPlan::new();
        let mut sketch = Sketch { ground, plan, border: Vec::new(), near: BTreeMap::new() };
        let shore = ground.shore;
        let mut corners = Vec::with_capacity(shore.points.len());
        for (ring, at) in shore.points.iter().enumerate() {
            let corner = PlanCorner { at: *at, lies: Lies::On, ring: Some(ring as u32) };
            corners.push(sketch.plan.insert(corner).ok()?);
        }
        for at in ground.border {
            let corner = PlanCorner { at: *at, lies: Lies::Out, ring: None };
            let corner = sketch.plan.insert(corner).ok()?;
            sketch.border.push(corner);
        }
        for (from, next) in shore.next.iter().enumerate() {
            sketch.keep(corners[from], corners[*next as usize]);
        }
        let around: Vec<_> = sketch.border.clone();
        for (from, to) in around.iter().zip(around.iter().cycle().skip(1)) {
            sketch.keep(*from, *to);
        }
        for at in corners.into_iter().chain(around) {
            let p = sketch.plan.vertex(at).data().at;
            sketch.near.entry(bin(p)).or_default().push(at);
        }
        Some(sketch)
    }

    fn keep(&mut self, a: FixedVertexHandle, b: FixedVertexHandle) {
        if a != b && self.plan.can_add_constraint(a, b) {
            self.plan.add_constraint(a, b);
        }
    }

    /// All corners by the square that they are in.
    fn sorted(&self) -> BTreeMap<(i64, i64), Vec<FixedVertexHandle>> {
        let mut known: BTreeMap<(i64, i64), Vec<FixedVertexHandle>> = BTreeMap::new();
        for vertex in self.plan.vertices() {
            known.entry(square(vertex.data().at)).or_default().push(vertex.fix());
        }
        known
    }

    /// Keeps a line, by way of the corners that it passes as near as if they were on it: beside them it
    /// would leave slivers.
    fn keep_through(
        &mut self,
        a: FixedVertexHandle,
        b: FixedVertexHandle,
        known: &BTreeMap<(i64, i64), Vec<FixedVertexHandle>>,
    ) {
        let [from, to] = [a, b].map(|at| self.plan.vertex(at).data().at);
        let ((x0, y0), (x1, y1)) = (square(from.min(to) - SAME_MM), square(from.max(to) + SAME_MM));
        let span = from.distance_squared(to);
        let around = (x0..=x1).flat_map(|x| (y0..=y1).map(move |y| (x, y)));
        let passed = around.filter_map(|at| known.get(&at)).flatten().filter_map(|at| {
            let p = self.plan.vertex(*at).data().at;
            let part = (p - from).dot(to - from) / span;
            let beside = p.distance(from.lerp(to, part)) < 2.0 * SAME_MM;
            (beside && part > 0.0 && part < 1.0 && *at != a && *at != b).then_some((part, *at))
        });
        let mut passed: Vec<(f64, FixedVertexHandle)> = passed.collect();
        passed.sort_by(|one, other| one.0.total_cmp(&other.0));
        let mut last = a;
        for at in passed.into_iter().map(|(_, at)| at).chain([b]) {
            self.keep(last, at);
            last = at;
        }
    }

    /// A corner there, or the one that is as good as there.
    fn put(&mut self, p: DVec2, lies: Lies) -> Option<FixedVertexHandle> {
        let (x, y) = bin(p);
        let around = (x - 1..=x + 1).flat_map(|x| (y - 1..=y + 1).map(move |y| (x, y)));
        let known = around.filter_map(|bin| self.near.get(&bin)).flatten();
        let known = known.copied().find(|at| self.plan.vertex(*at).data().at.distance(p) < SAME_MM);
        if known.is_some() {
            return known;
        }
        let at = self.plan.insert(PlanCorner { at: p, lies, ring: None }).ok()?;
        self.near.entry((x, y)).or_default().push(at);
        Some(at)
    }

    fn line(&mut self, ends: [DVec2; 2], lies: Lies) {
        if let [Some(a), Some(b)] = ends.map(|p| self.put(p, lies)) {
            self.keep(a, b);
        }
    }

    /// How each face lies, by its number.
    fn lies(&self) -> Vec<Lies> {
        let mut all = vec![Lies::Out; self.plan.num_all_faces()];
        for face in self.plan.inner_faces() {
            // A corner that isn't on the outline tells.
            let told = face.vertices().into_iter().map(|v| v.data().lies).find(|l| *l != Lies::On);
            all[face.fix().index()] = told.unwrap_or_else(|| {
                if (self.ground.inside)(middle(&face)) { Lies::In } else { Lies::Out }
            });
        }
        all
    }

    /// Divides triangles that lie further off the surface than `tolerance`.
    fn divide(&mut self, tolerance: f64, least: f64) {
        let mut good: BTreeSet<[usize; 3]> = BTreeSet::new();
        let height = self.ground.height;
        let mut heights: Vec<f64> = Vec::new();
        for _ in 0..ROUNDS {
            let all: Vec<(DVec2, Lies)> =
                self.plan.vertices().map(|v| (v.data().at, v.data().lies)).collect();
            heights
                .par_extend(all.par_iter().skip(heights.len()).map(|(p, lies)| height(*p, *lies)));
            let (lies, beyond) = (self.lies(), self.beyond());
            let mut open = Vec::new();
            for face in self.plan.inner_faces() {
                let key = face.adjacent_edges().map(|edge| edge.from().fix().index());
                let mut corners = key;
                corners.sort_unstable();
                if !good.contains(&corners) && !beyond.contains(&face.fix().index()) {
                    let kept = face.adjacent_edges().map(|edge| edge.is_constraint_edge());
                    open.push((key, lies[face.fix().index()], kept, corners));
                }
            }
            let worst: Vec<Option<(DVec2, Lies)>> = open
                .par_iter()
                .map(|(key, lies, kept, _)| {
                    let corner = key.map(|at| all[at].0.extend(heights[at]));
                    worst(corner, *lies, *kept, height, tolerance, least)
                })
                .collect();
            let mut new = 0;
            for ((.., corners), found) in open.iter().zip(worst) {
                // Where there is no room for a corner, none will be found the next time.
                if found.is_some_and(|(p, lies)| self.insert(p, lies)) {
                    new += 1;
                } else {
                    good.insert(*corners);
                }
            }
            if new == 0 {
                break;
            }
        }
    }

    /// The faces beyond the border, by their numbers: those that are reached from outside without crossing
    /// a line that is kept.
    fn beyond(&self) -> BTreeSet<usize> {
        let outer = self.plan.outer_face();
        let mut found: BTreeSet<usize> = [outer.fix().index()].into();
        let mut open: Vec<_> = self.plan.convex_hull().map(|edge| edge.rev().fix()).collect();
        while let Some(edge) = open.pop() {
            let edge = self.plan.directed_edge(edge);
            if edge.is_constraint_edge() || !found.insert(edge.face().fix().index()) {
                continue;
            }
            let Some(face) = edge.face().as_inner() else { continue };
            open.extend(face.adjacent_edges().map(|edge| edge.rev().fix()));
        }
        found
    }

    /// Whether a corner is one of the border's, which were put in one after the other.
    fn on_border(&self, at: usize) -> bool {
        let first = self.border.first().map_or(0, |at| at.index());
        (first..first + self.border.len()).contains(&at)
    }

    /// Puts a corner into the triangle there, unless it would come too near to what is kept.
    fn insert(&mut self, p: DVec2, lies: Lies) -> bool {
        use spade::Point2;
        let PositionInTriangulation::OnFace(face) = self.plan.locate(Point2::new(p.x, p.y)) else {
            return false;
        };
        let face = self.plan.face(face);
        let clear = face.adjacent_edges().into_iter().all(|edge| {
            let [a, b] = edge.vertices().map(|v| v.data().at);
            let off = (b - a).perp_dot(p - a).abs() / a.distance(b);
            p.distance(a) > 4.0 * SAME_MM && (!edge.is_constraint_edge() || off > 2.0 * SAME_MM)
        });
        clear && self.put(p, lies).is_some()
    }

    /// Where flanks end and where they meet, as far as they are flanks.
    fn levels(&self) -> (Vec<Reach>, Vec<Reach>) {
        let flank = self.ground.flank;
        let all: Vec<(DVec2, Lies)> =
            self.plan.vertices().map(|v| (v.data().at, v.data().lies)).collect();
        let on: Vec<[f64; 2]> = all
            .par_iter()
            .map(|(p, lies)| match lies {
                Lies::On => [flank(*p, Lies::In), flank(*p, Lies::Out)],
                lies => [flank(*p, *lies); 2],
            })
            .collect();
        let lies = self.lies();
        let mut crossings: BTreeMap<usize, DVec2> = BTreeMap::new();
        let mut valleys = Vec::new();
        for edge in self.plan.undirected_edges() {
            let ends = edge.vertices().map(|v| v.fix().index());
            let [a, b] = ends.map(|at| all[at].0);
            let directed = edge.as_directed();
            let side = [directed.face(), directed.rev().face()].into_iter().find(|f| !f.is_outer());
            let Some(side) = side.map(|f| lies[f.fix().index()]) else { continue };
            let [fa, fb] = ends.map(|at| on[at][usize::from(side == Lies::Out)]);
            let shore = ends.iter().all(|at| all[*at].1 == Lies::On);
            let kept = edge.is_constraint_edge();
            if kept && shore {
                continue;
            }
            // The border is none.
            let reach = |from: DVec2, to: DVec2| Reach { ends: [from, to], lies: side };
            let bordering = ends.iter().all(|at| self.on_border(*at));
            let cut = ((fa > 0.0) != (fb > 0.0)).then(|| root(|p| flank(p, side), a, b, fa > 0.0));
            if let Some(cut) = cut {
                crossings.insert(edge.fix().index(), cut);
            }
            if kept && !bordering {
                match (cut, fa > 0.0) {
                    (Some(cut), true) => valleys.push(reach(a, cut)),
                    (Some(cut), false) => valleys.push(reach(cut, b)),
                    (None, true) => valleys.push(reach(a, b)),
                    (None, false) => {}
                }
            }
        }
        let mut level = Vec::new();
        for face in self.plan.inner_faces() {
            let lies = lies[face.fix().index()];
            let cuts = face
                .adjacent_edges()
                .map(|edge| crossings.get(&edge.as_undirected().fix().index()));
            let cuts: Vec<DVec2> = cuts.into_iter().flatten().copied().collect();
            if let [one, other] = cuts[..] {
                follow(
                    &|p| flank(p, lies),
                    self.ground.shore.slope,
                    [one, other],
                    4,
                    &mut |ends| {
                        level.push(Reach { ends, lies });
                    },
                );
            }
        }
        (level, valleys)
    }

    fn taken(self) -> Terrain {
        let height = self.ground.height;
        let all: Vec<PlanCorner> = self.plan.vertices().map(|v| *v.data()).collect();
        let points = all.par_iter().map(|c| c.at.extend(height(c.at, c.lies))).collect();
        let beyond = self.beyond();
        let faces = self.plan.inner_faces().filter(|face| !beyond.contains(&face.fix().index()));
        let triangles = faces.map(|face| face.vertices().map(|v| v.fix().index() as u32)).collect();
        let border = self.border.iter().map(|at| at.index() as u32).collect();
        Terrain { points, triangles, border, ..Terrain::default() }
    }
}

fn square(p: DVec2) -> (i64, i64) {
    let at = (p / SQUARE_MM).floor();
    (at.x as i64, at.y as i64)
}

fn bin(p: DVec2) -> (i64, i64) {
    let at = (p / (2.0 * SAME_MM)).floor();
    (at.x as i64, at.y as i64)
}

/// Where a triangle is furthest off the surface, if that is too far.
fn worst(
    [a, b, c]: [DVec3; 3],
    lies: Lies,
    kept: [bool; 3],
    height: &(dyn Fn(DVec2, Lies) -> f64 + Sync),
    tolerance: f64,
    least: f64,
) -> Option<(DVec2, Lies)> {
    let sides = [(a, b), (b, c), (c, a)];
    let longest =
        sides.map(|(p, q)| p.truncate().distance(q.truncate())).into_iter().fold(0.0, f64::max);
    if longest < least {
        return None;
    }
    if longest > MOST_MM {
        return Some((((a + b + c) / 3.0).truncate(), lies));
    }
    let halves =
        sides.into_iter().zip(kept).filter(|(_, kept)| !kept).map(|((p, q), _)| 0.5 * (p + q));
    let off = |p: DVec3| (height(p.truncate(), lies) - p.z).abs();
    let tried = std::iter::once((a + b + c) / 3.0).chain(halves).map(|p| (off(p), p.truncate()));
    let (far, p) =
        tried.fold((0.0, DVec2::ZERO), |most, one| if one.0 > most.0 { one } else { most });
    (far > tolerance).then_some((p, lies))
}

/// Where between two places a function that differs in sign is nothing.
fn root(at: impl Fn(DVec2) -> f64, a: DVec2, b: DVec2, positive: bool) -> DVec2 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..HALVINGS {
        let half = 0.5 * (low + high);
        if (at(a.lerp(b, half)) > 0.0) == positive { low = half } else { high = half }
    }
    a.lerp(b, 0.5 * (low + high))
}

/// A level between two of its places, in chords that follow it.
fn follow(
    flank: &dyn Fn(DVec2) -> f64,
    slope: f64,
    [a, b]: [DVec2; 2],
    more: usize,
    take: &mut dyn FnMut([DVec2; 2]),
) {
    let middle = 0.5 * (a + b);
    let across = (b - a).perp().normalize_or_zero();
    let off = flank(middle);
    let far = off.abs() / slope;
    // Across the chord, to either side, as far as the flank's steepness says and twice that.
    let reach = [2.0 * far + SAME_MM, -2.0 * far - SAME_MM];
    let ends = reach.map(|by| middle + across * by);
    let end = ends.into_iter().find(|end| (flank(*end) > 0.0) != (off > 0.0));
    match end {
        Some(end) if more > 0 && far > LEVEL_MM && a.distance(b) > 8.0 * SAME_MM => {
            let on = root(flank, middle, end, off > 0.0);
            follow(flank, slope, [a, on], more - 1, take);
            follow(flank, slope, [on, b], more - 1, take);
        }
        _ => take([a, b]),
    }
}
