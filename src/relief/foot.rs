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

use super::lift::{FootGrid, LEAST_LIFT, Lifting, Under};
use super::refine::{self, Halves};
use super::set_back::set_back;
use super::tab::Tab;
use super::upper::{Built, FootRegion, Kind};
use glam::{DVec2, DVec3};
use rayon::prelude::*;

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

/// Radius of the fillets for a ball of that radius, in mm.
pub(super) fn fillet(ball: f64) -> f64 {
    (OVER * ball).min(ball + OVER_MOST_MM)
}

/// Shapes the feet of all tabs. Gives the edges that were split for it.
pub(super) fn shape(mut built: Built<'_>, tabs: &[Tab], ball: f64) -> Halves {
    let radius = fillet(ball);
    if !(radius.is_finite() && radius > 0.0) {
        return Halves::default();
    }
    let grounds: Vec<Ground> =
        (0..tabs.len()).map(|index| Ground::new(index, tabs, &built, radius)).collect();
    let near = near(&built, &grounds);
    set_back(&mut built, &near);
    let grounds: Vec<Ground> = grounds
        .into_par_iter()
        .with_max_len(1)
        .map(|ground| ground.laid(&built, &near, tabs, radius))
        .collect();
    let bends = |a: DVec2, b: DVec2| grounds.iter().any(|ground| ground.bends(a, b));
    let halves = refine::refine(&mut built, &bends, (radius / EDGES).max(LEAST_EDGE), near);
    let mut on_tab = vec![None; built.points.len()];
    for (face, kind) in built.faces.iter().zip(&built.kinds) {
        if let Kind::TabTop(tab) = kind {
            face.iter().for_each(|corner| on_tab[*corner as usize] = Some(*tab));
        }
    }
    for ground in &grounds {
        ground.lift(&mut built, &on_tab, radius);
    }
    halves
}

/// The faces that touch the ground of a tab, by their boxes, in order.
fn near(built: &Built<'_>, grounds: &[Ground]) -> Vec<u32> {
    let touches = |face: &[u32; 3]| {
        let [a, b, c] = face.map(|corner| built.points[corner as usize].truncate());
        let (low, high) = (a.min(b).min(c), a.max(b).max(c));
        let reaches = |[least, most]: [DVec2; 2]| low.cmple(most).all() && high.cmpge(least).all();
        grounds.iter().any(|ground| reaches(ground.within))
    };
    let faces = built.faces.iter().enumerate().filter(|(_, face)| touches(face));
    faces.map(|(index, _)| index as u32).collect()
}

/// Skin, tab and frame on a grid that reaches two radii past what may be lifted.
struct Ground {
    place: FootRegion,
    /// Least and greatest corner, in the plan, of a box that holds the grid.
    within: [DVec2; 2],
    grid: FootGrid,
    tall: usize,
    /// What the ball leaves there.
    lift: Lifting,
}

impl Ground {
    fn new(index: usize, tabs: &[Tab], built: &Built<'_>, radius: f64) -> Ground {
        let tab = &tabs[index];
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
        // The furthest in that its top reaches, where the outline is round.
        let own = built.faces.iter().zip(&built.kinds).filter(|(_, k)| **k == Kind::TabTop(index));
        let deep = own
            .flat_map(|(face, _)| face)
            .map(|corner| local(built.points[*corner as usize].truncate()).y)
            .fold(-half.min(radius), f64::min);
        let low = DVec2::new(-half - 2.0 * radius, deep - 3.0 * radius);
        let high = DVec2::new(half + 2.0 * radius, far + 0.5);
        let top = tab.top.as_mm();
        let place = FootRegion { tab: index, foot, along, out, top, half, low, high };
        let cell = (radius / CELLS).max(LEAST_CELL);
        // A tab's sides fall on cells, so that they come out straight.
        let cell = half / (half / cell).ceil().max(1.0);
        let corner = DVec2::new(-half, 0.0);
        let first = corner - cell * ((corner - low + 2.0 * radius) / cell).ceil();
        let span = (high - low + 4.0 * radius) / cell;
        let (wide, tall) = (span.x.ceil() as usize + 1, span.y.ceil() as usize + 1);
        let last = first + cell * DVec2::new(wide as f64, tall as f64);
        let corners = [(first.x, first.y), (last.x, first.y), (first.x, last.y), (last.x, last.y)]
            .map(|(x, y)| foot + x * along + y * out);
        let least = corners.into_iter().fold(DVec2::INFINITY, DVec2::min) - radius;
        let most = corners.into_iter().fold(DVec2::NEG_INFINITY, DVec2::max) + radius;
        Ground {
            place,
            within: [least, most],
            grid: FootGrid { low: first, cell, wide },
            tall,
            lift: Lifting::default(),
        }
    }

