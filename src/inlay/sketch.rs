//! The plan of an art: its outline, a border and lines, that are kept as triangles are divided.

use super::edge_places::{EdgePlace, EdgePlaces, PARTS};
use super::shore::Shore;
use super::squares::Squares;
use super::valley::{ArtPlan, Lies, PlanCorner, middle};
use glam::{DVec2, DVec3};
use rayon::prelude::*;
use spade::handles::{FaceHandle, FixedVertexHandle, InnerTag};
use spade::{CdtEdge, Point2, PositionInTriangulation, Triangulation};

/// No corner is put nearer to another than so much of the least triangle's size, or nearer to a line that is
/// kept; but so many mm are always enough. Files have 32-bit floats, to 0.00002 mm at 300 mm.
const NEAR: f64 = 0.4;
const BESIDE: f64 = 0.2;
const NEAR_MM: f64 = 0.008;
const BESIDE_MM: f64 = 0.004;
/// Squares that corners are looked up by, in mm.
const SQUARE_MM: f64 = 0.3;
/// Edges are no longer, in mm: so flats get corners of their own, and no triangle is the sliver between
/// three corners of a smooth line.
const MOST_MM: f64 = 1.5;
/// On edges of triangles larger than this, in mm, more places are looked at than the middle: a fold can run
/// across one and pass them all.
const BIG_MM: f64 = 0.04;
/// Rounds of division; each halves triangles at least.
const ROUNDS: usize = 100;
/// The most corners: forty times those of a rich piece of art.
const MOST_CORNERS: usize = 500_000;

/// A surface over a plan. Heights are those of a frame in which the face looks up.
#[derive(Clone, Copy)]
pub(super) struct ArtGround<'a> {
    pub(super) shore: &'a Shore,
    /// Whether a place is art.
    pub(super) inside: &'a (dyn Fn(DVec2) -> bool + Sync),
    /// The border, counter-clockwise; none for the art alone.
    pub(super) border: &'a [DVec2],
    /// The surface.
    pub(super) height: &'a (dyn Fn(DVec2, Lies) -> f64 + Sync),
}

/// How far triangles are divided.
#[derive(Clone, Copy)]
pub(super) struct Fineness {
    /// What they may be off, upright, in mm.
    pub(super) tolerance: f64,
    /// They are not divided when their longest edge is shorter, in mm.
    pub(super) least: f64,
    /// Whether more places are looked at than the middles of triangles and edges, and edges may be divided right
    /// at their middle. Round the art that would lay corners on one line where a face is endlessly steep.
    pub(super) thorough: bool,
}

impl Fineness {
    /// At how many places of each side a triangle is looked at; nowhere if it is too small, or so large that it
    /// is divided in any case.
    fn places(&self, [a, b, c]: [DVec2; 3]) -> usize {
        let longest = a.distance(b).max(b.distance(c)).max(c.distance(a));
        match longest {
            _ if longest < self.least || longest > MOST_MM => 0,
            _ if self.thorough && longest > BIG_MM => PARTS.len(),
            _ => 1,
        }
    }

    /// Whether a corner may be put there beside an edge.
    fn has_room(&self, p: DVec2, [a, b]: [DVec2; 2], kept: bool) -> bool {
        let off = (b - a).perp_dot(p - a).abs() / a.distance(b);
        let near = NEAR_MM.min(NEAR * self.least);
        let beside = BESIDE_MM.min(BESIDE * self.least);
        p.distance(a) > near && (!kept || off > beside)
    }
}

/// Corners by where they are.
pub(super) type SortedCorners = Squares<FixedVertexHandle>;

type SketchFace<'p> = FaceHandle<'p, InnerTag, PlanCorner, (), CdtEdge<()>, ()>;

