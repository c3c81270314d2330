//! A skin by itself, and its rim cut where tabs stand.

use super::ring::RingCorner;
use super::trouble::Trouble;
use glam::DVec3;

/// A skin of the body, in the design frame.
#[derive(Clone, Copy, Debug)]
pub struct Skin<'a> {
    /// Points in mm, of the skin and possibly more.
    pub points: &'a [DVec3],
    /// The skin's triangles, counter-clockwise seen from outside the body.
    pub triangles: &'a [[u32; 3]],
    /// The skin's boundary, counter-clockwise in the plan seen from above.
    pub rim: &'a [u32],
}

/// No point.
pub(super) const NONE: u32 = u32::MAX;

/// A skin by itself, facing up.
pub(super) struct SkinPatch {
    pub points: Vec<DVec3>,
    pub triangles: Vec<[u32; 3]>,
    pub rim: Vec<u32>,
}

impl SkinPatch {
    /// Takes the points that the skin uses, moved. A rim that would run clockwise is reversed.
    pub fn new(
        skin: &Skin<'_>,
        moved: impl Fn(DVec3) -> DVec3,
        reverse: bool,
    ) -> Option<SkinPatch> {
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
        (rim.len() >= 3).then_some(SkinPatch { points, triangles, rim })
    }
}

/// The skin's triangles, those at a cut edge of the rim split.
pub(super) fn split(
    triangles: Vec<[u32; 3]>,
    inner: &[RingCorner],
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
