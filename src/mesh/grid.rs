//! The coarse start: every block of the lattice filled with nearly equilateral triangles, on both
//! skins and the rim wall, with corners shared along all edges.

use crate::shape::{Body, Lattice, SideOf};
use glam::{DVec2, DVec3};
use rayon::prelude::*;
use spade::{DelaunayTriangulation, Point2, Triangulation};
use std::collections::BTreeMap;

/// Least and greatest length of a cell, in mm: small enough that the coarsest tolerance finds every
/// feature, large enough that the grid does not set the number of triangles, and near enough to
/// each other that no triangle is thin.
const SHORTEST: f64 = 1.5;
const LONGEST: f64 = 3.2;
/// How far, in mm, an edge's chord may leave it before the cells get shorter than the longest.
const BULGE: f64 = 0.06;
/// The same, as a share of the width of a strip between two edges, where that is less: a chord that
/// leaves its edge by as much as the strip is wide lies on the strip's other edge.
const BULGE_IN_STRIP: f64 = 0.25;
/// More cells than this no body needs that can be made, however large: one whose skins run off to nowhere gets so
/// many, and its error is then told. It would take all memory else.
const MOST_CELLS: f64 = 500_000.0;
/// Height of a row of equilateral triangles against their side: √3 / 2.
const ROW: f64 = 0.866_025_403_784_438_6;

/// One of the surfaces that the mesh is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Patch {
    /// A block on the top skin.
    Top(usize),
    /// A block on the bottom skin.
    Bottom(usize),
    /// The rim wall over an edge of the outline, traversed counter-clockwise.
    Wall(SideOf),
}

/// The exact surface, by patch and parameters.
pub(super) struct Surface<'a> {
    pub(super) body: &'a Body,
    pub(super) lattice: &'a Lattice,
}

impl Surface<'_> {
    /// The point of a patch at its two parameters.
    pub(super) fn at(&self, patch: Patch, [a, b]: [f64; 2]) -> DVec3 {
        match patch {
            Patch::Top(block) => self.top(self.lattice.plan(block, a, b)),
            Patch::Bottom(block) => self.bottom(self.lattice.plan(block, a, b)),
            Patch::Wall(side) => {
                let p = self.lattice.along(side, a);
                self.bottom(p).lerp(self.top(p), b)
            }
        }
    }

    fn top(&self, p: DVec2) -> DVec3 {
        p.extend(self.body.top(p))
    }

    fn bottom(&self, p: DVec2) -> DVec3 {
        p.extend(self.body.bottom(p))
    }
}

/// A triangle before refinement: corners, the same corners as parameters of its patch. The edge
/// opposite the first corner is the one that will be halved first.
pub(super) struct Seed {
    pub(super) patch: Patch,
    pub(super) corners: [u32; 3],
    pub(super) places: [[f64; 2]; 3],
}

/// The coarse mesh.
pub(super) struct Grid {
    pub(super) points: Vec<DVec3>,
    pub(super) seeds: Vec<Seed>,
}

