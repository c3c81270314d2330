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

use crate::check::reach::{HeightGrid, NOTHING};
use glam::DVec2;

/// Slope and bend of a skin at a place: first and second derivatives of its height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Jet {
    /// Rise per length along X and Y.
    pub(super) slope: DVec2,
    /// Along X, along Y, and the mixed one, per mm.
    pub(super) bend: [f64; 3],
}

impl Jet {
    /// The square of how much further apart than they are passes would have to lie on a level place
    /// to leave as high a ridge, for a ball of a radius and passes a step apart in the plan, in mm;
    /// for passes that run in the worst way.
    ///
    /// Where the ball is rounder than the hollow it does not touch at all, and what it leaves is no
    /// ridge between passes: there it is that of the plane.
    pub(super) fn worst(&self, radius: f64, step: f64) -> f64 {
        let plane = 1.0 + self.slope.length_squared();
        let bent = self.forms(radius).map(|forms| greatest(self.slope, forms));
        held(bent, plane, radius, step)
    }

    /// The same for passes along X, and for passes along Y.
    pub(super) fn along_and_across(&self, radius: f64, step: f64) -> [f64; 2] {
        let squared = self.slope * self.slope;
        let steep = 1.0 + squared.x + squared.y;
        let forms = self.forms(radius);
        let one = |bent: fn([f64; 3]) -> f64, own: f64| {
            let bent = forms.map(|forms| bent(forms) * (steep / own).powi(2));
            held(bent, steep / own, radius, step)
        };
        [one(|[_, y, _]| y, 1.0 + squared.x), one(|[x, ..]| x, 1.0 + squared.y)]
    }

    /// (G + R B)⁻¹ along X, along Y and mixed; nothing where the ball is rounder.
    fn forms(&self, radius: f64) -> Option<[f64; 3]> {
        let Jet { slope, bend } = *self;
        let lean = radius / (1.0 + slope.length_squared()).sqrt();
        let x = 1.0 + slope.x * slope.x - lean * bend[0];
        let y = 1.0 + slope.y * slope.y - lean * bend[1];
        let mixed = slope.x * slope.y - lean * bend[2];
        let fits = x * y - mixed * mixed;
        (x > 0.0 && fits > 0.0).then(|| [y / fits, x / fits, -mixed / fits])
    }
}

/// A figure with the skin's bend, where the ball fits into it, held to what can be.
fn held(bent: Option<f64>, plane: f64, radius: f64, step: f64) -> f64 {
    // A ball that is hardly less round than the hollow goes no deeper between two passes than half
    // a step-over above its floor.
    bent.map_or(plane, |bent| bent.min(plane + 2.0 * radius / step * plane))
}

/// The greatest of eᵀQe / (eᵀG⁻¹e)², over all e; Q is given along X, along Y and mixed.
///
/// It is worked out at a place that is right for a plane and for a level skin, and one step of
/// Newton's method is taken from there: exact for both, within a hundredth for shipped bodies.
fn greatest(slope: DVec2, [x, y, mixed]: [f64; 3]) -> f64 {
    // With w the unit at twice the angle of e, they are mean + half · w and upright - lean · w.
    let (mean, half) = (0.5 * (x + y), DVec2::new(0.5 * (x - y), mixed));
    let squared = slope * slope;
    let flat = 1.0 / (1.0 + squared.x + squared.y);
    let lean = flat * DVec2::new(0.5 * (squared.x - squared.y), slope.x * slope.y);
    let upright = 0.5 + 0.5 * flat;
    let w = (upright * half + 2.0 * mean * lean).try_normalize().unwrap_or(DVec2::X);
    let beside = w.perp();
    let (over, under) = (mean + half.dot(w), upright - lean.dot(w));
    let inverse = 1.0 / (over * under);
    let found = over / (under * under);
    // Of the logarithm: first and second derivative by twice the angle.
    let (one, other) = (half.dot(beside) * under * inverse, -lean.dot(beside) * over * inverse);
    let first = one - 2.0 * other;
    let second = -half.dot(w) * under * inverse
        - one * one
        - 2.0 * (lean.dot(w) * over * inverse - other * other);
    // Its top is so much higher, if it is near; the logarithm hardly differs from the figure.
    let rise = if second < 0.0 { -0.5 * first * first / second } else { 0.0 };
    found * (1.0 + rise.min(1.0))
}

/// The whole of the inner cells in the plan, each with 1 / cos of its slope: their own area, in
/// cells.
pub(in crate::check) fn skin(heights: &HeightGrid) -> f64 {
    let step = 2.0 * heights.cell.as_mm();
    let mut whole = 0.0;
    inner(heights, |_, around| whole += (1.0 + slope(&around, step).length_squared()).sqrt());
    whole
}

/// The jet of each inner cell, over two cells.
pub(super) fn jets(heights: &HeightGrid, mut each: impl FnMut(usize, Jet)) {
    let cell = heights.cell.as_mm();
    let squared = cell * cell;
    inner(heights, |at, around| {
        let [[a, south, b], [west, middle, east], [c, north, d]] = around;
        let known = [a, b, c, d].iter().all(|z| *z > NOTHING);
        let [a, b, c, d] = [a, b, c, d].map(f64::from);
        // At the rim, where a corner is missing, it is not known.
        let twist = if known { (a - b - c + d) / (4.0 * squared) } else { 0.0 };
        let bend = |one: f32, other: f32| {
            (f64::from(one) - 2.0 * f64::from(middle) + f64::from(other)) / squared
        };
        let bend = [bend(west, east), bend(south, north), twist];
        each(at, Jet { slope: slope(&around, 2.0 * cell), bend });
    });
}

