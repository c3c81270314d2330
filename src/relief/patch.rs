//! A skin by itself, and its rim cut where tabs stand.

use super::Skin;
use super::ring::{self, Corner};
use super::tab::Tab;
use super::trouble::Trouble;
use glam::DVec3;

/// No point.
pub(super) const NONE: u32 = u32::MAX;

/// Two heights of one corner nearer than this are made one: half of what an outline may err, so
/// that it never shows.
pub(super) const SAME_HEIGHT_MM: f64 = 0.0025;

/// A skin by itself, facing up.
pub(super) struct Patch {
    pub points: Vec<DVec3>,
    pub triangles: Vec<[u32; 3]>,
    pub rim: Vec<u32>,
}

impl Patch {
    /// Takes the points that the skin uses, moved. A rim that would run clockwise is reversed.
    pub fn new(skin: &Skin<'_>, moved: impl Fn(DVec3) -> DVec3, reverse: bool) -> Option<Patch> {
        let mut index = vec![NONE; skin.points.len()];
        let mut points = Vec::with_capacity(skin.points.len());
        let mut triangles = Vec::with_capacity(skin.triangles.len());
        for corners in skin.triangles {
            let mut own = [0; 3];
            for (own, &corner) in own.iter_mut().zip(corners) {
                let slot = index.get_mut(corner as usize)?;
                if *slot == NONE {
                    *slot = points.len() as u32;
                    points.push(moved(skin.points[corner as usize]));
                }
                *own = *slot;
            }
            triangles.push(own);
        }
        let mut rim = Vec::with_capacity(skin.rim.len());
        for &corner in skin.rim {
            rim.push(index.get(corner as usize).copied().filter(|own| *own != NONE)?);
        }
        if reverse {
            rim.reverse();
        }
        (rim.len() >= 3).then_some(Patch { points, triangles, rim })
    }
}

/// Adds a corner wherever the rim passes through a tab's top, so that the wall between them
/// changes its side at a corner.
pub(super) fn with_level_crossings(
    corners: Vec<Corner>,
    rim: &[u32],
    points: &[DVec3],
    tabs: &[Tab],
) -> Result<Vec<Corner>, Trouble> {
    let labels = ring::labels(&corners)?;
    let mut full = Vec::with_capacity(corners.len() + tabs.len());
    for (index, corner) in corners.iter().enumerate() {
        full.push(*corner);
        let Some(tab) = labels[index] else { continue };
        let next = corners[(index + 1) % corners.len()];
        let a = points[rim[corner.segment] as usize];
        let b = points[rim[(corner.segment + 1) % rim.len()] as usize];
        let end = if next.segment == corner.segment { next.t } else { 1.0 };
        let over = |t: f64| a.lerp(b, t).z - tabs[tab].top.as_mm();
        let (first, last) = (over(corner.t), over(end));
        if first.abs().min(last.abs()) > SAME_HEIGHT_MM && (first < 0.0) != (last < 0.0) {
            let t = corner.t + (end - corner.t) * first / (first - last);
            let at = a.lerp(b, t).truncate();
            full.push(Corner { at, segment: corner.segment, t, cut: None });
        }
    }
    Ok(full)
}

/// The skin's triangles, those at a cut edge of the rim split.
pub(super) fn split(
    triangles: Vec<[u32; 3]>,
    inner: &[Corner],
    rim: &[u32],
    rim_points: &[u32],
    points: usize,
) -> Result<Vec<[u32; 3]>, Trouble> {
    // For each cut segment of the rim, from its first corner: the other end and the cuts.
    let mut cut_at: Vec<Option<(u32, Vec<u32>)>> = vec![None; points];
    let mut wanted = 0;
    for (corner, point) in inner.iter().zip(rim_points) {
        if corner.t > 0.0 {
            let (a, b) = (rim[corner.segment], rim[(corner.segment + 1) % rim.len()]);
            let slot = &mut cut_at[a as usize];
            wanted += usize::from(slot.is_none());
            slot.get_or_insert_with(|| (b, Vec::new())).1.push(*point);
        }
    }
    let mut whole = Vec::with_capacity(triangles.len() * 5 / 4 + 1000);
    let mut found = 0;
    // A triangle may have two cut edges (in a corner of the rim): its parts are looked at again.
    let mut open = triangles;
    open.reverse();
    while let Some(corners) = open.pop() {
        let hit = (0..3).find_map(|i| {
            let (a, b, c) = (corners[i], corners[(i + 1) % 3], corners[(i + 2) % 3]);
            match &cut_at[a as usize] {
                Some((end, cuts)) if *end == b => Some((a, b, c, cuts)),
                _ => None,
            }
        });
        let Some((a, b, c, cuts)) = hit else {
            whole.push(corners);
            continue;
        };
        found += 1;
        let mut from = a;
        for next in cuts.iter().copied().chain([b]) {
            open.push([from, next, c]);
            from = next;
        }
    }
    if found == wanted { Ok(whole) } else { Err(Trouble::Skin) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::relief::ring::TabSide;
    use crate::units::Length;
    use glam::DVec2;

    /// Without that corner the wall between rim and tab crosses itself, though its edges pair up.
    #[test]
    fn a_rim_that_climbs_through_a_tabs_top_gets_a_corner_there() {
        let points: Vec<DVec3> = [(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)]
            .map(|(x, y)| DVec3::new(x, y, x / 50.0))
            .to_vec();
        let plan: Vec<DVec2> = points.iter().map(|p| p.truncate()).collect();
        let tab = Tab {
            foot: DVec2::new(45.0, 0.0),
            out: DVec2::NEG_Y,
            width: Length::mm(60.0),
            bottom: Length::mm(-1.0),
            top: Length::mm(1.0),
        };
        let cuts: Vec<_> = (0..2)
            .filter_map(|side| {
                let hit = ring::foot_hit(&plan, &tab, side, f64::NEG_INFINITY)?;
                Some((TabSide { tab: 0, side }, hit))
            })
            .collect();
        let corners = ring::cut(&plan, &cuts).expect("a plain rectangle");
        let full = with_level_crossings(corners, &[0, 1, 2, 3], &points, &[tab]).expect("one tab");
        let at: Vec<DVec2> = full.iter().map(|corner| corner.at).collect();
        assert_eq!(
            at[..4],
            [(0.0, 0.0), (15.0, 0.0), (50.0, 0.0), (75.0, 0.0)].map(|(x, y)| DVec2::new(x, y))
        );
    }
}