/// Fills every block.
pub(super) fn of(surface: &Surface) -> Grid {
    let lattice = surface.lattice;
    let counts = counts(surface);
    let mut grid = Grid { points: Vec::new(), seeds: Vec::new() };
    // Points of all edges, on the top and on the bottom skin, in the edge's own direction.
    let mut skins: Vec<[Vec<u32>; 2]> = Vec::new();
    let mut corners: BTreeMap<(usize, bool), u32> = BTreeMap::new();
    for (index, edge) in lattice.edges.iter().enumerate() {
        skins.push([true, false].map(|top| {
            (0..=counts[index])
                .map(|step| {
                    let mut make = || {
                        let p = (edge.curve)(f64::from(step) / f64::from(counts[index]));
                        grid.add(if top { surface.top(p) } else { surface.bottom(p) })
                    };
                    match step {
                        0 => *corners.entry((edge.from, top)).or_insert_with(make),
                        s if s == counts[index] => {
                            *corners.entry((edge.to, top)).or_insert_with(make)
                        }
                        _ => make(),
                    }
                })
                .collect()
        }));
    }
    let along = |side: SideOf, skin: usize| {
        let mut points = skins[side.edge][skin].clone();
        if side.reversed {
            points.reverse();
        }
        points
    };
    let blocks = (0..lattice.blocks.len()).into_par_iter().with_max_len(1);
    let fills: Vec<Fill> = blocks.map(|index| fill(surface, index, &counts)).collect();
    for (index, fill) in fills.into_iter().enumerate() {
        for (skin, patch) in [(0, Patch::Top(index)), (1, Patch::Bottom(index))] {
            let sides = lattice.blocks[index].sides.map(|side| along(side, skin));
            let ids: Vec<u32> = fill
                .places
                .iter()
                .map(|place| match place.on {
                    Stands::Side(side, step) => sides[side][step],
                    Stands::Skins(points) => grid.add(points[skin]),
                })
                .collect();
            for corners in &fill.triangles {
                let mut corners = *corners;
                if skin == 1 {
                    corners.swap(1, 2);
                }
                grid.seed(patch, corners.map(|k| ids[k]), corners.map(|k| fill.places[k].at));
            }
        }
    }
    for side in lattice.rim() {
        let rows = [along(side, 1), along(side, 0)];
        grid.strip(Patch::Wall(side), &rows);
    }
    grid
}

impl Grid {
    fn add(&mut self, p: DVec3) -> u32 {
        self.points.push(p);
        (self.points.len() - 1) as u32
    }

    /// A triangle whose longest edge will be halved first.
    fn seed(&mut self, patch: Patch, corners: [u32; 3], places: [[f64; 2]; 3]) {
        let p = corners.map(|corner| self.points[corner as usize]);
        let squares = [0, 1, 2].map(|k| p[(k + 1) % 3].distance_squared(p[(k + 2) % 3]));
        let first = (0..3).fold(0, |best, k| if squares[k] > squares[best] { k } else { best });
        let turn = [first, (first + 1) % 3, (first + 2) % 3];
        self.seeds.push(Seed {
            patch,
            corners: turn.map(|k| corners[k]),
            places: turn.map(|k| places[k]),
        });
    }

    /// Two triangles a cell between two rows of equally many points.
    fn strip(&mut self, patch: Patch, rows: &[Vec<u32>; 2]) {
        let last = rows[0].len() - 1;
        let place = |i: usize, j: usize| [i as f64 / last as f64, j as f64];
        for i in 0..last {
            let cell = [(i, 0), (i + 1, 0), (i + 1, 1), (i, 1)];
            // Alternate, so that the strip leans neither way.
            let halves = if i % 2 == 0 { [[0, 1, 2], [0, 2, 3]] } else { [[0, 1, 3], [1, 2, 3]] };
            for half in halves {
                self.seed(
                    patch,
                    half.map(|k: usize| rows[cell[k].1][cell[k].0]),
                    half.map(|k| place(cell[k].0, cell[k].1)),
                );
            }
        }
    }
}

/// A point of a block's coarse triangulation.
struct BlockPoint {
    at: [f64; 2],
    on: Stands,
}

/// What a point of a block is a point of.
enum Stands {
    /// One of its sides, so many steps along it.
    Side(usize, usize),
    /// The two skins alone, the top one first.
    Skins([DVec3; 2]),
}

/// A block's coarse triangulation in its parameters.
struct Fill {
    places: Vec<BlockPoint>,
    triangles: Vec<[usize; 3]>,
}

