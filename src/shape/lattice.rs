//! The plan lattice: four-sided blocks that fill the outline and share their edges.
//!
//! Promised: blocks meet along whole edges; lines where a skin is not smooth run along edges;
//! the sides of all blocks are traversed so that a × b points up. A block is ruled between two
//! of its edges where the other two are straight, else it is a Coons patch of its four edges (S. A. Coons, "Surfaces for computer-aided design of space forms", 1967).
//! Not promised: equal sizes; the readers refine the blocks as they need.

use super::plan::PlanCurve;
use glam::DVec2;
use rayon::prelude::*;
use std::fmt;

/// An edge of the lattice, from one node to another.
#[derive(Clone)]
pub struct LatticeEdge {
    /// Index of the node at parameter 0.
    pub from: usize,
    /// Index of the node at parameter 1.
    pub to: usize,
    /// The edge's curve.
    pub curve: PlanCurve,
    /// Whether it is part of the outline.
    pub rim: bool,
    /// Whether it is straight.
    pub straight: bool,
}

impl fmt::Debug for LatticeEdge {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}–{}{}", self.from, self.to, if self.rim { " rim" } else { "" })
    }
}

/// An edge as one side of a block.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SideOf {
    /// Index of the edge.
    pub edge: usize,
    /// Whether the block's own parameter runs against the edge's.
    pub reversed: bool,
}

/// A four-sided block with parameters a and b from 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LatticeBlock {
    /// The sides b = 0 (along a), a = 1 (along b), b = 1 (along a), a = 0 (along b).
    pub sides: [SideOf; 4],
}

/// The blocks that fill the outline.
#[derive(Clone, Debug, Default)]
pub struct Lattice {
    /// Corners, in mm.
    pub nodes: Vec<DVec2>,
    /// Edges.
    pub edges: Vec<LatticeEdge>,
    /// Blocks.
    pub blocks: Vec<LatticeBlock>,
    tables: Vec<CurvePoints>,
}

/// An edge's curve as points at even parameters, for quick reading between them; none of a curve
/// that bends too sharply for that, as between stations that stand close together.
#[derive(Clone, Debug)]
struct CurvePoints(Vec<DVec2>);

/// Steps of a table: cubic interpolation then leaves a usual curve by less than a micrometre.
const STEPS: usize = 192;
/// A curve that is left by more than this, in mm, half-way between two points has no table.
const ASTRAY: f64 = 1e-3;

impl CurvePoints {
    fn of(curve: &PlanCurve) -> CurvePoints {
        let table = CurvePoints((0..=STEPS).map(|i| curve(i as f64 / STEPS as f64)).collect());
        let follows = (0..STEPS).map(|i| (i as f64 + 0.5) / STEPS as f64).all(|t| {
            // Asked for, not against, so that a NaN fails.
            table.at(t).distance_squared(curve(t)) <= ASTRAY * ASTRAY
        });
        if follows { table } else { CurvePoints(Vec::new()) }
    }

    /// The curve between its points, by the cubic through four of them (Lagrange): the two on
    /// either side, or the outermost four near an end.
    fn at(&self, t: f64) -> DVec2 {
        let place = t.clamp(0.0, 1.0) * STEPS as f64;
        let first = (place as usize).saturating_sub(1).min(STEPS - 3);
        let u = place - first as f64;
        let [p, q, r, s] = [0, 1, 2, 3].map(|k| self.0[first + k]);
        let (v, w, x) = (u - 1.0, u - 2.0, u - 3.0);
        p * (-v * w * x / 6.0)
            + q * (u * w * x / 2.0)
            + r * (-u * v * x / 2.0)
            + s * (u * v * w / 6.0)
    }
}

impl Lattice {
    /// A point of an edge as a block traverses it.
    pub fn along(&self, side: SideOf, t: f64) -> DVec2 {
        (self.edges[side.edge].curve)(if side.reversed { 1.0 - t } else { t })
    }

    /// Index of the node where a side begins, as a block traverses it.
    pub fn start(&self, side: SideOf) -> usize {
        let edge = &self.edges[side.edge];
        if side.reversed { edge.to } else { edge.from }
    }

    /// Index of the node where a side ends, as a block traverses it.
    pub fn finish(&self, side: SideOf) -> usize {
        self.start(SideOf { reversed: !side.reversed, ..side })
    }

    /// The outline's edges in counter-clockwise order, each as it is then traversed.
    pub fn rim(&self) -> Vec<SideOf> {
        let mut sides: Vec<SideOf> = self
            .blocks
            .iter()
            .flat_map(|block| {
                let [south, east, north, west] = block.sides;
                let turn = |side: SideOf| SideOf { reversed: !side.reversed, ..side };
                [south, east, turn(north), turn(west)]
            })
            .filter(|side| self.edges[side.edge].rim)
            .collect();
        for i in 1..sides.len() {
            let end = self.finish(sides[i - 1]);
            if let Some(next) = (i..sides.len()).find(|k| self.start(sides[*k]) == end) {
                sides.swap(i, next);
            }
        }
        sides
    }

    /// A point of an edge as a block traverses it, near enough for a block's inside.
    fn near(&self, side: SideOf, t: f64) -> DVec2 {
        match &self.tables[side.edge] {
            CurvePoints(points) if points.is_empty() => self.along(side, t),
            table => table.at(if side.reversed { 1.0 - t } else { t }),
        }
    }

