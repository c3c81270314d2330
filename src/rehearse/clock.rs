//! How long motions take: each speeds up and slows down evenly, as a trapezoid, and passes corners
//! as fast as it can within a small rounding.

use super::stage::StageMachine;
use crate::program::{Motion, PathForm};
use glam::{DVec2, DVec3};

/// How much a corner is rounded at most, in mm: what sets its speed (common practice, no source).
const ROUNDING_MM: f64 = 0.02;

/// The clock of one machine.
#[derive(Clone, Copy, Debug)]
pub struct MotionClock {
    acceleration: f64,
    rapid: f64,
}

impl MotionClock {
    /// Of a machine.
    pub fn new(machine: &StageMachine) -> MotionClock {
        MotionClock { acceleration: machine.acceleration, rapid: machine.rapid / 60.0 }
    }

    /// Seconds of each motion of a lot that begins and ends at rest.
    pub fn seconds<'a>(&self, lot: impl Iterator<Item = &'a Motion>) -> Vec<f64> {
        let lot: Vec<&Motion> = lot.collect();
        let lengths: Vec<f64> = lot.iter().map(|motion| motion.length()).collect();
        let tops: Vec<f64> = lot.iter().map(|motion| self.top(motion)).collect();
        // Speeds where one motion ends and the next begins.
        let mut speeds = vec![0.0; lot.len() + 1];
        for i in 1..lot.len() {
            let corner = self.corner(ends(lot[i - 1]).1, ends(lot[i]).0);
            speeds[i] = corner.min(tops[i - 1]).min(tops[i]);
        }
        let reach =
            |speed: f64, length: f64| (speed * speed + 2.0 * self.acceleration * length).sqrt();
        for i in (0..lot.len()).rev() {
            speeds[i] = speeds[i].min(reach(speeds[i + 1], lengths[i]));
        }
        for i in 0..lot.len() {
            speeds[i + 1] = speeds[i + 1].min(reach(speeds[i], lengths[i]));
        }
        let time = |i: usize| {
            let (a, b, top) = (speeds[i], speeds[i + 1], tops[i]);
            let peak2 = self.acceleration * lengths[i] + (a * a + b * b) / 2.0;
            let peak = peak2.sqrt().min(top).max(a).max(b).max(1e-9);
            let changing = (2.0 * peak - a - b) / self.acceleration;
            let run = (2.0 * peak * peak - a * a - b * b) / (2.0 * self.acceleration);
            changing + (lengths[i] - run).max(0.0) / peak
        };
        (0..lot.len()).map(time).collect()
    }

    fn top(&self, motion: &Motion) -> f64 {
        let asked = if motion.rapid { self.rapid } else { (motion.feed / 60.0).min(self.rapid) };
        match motion.form {
            PathForm::Straight => asked,
            PathForm::Turn { centre, .. } => {
                let radius = motion.from.truncate().distance(centre);
                asked.min((self.acceleration * radius).sqrt())
            }
        }
    }

    fn corner(&self, into: DVec3, out: DVec3) -> f64 {
        let sine = ((1.0 + into.dot(out)) / 2.0).max(0.0).sqrt();
        match sine < 0.999_999 {
            true => (self.acceleration * ROUNDING_MM * sine / (1.0 - sine)).sqrt(),
            false => f64::INFINITY,
        }
    }
}

/// Directions at a motion's begin and end.
fn ends(motion: &Motion) -> (DVec3, DVec3) {
    match motion.form {
        PathForm::Straight => {
            let way = (motion.to - motion.from).normalize_or_zero();
            (way, way)
        }
        PathForm::Turn { centre, angle } => {
            let arm = motion.from.truncate() - centre;
            let rise = (motion.to.z - motion.from.z) / angle.abs();
            let begin = (arm.perp() * angle.signum()).extend(rise).normalize_or_zero();
            let turned = DVec2::from_angle(angle).rotate(begin.truncate());
            (begin, turned.extend(begin.z))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(from: DVec3, to: DVec3, feed: f64) -> Motion {
        let (form, rapid) = (PathForm::Straight, false);
        Motion { line: 1, from, to, form, rapid, feed, tool: None, spinning: true, speed: 0.0 }
    }

    #[test]
    fn trapezoids_triangles_and_corners_take_their_time() {
        let machine = StageMachine { travel: None, acceleration: 100.0, rapid: 6000.0 };
        let clock = MotionClock::new(&machine);
        let total = |lot: &[Motion]| clock.seconds(lot.iter()).iter().sum::<f64>();
        let x = |x: f64| DVec3::new(x, 0.0, 0.0);
        // 20 mm/s at 100 mm/s²: 0.2 s and 2 mm up, the same down, 96 mm between.
        assert!((total(&[line(x(0.0), x(100.0), 1200.0)]) - (0.4 + 96.0 / 20.0)).abs() < 1e-9);
        // Too short for its speed: 2 sqrt(s/a).
        assert!((total(&[line(x(0.0), x(1.0), 1200.0)]) - 2.0 * (0.01_f64).sqrt()).abs() < 1e-9);
        // Cut into parts a line takes the same time; round a corner it takes longer; back, longest.
        let parts: Vec<Motion> =
            (0..100).map(|i| line(x(f64::from(i)), x(f64::from(i + 1)), 1200.0)).collect();
        assert!((total(&parts) - 5.2).abs() < 1e-9);
        let bent =
            [line(x(0.0), x(50.0), 1200.0), line(x(50.0), DVec3::new(50.0, 50.0, 0.0), 1200.0)];
        let back = [line(x(0.0), x(50.0), 1200.0), line(x(50.0), x(0.0), 1200.0)];
        assert!(total(&bent) > 5.2 && total(&back) > total(&bent));
        assert!((total(&back) - 2.0 * (0.4 + 46.0 / 20.0)).abs() < 1e-9);
    }
}