/// Fills a block with triangles that are about equilateral in space: rows of points, joined by the
/// Delaunay criterion in parameters stretched to the block's own lengths.
fn fill(surface: &Surface, index: usize, counts: &[u32]) -> Fill {
    let sides = surface.lattice.blocks[index].sides;
    let steps = sides.map(|side| counts[side.edge] as usize);
    let mut places = Vec::new();
    for (side, n) in steps.into_iter().enumerate() {
        // Each side gives its first corner as it is run round the block, and its inner points.
        let range = if side < 2 { 0..n } else { 1..n + 1 };
        for step in range {
            let t = if step == n { 1.0 } else { step as f64 / n as f64 };
            let at = [[t, 0.0], [1.0, t], [t, 1.0], [0.0, t]][side];
            places.push(BlockPoint { at, on: Stands::Side(side, step) });
        }
    }
    let wide = 0.5 * (steps[0] + steps[2]) as f64;
    let high = 0.5 * (steps[1] + steps[3]) as f64;
    let rows = high.round().max(1.0) as usize;
    for row in 1..rows {
        let b = row as f64 / rows as f64;
        let width = (1.0 - b) * steps[0] as f64 + b * steps[2] as f64;
        let n = width.round().max(1.0) as usize;
        // Every other row is set over by half a cell.
        let (count, shift) = if row % 2 == 1 { (n, 0.5) } else { (n - 1, 1.0) };
        for i in 0..count {
            let at = [(i as f64 + shift) / n as f64, b];
            let skins = [Patch::Top(index), Patch::Bottom(index)];
            let on = Stands::Skins(skins.map(|skin| surface.at(skin, at)));
            places.push(BlockPoint { at, on });
        }
    }
    let flat = |at: [f64; 2]| Point2::new(at[0] * wide, at[1] * high * ROW);
    let points = places.iter().map(|place| flat(place.at)).collect();
    // A stable load keeps the points' order, and so the same mesh every time.
    let Ok(net) = DelaunayTriangulation::<Point2<f64>>::bulk_load_stable(points) else {
        return Fill { places, triangles: Vec::new() };
    };
    let triangles =
        net.inner_faces().map(|face| face.vertices().map(|vertex| vertex.index())).collect();
    Fill { places, triangles }
}

/// How many cells lie along each edge: more where it is more bent over one of the skins, or runs
/// beside another one or close to the next row of cells.
fn counts(surface: &Surface) -> Vec<u32> {
    let lattice = surface.lattice;
    let courses: Vec<[f64; 2]> =
        (0..lattice.edges.len()).map(|edge| course(surface, edge)).collect();
    let counts = |strips: &[f64]| -> Vec<u32> {
        let of = |(edge, [length, turn]): (usize, &[f64; 2])| {
            // A circle's chord of length s leaves it by s² / 8 r, and turns by s / r.
            let by_bend = (length * turn / (8.0 * BULGE)).sqrt();
            let by_bend = by_bend.clamp(length / LONGEST, length / SHORTEST);
            let bulge = BULGE_IN_STRIP * strips[edge];
            let by_strip = if bulge < BULGE { in_strip(lattice, edge, bulge) } else { 0.0 };
            let cells = by_bend.max(by_strip).round().max(1.0) as u32;
            // An even number puts a corner on the very tip and the very end, half-way along their
            // edges.
            if cells > 3 { cells + cells % 2 } else { cells }
        };
        courses.iter().enumerate().map(of).collect()
    };
    let mut strips = strips(lattice);
    let first = counts(&strips);
    narrow_to_rows(lattice, &first, &mut strips);
    let counts = counts(&strips);
    let all = lattice.blocks.iter().map(|block| {
        let [south, east, north, west] = block.sides.map(|side| f64::from(counts[side.edge]));
        0.25 * (south + north) * (east + west)
    });
    let times = (MOST_CELLS / all.sum::<f64>()).min(1.0).sqrt();
    counts.into_iter().map(|count| (f64::from(count) * times).ceil() as u32).collect()
}

