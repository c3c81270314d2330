//! The cone of a holder, both ways round: how wide it is at a height, how high it is at a distance.

use super::sweep::Sweep;
use crate::params::Holder;

impl Holder {
    /// Its radius so far over its lower end, in mm.
    pub fn radius_at(self, up: f64) -> f64 {
        let (low, high) = (self.nose.half().as_mm(), self.diameter.half().as_mm());
        let share = (up / self.length.as_mm().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
        low + (high - low) * share
    }

    /// Height over its lower end of what is lowest of it so far from its axis and beyond, in mm;
    /// none where there is nothing of it.
    pub fn height_at(self, away: f64) -> Option<f64> {
        let (low, high) = (self.nose.half().as_mm(), self.diameter.half().as_mm());
        let up = match high - low {
            wide if wide > 1e-9 => ((away - low) / wide).max(0.0) * self.length.as_mm(),
            _ => 0.0,
        };
        (away <= high).then_some(up)
    }
}

impl Sweep {
    /// Height over the tip of what is lowest of the holder so far from its axis and beyond, in mm;
    /// none where there is nothing of it.
    pub fn holder_over(&self, away: f64) -> Option<f64> {
        Some(self.cutter.stick_out.as_mm() + self.holder.height_at(away)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    fn holder(diameter: f64, nose: f64) -> Holder {
        let [diameter, nose, length] = [diameter, nose, 40.0].map(Length::mm);
        Holder { diameter, nose, length }
    }

    #[test]
    fn a_cone_is_as_wide_as_it_is_at_the_height_that_counts() {
        let at = [-1.0, 0.0, 10.0, 40.0, 90.0].map(|up| holder(40.0, 20.0).radius_at(up));
        assert_eq!(at, [10.0, 10.0, 12.5, 20.0, 20.0]);
    }

    #[test]
    fn and_as_high_at_the_radius_that_counts() {
        let cone = holder(40.0, 20.0);
        let at = [0.0, 10.0, 12.5, 20.0, 20.1].map(|away| cone.height_at(away));
        assert_eq!(at, [Some(0.0), Some(0.0), Some(10.0), Some(40.0), None]);
        let straight = holder(20.0, 20.0);
        assert_eq!([9.9, 10.0].map(|away| straight.height_at(away)), [Some(0.0); 2]);
        for up in [0.5, 7.0, 39.0] {
            let back = cone.height_at(cone.radius_at(up));
            assert!(back.is_some_and(|back| (back - up).abs() < 1e-9), "{up} {back:?}");
        }
    }
}