/// From one neighbour of a cell to the other, `step` apart.
fn slope([[_, south, _], [west, _, east], [_, north, _]]: &[[f32; 3]; 3], step: f64) -> DVec2 {
    let rise = |from: f32, to: f32| f64::from(to) - f64::from(from);
    DVec2::new(rise(*west, *east), rise(*south, *north)) / step
}

/// Cells whose four neighbours are on the body, with the heights round them, row by row.
fn inner(heights: &HeightGrid, mut each: impl FnMut(usize, [[f32; 3]; 3])) {
    let HeightGrid { columns, mm, .. } = heights;
    let rows: Vec<&[f32]> = mm.chunks_exact((*columns).max(1)).collect();
    for (row, rows) in rows.windows(3).enumerate() {
        let [south, middle, north] = [rows[0], rows[1], rows[2]].map(|row| row.windows(3));
        for (column, ((south, middle), north)) in south.zip(middle).zip(north).enumerate() {
            let around = [south, middle, north].map(|row| [row[0], row[1], row[2]]);
            let [[_, south, _], [west, middle, east], [_, north, _]] = around;
            if [middle, west, east, south, north].iter().all(|z| *z > NOTHING) {
                each((row + 1) * columns + column + 1, around);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;
    use glam::DVec3;

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
            let worst = jet.worst(1.5, 0.3).sqrt();
            let [along, across] = jet.along_and_across(1.5, 0.3).map(f64::sqrt);
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
        assert!((jet.along_and_across(1.5, 0.3)[0] - 1.0).abs() < 1e-12);
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
            let ridge = |spread: f64| super::super::cusp(radius, step * spread.sqrt());
            let exact = between_two_balls(radius, round, step);
            let level = super::super::cusp(radius, step);
            let [along, across] = jet.along_and_across(radius, step).map(ridge);
            assert!((along / exact - 1.0).abs() < 0.01, "{round}: {exact}");
            assert!((across / level - 1.0).abs() < 1e-9, "{round}");
            let worst = ridge(jet.worst(radius, step));
            assert!((worst / exact.max(level) - 1.0).abs() < 0.01, "{round}");
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
            let jet = Jet { slope, bend };
            let all = |jet: Jet| {
                let [along, across] = jet.along_and_across(radius, step);
                [jet.worst(radius, step), along, across]
            };
            let plane = all(Jet { slope, bend: [0.0; 3] });
            for (found, plane) in all(jet).into_iter().zip(plane) {
                let exact = plane / (1.0 + radius / ball);
                assert!((found / exact - 1.0).abs() < 1e-9, "{p}: {found} {exact}");
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
            let worst = Jet { slope, bend }.worst(radius, step);
            // Turned by each angle, the passes still run along X.
            let turned = |angle: f64| {
                let (x, y) = (DVec2::from_angle(angle), DVec2::from_angle(angle).perp());
                let form = |a: DVec2, b: DVec2| {
                    a.x * b.x * bend[0] + a.y * b.y * bend[1] + (a.x * b.y + a.y * b.x) * bend[2]
                };
                let slope = DVec2::new(slope.dot(x), slope.dot(y));
                Jet { slope, bend: [form(x, x), form(y, y), form(x, y)] }
            };
            let all = (0..1800)
                .map(|i| turned(f64::from(i) * 0.001_745_33).along_and_across(radius, step)[0]);
            let most = all.fold(0.0, f64::max);
            assert!((worst / most - 1.0).abs() < 0.01, "{slope}: {worst} {most}");
        }
    }

    #[test]
    fn where_the_ball_does_not_fit_it_leaves_no_ridge_of_its_own() {
        let jet = |round: f64| Jet { slope: DVec2::ZERO, bend: [0.0, 1.0 / round, 0.0] };
        let spread = |round: f64| jet(round).along_and_across(1.5, 0.3)[0];
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
        let mut heights = HeightGrid { columns, rows: columns, cell: Length::mm(cell), mm };
        let all = |heights: &HeightGrid| {
            let mut found = Vec::new();
            jets(heights, |at, jet| found.push((at, jet)));
            found
        };
        let found = all(&heights);
        assert_eq!(found.len(), 25);
        let (_, jet) = found.iter().find(|(at, _)| *at == 3 * columns + 2).expect("a cell");
        let [x, y] = [2.0 * cell, 3.0 * cell];
        let slope = DVec2::new(0.3 + x + 0.4 * y, -0.2 - 0.5 * y + 0.4 * x);
        assert!((jet.slope - slope).length() < 1e-5);
        for (found, exact) in jet.bend.into_iter().zip([1.0, -0.5, 0.4]) {
            assert!((found - exact).abs() < 1e-4, "{:?}", jet.bend);
        }
        let whole: f64 =
            found.iter().map(|(_, jet)| (1.0 + jet.slope.length_squared()).sqrt()).sum();
        assert!((skin(&heights) - whole).abs() < 1e-12);
        heights.mm[3 * columns + 3] = NOTHING;
        let found = all(&heights);
        assert_eq!(found.len(), 20);
        let twists = found.iter().filter(|(_, jet)| jet.bend[2] == 0.0);
        assert_eq!(twists.count(), 4, "round the hole");
    }
}