/// Narrows the strip beside an edge to the first row of cells there, which lies much closer where the
/// skins stand steep.
fn narrow_to_rows(lattice: &Lattice, counts: &[u32], strips: &mut [f64]) {
    const STEPS: u32 = 16;
    for (index, block) in lattice.blocks.iter().enumerate() {
        let cells = block.sides.map(|side| f64::from(counts[side.edge]));
        let row = [0, 1].map(|k| 2.0 / (cells[k] + cells[k + 2]));
        for (side, edge) in block.sides.iter().map(|side| side.edge).enumerate() {
            // Of the cells along the two sides that it lies between.
            let step = row[(side + 1) % 2];
            let off = |look: u32| {
                let t = f64::from(look) / f64::from(STEPS);
                let [near, next] = [0.0, step].map(|u| match side {
                    0 => [t, u],
                    1 => [1.0 - u, t],
                    2 => [t, 1.0 - u],
                    _ => [u, t],
                });
                let [p, q] = [near, next].map(|[a, b]| lattice.plan(index, a, b));
                p.distance(q)
            };
            // At its ends the sides beside it are the block's own.
            let least = (1..STEPS).map(off).fold(f64::INFINITY, f64::min);
            strips[edge] = strips[edge].min(least);
        }
    }
}

/// Width of the narrowest strip between each edge and one opposite, in mm in the plan.
fn strips(lattice: &Lattice) -> Vec<f64> {
    const STEPS: u32 = 32;
    let mut narrowest = vec![f64::INFINITY; lattice.edges.len()];
    for block in &lattice.blocks {
        for [one, other] in [[0, 2], [1, 3]].map(|pair| pair.map(|side: usize| block.sides[side])) {
            let across = |step: u32| {
                let t = f64::from(step) / f64::from(STEPS);
                lattice.along(one, t).distance(lattice.along(other, t))
            };
            let least = (0..=STEPS).map(across).fold(f64::INFINITY, f64::min);
            for side in [one, other] {
                narrowest[side.edge] = narrowest[side.edge].min(least);
            }
        }
    }
    narrowest
}

/// Of even cells along an edge, as many as its sharpest bend in the plan needs for no chord to leave
/// it by more than `bulge`.
fn in_strip(lattice: &Lattice, edge: usize, bulge: f64) -> f64 {
    const STEPS: u32 = 128;
    /// No strip that can be made needs more.
    const MOST: f64 = 600.0;
    let curve = &lattice.edges[edge].curve;
    let points: Vec<DVec2> =
        (0..=STEPS).map(|step| curve(f64::from(step) / f64::from(STEPS))).collect();
    let steps: Vec<DVec2> = points.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let bends = steps.windows(2).map(|pair| {
        let (length, turn) = (pair[0].length().max(pair[1].length()), pair[0].angle_to(pair[1]));
        (length * turn.abs() / (8.0 * bulge)).sqrt()
    });
    (f64::from(STEPS) * bends.fold(0.0, f64::max)).min(MOST)
}

/// Length of an edge over a skin and how far its direction turns, in mm and radians; the greater
/// of the two skins.
fn course(surface: &Surface, edge: usize) -> [f64; 2] {
    const STEPS: u32 = 16;
    let curve = &surface.lattice.edges[edge].curve;
    let points: Vec<[DVec3; 2]> = (0..=STEPS)
        .map(|step| {
            let p = curve(f64::from(step) / f64::from(STEPS));
            [surface.top(p), surface.bottom(p)]
        })
        .collect();
    [0, 1]
        .map(|skin| {
            let steps: Vec<DVec3> = points.windows(2).map(|w| w[1][skin] - w[0][skin]).collect();
            let length = steps.iter().map(|step| step.length()).sum();
            let turn = steps.windows(2).map(|w| w[0].angle_between(w[1])).sum();
            [length, turn]
        })
        .into_iter()
        .fold([0.0; 2], |most, found: [f64; 2]| [most[0].max(found[0]), most[1].max(found[1])])
}
