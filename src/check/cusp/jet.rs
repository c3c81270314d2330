//! Slope and bend of a skin in a cell, and how far apart they set the tracks of a ball.
//!
//! What a path program spaces evenly in the plan are the ball's middles. They run on the offset
//! surface, R away, which has the same normal n as the skin below it and curves by κ / (1 + R κ)
//! where the skin curves by κ (a back counts as positive). Two middles d apart leave a ridge over
//! the chord between them, and the chord lies lower than the offset surface by its sagitta, so that
//! to the second order the ridge is
//!
//! d²/8 · (1/R - κ / (1 + R κ)) = d²/8R · 1 / (1 + R κ).
//!
//! With e the unit across the passes in the plan, G = I + p pᵀ the metric of a skin of slope p, and
//! B = -H / √(1 + p²) its second form (H the second derivatives), d² = s² / (eᵀG⁻¹e), and
//! 1 / (1 + R κ) in the direction square to the tracks is eᵀ(G + R B)⁻¹e / (eᵀG⁻¹e). A plane has
//! B = 0, which leaves d² = s² (1 + a² / (1 + b²)).

use crate::check::reach::{Heights, NOTHING};
use glam::DVec2;

/// Slope and bend of a skin at a place: first and second derivatives of its height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Jet {
    /// Rise per length along X and Y.
    pub(super) slope: DVec2,
    /// Along X, along Y, and the mixed one, per mm.
    pub(super) bend: [f64; 3],
}

/// Which way parallel passes run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Run {
    /// So that they leave the highest ridge; level along the slope where the skin is a plane.
    Worst,
    /// Along the piece.
    Along,
    /// Across it.
    Across,
}

/// How many ways are tried for the worst.
const WAYS: usize = 16;
/// Cosine and sine of twice the angle of each against the steepest way.
const TWICE: [[f64; 2]; WAYS] = {
    // The eighths of a right angle, to the last place (tables).
    const C: [f64; 5] =
        [1.0, 0.923_879_532_511_286_7, 0.707_106_781_186_547_6, 0.382_683_432_365_089_8, 0.0];
    let mut twice = [[0.0; 2]; WAYS];
    let mut way = 0;
    while way < WAYS {
        let (quarter, eighth) = (way / 4, way % 4);
        let (cos, sin) = (C[eighth], C[4 - eighth]);
        twice[way] = match quarter {
            0 => [cos, sin],
            1 => [-sin, cos],
            2 => [-cos, -sin],
            _ => [sin, -cos],
        };
        way += 1;
    }
    twice
};

impl Jet {
    /// The square of how much further apart than they are passes would have to lie on a level place
    /// to leave as high a ridge, for a ball of a radius and passes a step apart in the plan, in mm.
    ///
    /// Where the ball is rounder than the hollow it does not touch at all, and what it leaves is no
    /// ridge between passes: there it is that of the plane.
    pub(super) fn spread_squared(&self, run: Run, radius: f64, step: f64) -> f64 {
        // A ball that is hardly less round than the hollow goes no deeper between two passes than
        // half a step-over above its floor.
        let most = 1.0 + 2.0 * radius / step;
        match self.bent(run, radius) {
            Some(spread) if spread <= most => spread,
            Some(spread) => spread.min(most * self.plane(run)),
            None => self.plane(run),
        }
    }

    /// Without its bend.
    fn plane(&self, run: Run) -> f64 {
        let (x, y) = (self.slope.x * self.slope.x, self.slope.y * self.slope.y);
        match run {
            Run::Along => 1.0 + y / (1.0 + x),
            Run::Across => 1.0 + x / (1.0 + y),
            Run::Worst => 1.0 + x + y,
        }
    }

