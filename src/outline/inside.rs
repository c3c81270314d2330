//! Which points closed paths hold.
//!
//! Promised: the winding number of the arcs themselves, by the same signs as the contour library's.
//! Not promised: either answer on the path itself.
//!
//! A segment tells only of points as high as itself, so each is looked up by its height.

use super::segment::Segment;
use glam::DVec2;

/// Rounding of a segment's box, in mm.
const SLACK: f64 = 1e-6;
/// Bands to a segment, and the most of them.
const BANDS_EACH: f64 = 2.0;
const BANDS_MOST: f64 = 4096.0;

/// The segments of closed paths, sorted into level bands.
pub(super) struct Bands {
    low: DVec2,
    high: DVec2,
    /// Bands to a millimetre.
    per_mm: f64,
    /// Where each band's segments begin in `members`.
    starts: Vec<usize>,
    /// Each with the least and the greatest X of its box.
    members: Vec<(Segment, [f64; 2])>,
}

impl Bands {
    /// Of closed paths by their segments; none hold nothing.
    pub(super) fn new(path: impl Iterator<Item = Segment>) -> Bands {
        let segments: Vec<(Segment, DVec2, DVec2)> = path
            .map(|segment| {
                let (low, high) = segment.bounds();
                (segment, low - SLACK, high + SLACK)
            })
            .collect();
        let low = segments.iter().fold(DVec2::INFINITY, |low, (_, from, _)| low.min(*from));
        let high = segments.iter().fold(DVec2::NEG_INFINITY, |high, (_, _, to)| high.max(*to));
        let count = (BANDS_EACH * segments.len() as f64).clamp(1.0, BANDS_MOST);
        let per_mm = if segments.is_empty() { 0.0 } else { count / (high.y - low.y) };
        let mut bands = Bands { low, high, per_mm, starts: vec![0], members: Vec::new() };
        let mut each: Vec<Vec<usize>> = vec![Vec::new(); count as usize + 1];
        for (index, (_, from, to)) in segments.iter().enumerate() {
            let range = bands.band(from.y)..=bands.band(to.y);
            each[range].iter_mut().for_each(|band| band.push(index));
        }
        for band in each {
            let members = band.into_iter().map(|index| {
                let (segment, from, to) = segments[index];
                (segment, [from.x, to.x])
            });
            bands.members.extend(members);
            bands.starts.push(bands.members.len());
        }
        bands
    }

    fn band(&self, y: f64) -> usize {
        ((y - self.low.y) * self.per_mm).max(0.0) as usize
    }

    /// Whether the paths wind round a point.
    pub(super) fn hold(&self, p: DVec2) -> bool {
        self.turns(p) != 0
    }

    /// How often the paths wind round a point.
    pub(super) fn turns(&self, p: DVec2) -> i32 {
        // Asked for, not against, so that a NaN fails.
        if !(p.cmpge(self.low).all() && p.cmple(self.high).all()) {
            return 0;
        }
        let band = self.band(p.y);
        let members = &self.members[self.starts[band]..self.starts[band + 1]];
        let turns = members.iter().map(|(segment, [from, to])| {
            if p.x > *to {
                return 0;
            }
            let (up, down) = (segment.from.y <= p.y, segment.to.y <= p.y);
            match p.x < *from {
                true => i32::from(up && !down) - i32::from(!up && down),
                false => winds(segment, p),
            }
        });
        turns.sum()
    }
}

/// By how much a segment winds round a point near it, by the ray from the point to the right: as
/// its chord does, and once more round a point between an arc and its chord.
fn winds(segment: &Segment, p: DVec2) -> i32 {
    let Segment { from, to, bulge } = *segment;
    let side = (to - from).perp_dot(p - from);
    let left = if bulge < 0.0 { side >= 0.0 } else { side > 0.0 };
    let chord = match (from.y <= p.y, to.y <= p.y) {
        (true, false) => i32::from(left),
        (false, true) => -i32::from(!left),
        _ => 0,
    };
    // An arc that runs counter-clockwise lies right of its chord.
    let between = bulge != 0.0 && left == (bulge < 0.0) && in_circle(segment, p);
    chord + if between { bulge.signum() as i32 } else { 0 }
}

/// Whether an arc's whole circle holds a point. Both sides of the comparison are multiplied by
/// 16 bulge², which saves root and division and keeps nearly straight arcs exact.
fn in_circle(segment: &Segment, p: DVec2) -> bool {
    let Segment { from, to, bulge } = *segment;
    let chord = to - from;
    let away = 2.0 * bulge * (2.0 * p - from - to) - chord.perp() * (1.0 - bulge * bulge);
    away.length_squared() < chord.length_squared() * (1.0 + bulge * bulge).powi(2)
}

#[cfg(test)]
mod tests {
    use crate::outline::{ArcPath, ArcVertex};
    use crate::units::Length;
    use glam::DVec2;

    /// A path of lines and arcs both ways round, one of them more than half a circle; the arcs'
    /// places are known by their centres.
    #[test]
    fn arcs_that_bulge_and_arcs_that_bite_count_by_their_circles() {
        let v = |x: f64, y: f64, bulge: f64| ArcVertex { point: DVec2::new(x, y), bulge };
        // A square of 20 by 20 with half a disk of radius 4 bitten out of its lower side, and
        // three quarters of a disk of radius 5 on its right side.
        let half = 5.0 * 0.5_f64.sqrt();
        let corners = vec![
            v(0.0, 0.0, 0.0),
            v(6.0, 0.0, -1.0),
            v(14.0, 0.0, 0.0),
            v(20.0, 0.0, 0.0),
            v(20.0, 10.0 - half, (135.0_f64 / 2.0).to_radians().tan()),
            v(20.0, 10.0 + half, 0.0),
            v(20.0, 20.0, 0.0),
            v(0.0, 20.0, 0.0),
        ];
        let path = ArcPath { vertices: corners, closed: true };
        let inside = path.inside();
        let mut held = 0;
        for i in 0..=700 {
            for j in 0..=520 {
                let p = DVec2::new(-2.03 + 0.05 * f64::from(i), -3.01 + 0.05 * f64::from(j));
                let square = p.cmpge(DVec2::ZERO).all() && p.cmple(DVec2::splat(20.0)).all();
                let bitten = p.distance(DVec2::new(10.0, 0.0)) < 4.0;
                let disk = p.distance(DVec2::new(20.0 + half, 10.0)) < 5.0 && p.x > 20.0;
                let known = (square && !bitten) || disk;
                assert_eq!(inside(p), known, "{p}");
                held += u32::from(known);
            }
        }
        assert!(held > 100_000);
        assert!(!inside(DVec2::NAN) && path.distance(DVec2::new(3.0, 3.0)) > Length::ZERO);
    }
}
