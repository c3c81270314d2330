//! The rim of a head as a maker measures it: by a straightedge across, and by a caliper on its land.

use glam::{DVec2, DVec3};

/// How high a straightedge across the rim of a head lies, along it: the points of the rim's upper or
/// lower loop, right and left, which stand level with each other.
pub(super) struct RimHeights(Vec<(f64, f64)>);

impl RimHeights {
    /// Of a loop past a place along the utensil, in mm, to the tip.
    pub(super) fn of(points: &[DVec3], ring: &[u32], from: f64) -> RimHeights {
        let rim = ring.iter().map(|i| points[*i as usize]);
        let mut rim: Vec<(f64, f64)> = rim.filter(|p| p.x > from).map(|p| (p.x, p.z)).collect();
        rim.sort_by(|a, b| a.0.total_cmp(&b.0));
        RimHeights(rim)
    }

    pub(super) fn at(&self, x: f64) -> f64 {
        let right = self.0.partition_point(|(at, _)| *at < x);
        let of = |i: usize| self.0.get(i).copied();
        match (right.checked_sub(1).and_then(of), of(right)) {
            (Some((a, low)), Some((b, high))) if b > a => low + (x - a) / (b - a) * (high - low),
            (one, other) => one.or(other).map_or(0.0, |(_, z)| z),
        }
    }
}

/// Widths of the rim land, square to the outline, at points of the rim's upper loop in their order.
pub(super) struct LandWidths(Vec<(f64, Option<f64>)>);

impl LandWidths {
    /// From a place along the utensil, in mm, on to the tip: from the rim to where the top skin first
    /// `falls` below a straightedge across it.
    pub(super) fn of(
        points: &[DVec3],
        ring: &[u32],
        from: f64,
        falls: impl Fn(DVec2) -> bool,
    ) -> LandWidths {
        const STEP: f64 = 0.25;
        let at = |i: usize| points[ring[i % ring.len()] as usize].truncate();
        let width = |i: usize| {
            let (before, here, after) = (at(i + ring.len() - 1), at(i), at(i + 1));
            let inward = (after - before).perp().normalize_or_zero();
            let most = (0..400)
                .map(|k| f64::from(k) * STEP)
                .find(|d| *d > 0.0 && falls(here + *d * inward))?;
            let (mut low, mut high) = ((most - STEP).max(0.0), most);
            for _ in 0..24 {
                let middle = 0.5 * (low + high);
                if falls(here + middle * inward) { high = middle } else { low = middle }
            }
            Some(low)
        };
        let asked = (0..ring.len()).filter(|i| at(*i).x >= from);
        LandWidths(asked.map(|i| (at(i).x, width(i))).collect())
    }

    /// The least of all.
    pub(super) fn least(&self) -> Option<f64> {
        self.0.iter().filter_map(|(_, width)| *width).reduce(f64::min)
    }

    /// The less of both sides at a place along the utensil, in mm, or at the tip if that is no further.
    pub(super) fn at(&self, x: f64) -> Option<f64> {
        let crossed = self.0.windows(2).filter_map(|pair| {
            let [(a, one), (b, other)] = [pair[0], pair[1]];
            let share = (x - a) / (b - a);
            ((0.0..=1.0).contains(&share)).then_some(one? + share * (other? - one?))
        });
        crossed.reduce(f64::min).or_else(|| {
            self.0.iter().max_by(|a, b| a.0.total_cmp(&b.0)).and_then(|(_, width)| *width)
        })
    }
}
