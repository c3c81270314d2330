//! A closed loop of corners in the plan, cut where the sides of tabs cross it.

use super::tab::Tab;
use super::trouble::Trouble;
use crate::units::Length;
use glam::DVec2;

/// A cut this near to a corner goes through the corner, so that no splinter of a triangle stands
/// beside it: a fifth of what a router of this class repeats (common practice, no source).
const SNAP_MM: f64 = 0.02;

/// A side of a tab.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct TabSide {
    /// Which tab.
    pub tab: usize,
    /// 0 for the side that comes first counter-clockwise, 1 for the other.
    pub side: usize,
}

/// A corner of a ring.
#[derive(Clone, Copy, Debug)]
pub(super) struct RingCorner {
    pub at: DVec2,
    /// The segment of the loop as given that it lies on.
    pub segment: usize,
    /// How far along that segment, from 0 (a corner of the loop as given) to 1.
    pub t: f64,
    /// The side of a tab that starts or ends here.
    pub cut: Option<TabSide>,
}

/// Where a side of a tab crosses a loop.
#[derive(Clone, Copy, Debug)]
pub(super) struct SideHit {
    pub segment: usize,
    pub t: f64,
    /// Distance along the side, from beside the tab's foot, positive away from the body.
    pub along: f64,
}

/// All crossings of a line with a closed loop, by their distance along the line.
pub(super) fn hits(ring: &[DVec2], from: DVec2, direction: DVec2) -> Vec<SideHit> {
    let mut found: Vec<SideHit> = Vec::new();
    let off = |p: DVec2| direction.perp_dot(p - from);
    for segment in 0..ring.len() {
        let (a, b) = (ring[segment], ring[(segment + 1) % ring.len()]);
        let (da, db) = (off(a), off(b));
        // Half-open, so that a crossing in a corner counts once.
        if (da < 0.0) != (db < 0.0) {
            let t = da / (da - db);
            found.push(SideHit { segment, t, along: direction.dot(a.lerp(b, t) - from) });
        }
    }
    found.sort_by(|a, b| a.along.total_cmp(&b.along));
    found
}

impl Tab {
    /// Whether the tab stands on an outline (a closed polygon, counter-clockwise, in mm) with its
    /// whole width, with nothing of the outline in its way until `reach` further out. Gives how
    /// far out from the foot each of its sides meets the outline.
    pub fn stands_on(&self, outline: &[DVec2], reach: Length) -> Option<[Length; 2]> {
        let at = |side| {
            let near = foot_hit(outline, self, side, f64::NEG_INFINITY)?;
            let hit = foot_hit(outline, self, side, near.along + reach.as_mm())?;
            Some(Length::mm(hit.along))
        };
        Some([at(0)?, at(1)?])
    }

    /// How far out from the foot each of its sides comes to the skirt's edge (a closed polygon, in
    /// mm), if it stands on the outline at these distances. Where the outline is hollow that is
    /// further than the skirt is wide.
    pub fn ends_at(&self, edge: &[DVec2], bearing: [Length; 2]) -> Option<[Length; 2]> {
        let at = |side: usize| {
            let hits = hits(edge, self.sides()[side], self.out);
            let first = hits.into_iter().find(|hit| hit.along > bearing[side].as_mm())?;
            Some(Length::mm(first.along))
        };
        Some([at(0)?, at(1)?])
    }
}

/// The crossing of a tab's side with the outline: the one nearest to the tab's foot, no further
/// from it than the tab is wide, with nothing of the body further out until `reach`.
pub(super) fn foot_hit(ring: &[DVec2], tab: &Tab, side: usize, reach: f64) -> Option<SideHit> {
    let all = hits(ring, tab.sides()[side], tab.out);
    let nearest = all.iter().copied().min_by(|a, b| a.along.abs().total_cmp(&b.along.abs()))?;
    let bears = nearest.along.abs() <= tab.width.as_mm()
        && !all.iter().any(|hit| hit.along > nearest.along && hit.along < reach);
    bears.then_some(nearest)
}

