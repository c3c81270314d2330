//! Fillets where a tab meets the body and the frame: the surface that a ball a little larger than
//! the finishing cutter's leaves there, so that the cutter itself reaches all of it, digs nowhere
//! and leaves no step.
//!
//! The larger ball is rolled over skin, tab and frame on a grid (the grey-scale closing: J. Serra,
//! Image Analysis and Mathematical Morphology, 1982); the mesh is made finer there, and its points
//! are lifted to what the ball leaves.
//!
//! Promised: points are only ever lifted, and only beside a tab; the mesh stays closed. Not
//! promised: the corner between a tab's upright side and the body, where the cutter leaves its own
//! radius.

use super::rolling::closed;
use super::tab::Tab;
use glam::{DVec2, DVec3};
use std::collections::BTreeMap;

/// The fillet's radius over the ball's: room for the path program's tolerance and for a cutter a
/// little over size (common practice, no source).
const OVER: f64 = 1.1;
/// But at most so much greater, in mm, so that the larger ball still goes into the skirt, which is
/// 1 mm wider than the cutter.
const OVER_MOST_MM: f64 = 0.4;
/// Cells and mesh edges to a radius: edges a seventh of it leave the arc by a four-hundredth.
const CELLS: f64 = 14.0;
const EDGES: f64 = 7.0;
/// A cell and an edge are never shorter than this, in mm: a needle of a cutter would ask for
/// millions of them.
const LEAST_CELL: f64 = 0.08;
const LEAST_EDGE: f64 = 0.15;
/// Less than this is no fillet (mm): half of what the coarsest usual mesh may err.
const LEAST_LIFT: f64 = 0.01;

/// What a face is.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Skin,
    TabTop,
    Other,
}

/// The mesh while it is built. Facing up.
pub(super) struct Built<'a> {
    pub points: &'a mut Vec<DVec3>,
    pub faces: &'a mut Vec<[u32; 3]>,
    /// Which points belong to the skin or to a tab's top.
    pub upper: Vec<bool>,
    /// What each face is.
    pub kinds: Vec<Kind>,
    /// The rim and the skirt's edge in the plan.
    pub rim: &'a [DVec2],
    pub edge: &'a [DVec2],
    /// Height of the stock's upper face.
    pub over: f64,
}

/// Radius of the fillets for a ball of that radius, in mm.
pub(super) fn fillet(ball: f64) -> f64 {
    (OVER * ball).min(ball + OVER_MOST_MM)
}

/// Shapes the feet of all tabs.
pub(super) fn shape(mut built: Built<'_>, tabs: &[Tab], ball: f64) {
    let radius = fillet(ball);
    if !(radius.is_finite() && radius > 0.0) {
        return;
    }
    let places: Vec<Place> = tabs.iter().map(|tab| Place::new(tab, &built, radius)).collect();
    refine(&mut built, &places, (radius / EDGES).max(LEAST_EDGE));
    let mut on_tab = vec![false; built.points.len()];
    for (face, _) in built.faces.iter().zip(&built.kinds).filter(|(_, k)| **k == Kind::TabTop) {
        face.iter().for_each(|corner| on_tab[*corner as usize] = true);
    }
    for place in &places {
        place.lift(&mut built, &on_tab, radius);
    }
}

/// A tab's surroundings: a rectangle in the plan, along the outline and outwards.
struct Place {
    foot: DVec2,
    along: DVec2,
    out: DVec2,
    top: f64,
    /// Half of the tab's width.
    half: f64,
    /// Least and greatest corner of what may be lifted.
    low: DVec2,
    high: DVec2,
    grid: Grid,
}

/// Heights on a grid: what the ball leaves with the tab and without it.
struct Grid {
    low: DVec2,
    cell: f64,
    wide: usize,
    with: Vec<f64>,
    without: Vec<f64>,
}

impl Place {
    fn new(tab: &Tab, built: &Built<'_>, radius: f64) -> Place {
        let half = tab.width.half().as_mm();
        let (foot, along, out) = (tab.foot, tab.along(), tab.out);
        let local = |p: DVec2| DVec2::new((p - foot).dot(along), (p - foot).dot(out));
        // The furthest that the skirt's edge lies out within the tab's width.
        let far = built
            .edge
            .iter()
            .map(|p| local(*p))
            .filter(|p| p.x.abs() <= half + 2.0 * radius && p.y > 0.0 && p.y < 60.0)
            .map(|p| p.y)
            .fold(2.0 * radius, f64::max);
        let low = DVec2::new(-half - 2.0 * radius, -half.min(radius) - 3.0 * radius);
        let high = DVec2::new(half + 2.0 * radius, far + 0.5);
        let top = tab.top.as_mm();
        let mut place = Place {
            foot,
            along,
            out,
            top,
            half,
            low,
            high,
            grid: Grid { low, cell: 1.0, wide: 0, with: Vec::new(), without: Vec::new() },
        };
        place.grid = place.heights(built, radius);
        place
    }