    /// With it; nothing where the ball is rounder.
    fn bent(&self, run: Run, radius: f64) -> Option<f64> {
        let Jet { slope, bend } = *self;
        let steep = 1.0 + slope.length_squared();
        let lean = radius / steep.sqrt();
        // G + R B, and its inverse.
        let x = 1.0 + slope.x * slope.x - lean * bend[0];
        let y = 1.0 + slope.y * slope.y - lean * bend[1];
        let mixed = slope.x * slope.y - lean * bend[2];
        let fits = x * y - mixed * mixed;
        (x > 0.0 && fits > 0.0).then(|| {
            let [along, across, twist] = [y, x, -mixed].map(|form| form / fits);
            match run {
                Run::Along => across * (steep / (1.0 + slope.x * slope.x)).powi(2),
                Run::Across => along * (steep / (1.0 + slope.y * slope.y)).powi(2),
                Run::Worst => worst(slope, [along, across, twist]),
            }
        })
    }
}

/// The greatest of eᵀQe / (eᵀG⁻¹e)², over all e; Q is given along X, along Y and mixed.
fn worst(slope: DVec2, [x, y, mixed]: [f64; 3]) -> f64 {
    let squared = slope.length_squared();
    // Turned so that the first axis is the steepest way, and both forms by twice the angle.
    let up = if squared > 1e-18 { slope / squared.sqrt() } else { DVec2::X };
    let (cos, sin) = (up.x * up.x - up.y * up.y, 2.0 * up.x * up.y);
    let (mean, half) = (0.5 * (x + y), 0.5 * (x - y));
    let (half, twist) = (half * cos + mixed * sin, mixed * cos - half * sin);
    let lean = 0.5 * squared / (1.0 + squared);
    let tried: [f64; WAYS] = std::array::from_fn(|way| {
        let [cos, sin] = TWICE[way];
        let under = 1.0 - lean - lean * cos;
        (mean + half * cos + twist * sin) / (under * under)
    });
    let best = (0..WAYS).fold(0, |best, way| if tried[way] > tried[best] { way } else { best });
    // The top of the parabola through it and its neighbours.
    let (left, top, right) =
        (tried[(best + WAYS - 1) % WAYS], tried[best], tried[(best + 1) % WAYS]);
    let bow = 2.0 * top - left - right;
    if bow > 0.0 { top + (right - left).powi(2) / (8.0 * bow) } else { top }
}

/// 1 / cos of the slope of each inner cell.
pub(in crate::check) fn steeper(heights: &Heights) -> impl Iterator<Item = f64> + '_ {
    jets(heights).map(|(_, jet)| (1.0 + jet.slope.length_squared()).sqrt())
}

