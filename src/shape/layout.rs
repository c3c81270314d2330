//! How the blocks lie: a strip of three along the utensil (side, core, side), a ring block round
//! each end, and a nest of its own inside a hollow.

use super::handle::CORE;
use super::lattice::{Builder, Lattice};
use super::plan::PlanCurve;
use super::{Body, HeadSkins, Parts};
use glam::DVec2;
use std::f64::consts::{FRAC_PI_2, FRAC_PI_4};

/// How far round the handle's end the core reaches: a share of the rounding's length.
const CORE_END: f64 = 0.42;
/// Share of the way from the hollow's middle line to its edge that its core takes.
const NEST: f64 = 0.5;
/// How far round the hollow's rear its corners lie, as an angle of [`super::bowl::BowlSkins::rear_arc`]:
/// small enough that the land's blocks meet the hollow's line squarely.
const REAR_CORNER: f64 = 0.4;
/// Cuts closer together than this, in mm, would make thin blocks.
const CLOSE_CUTS: f64 = 3.0;

impl Body {
    /// The blocks of the plan that mesh and B-rep are made on.
    pub fn lattice(&self) -> Lattice {
        let mut strip = Strip { body: self, builder: Builder::default() };
        let plan = &self.0.plan;
        let start = strip.end_cap();
        let neck = strip.advance(start, plan.neck);
        let last = strip.advance(neck, plan.rest);
        match &self.0.head {
            HeadSkins::Bowl(_) => strip.bowl(last),
            HeadSkins::Blade(blade) => strip.blade(last, blade.bevel),
        }
        strip.builder.finish()
    }
}

/// One line across: the outline's and the core's nodes from right to left, and the three edges.
#[derive(Clone, Copy)]
struct Cross {
    x: f64,
    nodes: [usize; 4],
    edges: [usize; 3],
}

struct Strip<'a> {
    body: &'a Body,
    builder: Builder,
}