    /// How far along a straight side its point lies: its pace.
    fn share(&self, side: SideOf, t: f64) -> f64 {
        let [from, to] = [self.nodes[self.start(side)], self.nodes[self.finish(side)]];
        (self.near(side, t) - from).dot(to - from) / (to - from).length_squared()
    }

    /// A point of a block, in mm in the plan. On the block's border it lies on the exact edge;
    /// inside, where any smooth map would do, the edges are read from tables.
    pub fn plan(&self, block: usize, a: f64, b: f64) -> DVec2 {
        let [south, east, north, west] = self.blocks[block].sides;
        // On an edge the edge alone speaks, so that both its blocks give the very same point.
        if b == 0.0 {
            return self.along(south, a);
        } else if b == 1.0 {
            return self.along(north, a);
        } else if a == 0.0 {
            return self.along(west, b);
        } else if a == 1.0 {
            return self.along(east, b);
        }
        // Between straight sides the block is ruled: no point can then leave it where its other two
        // sides come close to each other, as a Coons patch's could.
        let straight = |one: SideOf, other: SideOf| {
            self.edges[one.edge].straight && self.edges[other.edge].straight
        };
        let ruled = |[from, to]: [SideOf; 2], t: f64, [before, after]: [SideOf; 2], u: f64| {
            let share = (1.0 - t) * self.share(before, u) + t * self.share(after, u);
            self.near(from, t).lerp(self.near(to, t), share)
        };
        if straight(west, east) {
            return ruled([south, north], a, [west, east], b);
        } else if straight(south, north) {
            return ruled([west, east], b, [south, north], a);
        }
        let corner = |side: SideOf| self.nodes[self.start(side)];
        let (p00, p01, p10) = (corner(south), corner(north), corner(east));
        let p11 = self.nodes[self.finish(north)];
        let (ra, rb) = (1.0 - a, 1.0 - b);
        self.near(south, a) * rb
            + self.near(north, a) * b
            + self.near(west, b) * ra
            + self.near(east, b) * a
            - (p00 * (ra * rb) + p10 * (a * rb) + p01 * (ra * b) + p11 * (a * b))
    }
}

/// Puts a lattice together.
#[derive(Default)]
pub(crate) struct Builder {
    lattice: Lattice,
}

impl Builder {
    /// A node.
    pub(crate) fn node(&mut self, p: DVec2) -> usize {
        self.lattice.nodes.push(p);
        self.lattice.nodes.len() - 1
    }

    /// Where a node is.
    pub(crate) fn at(&self, node: usize) -> DVec2 {
        self.lattice.nodes[node]
    }

    /// An edge along a curve.
    pub(crate) fn edge(&mut self, from: usize, to: usize, curve: PlanCurve) -> usize {
        debug_assert!(curve(0.0).distance(self.at(from)) < 1e-6, "edge starts off its node");
        debug_assert!(curve(1.0).distance(self.at(to)) < 1e-6, "edge ends off its node");
        self.lattice.edges.push(LatticeEdge { from, to, curve, rim: false, straight: false });
        self.lattice.edges.len() - 1
    }

    /// An edge along a curve of the outline.
    pub(crate) fn rim(&mut self, from: usize, to: usize, curve: PlanCurve) -> usize {
        let edge = self.edge(from, to, curve);
        self.lattice.edges[edge].rim = true;
        edge
    }

    /// A straight edge whose steps follow `pace`, from 0 to 1.
    pub(crate) fn paced(
        &mut self,
        from: usize,
        to: usize,
        pace: impl Fn(f64) -> f64 + Send + Sync + 'static,
    ) -> usize {
        let (p, q) = (self.at(from), self.at(to));
        let edge = self.edge(from, to, std::sync::Arc::new(move |t| p.lerp(q, pace(t))));
        self.lattice.edges[edge].straight = true;
        edge
    }

    /// A straight edge.
    pub(crate) fn line(&mut self, from: usize, to: usize) -> usize {
        self.paced(from, to, |t| t)
    }

    /// A block between four edges that follow each other round it.
    pub(crate) fn block(&mut self, round: [usize; 4]) {
        let ends = |edge: usize| {
            let edge = &self.lattice.edges[edge];
            [edge.from, edge.to]
        };
        // The corner that two neighbouring edges share.
        let shared = |one: usize, other: usize| {
            ends(one).into_iter().find(|node| ends(other).contains(node)).unwrap_or_default()
        };
        let [south, east, north, west] = round;
        let (c00, c10) = (shared(west, south), shared(south, east));
        let c01 = shared(north, west);
        let side = |edge: usize, start: usize| SideOf {
            edge,
            reversed: self.lattice.edges[edge].from != start,
        };
        let mut sides = [side(south, c00), side(east, c10), side(north, c01), side(west, c00)];
        let corners = [c00, c10, shared(east, north), c01].map(|node| self.at(node));
        let area: f64 =
            (0..4).map(|i| corners[i].perp_dot(corners[(i + 1) % 4])).sum::<f64>() / 2.0;
        if area < 0.0 {
            let [s, e, n, w] = sides;
            sides = [w, n, e, s];
        }
        self.lattice.blocks.push(LatticeBlock { sides });
    }

    /// The lattice.
    pub(crate) fn finish(mut self) -> Lattice {
        let curves = self.lattice.edges.par_iter().with_max_len(1).map(|edge| &edge.curve);
        self.lattice.tables = curves.map(CurvePoints::of).collect();
        self.lattice
    }
}