/// The loop with a corner wherever a tab's side crosses it.
pub(super) fn cut(ring: &[DVec2], cuts: &[(TabSide, SideHit)]) -> Result<Vec<RingCorner>, Trouble> {
    let count = ring.len();
    let mut at_corner: Vec<Option<TabSide>> = vec![None; count];
    let mut between: Vec<(usize, f64, TabSide)> = Vec::new();
    for &(side, hit) in cuts {
        let (a, b) = (ring[hit.segment], ring[(hit.segment + 1) % count]);
        let length = a.distance(b);
        let corner = if hit.t * length <= SNAP_MM && hit.t <= 0.5 {
            Some(hit.segment)
        } else if (1.0 - hit.t) * length <= SNAP_MM {
            Some((hit.segment + 1) % count)
        } else {
            None
        };
        match corner {
            Some(corner) if at_corner[corner].is_some() => return Err(Trouble::TabsMeet),
            Some(corner) => at_corner[corner] = Some(side),
            None => between.push((hit.segment, hit.t, side)),
        }
    }
    between.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut next = between.into_iter().peekable();
    let mut corners = Vec::with_capacity(count + cuts.len());
    for segment in 0..count {
        let (a, b) = (ring[segment], ring[(segment + 1) % count]);
        corners.push(RingCorner { at: a, segment, t: 0.0, cut: at_corner[segment] });
        while let Some((_, t, side)) = next.next_if(|cut| cut.0 == segment) {
            corners.push(RingCorner { at: a.lerp(b, t), segment, t, cut: Some(side) });
        }
    }
    Ok(corners)
}

/// What lies outside each edge (corner to next corner): `None` for the skirt's floor, or a tab.
pub(super) fn labels(corners: &[RingCorner]) -> Result<Vec<Option<usize>>, Trouble> {
    let count = corners.len();
    let first =
        corners.iter().position(|c| matches!(c.cut, Some(TabSide { side: 0, .. }))).unwrap_or(0);
    let mut labels = vec![None; count];
    let mut here: Option<usize> = None;
    for step in 0..count {
        let index = (first + step) % count;
        if let Some(TabSide { tab, side }) = corners[index].cut {
            here = match (here, side) {
                (None, 0) => Some(tab),
                (Some(inside), 1) if inside == tab => None,
                _ => return Err(Trouble::TabsMeet),
            };
        }
        labels[index] = here;
    }
    if here.is_some() { Err(Trouble::TabsMeet) } else { Ok(labels) }
}

/// The loop without corners that are as good as the one before; three at least are kept.
pub(super) fn apart(ring: &[DVec2]) -> Vec<DVec2> {
    let mut kept: Vec<DVec2> = Vec::with_capacity(ring.len());
    for corner in ring {
        if kept.last().is_none_or(|last| last.distance(*corner) > SNAP_MM) {
            kept.push(*corner);
        }
    }
    while kept.len() > 3 && kept[0].distance(kept[kept.len() - 1]) <= SNAP_MM {
        kept.pop();
    }
    if kept.len() < 3 { ring.to_vec() } else { kept }
}

/// The loop with no edge longer than `most`, in mm.
pub(super) fn divided(ring: &[DVec2], most: f64) -> Vec<DVec2> {
    let mut fine = Vec::with_capacity(ring.len() * 2);
    for (index, a) in ring.iter().enumerate() {
        let b = ring[(index + 1) % ring.len()];
        let parts = (a.distance(b) / most).ceil().clamp(1.0, 1.0e4) as usize;
        fine.extend((0..parts).map(|part| a.lerp(b, part as f64 / parts as f64)));
    }
    fine
}

/// Finds the nearest place on a loop quickly.
pub(super) struct Nearest<'a> {
    ring: &'a [DVec2],
    by_x: Vec<(f64, usize)>,
}

impl<'a> Nearest<'a> {
    pub fn new(ring: &'a [DVec2]) -> Nearest<'a> {
        let mut by_x: Vec<(f64, usize)> =
            ring.iter().enumerate().map(|(index, p)| (p.x, index)).collect();
        by_x.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        Nearest { ring, by_x }
    }

    /// The place on the loop's edges beside its nearest corner that is nearest to `p`.
    pub fn to(&self, p: DVec2) -> DVec2 {
        let start = self.by_x.partition_point(|(x, _)| *x < p.x);
        let mut best = (f64::INFINITY, 0);
        let mut look = |&(x, index): &(f64, usize)| {
            let distance = self.ring[index].distance_squared(p);
            if distance < best.0 {
                best = (distance, index);
            }
            (x - p.x).powi(2) <= best.0
        };
        for entry in &self.by_x[start..] {
            if !look(entry) {
                break;
            }
        }
        for entry in self.by_x[..start].iter().rev() {
            if !look(entry) {
                break;
            }
        }
        let count = self.ring.len();
        let index = best.1;
        let (before, here, after) = (
            self.ring[(index + count - 1) % count],
            self.ring[index],
            self.ring[(index + 1) % count],
        );
        let on = |a: DVec2, b: DVec2| {
            let way = b - a;
            let t = (p - a).dot(way) / way.length_squared().max(f64::MIN_POSITIVE);
            a.lerp(b, t.clamp(0.0, 1.0))
        };
        let (one, two) = (on(before, here), on(here, after));
        if one.distance_squared(p) < two.distance_squared(p) { one } else { two }
    }
}
