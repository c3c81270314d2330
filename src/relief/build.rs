//! Joins skin, walls, skirt and tabs to one closed mesh, for the side that lies upwards.
//!
//! Every corner of the plan carries up to four heights: the skin, a tab's top, the skirt's floor
//! and the underside. What lies upwards is laid first, and shaped; then walls are set between two
//! of these heights, as it has come out, and take in every height between, so that they meet their
//! neighbours corner to corner.

use super::foot;
use super::patch::{NONE, SkinPatch, split};
use super::ring::{self, Nearest, RingCorner, SideHit, TabSide};
use super::tab::Tab;
use super::trouble::Trouble;
use super::upper::{self, Kind};
use super::wall::{Levels, Walls};
use crate::mesh::Mesh;
use crate::mesh::flat::{Seed, fill_loops, fill_regions};
use crate::units::Length;
use glam::{DVec2, DVec3};

/// The skirt stops this far short of the stock's far face, so that the cutter never touches the
/// bed (common practice, no source).
pub const SKIRT_FLOOR: Length = Length::mm(0.5);

/// The skirt's floor lies at least this much under the rim and under a tab's top, however near
/// they come to the stock's far face; less would be no wall at all (no source).
const LEAST_WALL_MM: f64 = 0.1;

/// Longest edge of the skirt's outer loop, so that its floor follows the parting line.
const SKIRT_STEP_MM: f64 = 4.0;

/// What is built: everything in a frame in which the skin lies upwards.
pub(super) struct Upright<'a> {
    pub skin: Option<SkinPatch>,
    pub edge: Vec<DVec2>,
    pub parting: &'a dyn Fn(DVec2) -> f64,
    pub tabs: Vec<Tab>,
    pub radius: f64,
    pub overlap: f64,
    pub under: f64,
    pub over: f64,
}

/// What was built.
pub(super) struct Built {
    pub mesh: Mesh,
    pub raised: f64,
    pub ridge: f64,
}