impl Strip<'_> {
    fn curve(&self, at: impl Fn(&Body, f64) -> DVec2 + Send + Sync + 'static) -> PlanCurve {
        self.body.curve(at)
    }

    /// Steps from the core to the outline of about equal length over the handle's section.
    fn pace(&self, x: f64, core: f64) -> impl Fn(f64) -> f64 + Send + Sync + 'static {
        let body = self.body.clone();
        // Where the ridge has run out, half of it.
        let steep = if x >= body.0.plan.rest { 0.5 } else { 1.0 };
        move |t| {
            let by_angle = body.0.handle.by_angle(&body.0.plan, x, core, t);
            t + steep * ((by_angle - core) / (1.0 - core) - t)
        }
    }

    /// A line across at a place along the utensil, outside the rounded ends.
    fn cross(&mut self, x: f64) -> Cross {
        let body = self.body;
        let plan = &body.0.plan;
        let at = [
            plan.outline_at(x, -1.0),
            core(body, x, -1.0),
            core(body, x, 1.0),
            plan.outline_at(x, 1.0),
        ];
        let nodes = at.map(|p| self.builder.node(p));
        let pace = self.pace(x, CORE);
        let right = self.builder.paced(nodes[1], nodes[0], pace);
        let core = self.builder.line(nodes[1], nodes[2]);
        let pace = self.pace(x, CORE);
        let left = self.builder.paced(nodes[2], nodes[3], pace);
        Cross { x, nodes, edges: [right, core, left] }
    }

    /// The core's line on one side from one place along the utensil to another.
    fn core_line(&mut self, nodes: [usize; 2], from: f64, to: f64, side: f64) -> usize {
        let curve = self.curve(move |body, t| core(body, from + t * (to - from), side));
        self.builder.edge(nodes[0], nodes[1], curve)
    }

    /// The three blocks between two lines, given the outline's edges right and left of them.
    fn row(&mut self, one: &Cross, other: &Cross, right: usize, left: usize) {
        let nodes = |i: usize| [one.nodes[i], other.nodes[i]];
        let core_right = self.core_line(nodes(1), one.x, other.x, -1.0);
        let core_left = self.core_line(nodes(2), one.x, other.x, 1.0);
        self.builder.block([right, other.edges[0], core_right, one.edges[0]]);
        self.builder.block([core_right, other.edges[1], core_left, one.edges[1]]);
        self.builder.block([core_left, other.edges[2], left, one.edges[2]]);
    }

    /// On to a line across at `x`, along the plain outline.
    fn advance(&mut self, last: Cross, x: f64) -> Cross {
        let next = self.cross(x);
        let [right, left] = [(0, -1.0), (3, 1.0)].map(|(i, side)| {
            let from = last.x;
            let curve =
                self.curve(move |body, t| body.0.plan.outline_at(from + t * (x - from), side));
            self.builder.rim(last.nodes[i], next.nodes[i], curve)
        });
        self.row(&last, &next, right, left);
        next
    }

    /// Round the handle's end, up to where its rounding has died out.
    fn end_cap(&mut self) -> Cross {
        let body = self.body;
        let plan = &body.0.plan;
        let x = plan.end * (1.0 - CORE_END);
        let at = [
            plan.end_arc(-FRAC_PI_4),
            core(body, x, -1.0),
            core(body, x, 1.0),
            plan.end_arc(FRAC_PI_4),
        ];
        let nodes = at.map(|p| self.builder.node(p));
        let pace = self.pace(plan.end, CORE);
        let right = self.builder.paced(nodes[1], nodes[0], pace);
        let core = self.builder.line(nodes[1], nodes[2]);
        let pace = self.pace(plan.end, CORE);
        let left = self.builder.paced(nodes[2], nodes[3], pace);
        let first = Cross { x, nodes, edges: [right, core, left] };
        let tip = self.curve(|body, t| body.0.plan.end_arc(FRAC_PI_4 * (2.0 * t - 1.0)));
        let tip = self.builder.rim(nodes[0], nodes[3], tip);
        self.builder.block([tip, left, core, right]);

        let next = self.cross(plan.end);
        let [right, left] = [(0, -1.0), (3, 1.0)].map(|(i, side)| {
            let curve =
                self.curve(move |body, t| body.0.plan.end_arc(side * FRAC_PI_4 * (1.0 + t)));
            self.builder.rim(nodes[i], next.nodes[i], curve)
        });
        self.row(&first, &next, right, left);
        next
    }

    /// Round the front of a blade. `bevel` is where its bevel begins.
    fn blade(&mut self, mut last: Cross, bevel: f64) {
        let body = self.body;
        let plan = &body.0.plan;
        let mut cuts = vec![bevel];
        // The front's angles reach as far behind the widest place as the front is long, and no further.
        let close = CLOSE_CUTS.min(0.5 * (plan.length - plan.widest));
        if (plan.widest - bevel).abs() >= close {
            cuts.push(plan.widest);
            cuts.sort_by(f64::total_cmp);
        }
        for x in cuts {
            last = if x <= plan.widest || last.x < plan.widest {
                self.advance(last, x)
            } else {
                self.advance_round(last, x)
            };
        }
        let rest = plan.length - last.x.max(plan.widest);
        let core_x = plan.length - 0.55 * rest;
        let corner = self.front_angle(plan.length - 0.38 * rest);
        let at = [
            plan.front_arc(-corner),
            core(body, core_x, -1.0),
            core(body, core_x, 1.0),
            plan.front_arc(corner),
        ];
        let nodes = at.map(|p| self.builder.node(p));
        let right = self.builder.line(nodes[1], nodes[0]);
        let core = self.builder.line(nodes[1], nodes[2]);
        let left = self.builder.line(nodes[2], nodes[3]);
        let next = Cross { x: core_x, nodes, edges: [right, core, left] };
        let [right, left] = [(0, -1.0), (3, 1.0)]
            .map(|(i, side)| self.round_front(last.nodes[i], nodes[i], last.x, corner, side));
        self.row(&last, &next, right, left);
        let tip = self.curve(move |body, t| body.0.plan.front_arc(corner * (2.0 * t - 1.0)));
        let tip = self.builder.rim(nodes[0], nodes[3], tip);
        self.builder.block([tip, next.edges[2], core, next.edges[0]]);
    }

    /// On to a line across at `x` beyond the widest place.
    fn advance_round(&mut self, last: Cross, x: f64) -> Cross {
        let next = self.cross(x);
        let angle = self.front_angle(x);
        let [right, left] = [(0, -1.0), (3, 1.0)]
            .map(|(i, side)| self.round_front(last.nodes[i], next.nodes[i], last.x, angle, side));
        self.row(&last, &next, right, left);
        next
    }

    /// The outline from a place along the utensil to an angle of the front. The place may lie a
    /// little before the widest: the angle then runs on past a right one.
    fn round_front(&mut self, from: usize, to: usize, x: f64, angle: f64, side: f64) -> usize {
        let plan = &self.body.0.plan;
        let front = plan.length - plan.widest;
        let along = (x - plan.widest) / front;
        let across = (1.0 - along.abs().powf(plan.fullness)).max(0.0).powf(1.0 / plan.fullness);
        let start = across.atan2(along);
        let curve = self.curve(move |body, t| {
            let plan = &body.0.plan;
            let angle = start + t * (angle - start);
            if angle <= FRAC_PI_2 {
                return plan.front_arc(side * angle);
            }
            let [along, _] = super::plan::polar(angle, plan.fullness);
            plan.outline_at(plan.widest + front * along, side)
        });
        self.builder.rim(from, to, curve)
    }

    /// The front's angle at a place along the utensil, left side.
    fn front_angle(&self, x: f64) -> f64 {
        let plan = &self.body.0.plan;
        let along = plan.toward_tip(x);
        let across = (1.0 - along.powf(plan.fullness)).max(0.0).powf(1.0 / plan.fullness);
        across.atan2(along)
    }

    /// The head of a spoon or a fork.
    fn bowl(&mut self, last: Cross) {
        let HeadSkins::Bowl(bowl) = &self.body.0.head else { return };
        let plan = &self.body.0.plan;
        // Lines across the hollow: at its rear corners, its widest place, its front corners.
        let corner = |side: f64| self.land_corner(last.x, side);
        let corners = [corner(-1.0), corner(1.0)];
        let core_x = [
            bowl.rear + NEST * (plan.widest - bowl.rear),
            plan.widest,
            plan.widest + NEST * (bowl.front - plan.widest),
        ];
        let across = |i: usize, s: usize| -> [DVec2; 3] {
            let side = [-1.0, 1.0][s];
            let (edge, outer) = match i {
                0 => (
                    self.body.hollow_rear(side * REAR_CORNER).unwrap_or_default(),
                    plan.outline_at(corners[s], side),
                ),
                1 => (bowl.front_arc(plan, side * FRAC_PI_2), plan.front_arc(side * FRAC_PI_2)),
                _ => (bowl.front_arc(plan, side * FRAC_PI_4), plan.front_arc(side * FRAC_PI_4)),
            };
            let [middle, beside] = [core_x[i], edge.x].map(|x| plan.sway.value(x));
            [DVec2::new(core_x[i], middle + NEST * (edge.y - beside)), edge, outer]
        };
        let lines: Vec<[[DVec2; 3]; 2]> = (0..3).map(|i| [across(i, 0), across(i, 1)]).collect();

        let nodes: Vec<[[usize; 3]; 2]> = lines
            .iter()
            .map(|sides| sides.map(|side| side.map(|p| self.builder.node(p))))
            .collect();
        let mut land = Vec::new();
        let mut slope = Vec::new();
        let mut core = Vec::new();
        for line in &nodes {
            land.push([0, 1].map(|s| self.builder.line(line[s][1], line[s][2])));
            slope.push([0, 1].map(|s| self.core_of_hollow(line[s][0], line[s][1])));
            core.push(self.builder.line(line[0][0], line[1][0]));
        }

        // Rear: the land behind the hollow, and beside it.
        let rear_arc = self
            .curve(|body, t| body.hollow_rear(REAR_CORNER * (2.0 * t - 1.0)).unwrap_or_default());
        let rear_arc = self.builder.edge(nodes[0][0][1], nodes[0][1][1], rear_arc);
        let flank = [0, 1].map(|s| self.builder.line(last.nodes[1 + s], nodes[0][s][1]));
        self.builder.block([last.edges[1], flank[1], rear_arc, flank[0]]);
        self.builder.block([rear_arc, slope[0][1], core[0], slope[0][0]]);
        for (s, side) in [(0, -1.0), (1, 1.0)] {
            let (from, to) = (last.nodes[3 * s], nodes[0][s][2]);
            let outer = self.outline_piece(from, to, last.x, corners[s], side);
            self.builder.block([outer, land[0][s], flank[s], last.edges[2 * s]]);
        }

        // Along the hollow.
        for i in 0..2 {
            let inner = [0, 1].map(|s| self.core_of_hollow(nodes[i][s][0], nodes[i + 1][s][0]));
            self.builder.block([inner[0], core[i + 1], inner[1], core[i]]);
            for (s, side) in [(0, -1.0), (1, 1.0)] {
                let edge = self.hollow_piece(i, side);
                let edge = self.builder.edge(nodes[i][s][1], nodes[i + 1][s][1], edge);
                let (from, to) = (nodes[i][s][2], nodes[i + 1][s][2]);
                let outer = if i == 0 {
                    self.beside_hollow(from, to, corners[s], side)
                } else {
                    self.round_front(from, to, plan.widest, FRAC_PI_4, side)
                };
                self.builder.block([outer, land[i + 1][s], edge, land[i][s]]);
                self.builder.block([edge, slope[i + 1][s], inner[s], slope[i][s]]);
            }
        }

        // Front.
        let arc = self
            .curve(|body, t| body.hollow_front(FRAC_PI_4 * (2.0 * t - 1.0)).unwrap_or_default());
        let arc = self.builder.edge(nodes[2][0][1], nodes[2][1][1], arc);
        let tip = self.curve(|body, t| body.0.plan.front_arc(FRAC_PI_4 * (2.0 * t - 1.0)));
        let tip = self.builder.rim(nodes[2][0][2], nodes[2][1][2], tip);
        self.builder.block([arc, slope[2][1], core[2], slope[2][0]]);
        self.builder.block([tip, land[2][1], arc, land[2][0]]);
    }

    /// Where along the utensil the edge that the land has beside the hollow's rear corner meets the outline, behind
    /// which it begins at `from`. Half-way the edge lies squarely to outline and hollow in a plain head; in one
    /// of its own, whose outline may still be level there, it is where the least of its angles is greatest.
    fn land_corner(&self, from: f64, side: f64) -> f64 {
        const LOOKS: u32 = 40;
        const STEP: f64 = 1e-3;
        let (body, plan) = (self.body, &self.body.0.plan);
        let rear = |angle: f64| body.hollow_rear(side * angle).unwrap_or_default();
        let edge = rear(REAR_CORNER);
        let half_way = 0.5 * (from + edge.x);
        if !plan.is_own() {
            return half_way;
        }
        let hollow = rear(REAR_CORNER + STEP) - edge;
        let flank = edge - core(body, from, side);
        let squarest = |x: f64| {
            let out = plan.outline_at(x, side);
            let outline = plan.outline_at(x + STEP, side) - out;
            let sines = [hollow, flank, outline].map(|line| {
                line.normalize_or_zero().perp_dot((out - edge).normalize_or_zero()).abs()
            });
            sines.into_iter().fold(f64::INFINITY, f64::min)
        };
        let looks =
            (1..LOOKS).map(|look| from + (edge.x - from) * f64::from(look) / f64::from(LOOKS));
        let best = looks.map(|x| (squarest(x), x)).max_by(|a, b| a.0.total_cmp(&b.0));
        best.map_or(half_way, |(_, x)| x)
    }

    /// From a corner of the hollow's core to another, or to the hollow's line: straight in a straight head, else in step with its middle
    /// line, which may bend aside by more than the core is wide.
    fn core_of_hollow(&mut self, from: usize, to: usize) -> usize {
        if !self.body.0.plan.is_own() {
            return self.builder.line(from, to);
        }
        let [p, q] = [from, to].map(|node| self.builder.at(node));
        let curve = self.curve(move |body, t| {
            let middle = |x: f64| body.0.plan.sway.value(x);
            let x = p.x + t * (q.x - p.x);
            let beside = (p.y - middle(p.x)) * (1.0 - t) + (q.y - middle(q.x)) * t;
            DVec2::new(x, middle(x) + beside)
        });
        self.builder.edge(from, to, curve)
    }

    /// The outline between two places along the utensil, neither beyond the widest.
    fn outline_piece(&mut self, from: usize, to: usize, x0: f64, x1: f64, side: f64) -> usize {
        let curve = self.curve(move |body, t| body.0.plan.outline_at(x0 + t * (x1 - x0), side));
        self.builder.rim(from, to, curve)
    }

    /// The outline from beside the hollow's rear corner to the widest place. It lies square to the
    /// hollow's line, however narrow the land between them; only where that line closes, and by the
    /// same power, does it lag behind.
    fn beside_hollow(&mut self, from: usize, to: usize, x: f64, side: f64) -> usize {
        let (body, plan) = (self.body, &self.body.0.plan);
        let (widest, fullness) = (plan.widest, plan.fullness);
        let rear = body.hollow_rear(REAR_CORNER).unwrap_or_default().x;
        let foot = body.land_foot(rear, side);
        // The outline of a head of its own needn't be level at its widest place.
        let short = match plan.is_own() {
            true => widest - body.land_foot(widest, side),
            false => 0.0,
        };
        let curve = self.curve(move |body, t| {
            let hollow = body.hollow_rear(beside_angle(t)).unwrap_or_default().x;
            let come = (hollow - rear) / (widest - rear);
            let beside = body.land_foot(hollow, side) + short * come;
            let at = if foot > x {
                let closing = ((widest - hollow) / (widest - rear)).max(0.0);
                beside - (foot - x) * closing.powf(fullness)
            } else {
                // A wide land, its foot behind where the lines across it begin.
                widest - (widest - beside) * ((widest - x) / (widest - foot))
            };
            body.0.plan.outline_at(at, side)
        });
        self.builder.rim(from, to, curve)
    }

    /// The hollow's line beside the middle: its rear, then its front.
    fn hollow_piece(&self, i: usize, side: f64) -> PlanCurve {
        self.curve(move |body, t| {
            let at = if i == 0 {
                body.hollow_rear(side * beside_angle(t))
            } else {
                body.hollow_front(side * (FRAC_PI_2 - FRAC_PI_4 * t))
            };
            at.unwrap_or_default()
        })
    }
}

/// The angle of the hollow's rear from its corner to the widest place, left side.
fn beside_angle(t: f64) -> f64 {
    REAR_CORNER + t * (FRAC_PI_2 - REAR_CORNER)
}

/// The core's border at a place along the utensil. Beyond the widest place it draws in with the
/// outline, so that a pointed front holds it.
fn core(body: &Body, x: f64, side: f64) -> DVec2 {
    let Parts { plan, handle, .. } = &*body.0;
    let half = if x > plan.widest { plan.half(x) } else { plan.half_open(x) };
    DVec2::new(x, plan.sway.value(x) + side * handle.core(plan, x) * half)
}