pub(super) struct Sketch<'a> {
    pub(super) ground: &'a ArtGround<'a>,
    pub(super) plan: ArtPlan,
    pub(super) border: Vec<FixedVertexHandle>,
    /// Corners of lines nearer than this are one, in mm.
    same: f64,
    near: SortedCorners,
    /// Whether division was given up, since there were too many corners.
    pub(super) endless: bool,
}

impl<'a> Sketch<'a> {
    /// The art's outline and the border. Corners of lines nearer than `same` mm will be one.
    pub(super) fn new(ground: &'a ArtGround<'a>, same: f64) -> Option<Sketch<'a>> {
        let plan = ArtPlan::new();
        let (border, near) = (Vec::new(), Squares::new(2.0 * same));
        let mut sketch = Sketch { ground, plan, border, same, near, endless: false };
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
            sketch.near.put(p, at);
        }
        Some(sketch)
    }

    fn keep(&mut self, a: FixedVertexHandle, b: FixedVertexHandle) {
        if a != b && self.plan.can_add_constraint(a, b) {
            self.plan.add_constraint(a, b);
        }
    }

    /// All corners by the square that they are in.
    pub(super) fn sorted(&self) -> SortedCorners {
        let mut known = Squares::new(SQUARE_MM);
        for vertex in self.plan.vertices() {
            known.put(vertex.data().at, vertex.fix());
        }
        known
    }

    /// Keeps a line, by way of the corners that it passes as near as if they were on it: beside them it
    /// would leave slivers.
    pub(super) fn keep_through(
        &mut self,
        a: FixedVertexHandle,
        b: FixedVertexHandle,
        known: &SortedCorners,
    ) {
        let [from, to] = [a, b].map(|at| self.plan.vertex(at).data().at);
        let around = known.within(from.min(to) - self.same, from.max(to) + self.same);
        let span = from.distance_squared(to);
        let passed = around.filter_map(|at| {
            let p = self.plan.vertex(at).data().at;
            let part = (p - from).dot(to - from) / span;
            let beside = p.distance(from.lerp(to, part)) < 2.0 * self.same;
            (beside && part > 0.0 && part < 1.0 && at != a && at != b).then_some((part, at))
        });
        let mut passed: Vec<(f64, FixedVertexHandle)> = passed.collect();
        passed.sort_by(|one, other| one.0.total_cmp(&other.0));
        let mut last = a;
        for at in passed.into_iter().map(|(_, at)| at).chain([b]) {
            self.keep(last, at);
            last = at;
        }
    }

    /// A corner of a line, or the one that is as good as there.
    pub(super) fn put(&mut self, p: DVec2, lies: Lies) -> Option<FixedVertexHandle> {
        let is_there =
            |at: &FixedVertexHandle| self.plan.vertex(*at).data().at.distance(p) < self.same;
        let known = self.near.round(p).find(is_there);
        if known.is_some() {
            return known;
        }
        // Beside a narrow bay or stroke a line can be found across the outline: there it is none.
        if lies != Lies::On && (self.ground.inside)(p) != (lies == Lies::In) {
            return None;
        }
        let at = self.plan.insert(PlanCorner { at: p, lies, ring: None }).ok()?;
        self.near.put(p, at);
        Some(at)
    }

    pub(super) fn line(&mut self, ends: [DVec2; 2], lies: Lies) {
        if let [Some(a), Some(b)] = ends.map(|p| self.put(p, lies)) {
            self.keep(a, b);
        }
    }

    /// How a face lies.
    pub(super) fn lies(&self, face: &SketchFace<'_>) -> Lies {
        // A corner that isn't on the outline tells.
        let told = face.vertices().into_iter().map(|v| v.data().lies).find(|l| *l != Lies::On);
        told.unwrap_or_else(
            || {
                if (self.ground.inside)(middle(face)) { Lies::In } else { Lies::Out }
            },
        )
    }

    /// How each face lies, by its number.
    pub(super) fn all_lie(&self) -> Vec<Lies> {
        let mut all = vec![Lies::Out; self.plan.num_all_faces()];
        for face in self.plan.inner_faces() {
            all[face.fix().index()] = self.lies(&face);
        }
        all
    }

    /// Divides triangles that lie too far off the surface; `fineness` says how far for those that lie so, or
    /// that they stay as they are.
    pub(super) fn divide(&mut self, fineness: &(dyn Fn(Lies) -> Option<Fineness> + Sync)) {
        let height = self.ground.height;
        // Division stays inside lines that are kept, so that none beyond the border comes or goes.
        let beyond = self.beyond();
        let beyond = |face: usize| beyond.get(face).copied().unwrap_or(false);
        // The corners that a face had when it was found to be good.
        let mut good: Vec<[u32; 3]> = Vec::new();
        let mut all: Vec<DVec3> = Vec::new();
        let mut edges = EdgePlaces::default();
        for _ in 0..ROUNDS {
            let new = self.plan.vertices().skip(all.len());
            let new: Vec<(DVec2, Lies)> = new.map(|v| (v.data().at, v.data().lies)).collect();
            all.par_extend(new.par_iter().map(|(p, lies)| p.extend(height(*p, *lies))));
            good.resize(self.plan.num_all_faces(), [u32::MAX; 3]);
            let mut open = Vec::new();
            for face in self.plan.inner_faces() {
                let at = face.fix().index();
                let sides = face.adjacent_edges();
                let corners = sides.map(|edge| edge.from().fix().index() as u32);
                if good[at] == in_order(corners) || beyond(at) {
                    continue;
                }
                let lies = self.lies(&face);
                if let Some(fine) = fineness(lies) {
                    let sides = sides.map(|edge| {
                        (!edge.is_constraint_edge()).then(|| edge.as_undirected().fix().index())
                    });
                    open.push((at, corners, (lies, fine), sides));
                }
            }
            // Of a side that isn't kept, as many places as are looked at.
            let looks = open.iter().flat_map(|(_, corners, (lies, fine), sides)| {
                let count = fine.places(corners.map(|at| all[at as usize].truncate()));
                let [a, b, c] = *corners;
                let ends = [[a, b], [b, c], [c, a]];
                let own = sides.iter().zip(ends).filter(move |_| count > 0);
                own.filter_map(move |(side, ends)| Some(((*side)?, ends, *lies, count)))
            });
            edges.measure(looks, &all, height);
            let worst: Vec<Option<DVec2>> = open
                .par_iter()
                .map(|(_, corners, (lies, fine), sides)| {
                    let corner = corners.map(|at| all[at as usize]);
                    let count = fine.places(corner.map(DVec3::truncate));
                    let on_sides = sides.map(|side| side.map(|edge| edges.of(edge, count)));
                    worst(corner, on_sides, &|p| height(p, *lies), fine)
                })
                .collect();
            let mut more = false;
            for ((face, corners, (lies, fine), _), found) in open.iter().zip(worst) {
                let from = FixedVertexHandle::from_index(corners[0] as usize);
                // Where there is no room for a corner, none will be found the next time.
                if found.is_some_and(|p| self.insert(p, *lies, from, fine)) {
                    more = true;
                } else {
                    good[*face] = in_order(*corners);
                }
            }
            self.endless = self.plan.num_vertices() > MOST_CORNERS;
            if !more || self.endless {
                break;
            }
        }
    }

    /// Whether a face lies beyond the border, by its number: whether it is reached from outside without
    /// crossing a line that is kept.
    pub(super) fn beyond(&self) -> Vec<bool> {
        let mut found = vec![false; self.plan.num_all_faces()];
        found[self.plan.outer_face().fix().index()] = true;
        let mut open: Vec<_> = self.plan.convex_hull().map(|edge| edge.rev().fix()).collect();
        while let Some(edge) = open.pop() {
            let edge = self.plan.directed_edge(edge);
            let at = edge.face().fix().index();
            if edge.is_constraint_edge() || found[at] {
                continue;
            }
            found[at] = true;
            let Some(face) = edge.face().as_inner() else { continue };
            open.extend(face.adjacent_edges().map(|edge| edge.rev().fix()));
        }
        found
    }

    /// Whether a corner is one of the border's, which were put in one after the other.
    pub(super) fn on_border(&self, at: usize) -> bool {
        let first = self.border.first().map_or(0, |at| at.index());
        (first..first + self.border.len()).contains(&at)
    }

    /// Puts a corner into the triangle there, unless it would come too near to what is kept.
    fn insert(&mut self, p: DVec2, lies: Lies, from: FixedVertexHandle, fine: &Fineness) -> bool {
        // What lies on an edge that isn't kept lies in two triangles.
        let faces = match self.plan.locate_with_hint(Point2::new(p.x, p.y), from) {
            PositionInTriangulation::OnFace(face) => [Some(face), None],
            PositionInTriangulation::OnEdge(edge) => {
                let edge = self.plan.directed_edge(edge);
                if edge.is_constraint_edge() || !fine.thorough {
                    return false;
                }
                [edge, edge.rev()].map(|edge| edge.face().as_inner().map(|face| face.fix()))
            }
            _ => return false,
        };
        let faces = faces.into_iter().flatten().map(|face| self.plan.face(face));
        let clear = faces.flat_map(|face| face.adjacent_edges()).all(|edge| {
            fine.has_room(p, edge.vertices().map(|v| v.data().at), edge.is_constraint_edge())
        });
        let corner = PlanCorner { at: p, lies, ring: None };
        clear && self.plan.insert_with_hint(corner, from).is_ok()
    }
}

