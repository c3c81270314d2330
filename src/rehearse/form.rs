//! A cutter's true form, and the height that it leaves at a place that it passes.
//!
//! The form is a body of revolution: its height over the tip grows with the distance from the axis,
//! and never bends inwards. The height left by a straight path is therefore the least of a convex
//! function along it, which is had in closed form for flats, balls and cones; for a rounded edge on
//! a slope it is found by halving.

use crate::check::reach::Tool;
use crate::units::Length;

/// A cutter, or its holder, in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CuttingForm {
    /// Its radius.
    pub radius: f64,
    /// Radius of the level part at its end.
    flat: f64,
    edge: EdgeForm,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum EdgeForm {
    /// Square.
    Square,
    /// Rounded; a ball has no level part.
    Round(f64),
    /// A cone that rises so much for each mm outwards.
    Cone(f64),
}

/// Halvings for a rounded edge on a slope: from 30 mm to less than a millionth.
const HALVINGS: usize = 26;

impl CuttingForm {
    /// Square across its end.
    pub const fn flat(radius: f64) -> CuttingForm {
        CuttingForm { radius, flat: radius, edge: EdgeForm::Square }
    }

    /// With its edge rounded; a ball when that is all of it.
    pub fn bull(radius: f64, corner: f64) -> CuttingForm {
        let corner = corner.min(radius);
        CuttingForm { radius, flat: radius - corner, edge: EdgeForm::Round(corner) }
    }

    /// A cone from its very tip.
    pub const fn cone(radius: f64, rise: f64) -> CuttingForm {
        CuttingForm { radius, flat: 0.0, edge: EdgeForm::Cone(rise) }
    }

    /// A cone with a level end, `high` from the one radius to the other; a cylinder when they are
    /// the same.
    pub fn blunt_cone(end: f64, radius: f64, high: f64) -> CuttingForm {
        if radius - end < 1e-6 {
            return CuttingForm::flat(radius);
        }
        CuttingForm { radius, flat: end, edge: EdgeForm::Cone(high / (radius - end)) }
    }

    /// How its lower edge is rounded: a ball's radius, a bull's corner; none of others.
    pub const fn rounding(&self) -> Option<f64> {
        match self.edge {
            EdgeForm::Round(corner) => Some(corner),
            _ => None,
        }
    }

    /// The form as the reach map has it; none of a cone, which finishes no face.
    pub fn tool(&self) -> Option<Tool> {
        let diameter = Length::mm(2.0 * self.radius);
        match self.edge {
            EdgeForm::Square => Some(Tool::flat(diameter)),
            EdgeForm::Round(corner) => Some(Tool::bull(diameter, Length::mm(corner))),
            EdgeForm::Cone(_) => None,
        }
    }

    /// The same in another unit.
    pub fn scaled(self, by: f64) -> CuttingForm {
        let edge = match self.edge {
            EdgeForm::Round(corner) => EdgeForm::Round(corner * by),
            same => same,
        };
        CuttingForm { radius: self.radius * by, flat: self.flat * by, edge }
    }

    /// Height over the tip at a distance from the axis within its radius.
    pub fn height(&self, away: f64) -> f64 {
        let out = away - self.flat;
        match self.edge {
            _ if out <= 0.0 => 0.0,
            EdgeForm::Square => 0.0,
            EdgeForm::Round(corner) => corner - (corner * corner - out * out).max(0.0).sqrt(),
            EdgeForm::Cone(rise) => rise * out,
        }
    }

    /// The least height, over the path's start, that a straight path leaves at a place: `along` it
    /// from its start, `off` it squared, with the path's length in the plan and its rise for each
    /// mm of that. None where the form doesn't pass.
    #[inline]
    pub fn left_by_line(&self, along: f64, off2: f64, length: f64, rise: f64) -> Option<f64> {
        let wide2 = self.radius * self.radius - off2;
        if wide2 < 0.0 {
            return None;
        }
        let wide = wide2.sqrt();
        let (low, high) = ((along - wide).max(0.0), (along + wide).min(length));
        if low > high {
            return None;
        }
        // How far behind the place the axis is at best.
        let behind = match self.edge {
            EdgeForm::Square => {
                if rise >= 0.0 {
                    f64::INFINITY
                } else {
                    f64::NEG_INFINITY
                }
            }
            EdgeForm::Round(corner) if self.flat == 0.0 => {
                let ball2 = corner * corner - off2;
                rise * (ball2 / (1.0 + rise * rise)).max(0.0).sqrt()
            }
            EdgeForm::Cone(up) if self.flat == 0.0 => {
                if rise.abs() < up {
                    rise * (off2 / (up * up - rise * rise)).sqrt()
                } else {
                    rise * f64::INFINITY
                }
            }
            _ => self.halved(off2, rise, wide),
        };
        let at = (along - behind).clamp(low, high);
        let away = (off2 + (along - at) * (along - at)).sqrt();
        Some(rise * at + self.height(away))
    }

    /// Where the height's slope behind a place is the path's: between two, halved.
    fn halved(&self, off2: f64, rise: f64, wide: f64) -> f64 {
        if rise == 0.0 {
            return 0.0;
        }
        let slope = |q: f64| {
            let away = (off2 + q * q).sqrt();
            let out = away - self.flat;
            let steep = match self.edge {
                _ if out <= 0.0 => 0.0,
                EdgeForm::Square => 0.0,
                EdgeForm::Round(corner) => out / (corner * corner - out * out).max(1e-12).sqrt(),
                EdgeForm::Cone(up) => up,
            };
            steep * q / away.max(1e-12)
        };
        let (mut low, mut high) = (-wide, wide);
        for _ in 0..HALVINGS {
            let middle = (low + high) / 2.0;
            if slope(middle) < rise { low = middle } else { high = middle }
        }
        (low + high) / 2.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn forms() -> [CuttingForm; 5] {
        [
            CuttingForm::flat(3.0),
            CuttingForm::bull(3.0, 3.0),
            CuttingForm::bull(3.0, 1.0),
            CuttingForm::cone(3.0, 1.7),
            CuttingForm::blunt_cone(2.0, 3.0, 4.0),
        ]
    }

    proptest! {
        /// Against thousands of places along the path.
        #[test]
        fn the_closed_forms_are_the_least_along_the_path(
            along in -4.0..14.0f64, off in 0.0..3.2f64, length in 0.0..10.0f64, rise in -3.0..3.0f64,
        ) {
            for form in forms() {
                let steps = 20_000;
                let every = (0..=steps).filter_map(|i| {
                    let at = length * f64::from(i) / f64::from(steps);
                    let away = off.hypot(along - at);
                    (away <= form.radius).then(|| rise * at + form.height(away))
                });
                let least = every.fold(f64::INFINITY, f64::min);
                match form.left_by_line(along, off * off, length, rise) {
                    None => prop_assert!(least == f64::INFINITY),
                    Some(found) => {
                        prop_assert!(found <= least + 1e-6, "{form:?} {found} {least}");
                        // The steps may miss the rim of the form by one of their own.
                        let miss = length / f64::from(steps) * (rise.abs() + 40.0) + 1e-5;
                        let skimmed = least == f64::INFINITY;
                        prop_assert!(skimmed || found >= least - miss.max(0.03), "{form:?} {found} {least}");
                    }
                }
            }
        }
    }
}
