//! A drawn outline as two sides over one length.

use crate::units::Length;
use glam::DVec2;

/// An outline whose every line across meets it twice.
#[derive(Clone, Debug)]
pub(super) struct DrawnSides {
    /// From the handle's end to the tip, in mm.
    right: Vec<DVec2>,
    left: Vec<DVec2>,
    /// All round.
    pub(super) ring: Vec<DVec2>,
}

/// Why an outline is no plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum NoPlan {
    /// It turns back there.
    Back(DVec2),
    /// It is wider than it is long.
    Wide,
    /// It is next to nothing wide there.
    Thin(f64),
    /// A side of it goes in and out so many times.
    Wavy(usize),
}

/// A side that goes in and out more often than this is no line that a cutter follows, nor stations.
pub(super) const MOST_WAVES: usize = 24;
/// Less than this, in mm, is no wave.
const WAVE: f64 = 0.3;

/// A side may run back by this much, in mm: rounding of a drawing, and nothing that could be carved.
const SLACK: f64 = 0.01;
/// Least width but at the ends, in mm: the least of a handle's stations.
const LEAST: f64 = 0.1;

impl DrawnSides {
    /// Of a closed polygon, moved so that its end lies at 0, and scaled to that length already.
    pub(super) fn of(mut ring: Vec<DVec2>, length: f64) -> Result<DrawnSides, NoPlan> {
        let area: f64 = (0..ring.len()).map(|i| ring[i].perp_dot(ring[(i + 1) % ring.len()])).sum();
        if area < 0.0 {
            ring.reverse();
        }
        let high = ring.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
        let low = ring.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
        if high - low > length {
            return Err(NoPlan::Wide);
        }
        // Of several corners at the very end the one that its right side begins at; so at the tip.
        let first = (0..ring.len()).min_by(|a, b| {
            let [p, q] = [ring[*a], ring[*b]];
            p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y))
        });
        ring.rotate_left(first.unwrap_or(0));
        let last = (0..ring.len()).max_by(|a, b| {
            let [p, q] = [ring[*a], ring[*b]];
            p.x.total_cmp(&q.x).then(q.y.total_cmp(&p.y))
        });
        let last = last.unwrap_or(0);
        let right = forward(ring[..=last].iter().copied())?;
        let left = forward(ring[last..].iter().chain(&ring[..1]).rev().copied())?;
        let waves = waves(&right).max(waves(&left));
        if waves > MOST_WAVES {
            return Err(NoPlan::Wavy(waves));
        }
        let sides = DrawnSides { right, left, ring };
        const LOOKS: u32 = 400;
        let thin = (1..LOOKS).map(|i| length * f64::from(i) / f64::from(LOOKS));
        let thin = thin.into_iter().find(|x| {
            let [right, left] = sides.at(*x);
            // Asked for, not against, so that a NaN fails.
            let wide = left - right >= LEAST;
            !wide
        });
        thin.map_or(Ok(sides), |x| Err(NoPlan::Thin(x)))
    }

    /// Y on the right and on the left at a place along it.
    pub(super) fn at(&self, x: f64) -> [f64; 2] {
        [&self.right, &self.left].map(|side| {
            let next = side.partition_point(|p| p.x <= x).clamp(1, side.len() - 1);
            let [p, q] = [side[next - 1], side[next]];
            let t = if q.x > p.x { (x - p.x) / (q.x - p.x) } else { 0.0 };
            p.y + t.clamp(0.0, 1.0) * (q.y - p.y)
        })
    }

    /// Width at a place along it.
    pub(super) fn width(&self, x: f64) -> Length {
        let [right, left] = self.at(x);
        Length::mm(left - right)
    }

    /// Where the middle lies at a place along it.
    pub(super) fn middle(&self, x: f64) -> f64 {
        let [right, left] = self.at(x);
        0.5 * (left + right)
    }

    /// How far a point beside the middle lies from where half of the width has it, square to that line.
    pub(super) fn off_half(&self, p: DVec2) -> f64 {
        const STEPS: u32 = 24;
        let half = |x: f64| DVec2::new(x, 0.5 * self.width(x).as_mm());
        // Within its own upright distance, or that to the very end if it is nearer.
        let reach = (half(p.x).y - p.y).abs().max(1e-6);
        let place = |i: u32| (p.x - reach + 2.0 * reach * f64::from(i) / f64::from(STEPS)).max(0.0);
        let line: Vec<DVec2> = (0..=STEPS).map(|i| half(place(i))).collect();
        let far = line.windows(2).map(|pair| {
            let (a, b) = (pair[0], pair[1]);
            let t = (p - a).dot(b - a) / a.distance_squared(b).max(1e-18);
            p.distance(a.lerp(b, t.clamp(0.0, 1.0)))
        });
        far.fold(reach, f64::min)
    }

    /// The same, moved to the side.
    pub(super) fn moved(mut self, by: f64) -> DrawnSides {
        for p in self.right.iter_mut().chain(&mut self.left).chain(&mut self.ring) {
            p.y += by;
        }
        self
    }
}

