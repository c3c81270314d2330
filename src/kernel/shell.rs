//! Gathers vertices, edges and faces, and closes them into a solid.

use super::edge::{EdgeId, JOIN, Shape, SolidEdge, arc_through, sound, tidy};
use super::error::KernelError;
use super::face::{Draft, PatchSurface, SolidFace};
use super::solid::Solid;
use super::spline::SplineFit;
use crate::units::Length;
use glam::DVec3;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// Most control points of an edge: past this the factored problem takes tens of megabytes.
const MOST_CONTROL_POINTS: usize = 1000;

/// A corner of a [`Shell`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct VertexId(usize);

/// A shell of four-sided spline patches, ruled walls and flat faces that share vertices and edges.
///
/// The calls that add to it never fail; the first thing that was wrong is kept and comes out of
/// [`Shell::solid`]. Surfaces are fitted there, all at once and on all cores.
#[derive(Default)]
pub struct Shell<'s> {
    vertices: Vec<DVec3>,
    edges: Vec<SolidEdge>,
    lines: BTreeMap<(usize, usize), usize>,
    drafts: Vec<Draft<'s>>,
    fits: BTreeMap<usize, SplineFit>,
    edge_error: f64,
    fault: Option<KernelError>,
}

impl<'s> Shell<'s> {
    /// An empty shell.
    pub fn new() -> Shell<'s> {
        Shell::default()
    }

    fn fail(&mut self, fault: KernelError) {
        self.fault.get_or_insert(fault);
    }

    /// Adds a corner.
    pub fn vertex(&mut self, point: DVec3) -> VertexId {
        if !sound(point) {
            self.fail(KernelError::OutOfRange);
        }
        self.vertices.push(tidy(point));
        VertexId(self.vertices.len() - 1)
    }

    fn push_edge(&mut self, from: VertexId, to: VertexId, shape: Shape) -> EdgeId {
        self.edges.push(SolidEdge { from: from.0, to: to.0, shape });
        EdgeId { index: self.edges.len() - 1, reversed: false }
    }

    fn ends(&mut self, from: VertexId, to: VertexId) -> [DVec3; 2] {
        let found = [from, to].map(|id| self.vertices.get(id.0).copied());
        let [Some(a), Some(b)] = found else {
            self.fail(KernelError::UnknownId);
            return [DVec3::ZERO, DVec3::X];
        };
        if from == to || a.distance(b) <= JOIN {
            self.fail(KernelError::NoLength { edge: self.edges.len() });
        }
        [a, b]
    }

    /// Adds a spline edge through `curve`, whose parameter runs from 0 at `from` to 1 at `to`;
    /// it must end within a nanometre of its vertices. The curve is sampled at `control_points`
    /// places; opposite sides of a patch need equal numbers.
    pub fn edge(
        &mut self,
        from: VertexId,
        to: VertexId,
        curve: &dyn Fn(f64) -> DVec3,
        control_points: usize,
    ) -> EdgeId {
        let edge = self.edges.len();
        let ends = self.ends(from, to);
        if !(2..=MOST_CONTROL_POINTS).contains(&control_points) {
            self.fail(KernelError::ControlPoints { edge, count: control_points });
            return self.push_edge(from, to, Shape::Line);
        }
        let fit = self.fits.entry(control_points).or_insert_with(|| SplineFit::new(control_points));
        let mut samples: Vec<DVec3> = fit.sites.iter().map(|&t| curve(t)).collect();
        let gap = samples[0].distance(ends[0]).max(samples[control_points - 1].distance(ends[1]));
        samples[0] = ends[0];
        samples[control_points - 1] = ends[1];
        let mut points = samples.clone();
        fit.solve(&mut points, 0, 1);
        points.iter_mut().for_each(|p| *p = tidy(*p));
        points[0] = ends[0];
        points[control_points - 1] = ends[1];
        let mut finite = samples.iter().all(|&p| sound(p));
        for (t, basis) in &fit.between {
            let here: DVec3 =
                (0..=fit.knots.degree).map(|k| basis.value[k] * points[basis.first + k]).sum();
            let off = here.distance(curve(*t));
            finite &= off.is_finite();
            self.edge_error = self.edge_error.max(off);
        }
        if !finite {
            self.fail(KernelError::OutOfRange);
        } else if gap > JOIN {
            self.fail(KernelError::EndsApart { edge, gap: Length::mm(gap) });
        }
        self.push_edge(from, to, Shape::Spline { points, samples })
    }

    /// A straight edge. Asking again for the same pair of corners gives the same edge, turned so
    /// that it runs from `from` to `to`.
    pub fn line(&mut self, from: VertexId, to: VertexId) -> EdgeId {
        let (low, high) = (from.0.min(to.0), from.0.max(to.0));
        if let Some(&index) = self.lines.get(&(low, high)) {
            return EdgeId { index, reversed: self.edges[index].from != from.0 };
        }
        self.ends(from, to);
        let id = self.push_edge(from, to, Shape::Line);
        self.lines.insert((low, high), id.index);
        id
    }

    /// An exact circular arc of at most 170 degrees, counter-clockwise about `axis` through
    /// `centre`.
    pub fn arc(&mut self, from: VertexId, to: VertexId, centre: DVec3, axis: DVec3) -> EdgeId {
        let edge = self.edges.len();
        let [a, b] = self.ends(from, to);
        match arc_through(a, b, centre, axis) {
            Some(shape) => self.push_edge(from, to, shape),
            None => {
                self.fail(KernelError::NotAnArc { edge });
                self.push_edge(from, to, Shape::Line)
            }
        }
    }

    /// Adds a four-sided spline patch.
    ///
    /// `surface` takes (a, b), both from 0 to 1. The sides are, in order, south (b = 0), east
    /// (a = 1), north (b = 1) and west (a = 0), each as an edge and whether it runs against its
    /// growing a or b; they must be splines or lines, and `surface` must follow them within a
    /// nanometre. The outside is where d/da x d/db points if `outward`, else the other side.
    pub fn patch(
        &mut self,
        sides: [(EdgeId, bool); 4],
        surface: impl Fn(f64, f64) -> DVec3 + Send + Sync + 's,
        outward: bool,
    ) {
        let sides = sides.map(|(edge, turn)| edge.turned(turn));
        let surface: PatchSurface<'s> = Box::new(surface);
        self.drafts.push(Draft::Patch { sides, surface, outward });
    }

    /// Adds the wall that straight lines sweep from `lower` to `upper`, two edges of the same
    /// kind that run side by side; the lines at its ends are made where there are none yet. The
    /// outside is where (along `lower`) x (from `lower` to `upper`) points if `outward`.
    pub fn ruled(&mut self, lower: (EdgeId, bool), upper: (EdgeId, bool), outward: bool) {
        let lower = lower.0.turned(lower.1);
        let upper = upper.0.turned(upper.1);
        let (Some(low), Some(high)) = (self.ends_of(lower), self.ends_of(upper)) else {
            return self.fail(KernelError::UnknownId);
        };
        let west = self.line(low[0], high[0]);
        let east = self.line(low[1], high[1]);
        // exchanging lower and upper turns the wall's normal round
        self.drafts.push(Draft::Ruled(if outward {
            [lower, east, upper, west]
        } else {
            [upper, east.reversed(), lower, west.reversed()]
        }));
    }

    /// The straight edge between the beginnings of two edges.
    pub(super) fn upright(&mut self, lower: EdgeId, upper: EdgeId) -> EdgeId {
        match (self.ends_of(lower), self.ends_of(upper)) {
            (Some([low, _]), Some([high, _])) => self.line(low, high),
            _ => {
                self.fail(KernelError::UnknownId);
                lower
            }
        }
    }

    /// Adds a flat face whose outside is where `normal` points. The edges of each loop follow
    /// each other; which way round a loop runs doesn't matter.
    pub fn planar(
        &mut self,
        outer: &[(EdgeId, bool)],
        holes: &[Vec<(EdgeId, bool)>],
        normal: DVec3,
    ) {
        let loops = std::iter::once(outer)
            .chain(holes.iter().map(Vec::as_slice))
            .map(|edges| edges.iter().map(|&(edge, turn)| edge.turned(turn)).collect())
            .collect();
        self.drafts.push(Draft::Flat { loops, normal });
    }

    fn ends_of(&self, id: EdgeId) -> Option<[VertexId; 2]> {
        let edge = self.edges.get(id.index)?;
        let ends = [VertexId(edge.from), VertexId(edge.to)];
        Some(if id.reversed { [ends[1], ends[0]] } else { ends })
    }

    /// Fits the surfaces and closes the shell.
    ///
    /// # Errors
    /// The first thing that was wrong with what was added; a face that doesn't fit its edges; a
    /// shell that is open, in several parts, pinched, or inside out.
    pub fn solid(mut self) -> Result<Solid, KernelError> {
        if let Some(fault) = self.fault.take() {
            return Err(fault);
        }
        let drafts = std::mem::take(&mut self.drafts);
        let mut counts = BTreeSet::new();
        for draft in &drafts {
            if draft.edges().any(|id| id.index >= self.edges.len()) {
                return Err(KernelError::UnknownId);
            }
            counts.extend(draft.counts(&self.edges));
        }
        for count in counts {
            self.fits.entry(count).or_insert_with(|| SplineFit::new(count));
        }
        let (vertices, edges, fits) = (&self.vertices, &self.edges, &self.fits);
        let faces = drafts
            .into_par_iter()
            .enumerate()
            .map(|(face, draft)| draft.fit(face, vertices, edges, fits))
            .collect::<Vec<Result<SolidFace, KernelError>>>()
            .into_iter()
            .collect::<Result<Vec<SolidFace>, KernelError>>()?;
        Solid::close(self.vertices, self.edges, faces, self.edge_error)
    }
}