    fn local(&self, p: DVec2) -> DVec2 {
        let from = p - self.foot;
        DVec2::new(from.dot(self.along), from.dot(self.out))
    }

    /// Skin, tab and frame on a grid that reaches two radii past what may be lifted, closed.
    fn heights(&self, built: &Built<'_>, radius: f64) -> Grid {
        let cell = (radius / CELLS).max(LEAST_CELL);
        // A tab's sides fall on cells, so that they come out straight.
        let cell = self.half / (self.half / cell).ceil().max(1.0);
        let corner = DVec2::new(-self.half, 0.0);
        let low = corner - cell * ((corner - self.low + 2.0 * radius) / cell).ceil();
        let span = (self.high - self.low + 4.0 * radius) / cell;
        let (wide, tall) = (span.x.ceil() as usize + 1, span.y.ceil() as usize + 1);
        let void = self.top - 4.0 * radius;
        let mut skin = vec![f64::NEG_INFINITY; wide * tall];
        let at = |column: usize, row: usize| low + cell * DVec2::new(column as f64, row as f64);
        for (face, _) in built.faces.iter().zip(&built.kinds).filter(|(_, k)| **k == Kind::Skin) {
            let [a, b, c] = face.map(|i| built.points[i as usize]);
            let [p, q, r] = [a, b, c].map(|corner| self.local(corner.truncate()));
            let (least, most) = (p.min(q).min(r), p.max(q).max(r));
            let from = ((least - low) / cell).ceil().max(DVec2::ZERO);
            let to = ((most - low) / cell).floor();
            let area = (q - p).perp_dot(r - p);
            if to.x < from.x || to.y < from.y || area == 0.0 {
                continue;
            }
            for row in from.y as usize..=(to.y as usize).min(tall - 1) {
                for column in from.x as usize..=(to.x as usize).min(wide - 1) {
                    let w = at(column, row) - p;
                    let (s, t) = (w.perp_dot(r - p) / area, (q - p).perp_dot(w) / area);
                    if s >= -1e-9 && t >= -1e-9 && s + t <= 1.0 + 1e-9 {
                        let z = a.z + s * (b.z - a.z) + t * (c.z - a.z);
                        let slot = &mut skin[row * wide + column];
                        *slot = slot.max(z);
                    }
                }
            }
        }
        let (mut with, mut without) = (skin.clone(), skin);
        let edge: Vec<DVec2> = built.edge.iter().map(|p| self.local(*p)).collect();
        for row in 0..tall {
            let crossings = crossings(&edge, at(0, row).y);
            for column in 0..wide {
                let index = row * wide + column;
                let p = at(column, row);
                if with[index] > f64::NEG_INFINITY {
                    continue;
                }
                let strip = p.x.abs() <= self.half + 1e-9 && p.y > self.low.y;
                let frame = crossings.iter().filter(|x| **x > p.x).count() % 2 == 0;
                without[index] = if frame { built.over } else { void };
                with[index] = if frame {
                    built.over
                } else if strip {
                    self.top
                } else {
                    void
                };
            }
        }
        let with = closed(&with, wide, radius, cell, &self.crest(built.rim, low, cell));
        let without = closed(&without, wide, radius, cell, &[]);
        Grid { low, cell, wide, with, without }
    }

    /// The edge of the tab's top over the rim, which no cells follow: places in cells, and heights.
    fn crest(&self, rim: &[DVec2], low: DVec2, cell: f64) -> Vec<(DVec2, f64)> {
        /// Places to a cell.
        const FINE: f64 = 4.0;
        let mut crest = Vec::new();
        for (index, a) in rim.iter().enumerate() {
            let (a, b) = (self.local(*a), self.local(rim[(index + 1) % rim.len()]));
            let (least, most) = (a.min(b), a.max(b));
            if least.cmpgt(self.high).any() || most.cmplt(self.low).any() {
                continue;
            }
            let parts = (FINE * a.distance(b) / cell).ceil().clamp(1.0, 1e4) as usize;
            let places = (0..=parts).map(|part| a.lerp(b, part as f64 / parts as f64));
            let over_rim = places.filter(|p| p.x.abs() <= self.half);
            crest.extend(over_rim.map(|p| ((p - low) / cell, self.top)));
        }
        crest
    }