/// How often a side turns from going out to coming in, or back.
fn waves(side: &[DVec2]) -> usize {
    let Some(first) = side.first() else { return 0 };
    let (mut low, mut high, mut rising, mut turns) = (first.y, first.y, None, 0);
    for p in side {
        (low, high) = (low.min(p.y), high.max(p.y));
        let turned = match rising {
            Some(true) => high - p.y > WAVE,
            Some(false) => p.y - low > WAVE,
            None => {
                rising = (high - low > WAVE).then_some(p.y == high);
                false
            }
        };
        if turned {
            rising = rising.map(|up| !up);
            (low, high) = (p.y, p.y);
            turns += 1;
        }
    }
    turns
}

/// A side from the handle's end to the tip, without what runs back by next to nothing.
fn forward(side: impl Iterator<Item = DVec2>) -> Result<Vec<DVec2>, NoPlan> {
    let mut kept: Vec<DVec2> = Vec::new();
    for p in side {
        match kept.last() {
            Some(last) if p.x < last.x - SLACK => return Err(NoPlan::Back(p)),
            Some(last) => kept.push(DVec2::new(p.x.max(last.x), p.y)),
            None => kept.push(p),
        }
    }
    Ok(kept)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(corners: &[[f64; 2]]) -> Vec<DVec2> {
        corners.iter().map(|[x, y]| DVec2::new(*x, *y)).collect()
    }

    #[test]
    fn a_house_has_two_sides_whichever_way_it_is_drawn() {
        let corners = [[0.0, -20.0], [80.0, -20.0], [100.0, 10.0], [80.0, 40.0], [0.0, 40.0]];
        let mut backward = corners;
        backward.reverse();
        for corners in [corners, backward] {
            let sides = DrawnSides::of(ring(&corners), 100.0).expect("a plan");
            assert_eq!(sides.at(40.0), [-20.0, 40.0]);
            assert_eq!(sides.at(90.0), [-5.0, 25.0]);
            assert_eq!([sides.width(90.0).as_mm(), sides.middle(90.0)], [30.0, 10.0]);
        }
    }

    #[test]
    fn what_is_no_plan_is_told_with_its_place() {
        let hook = [[0.0, 0.0], [9.0, 0.0], [10.0, 2.0], [5.0, 1.0], [7.0, 3.0], [0.0, 3.0]];
        assert!(
            matches!(DrawnSides::of(ring(&hook), 10.0), Err(NoPlan::Back(p)) if p.x == 7.0 || p.x == 5.0)
        );
        let tall = [[0.0, 0.0], [10.0, 0.0], [10.0, 11.0], [0.0, 11.0]];
        assert_eq!(DrawnSides::of(ring(&tall), 10.0).expect_err("too wide"), NoPlan::Wide);
        let waist = [[0.0, 1.0], [0.0, -1.0], [5.0, -0.01], [10.0, -1.0], [10.0, 1.0], [5.0, 0.01]];
        assert!(matches!(DrawnSides::of(ring(&waist), 10.0), Err(NoPlan::Thin(_))));
    }

    /// A side of sawteeth 2 mm deep, and one of 0.2 mm, which is a drawing's unevenness.
    #[test]
    fn a_side_that_goes_in_and_out_too_often_is_no_plan() {
        let comb = |teeth: u32, deep: f64| {
            let upper = (0..=2 * teeth).rev().map(|i| {
                let x = 100.0 * f64::from(i) / f64::from(2 * teeth);
                [x, 10.0 + deep * f64::from(i % 2)]
            });
            let corners: Vec<[f64; 2]> =
                [[0.0, -10.0], [100.0, -10.0]].into_iter().chain(upper).collect();
            DrawnSides::of(ring(&corners), 100.0)
        };
        assert!(comb(12, 2.0).is_ok() && comb(500, 0.2).is_ok());
        assert_eq!(comb(500, 2.0).expect_err("a comb"), NoPlan::Wavy(999));
    }
}