pub(super) fn build(mut order: Upright<'_>) -> Result<Built, Trouble> {
    let SkinPatch { mut points, triangles, rim } = order.skin.take().ok_or(Trouble::Skin)?;
    let flat = |p: DVec3| p.truncate();
    let rim_plan: Vec<DVec2> = rim.iter().map(|i| flat(points[*i as usize])).collect();
    if order.edge.len() < 3 {
        return Err(Trouble::SkirtEdge);
    }
    let edge_plan = ring::divided(&ring::apart(&order.edge), SKIRT_STEP_MM);

    let (rim_cuts, edge_cuts) = crossings(&order.tabs, &rim_plan, &edge_plan)?;
    let inner = ring::cut(&rim_plan, &rim_cuts)?;
    let inner_labels = ring::labels(&inner)?;
    let outer = ring::cut(&edge_plan, &edge_cuts)?;
    let outer_labels = ring::labels(&outer)?;

    // The skin's own points at the rim, new ones where it was cut.
    let mut rim_points = Vec::with_capacity(inner.len());
    for corner in &inner {
        let (a, b) = (rim[corner.segment], rim[(corner.segment + 1) % rim.len()]);
        rim_points.push(if corner.t == 0.0 {
            a
        } else {
            let z = points[a as usize].lerp(points[b as usize], corner.t).z;
            points.push(corner.at.extend(z));
            points.len() as u32 - 1
        });
    }
    let mut faces = split(triangles, &inner, &rim, &rim_points, points.len())?;
    let skin_points = points.len();
    let mut kinds = vec![Kind::Skin; faces.len()];

    // Plan corners: the rim's, then the skirt edge's.
    let count = inner.len();
    let plan: Vec<DVec2> = inner.iter().chain(&outer).map(|corner| corner.at).collect();
    let label = |tab: Option<usize>| tab.map_or(0, |tab| tab as u32 + 1);
    let mut seeds = Vec::with_capacity(count);
    for (index, tab) in inner_labels.iter().enumerate() {
        seeds.push(Seed {
            from: ((index + 1) % count) as u32,
            to: index as u32,
            label: label(*tab),
        });
    }
    let outer_edge =
        |index: usize| [(count + index) as u32, (count + (index + 1) % outer.len()) as u32];
    for (index, tab) in outer_labels.iter().enumerate() {
        let [from, to] = outer_edge(index);
        seeds.push(Seed { from, to, label: label(*tab) });
    }
    let sides = tab_sides(&inner, &outer, order.tabs.len())?;
    let lines: Vec<[u32; 2]> = sides.iter().flatten().copied().collect();
    let pieces = fill_regions(&plan, &lines, &seeds).ok_or(Trouble::SkirtEdge)?;

    // Heights.
    let nearest = Nearest::new(&rim_plan);
    let mut course = Course { order: &order, points: &mut points, raised: 0.0, ridge: 0.0 };
    let mut levels = Vec::with_capacity(plan.len());
    for (index, corner) in inner.iter().enumerate() {
        let beside = [inner_labels[(index + count - 1) % count], inner_labels[index]];
        levels.push(course.at_rim(corner.at, rim_points[index], beside)?);
    }
    for (index, corner) in outer.iter().enumerate() {
        let before = outer_labels[(index + outer.len() - 1) % outer.len()];
        let place = nearest.to(corner.at);
        levels.push(course.at_edge(corner.at, place, [before, outer_labels[index]])?);
    }
    let Course { raised, ridge, .. } = course;
    let outside = |corner: u32, label: u32| {
        let here = levels[corner as usize];
        if label == 0 { here.floor } else { here.tab }
    };

    // Skirt and tabs, and the tabs' feet.
    for piece in &pieces {
        let corners = piece.corners.map(|corner| outside(corner, piece.label));
        if corners.contains(&NONE) {
            return Err(Trouble::SkirtEdge);
        }
        faces.push(corners);
        kinds.push(match piece.label {
            0 => Kind::Floor,
            label => Kind::TabTop(label as usize - 1),
        });
    }
    let mut upper = vec![false; points.len()];
    let tops = levels.iter().map(|level| level.tab).filter(|tab| *tab != NONE);
    for index in (0..skin_points as u32).chain(tops) {
        upper[index as usize] = true;
    }
    let mut on_rim = vec![false; points.len()];
    rim_points.iter().for_each(|index| on_rim[*index as usize] = true);
    let halves = foot::shape(
        upper::Built {
            points: &mut points,
            faces: &mut faces,
            upper,
            on_rim,
            kinds,
            rim: &rim_plan,
            edge: &order.edge,
            over: order.over,
        },
        &order.tabs,
        order.radius,
    );

    // Walls. Left and right of an edge are seen along it from above; the left is always the higher.
    let mut walls = Walls { points: &points, levels: &levels, halves: &halves, faces: &mut faces };
    for (index, tab) in inner_labels.iter().enumerate() {
        let edge = [index as u32, ((index + 1) % count) as u32];
        let skin = edge.map(|corner| levels[corner as usize].skin);
        walls.set(edge, skin, edge.map(|corner| outside(corner, label(*tab))))?;
    }
    for (index, tab) in outer_labels.iter().enumerate() {
        let edge = outer_edge(index);
        let under = edge.map(|corner| levels[corner as usize].under);
        walls.set(edge, edge.map(|corner| outside(corner, label(*tab))), under)?;
    }
    for (tab, [first, second]) in sides.iter().enumerate() {
        let label = tab as u32 + 1;
        // Seen outwards, a tab lies left of its first side and right of its second.
        let second = [second[1], second[0]];
        for edge in [*first, second] {
            let [tab, floor] = [label, 0].map(|label| edge.map(|corner| outside(corner, label)));
            walls.set(edge, tab, floor)?;
        }
    }
    // Underside.
    let outer_plan: Vec<DVec2> = outer.iter().map(|corner| corner.at).collect();
    for [a, b, c] in fill_loops(&[outer_plan]).ok_or(Trouble::SkirtEdge)? {
        faces.push([a, c, b].map(|corner| levels[count + corner as usize].under));
    }
    Ok(Built { mesh: compact(points, faces), raised, ridge })
}

/// Where tabs' sides cross a loop.
type Cuts = Vec<(TabSide, SideHit)>;

/// Where the tabs' sides cross the rim and the skirt's edge.
fn crossings(tabs: &[Tab], rim: &[DVec2], edge: &[DVec2]) -> Result<(Cuts, Cuts), Trouble> {
    let (mut at_rim, mut at_edge) = (Cuts::new(), Cuts::new());
    for (tab, shape) in tabs.iter().enumerate() {
        for side in 0..2 {
            let astray = Trouble::TabAstray(tab);
            let foot = ring::foot_hit(rim, shape, side, f64::NEG_INFINITY).ok_or(astray)?;
            let end = ring::hits(edge, shape.sides()[side], shape.out)
                .into_iter()
                .find(|hit| hit.along > foot.along)
                .ok_or(Trouble::SkirtEdge)?;
            ring::foot_hit(rim, shape, side, end.along).ok_or(astray)?;
            at_rim.push((TabSide { tab, side }, foot));
            at_edge.push((TabSide { tab, side }, end));
        }
    }
    Ok((at_rim, at_edge))
}

