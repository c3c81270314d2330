//! Distance between flaws and regions of the board.

use crate::params::{Board, Flaw, FlawKind, FlawShape};
use glam::DVec2;

/// The wood of a board: asks whether a region of it is sound.
///
/// A wane's line parts the board; the side on which the board's middle lies is the wood.
#[derive(Clone, Copy, Debug)]
pub struct SoundWood<'a> {
    board: &'a Board,
}

impl<'a> SoundWood<'a> {
    /// The wood of a board.
    pub fn of(board: &'a Board) -> SoundWood<'a> {
        SoundWood { board }
    }

    /// Distance from a region to the nearest flaw, in mm; 0 when they touch, infinite without
    /// flaws. The region is a closed polygon, or one point; in mm in the board's frame.
    pub fn gap(&self, region: &[DVec2]) -> f64 {
        let mut least = f64::INFINITY;
        for flaw in &self.board.flaws {
            if least <= 0.0 {
                break;
            }
            least = least.min(self.gap_to(flaw, region));
        }
        least
    }

    /// The first wane that touches a region, or that it lies beyond.
    pub fn wane_at(&self, region: &[DVec2]) -> Option<usize> {
        let wane = |flaw: &Flaw| flaw.kind == FlawKind::Wane && self.gap_to(flaw, region) <= 0.0;
        self.board.flaws.iter().position(wane)
    }

    fn gap_to(&self, flaw: &Flaw, region: &[DVec2]) -> f64 {
        match flaw.kind == FlawKind::Wane && self.beyond(flaw, region) {
            true => 0.0,
            false => gap_to_flaw(flaw, region),
        }
    }

    /// Whether a region that touches no flaw lies beyond a wane's line.
    pub fn past_wane(&self, region: &[DVec2]) -> bool {
        let wanes = self.board.flaws.iter().filter(|flaw| flaw.kind == FlawKind::Wane);
        wanes.into_iter().any(|flaw| self.beyond(flaw, region))
    }

    /// Whether a region that does not touch a wane's line lies on the line's far side.
    fn beyond(&self, flaw: &Flaw, region: &[DVec2]) -> bool {
        let (FlawShape::Line(line), Some(&to)) = (&flaw.shape, region.first()) else {
            return false;
        };
        let from = self.board.size() / 2.0;
        let side = |a: DVec2, b: DVec2, p: DVec2| (b - a).perp_dot(p - a) < 0.0;
        let crossings = line.windows(2).filter(|ends| {
            side(from, to, ends[0]) != side(from, to, ends[1])
                && side(ends[0], ends[1], from) != side(ends[0], ends[1], to)
        });
        crossings.count() % 2 == 1
    }
}

/// Distance between a flaw and a region (a closed polygon, or one point), in mm; 0 when they
/// touch or one holds the other.
pub fn gap_to_flaw(flaw: &Flaw, region: &[DVec2]) -> f64 {
    match &flaw.shape {
        FlawShape::Circle { centre, radius } => {
            (gap(&[*centre], false, region) - radius.as_mm()).max(0.0)
        }
        FlawShape::Polygon(corners) => gap(corners, true, region),
        FlawShape::Line(points) => gap(points, false, region),
    }
}

/// A closed polygon that many others are measured against, in mm.
pub(crate) struct Region<'a> {
    corners: &'a [DVec2],
    /// Least and greatest corner of each run of edges.
    runs: Vec<[DVec2; 2]>,
}

impl Region<'_> {
    /// Edges that are passed over together.
    const RUN: usize = 16;

    pub(crate) fn new(corners: &[DVec2]) -> Region<'_> {
        let all: Vec<(DVec2, DVec2)> = edges(corners, true).collect();
        let run = |run: &[(DVec2, DVec2)]| {
            let each = run.iter().map(|(a, b)| [a.min(*b), a.max(*b)]);
            each.fold([DVec2::INFINITY, DVec2::NEG_INFINITY], |[low, high], [from, to]| {
                [low.min(from), high.max(to)]
            })
        };
        Region { corners, runs: all.chunks(Self::RUN).map(run).collect() }
    }

    /// The edges of those runs whose boxes are asked for.
    fn edges<'a>(
        &'a self,
        of: impl Fn(&[DVec2; 2]) -> bool + 'a,
    ) -> impl Iterator<Item = (DVec2, DVec2)> + 'a {
        let count = self.corners.len();
        let runs = self.runs.iter().enumerate().filter(move |(_, run)| of(run));
        runs.flat_map(move |(run, _)| run * Self::RUN..count.min((run + 1) * Self::RUN))
            .map(move |i| (self.corners[i], self.corners[(i + 1) % count]))
    }

    /// Whether a closed polygon (or a point) is nearer to it than so many mm, touches it or holds it,
    /// or is held by it.
    pub(crate) fn nearer(&self, polygon: &[DVec2], than: f64) -> bool {
        let (Some(&first), Some(&corner)) = (polygon.first(), self.corners.first()) else {
            return false;
        };
        let low = polygon.iter().copied().fold(first, DVec2::min);
        let high = polygon.iter().copied().fold(first, DVec2::max);
        let near = move |[from, to]: &[DVec2; 2]| {
            (*from - high).max(low - *to).max(DVec2::ZERO).length_squared() < than * than
        };
        self.edges(near).any(|(c, d)| {
            near(&[c.min(d), c.max(d)])
                && edges(polygon, true).any(|(a, b)| between(a, b, c, d) < than)
        }) || (than > 0.0 && (self.holds(first) || inside(polygon, corner)))
    }

    fn holds(&self, p: DVec2) -> bool {
        let level = move |[from, to]: &[DVec2; 2]| from.y <= p.y && p.y <= to.y;
        odd_crossings(self.edges(level), p)
    }
}