    /// With what the ball leaves on those faces that are near.
    fn laid(self, built: &Built<'_>, near: &[u32], tabs: &[Tab], radius: f64) -> Ground {
        let Ground { place, grid, tall, .. } = &self;
        let (FootGrid { low, cell, wide }, tall) = (*grid, *tall);
        let void = place.top - 4.0 * radius;
        let at = |column: usize, row: usize| low + cell * DVec2::new(column as f64, row as f64);
        let nothing = vec![f64::NEG_INFINITY; wide * tall];
        let (mut without, mut others) = (nothing.clone(), nothing);
        let mut strip = vec![false; wide * tall];
        let mut skin = strip.clone();
        for index in near.iter().map(|index| *index as usize) {
            let corners = built.faces[index].map(|i| built.points[i as usize]);
            let cells = self.under(corners);
            match built.kinds[index] {
                Kind::Skin => {
                    for (cell, z) in cells {
                        without[cell] = without[cell].max(z);
                    }
                }
                Kind::TabTop(tab) if tab == place.tab => {
                    cells.for_each(|(cell, _)| strip[cell] = true);
                }
                Kind::TabTop(tab) => {
                    let top = tabs[tab].top.as_mm();
                    cells.for_each(|(cell, _)| others[cell] = others[cell].max(top));
                }
                Kind::Floor => {}
            }
        }
        let edge: Vec<DVec2> = built.edge.iter().map(|p| place.local(*p)).collect();
        for row in 0..tall {
            let crossings = crossings(&edge, at(0, row).y);
            for column in 0..wide {
                let index = row * wide + column;
                if without[index] > f64::NEG_INFINITY {
                    // The skin's own.
                    strip[index] = false;
                    skin[index] = true;
                    continue;
                }
                let right = crossings.iter().filter(|x| **x > at(column, row).x).count();
                let frame = right % 2 == 0;
                without[index] = if frame { built.over } else { void.max(others[index]) };
                strip[index] &= !frame;
            }
        }
        let under = Under {
            grid: *grid,
            without,
            skin,
            strip,
            top: place.top,
            crest: self.crest(built.rim),
            within: [place.low, place.high],
        };
        Ground { lift: Lifting::of(&under, radius), ..self }
    }

    /// Whether something is lifted along a line of the plan, or beside it.
    fn bends(&self, a: DVec2, b: DVec2) -> bool {
        self.place.part(a, b).is_some_and(|line| self.lift.along(line))
    }

    /// The cells under a triangle, with its heights over them.
    fn under(&self, [a, b, c]: [DVec3; 3]) -> impl Iterator<Item = (usize, f64)> + use<> {
        let FootGrid { low, cell, wide } = self.grid;
        let [p, q, r] = [a, b, c].map(|corner| self.place.local(corner.truncate()));
        let (least, most) = (p.min(q).min(r), p.max(q).max(r));
        let last = DVec2::new(wide as f64, self.tall as f64) - 1.0;
        let from = ((least - low) / cell).ceil().max(DVec2::ZERO);
        let to = ((most - low) / cell).floor().min(last);
        let area = (q - p).perp_dot(r - p);
        let some = to.x >= from.x && to.y >= from.y && area != 0.0;
        let rows = if some { from.y as usize..to.y as usize + 1 } else { 0..0 };
        rows.flat_map(move |row| (from.x as usize..to.x as usize + 1).map(move |at| (at, row)))
            .filter_map(move |(column, row)| {
                let w = low + cell * DVec2::new(column as f64, row as f64) - p;
                let (s, t) = (w.perp_dot(r - p) / area, (q - p).perp_dot(w) / area);
                let within = s >= -1e-9 && t >= -1e-9 && s + t <= 1.0 + 1e-9;
                let z = a.z + s * (b.z - a.z) + t * (c.z - a.z);
                within.then_some((row * wide + column, z))
            })
    }

    /// The edge of the tab's top over the rim: places in cells, and heights.
    fn crest(&self, rim: &[DVec2]) -> Vec<(DVec2, f64)> {
        /// Places to a cell.
        const FINE: f64 = 4.0;
        let Ground { place, grid: FootGrid { low, cell, .. }, .. } = self;
        let mut crest = Vec::new();
        for (index, a) in rim.iter().enumerate() {
            let (a, b) = (place.local(*a), place.local(rim[(index + 1) % rim.len()]));
            let (least, most) = (a.min(b), a.max(b));
            if least.cmpgt(place.high).any() || most.cmplt(place.low).any() {
                continue;
            }
            let parts = (FINE * a.distance(b) / cell).ceil().clamp(1.0, 1e4) as usize;
            let places = (0..=parts).map(|part| a.lerp(b, part as f64 / parts as f64));
            let over_rim = places.filter(|p| p.x.abs() <= place.half);
            crest.extend(over_rim.map(|p| ((p - low) / cell, place.top)));
        }
        crest
    }

    /// Lifts the points of the mesh to what the ball leaves.
    fn lift(&self, built: &mut Built<'_>, on_tab: &[Option<usize>], radius: f64) {
        let Ground { place, lift, .. } = self;
        let [least, most] = self.within;
        let middle = 0.5 * place.high.y;
        for (index, on_tab) in on_tab.iter().enumerate() {
            let point = built.points[index];
            let plan = point.truncate();
            // Another tab's are its own to lift.
            let other = on_tab.is_some_and(|tab| tab != place.tab);
            if !built.upper[index] || other || plan.cmplt(least).any() || plan.cmpgt(most).any() {
                continue;
            }
            let p = place.local(plan);
            if p.cmplt(place.low).any() || p.cmpgt(place.high).any() {
                continue;
            }
            let Some([with, without]) = lift.at(p) else { continue };
            // On the tab, and on the rim under it.
            let z = if on_tab.is_some() {
                // Against the frame the ball's side is upright: the last of it is left away.
                let most = if p.y > middle { place.top + 0.8 * radius } else { f64::INFINITY };
                with.max(place.top).min(most.max(place.top)).max(if p.y > middle {
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