/// Gives the corners of the plan their heights.
struct Course<'a, 'b> {
    order: &'a Upright<'b>,
    points: &'a mut Vec<DVec3>,
    /// By how much the floor had to be raised, at the worst place of the rim.
    raised: f64,
    /// How high a ridge that leaves.
    ridge: f64,
}

impl Course<'_, '_> {
    /// A corner of the rim, between what lies outside its two edges.
    fn at_rim(
        &mut self,
        at: DVec2,
        skin: u32,
        beside: [Option<usize>; 2],
    ) -> Result<Levels, Trouble> {
        let rim = self.points[skin as usize].z;
        let (wanted, mut floor) = self.floor(at)?;
        let mut here = Levels { skin, tab: NONE, floor: NONE, under: NONE };
        if let Some(tab) = beside[0].or(beside[1]) {
            let top = self.order.tabs[tab].top.as_mm();
            floor = floor.min(top - LEAST_WALL_MM);
            // Tab and skin meet in one point, which its fillet lifts.
            here.tab = skin;
        }
        floor = floor.min(rim - LEAST_WALL_MM);
        self.raised = self.raised.max(floor - wanted);
        // The other side's wall ends at the overlap past the parting line.
        self.ridge = self.ridge.max(floor - wanted - 2.0 * self.order.overlap);
        self.finish(at, floor, beside, here)
    }

    /// A corner of the skirt's edge, whose nearest place on the rim is given.
    fn at_edge(
        &mut self,
        at: DVec2,
        nearest: DVec2,
        beside: [Option<usize>; 2],
    ) -> Result<Levels, Trouble> {
        let (_, mut floor) = self.floor(nearest)?;
        let mut here = Levels { skin: NONE, tab: NONE, floor: NONE, under: NONE };
        if let Some(tab) = beside[0].or(beside[1]) {
            let top = self.order.tabs[tab].top.as_mm();
            floor = floor.min(top - LEAST_WALL_MM);
            here.tab = self.new_point(at, top);
        }
        here.under = self.new_point(at, self.order.under);
        self.finish(at, floor, beside, here)
    }

    /// How deep the floor should lie beside a place of the rim, and how deep it may.
    fn floor(&self, rim: DVec2) -> Result<(f64, f64), Trouble> {
        let wanted = (self.order.parting)(rim) - self.order.overlap - self.order.radius;
        let floor = wanted.max(self.order.under + SKIRT_FLOOR.as_mm());
        if floor.is_finite() && wanted.is_finite() {
            Ok((wanted, floor))
        } else {
            Err(Trouble::Skin)
        }
    }

    fn finish(
        &mut self,
        at: DVec2,
        floor: f64,
        beside: [Option<usize>; 2],
        mut here: Levels,
    ) -> Result<Levels, Trouble> {
        // Asked for, not against, so that a NaN fails.
        let wood = floor >= self.order.under + 0.5 * LEAST_WALL_MM;
        if !wood {
            return Err(Trouble::NoWood);
        }
        if beside.contains(&None) {
            here.floor = self.new_point(at, floor);
        }
        Ok(here)
    }

    fn new_point(&mut self, at: DVec2, z: f64) -> u32 {
        self.points.push(at.extend(z));
        self.points.len() as u32 - 1
    }
}

/// Each tab's two sides, from the rim's corner to the skirt edge's corner.
fn tab_sides(
    inner: &[RingCorner],
    outer: &[RingCorner],
    tabs: usize,
) -> Result<Vec<[[u32; 2]; 2]>, Trouble> {
    let mut sides = vec![[[NONE; 2]; 2]; tabs];
    for (index, corner) in inner.iter().chain(outer).enumerate() {
        if let Some(TabSide { tab, side }) = corner.cut {
            sides[tab][side][usize::from(index >= inner.len())] = index as u32;
        }
    }
    let complete = sides.iter().flatten().flatten().all(|corner| *corner != NONE);
    if complete { Ok(sides) } else { Err(Trouble::TabsMeet) }
}

/// Drops the points that no triangle uses.
fn compact(points: Vec<DVec3>, mut triangles: Vec<[u32; 3]>) -> Mesh {
    let mut index = vec![NONE; points.len()];
    let mut used = Vec::with_capacity(points.len());
    for corner in triangles.iter_mut().flatten() {
        let slot = &mut index[*corner as usize];
        if *slot == NONE {
            *slot = used.len() as u32;
            used.push(points[*corner as usize]);
        }
        *corner = *slot;
    }
    Mesh { points: used, triangles }
}