/// Distance between a chain of points, closed or not, and a closed region.
fn gap(chain: &[DVec2], closed: bool, region: &[DVec2]) -> f64 {
    let (Some(&first), Some(&corner)) = (chain.first(), region.first()) else {
        return f64::INFINITY;
    };
    if inside(region, first) || (closed && inside(chain, corner)) {
        return 0.0;
    }
    // The chain's box, to pass over all edges of the region that are too far away to matter.
    let low = chain.iter().copied().fold(first, DVec2::min);
    let high = chain.iter().copied().fold(first, DVec2::max);
    let mut least = f64::INFINITY;
    for (c, d) in edges(region, true) {
        let away = (c.min(d) - high).max(low - c.max(d)).max(DVec2::ZERO);
        if away.length_squared() >= least * least {
            continue;
        }
        for (a, b) in edges(chain, closed) {
            least = least.min(between(a, b, c, d));
        }
    }
    least
}

/// The edges of a chain; a single point is one edge without length.
pub(super) fn edges(chain: &[DVec2], closed: bool) -> impl Iterator<Item = (DVec2, DVec2)> + '_ {
    let count = chain.len();
    let edges = if closed || count < 2 { count } else { count - 1 };
    (0..edges).map(move |i| (chain[i], chain[(i + 1) % count]))
}

/// Distance between two segments.
fn between(a: DVec2, b: DVec2, c: DVec2, d: DVec2) -> f64 {
    let side = |a: DVec2, b: DVec2, p: DVec2| (b - a).perp_dot(p - a);
    if side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0 {
        return 0.0;
    }
    let to = |p: DVec2, a: DVec2, b: DVec2| {
        let way = b - a;
        let t = (p - a).dot(way) / way.length_squared().max(f64::MIN_POSITIVE);
        p.distance_squared(a.lerp(b, t.clamp(0.0, 1.0)))
    };
    to(a, c, d).min(to(b, c, d)).min(to(c, a, b)).min(to(d, a, b)).sqrt()
}

/// Whether a closed polygon holds a point.
pub(super) fn inside(polygon: &[DVec2], p: DVec2) -> bool {
    odd_crossings(edges(polygon, true), p)
}

fn odd_crossings(edges: impl Iterator<Item = (DVec2, DVec2)>, p: DVec2) -> bool {
    edges.fold(false, |odd, (a, b)| {
        let crosses =
            (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x);
        odd != crosses
    })
}

/// Distance between two closed polygons (or points), in mm; 0 when they touch or one holds the
/// other.
pub(crate) fn apart(one: &[DVec2], other: &[DVec2]) -> f64 {
    gap(one, true, other)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    fn square(centre: DVec2, half: f64) -> Vec<DVec2> {
        [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            .map(|(x, y)| centre + DVec2::new(x, y) * half)
            .to_vec()
    }

    #[test]
    fn a_round_knot_three_four_five_away() {
        let knot = Flaw {
            kind: FlawKind::Knot,
            shape: FlawShape::Circle { centre: DVec2::new(13.0, 14.0), radius: Length::mm(2.0) },
        };
        // From the square's corner (10, 10) to the knot's middle: 3 and 4, so 5, less 2.
        assert!((gap_to_flaw(&knot, &square(DVec2::ZERO, 10.0)) - 3.0).abs() < 1e-12);
        assert_eq!(gap_to_flaw(&knot, &square(DVec2::new(13.0, 14.0), 10.0)), 0.0);
        let inner = square(DVec2::new(13.0, 14.0), 0.5);
        assert_eq!(gap_to_flaw(&knot, &inner), 0.0, "a region inside the knot");
    }

    #[test]
    fn a_check_across_a_region_touches_it_with_both_ends_outside() {
        let check = Flaw {
            kind: FlawKind::Check,
            shape: FlawShape::Line(vec![DVec2::new(-50.0, 1.0), DVec2::new(50.0, 2.0)]),
        };
        assert_eq!(gap_to_flaw(&check, &square(DVec2::ZERO, 10.0)), 0.0);
        assert!((gap_to_flaw(&check, &square(DVec2::new(0.0, -20.0), 10.0)) - 11.3).abs() < 0.2);
    }

    #[test]
    fn beyond_a_wane_there_is_no_wood() {
        let wane = [(-1.0, 100.0), (200.0, 90.0), (401.0, 105.0)].map(DVec2::from);
        let shape = FlawShape::Line(wane.to_vec());
        let flaws = vec![Flaw { kind: FlawKind::Wane, shape }];
        let board = Board::bare(DVec2::new(400.0, 120.0), flaws);
        let wood = SoundWood::of(&board);
        assert_eq!(wood.gap(&[DVec2::new(200.0, 110.0)]), 0.0);
        assert!(wood.gap(&[DVec2::new(200.0, 60.0)]) > 29.0);
    }
}
