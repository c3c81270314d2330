//! How high are the cusps that the finishing passes leave, and where?
//!
//! A ball that touches a plane all along a straight pass cuts a gutter of its own radius R into what
//! stands over it. Two neighbouring gutters meet in a ridge R - √(R² - d²/4) over the plane, square
//! to it, where d is the distance of the two tracks of touching places, along the plane and square
//! to the tracks.
//!
//! Passes lie a step-over s apart in the plan. With the slope b along them and a across them, a
//! track runs along (1, 0, b) and the next one is set off by (0, s, s a). The two span an area of
//! s √(1 + a² + b²), and a track's own length is √(1 + b²), so that d = s √(1 + a² / (1 + b²)):
//!
//! - s on a level place, and where the passes run straight up and down a slope;
//! - s √(1 + a²) = s / cos θ, the greatest, where they run level along a slope of θ.
//!
//! `jet` has what the surface's own curve does to it.
//!
//! Promised: the ridge square to the surface, to a twentieth of what a ball leaves on the shipped
//! bodies, and within a step-over of their edge to a sixth. Not promised: a ridge where the surface
//! bends within a step-over (a line, an edge), or where the ball is hardly less round than a hollow.

mod jet;
mod part;
mod rule;
mod side;

pub(super) use jet::skin;
pub use part::SidePart;
pub use rule::CUSP_TOO_HIGH;
pub(super) use rule::look;
pub use side::{Cusps, OnPart, Over};

/// Height of the ridge between two passes of a ball square to the surface, in mm: geometry. `apart`
/// is the distance of their tracks along the surface.
pub(crate) fn cusp(radius: f64, apart: f64) -> f64 {
    cusp_of_squared(radius, apart * apart)
}

/// The same for the square of the distance.
fn cusp_of_squared(radius: f64, apart: f64) -> f64 {
    let under = radius * radius - 0.25 * apart;
    if under > 0.0 { radius - under.sqrt() } else { radius }
}

/// The distance of tracks that gives a ridge of that height, in mm: geometry.
pub(crate) fn step_for(radius: f64, cusp: f64) -> f64 {
    let cusp = cusp.clamp(0.0, radius);
    2.0 * (radius * radius - (radius - cusp) * (radius - cusp)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cusps_are_as_the_geometry_says() {
        // R - √(R² - s²/4): D 6, s 0.5 gives 0.0104348142 mm; R 1.5875, s 0.15875 gives
        // 0.001985616787 mm (closed form, 30 digits); D 6, s 1 gives 3 - √8.75.
        assert!((cusp(3.0, 0.5) - 0.010_434_814_2).abs() < 1e-9);
        assert!((cusp(1.5875, 0.15875) - 0.001_985_616_787).abs() < 1e-11);
        assert!((cusp(3.0, 1.0) - 0.041_960_11).abs() < 1e-7);
        assert!((step_for(3.0, 0.005) - 0.346_265_793_9).abs() < 1e-9);
        // Square to a slope of 45°, plan step 0.5: 0.02090618.
        assert!((cusp(3.0, 0.5 * 2.0_f64.sqrt()) - 0.020_906_18).abs() < 1e-8);
        assert_eq!(cusp(3.0, 7.0), 3.0, "passes that do not meet leave the whole ball");
    }
}