    fn lift(&self, built: &mut Built<'_>, on_tab: &[bool], radius: f64) {
        let middle = 0.5 * self.high.y;
        for (index, on_tab) in on_tab.iter().enumerate() {
            let point = built.points[index];
            let p = self.local(point.truncate());
            if !built.upper[index] || p.cmplt(self.low).any() || p.cmpgt(self.high).any() {
                continue;
            }
            let (Some(with), Some(without)) = (self.grid.at(p, true), self.grid.at(p, false))
            else {
                continue;
            };
            // On the tab, and on the rim under it.
            let z = if *on_tab {
                // Against the frame the ball's side is upright: the last of it is left away.
                let most = if p.y > middle { self.top + 0.8 * radius } else { f64::INFINITY };
                with.max(self.top).min(most.max(self.top)).max(if p.y > middle {
                    f64::NEG_INFINITY
                } else {
                    point.z
                })
            } else if with > point.z.max(without) + LEAST_LIFT {
                with
            } else {
                continue;
            };
            built.points[index].z = z.min(built.over);
        }
    }
}

impl Grid {
    /// Between the four cells round a place.
    fn at(&self, p: DVec2, with: bool) -> Option<f64> {
        let all = if with { &self.with } else { &self.without };
        let q = (p - self.low) / self.cell;
        let from = q.floor();
        if from.min_element() < 0.0 || from.x as usize + 1 >= self.wide {
            return None;
        }
        let t = q - from;
        let first = from.y as usize * self.wide + from.x as usize;
        let get = |index: usize| all.get(index).copied();
        let low = get(first)? * (1.0 - t.x) + get(first + 1)? * t.x;
        let high = get(first + self.wide)? * (1.0 - t.x) + get(first + self.wide + 1)? * t.x;
        Some(low * (1.0 - t.y) + high * t.y)
    }
}

/// Splits the edges between upper points that go through a tab's surroundings until none is longer
/// than `most` in the plan. Both triangles at an edge split it alike, so that nothing opens.
fn refine(built: &mut Built<'_>, places: &[Place], most: f64) {
    /// Halving so often takes a spoon's length to a fifth of a millimetre.
    const ROUNDS: usize = 11;
    for _ in 0..ROUNDS {
        let mut halves: BTreeMap<[u32; 2], u32> = BTreeMap::new();
        let count = built.faces.len();
        for index in 0..count {
            let face = built.faces[index];
            for i in 0..3 {
                let (a, b) = (face[i], face[(i + 1) % 3]);
                if !built.upper[a as usize] || !built.upper[b as usize] {
                    continue;
                }
                let (p, q) = (built.points[a as usize], built.points[b as usize]);
                let long = p.truncate().distance(q.truncate()) > most;
                let near = || places.iter().any(|place| place.crossed(p.truncate(), q.truncate()));
                if long && !halves.contains_key(&key(a, b)) && near() {
                    built.points.push(p.midpoint(q));
                    built.upper.push(true);
                    halves.insert(key(a, b), built.points.len() as u32 - 1);
                }
            }
        }
        if halves.is_empty() {
            return;
        }
        for index in 0..count {
            let [a, b, c] = built.faces[index];
            let half = |p: u32, q: u32| halves.get(&key(p, q)).copied();
            let parts = match (half(a, b), half(b, c), half(c, a)) {
                (None, None, None) => continue,
                (Some(m), None, None) => vec![[a, m, c], [m, b, c]],
                (None, Some(m), None) => vec![[a, b, m], [a, m, c]],
                (None, None, Some(m)) => vec![[a, b, m], [m, b, c]],
                (Some(m), Some(n), None) => vec![[m, b, n], [a, m, n], [a, n, c]],
                (None, Some(m), Some(n)) => vec![[n, m, c], [a, b, m], [a, m, n]],
                (Some(m), None, Some(n)) => vec![[a, m, n], [m, b, c], [m, c, n]],
                (Some(m), Some(n), Some(o)) => {
                    vec![[a, m, o], [m, b, n], [n, c, o], [m, n, o]]
                }
            };
            built.faces[index] = parts[0];
            built.faces.extend_from_slice(&parts[1..]);
            let kind = built.kinds[index];
            built.kinds.resize(built.faces.len(), kind);
        }
    }
}

fn key(a: u32, b: u32) -> [u32; 2] {
    [a.min(b), a.max(b)]
}

impl Place {
    /// Whether a line goes through what may be lifted.
    fn crossed(&self, a: DVec2, b: DVec2) -> bool {
        let (a, b) = (self.local(a), self.local(b));
        let (mut from, mut to) = (0.0, 1.0);
        for axis in 0..2 {
            let way = b[axis] - a[axis];
            let (low, high) = (self.low[axis] - a[axis], self.high[axis] - a[axis]);
            if way == 0.0 {
                if low > 0.0 || high < 0.0 {
                    return false;
                }
                continue;
            }
            let (s, t) = (low / way, high / way);
            from = f64::max(from, s.min(t));
            to = f64::min(to, s.max(t));
        }
        from <= to
    }
}

/// Where a level line meets a closed polygon.
fn crossings(ring: &[DVec2], y: f64) -> Vec<f64> {
    (0..ring.len())
        .filter_map(|i| {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            let crosses = (a.y > y) != (b.y > y);
            crosses.then(|| a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x))
        })
        .collect()
}
