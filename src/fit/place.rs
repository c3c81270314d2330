//! Where a piece lies on the board.

use crate::units::Angle;
use glam::{DAffine2, DVec2};

/// Where the piece lies on the board.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Placement {
    /// The design's origin in the board's frame, in mm.
    pub origin: DVec2,
    /// From the board's X to the design's, counter-clockwise seen from above.
    pub angle: Angle,
}

impl Placement {
    /// Not turned.
    pub const fn at(origin: DVec2) -> Placement {
        Placement { origin, angle: Angle::radians(0.0) }
    }

    /// Cosine and sine of the angle.
    pub fn spin(&self) -> DVec2 {
        DVec2::from_angle(self.angle.as_radians())
    }

    /// The map from the design frame to the board's.
    pub fn affine(&self) -> DAffine2 {
        DAffine2::from_angle_translation(self.angle.as_radians(), self.origin)
    }

    /// A place of the design, in mm, on the board.
    pub fn on_board(&self, p: DVec2) -> DVec2 {
        self.spin().rotate(p) + self.origin
    }

    /// A place of the board, in mm, in the design frame.
    pub fn in_design(&self, p: DVec2) -> DVec2 {
        (self.spin() * DVec2::new(1.0, -1.0)).rotate(p - self.origin)
    }
}