/// The corners of a face, from the least on.
fn in_order([a, b, c]: [u32; 3]) -> [u32; 3] {
    match a.min(b).min(c) {
        least if least == a => [a, b, c],
        least if least == b => [b, c, a],
        _ => [c, a, b],
    }
}

/// Where a triangle is furthest off the surface, of places that have room for a corner, if that is too far.
/// `on_sides` has what was measured on its sides, none for one that is kept.
fn worst(
    corners: [DVec3; 3],
    on_sides: [Option<&[EdgePlace]>; 3],
    height: &dyn Fn(DVec2) -> f64,
    fine: &Fineness,
) -> Option<DVec2> {
    let [a, b, c] = corners;
    let sides = [(a, b), (b, c), (c, a)].into_iter().zip(on_sides.map(|own| own.is_none()));
    let flat = |(p, q): (DVec3, DVec3)| [p.truncate(), q.truncate()];
    let lengths = sides.clone().map(|(ends, _)| flat(ends)).map(|[p, q]| p.distance(q));
    let longest = lengths.fold(0.0, f64::max);
    if longest < fine.least {
        return None;
    }
    let middle = (a + b + c) / 3.0;
    if longest > MOST_MM {
        return Some(middle.truncate());
    }
    let inner = corners.map(|corner| 0.5 * (corner + middle));
    let inner = inner.into_iter().filter(|_| fine.thorough);
    let clear = |p: DVec2| {
        let mut each = sides.clone();
        each.all(|(ends, kept)| fine.has_room(p, flat(ends), kept))
    };
    let off = |p: DVec3| ((height(p.truncate()) - p.z).abs(), p.truncate());
    let within = std::iter::once(middle).chain(inner).filter(|p| clear(p.truncate())).map(off);
    let on_sides = on_sides.into_iter().flatten().flatten().copied();
    // Whether there is room is asked last: most are near enough.
    let on_sides = on_sides.filter(|(far, p)| *far > fine.tolerance && clear(*p));
    let tried = within.chain(on_sides);
    let (far, p) =
        tried.fold((0.0, DVec2::ZERO), |most, one| if one.0 > most.0 { one } else { most });
    (far > fine.tolerance).then_some(p)
}
