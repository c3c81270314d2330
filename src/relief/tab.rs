//! A tab: wood left standing between the body and the frame.

use crate::units::Length;
use glam::DVec2;

/// A tab in the design frame: a strip square to the outline, with a flat top and underside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tab {
    /// Its middle on the outline, in mm.
    pub foot: DVec2,
    /// Unit vector away from the body, square to the outline. The strip's sides run along it.
    pub out: DVec2,
    /// Between the two sides.
    pub width: Length,
    /// Height of its underside.
    pub bottom: Length,
    /// Height of its top.
    pub top: Length,
}

impl Tab {
    /// Unit vector along the outline, counter-clockwise round the body.
    pub fn along(&self) -> DVec2 {
        self.out.perp()
    }

    /// Where the two sides start beside the foot, in mm, in their order counter-clockwise round
    /// the body.
    pub fn sides(&self) -> [DVec2; 2] {
        let half = self.along() * self.width.half().as_mm();
        [self.foot - half, self.foot + half]
    }

    /// The same tab in the frame turned half round about X.
    pub(crate) fn turned(&self) -> Tab {
        let turn = |p: DVec2| DVec2::new(p.x, -p.y);
        Tab {
            foot: turn(self.foot),
            out: turn(self.out),
            width: self.width,
            bottom: -self.top,
            top: -self.bottom,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn on_the_right_side_a_walk_counter_clockwise_goes_towards_the_tip() {
        let tab = Tab {
            foot: DVec2::new(50.0, -10.0),
            out: DVec2::new(0.0, -1.0),
            width: Length::mm(9.0),
            bottom: Length::mm(-2.5),
            top: Length::mm(2.5),
        };
        assert_eq!(tab.sides(), [DVec2::new(45.5, -10.0), DVec2::new(54.5, -10.0)]);
    }
}
