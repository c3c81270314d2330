//! The end of a cutter as a form of revolution.

use crate::params::{Cutter, CutterForm};
use crate::units::Length;
use glam::DVec3;

/// The end of a cutter: a disc whose edge is rounded.
///
/// A ball is rounded all the way, a flat cutter not at all, a bull-nosed one in part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tool {
    radius: f64,
    corner: f64,
}

impl Tool {
    /// A ball of that diameter.
    pub fn ball(diameter: Length) -> Tool {
        let radius = diameter.half().as_mm();
        Tool { radius, corner: radius }
    }

    /// A flat cutter of that diameter.
    pub fn flat(diameter: Length) -> Tool {
        Tool { radius: diameter.half().as_mm(), corner: 0.0 }
    }

    /// A bull-nosed cutter: flat, with its edge rounded to the radius of `corner`.
    pub fn bull(diameter: Length, corner: Length) -> Tool {
        let radius = diameter.half().as_mm();
        Tool { radius, corner: corner.as_mm().clamp(0.0, radius) }
    }

    /// The end of a cutter of the shop; nothing for a V or a drill, which do not finish skins.
    pub fn of(cutter: &Cutter) -> Option<Tool> {
        match cutter.form {
            CutterForm::Ball => Some(Tool::ball(cutter.diameter)),
            CutterForm::Flat => Some(Tool::flat(cutter.diameter)),
            CutterForm::Bull(corner) => Some(Tool::bull(cutter.diameter, corner)),
            CutterForm::Vee(_) | CutterForm::Drill(_) => None,
        }
    }

    /// Half of the diameter.
    pub fn radius(&self) -> Length {
        Length::mm(self.radius)
    }

    /// Height over the tip at a distance from the axis, both in mm; nothing past the edge.
    pub fn height(&self, from_axis: f64) -> Option<f64> {
        // Rounding must not lose the cells that lie on the very edge.
        if from_axis > self.radius * (1.0 + 1e-12) {
            return None;
        }
        let out = (from_axis - (self.radius - self.corner)).clamp(0.0, self.corner);
        Some(self.corner - (self.corner * self.corner - out * out).max(0.0).sqrt())
    }

    /// Where the tip stands when the tool touches a place whose outward normal leans so, in mm. On
    /// a level place the axis is put over it.
    pub(super) fn tip_touching(&self, place: DVec3, normal: DVec3) -> DVec3 {
        let out = normal.truncate().normalize_or_zero() * (self.radius - self.corner);
        place + self.corner * (normal - DVec3::Z) + out.extend(0.0)
    }

    /// Most that standing on cells' middles only can leave in error on a slope, with a factor of
    /// two for what the slope's own estimate is off, in mm: a rounded edge moves along its arc by
    /// half a cell and its diagonal, a sharp one climbs the slope by as much.
    pub(super) fn false_cusp(&self, slope: f64, cell: f64) -> f64 {
        if !slope.is_finite() {
            return f64::INFINITY;
        }
        let sharp = std::f64::consts::SQRT_2 * slope * cell;
        if self.corner < cell {
            return sharp.max(cell * 0.05);
        }
        let arc = cell * cell * (1.0 + slope * slope).powf(1.5) / (2.0 * self.corner);
        if self.corner < self.radius { arc.max(sharp) } else { arc }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ball_is_a_half_sphere_and_a_flat_end_is_flat() {
        let ball = Tool::ball(Length::mm(6.0));
        assert_eq!(ball.height(0.0), Some(0.0));
        assert_eq!(ball.height(3.0), Some(3.0));
        // 3-4-5 at a fifth of the size: sqrt(9 - 1.8²) = 2.4.
        assert!((ball.height(1.8).unwrap_or(9.0) - 0.6).abs() < 1e-12);
        assert_eq!(ball.height(3.1), None);
        let flat = Tool::flat(Length::mm(6.0));
        assert_eq!((flat.height(2.9), flat.height(3.1)), (Some(0.0), None));
        let bull = Tool::bull(Length::mm(6.0), Length::mm(1.0));
        assert_eq!((bull.height(2.0), bull.height(3.0)), (Some(0.0), Some(1.0)));
    }
}
