//! The limits of a setup's carving: for path programs that ask how far the cutter's centre may go,
//! and for those that ask which area is carved.

use crate::finding::Finding;
use crate::outline::{ArcPath, offset};
use crate::relief::{RELIEF_NOT_MADE, skirt_width};
use crate::units::Length;
use glam::DVec2;

/// The skirt's edge leaves the true one by at most this much as a polygon: it is waste wood, and
/// half of a router's repeat is plenty (no source).
const SKIRT_EDGE_ERROR: Length = Length::mm(0.02);

/// The limits, in the frame of the outline that they were made from.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// The ball's centre stays inside this. On it, the ball's far side just meets the skirt's
    /// edge.
    pub centre: ArcPath,
    /// All that is carved: the skirt's edge.
    pub area: ArcPath,
}

impl Limit {
    /// The limits for finishing with a ball of that diameter round an outline.
    ///
    /// # Errors
    /// A fault when there is no single loop round the outline at that distance.
    pub fn round(outline: &ArcPath, ball: Length) -> Result<Limit, Box<Finding>> {
        let grown = |by: Length| {
            offset::largest(outline, by)
                .filter(|path| path.signed_area().abs() > outline.signed_area().abs())
                .map(|path| if path.signed_area() < 0.0 { path.reversed() } else { path })
                .ok_or_else(|| {
                    Box::new(Finding::fault(
                        RELIEF_NOT_MADE,
                        "the skirt's edge does not run once round the outline",
                        "A smaller finishing cutter makes a narrower skirt.",
                    ))
                })
        };
        Ok(Limit { centre: grown(centre_reach(ball))?, area: grown(skirt_width(ball))? })
    }

    /// The skirt's edge as a polygon, counter-clockwise, in mm.
    pub fn skirt_edge(&self) -> Vec<DVec2> {
        self.area.to_polyline(SKIRT_EDGE_ERROR)
    }
}

/// How far past the outline the ball's centre may go.
pub fn centre_reach(ball: Length) -> Length {
    skirt_width(ball) - ball.half()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    #[test]
    fn round_a_disc_the_limits_are_discs() {
        let disc = ArcPath::circle(DVec2::new(12.0, 7.0), Length::mm(30.0));
        let limit = Limit::round(&disc, Length::mm(3.0)).expect("a disc");
        // The ball's diameter and 1 mm; the centre's less by the radius.
        let area = |radius: f64| PI * radius * radius;
        assert!((limit.area.signed_area() - area(34.0)).abs() < 1e-6);
        assert!((limit.centre.signed_area() - area(32.5)).abs() < 1e-6);
        for p in limit.skirt_edge() {
            assert!((p.distance(DVec2::new(12.0, 7.0)) - 34.0).abs() < 1e-9);
        }
    }

    #[test]
    fn an_outline_run_clockwise_still_gives_counter_clockwise_limits() {
        let disc = ArcPath::circle(DVec2::ZERO, Length::mm(30.0)).reversed();
        let limit = Limit::round(&disc, Length::mm(3.0)).expect("a disc");
        assert!(limit.area.signed_area() > 0.0 && limit.centre.signed_area() > 0.0);
    }

    #[test]
    fn no_outline_gives_a_fault() {
        let nothing = ArcPath { vertices: Vec::new(), closed: true };
        assert!(Limit::round(&nothing, Length::mm(3.0)).is_err());
    }
}