/// The jet of each cell whose four neighbours are on the body, by those: over two cells.
pub(super) fn jets(heights: &Heights) -> impl Iterator<Item = (usize, Jet)> + '_ {
    let Heights { columns, rows, cell, mm } = heights;
    let cell = cell.as_mm();
    let inner = (1..rows.saturating_sub(1))
        .flat_map(move |row| (1..columns.saturating_sub(1)).map(move |at| row * columns + at));
    inner.filter_map(move |at| {
        let around = [at, at - 1, at + 1, at - columns, at + columns].map(|i| mm[i]);
        around.iter().all(|z| *z > NOTHING).then(|| {
            let [middle, west, east, south, north] = around.map(f64::from);
            let corners = [at - columns - 1, at - columns + 1, at + columns - 1, at + columns + 1];
            let corners = corners.map(|i| mm[i]);
            // At the rim, where a corner is missing, it is not known.
            let twist = match corners.iter().all(|z| *z > NOTHING) {
                true => {
                    let [a, b, c, d] = corners.map(f64::from);
                    (a - b - c + d) / (4.0 * cell * cell)
                }
                false => 0.0,
            };
            let bend = |one: f64, other: f64| (one - 2.0 * middle + other) / (cell * cell);
            let slope = DVec2::new(east - west, north - south) / (2.0 * cell);
            (at, Jet { slope, bend: [bend(west, east), bend(south, north), twist] })
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;
    use glam::DVec3;

    const RUNS: [Run; 3] = [Run::Worst, Run::Along, Run::Across];

    /// Tracks as lines in space: the distance of two of them, by the point of one and its foot on
    /// the other.
    fn apart(slope: DVec2, run: DVec2) -> f64 {
        let lifted = |p: DVec2| p.extend(slope.dot(p));
        let (track, next): (DVec3, DVec3) = (lifted(run).normalize(), lifted(run.perp()));
        (next - next.dot(track) * track).length()
    }

    #[test]
    fn tracks_lie_as_far_apart_as_lines_on_the_plane_do() {
        for slope in [
            DVec2::ZERO,
            DVec2::new(1.3, 0.0),
            DVec2::new(0.0, -1.3),
            DVec2::new(0.7, 1.9),
            DVec2::new(-2.5, 0.4),
        ] {
            let jet = Jet { slope, bend: [0.0; 3] };
            let [worst, along, across] = RUNS.map(|run| jet.spread_squared(run, 1.5, 0.3).sqrt());
            assert!((along - apart(slope, DVec2::X)).abs() < 1e-12, "{slope}");
            assert!((across - apart(slope, DVec2::Y)).abs() < 1e-12, "{slope}");
            // No way of running is worse than the worst, and one is as bad.
            let all = (0..3600).map(|i| apart(slope, DVec2::from_angle(f64::from(i) * 1e-3)));
            let most = all.fold(0.0, f64::max);
            assert!(most <= worst + 1e-12 && most > worst - 1e-5, "{slope}: {most} {worst}");
        }
        // Straight up and down a slope they are no further apart than on the level.
        let slope = DVec2::new(9.0, 0.0);
        let jet = Jet { slope, bend: [0.0; 3] };
        assert!((jet.spread_squared(Run::Along, 1.5, 0.3) - 1.0).abs() < 1e-12);
    }

    /// Two balls of radius R beside each other in a round hollow of radius r, or on a round back:
    /// where their circles meet, over the circle of the surface (Pythagoras). A hollow's radius
    /// counts as negative.
    fn between_two_balls(radius: f64, round: f64, step: f64) -> f64 {
        // The middles' circle, and half the angle between two middles.
        let middles = round + radius;
        let half = (0.5 * step / middles).asin();
        let over = middles * half.cos();
        let meet = over - (radius.powi(2) - (0.5 * step).powi(2)).sqrt();
        (meet - round).abs()
    }

    #[test]
    fn in_a_hollow_they_are_higher_and_on_a_back_lower() {
        let (radius, step) = (1.5, 0.2);
        for round in [-12.0, -6.0, -4.0, 3.0, 8.0, 40.0] {
            // A level place of a channel or a rail along X.
            let jet = Jet { slope: DVec2::ZERO, bend: [0.0, -1.0 / round, 0.0] };
            let ridge = |run| {
                super::super::cusp(radius, step * jet.spread_squared(run, radius, step).sqrt())
            };
            let exact = between_two_balls(radius, round, step);
            assert!((ridge(Run::Along) / exact - 1.0).abs() < 0.01, "{round}: {exact}");
            let level = super::super::cusp(radius, step);
            assert!((ridge(Run::Across) / level - 1.0).abs() < 1e-9, "{round}");
            assert!((ridge(Run::Worst) / exact.max(level) - 1.0).abs() < 0.01, "{round}");
        }
    }

    /// On a ball all directions bend alike: the plane's figure over 1 + R/r, whichever way.
    #[test]
    fn on_a_ball_the_plane_counts_and_the_ball_s_own_round() {
        let (radius, step, ball) = (1.5, 0.2, 25.0);
        for p in [DVec2::new(9.0, -4.0), DVec2::new(-14.0, 12.0)] {
            let up = (ball * ball - p.length_squared()).sqrt();
            let second = |a: f64, b: f64, same: f64| -(same + a * b / (up * up)) / up;
            let slope = -p / up;
            let bend = [second(p.x, p.x, 1.0), second(p.y, p.y, 1.0), second(p.x, p.y, 0.0)];
            for (run, plane) in RUNS
                .map(|run| (run, Jet { slope, bend: [0.0; 3] }.spread_squared(run, radius, step)))
            {
                let found = Jet { slope, bend }.spread_squared(run, radius, step);
                let exact = plane / (1.0 + radius / ball);
                assert!((found / exact - 1.0).abs() < 1e-9, "{run:?} {p}: {found} {exact}");
            }
        }
    }

    #[test]
    fn the_worst_of_a_twisted_place_is_the_greatest_of_all_directions() {
        let (radius, step) = (1.5, 0.3);
        for (slope, bend) in [
            (DVec2::new(0.3, 0.8), [0.1, -0.2, 0.15]),
            (DVec2::new(-1.5, 0.2), [0.2, 0.1, -0.2]),
            (DVec2::new(0.0, 0.05), [-0.4, 0.3, 0.2]),
            (DVec2::new(2.0, 2.0), [-1.0, -3.0, 0.7]),
        ] {
            let worst = Jet { slope, bend }.spread_squared(Run::Worst, radius, step);
            // Turned by each angle, the passes still run along X.
            let turned = |angle: f64| {
                let (x, y) = (DVec2::from_angle(angle), DVec2::from_angle(angle).perp());
                let form = |a: DVec2, b: DVec2| {
                    a.x * b.x * bend[0] + a.y * b.y * bend[1] + (a.x * b.y + a.y * b.x) * bend[2]
                };
                let slope = DVec2::new(slope.dot(x), slope.dot(y));
                Jet { slope, bend: [form(x, x), form(y, y), form(x, y)] }
            };
            let all = (0..1800).map(|i| {
                turned(f64::from(i) * 0.001_745_33).spread_squared(Run::Along, radius, step)
            });
            let most = all.fold(0.0, f64::max);
            assert!((worst / most - 1.0).abs() < 0.01, "{slope}: {worst} {most}");
        }
    }

    #[test]
    fn where_the_ball_does_not_fit_it_leaves_no_ridge_of_its_own() {
        let jet = |round: f64| Jet { slope: DVec2::ZERO, bend: [0.0, 1.0 / round, 0.0] };
        let spread = |round: f64| jet(round).spread_squared(Run::Along, 1.5, 0.3);
        assert_eq!(spread(1.2), 1.0);
        // Hardly: 1 + 2 R/s at most, and without a jump before.
        assert!(spread(1.501) <= 11.0 + 1e-9 && spread(1.501) > 10.9);
        assert!((spread(3.0) - 2.0).abs() < 1e-9);
    }

    #[test]
    fn a_cell_counts_only_with_its_neighbours_and_a_bent_plane_has_its_own_jet() {
        let (columns, cell) = (7, 0.2);
        let height = |index: usize| {
            let (x, y) = ((index % columns) as f64 * cell, (index / columns) as f64 * cell);
            (0.3 * x - 0.2 * y + 0.5 * x * x - 0.25 * y * y + 0.4 * x * y) as f32
        };
        let mm: Vec<f32> = (0..columns * columns).map(height).collect();
        let mut heights = Heights { columns, rows: columns, cell: Length::mm(cell), mm };
        assert_eq!(jets(&heights).count(), 25);
        let (_, jet) = jets(&heights).find(|(at, _)| *at == 3 * columns + 2).expect("a cell");
        let [x, y] = [2.0 * cell, 3.0 * cell];
        let slope = DVec2::new(0.3 + x + 0.4 * y, -0.2 - 0.5 * y + 0.4 * x);
        assert!((jet.slope - slope).length() < 1e-5);
        for (found, exact) in jet.bend.into_iter().zip([1.0, -0.5, 0.4]) {
            assert!((found - exact).abs() < 1e-4, "{:?}", jet.bend);
        }
        heights.mm[3 * columns + 3] = NOTHING;
        assert_eq!(steeper(&heights).count(), 20);
    }
}
