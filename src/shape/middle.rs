//! The handle's middle line: its rise over the parting plane and its sway to the side.

use super::spline::{Settle, Spline};

/// One offset of the middle line along the utensil, in mm against mm: a smooth spline through the
/// handle's stations that settles to zero between the neck and the head, so that the head lies
/// level and straight.
#[derive(Clone, Debug)]
pub(crate) struct MiddleLine {
    spline: Spline,
    settle: Settle,
    neck: f64,
    rest: f64,
}

impl MiddleLine {
    /// Through `stations` (x, offset) as far as `neck`, at rest from `rest` on.
    pub(crate) fn new(stations: &[(f64, f64)], neck: f64, rest: f64) -> MiddleLine {
        let spline = Spline::natural(stations);
        let settle = Settle::new(neck, rest, spline.jet(neck));
        MiddleLine { spline, settle, neck, rest }
    }

    /// The offset at a place along the utensil.
    pub(crate) fn value(&self, x: f64) -> f64 {
        if x >= self.rest {
            0.0
        } else if x > self.neck {
            self.settle.value(x)
        } else {
            self.spline.value(x)
        }
    }

    /// Places and slopes as far as the neck, closer where its stations are.
    pub(crate) fn slopes(&self) -> Vec<(f64, f64)> {
        let looks = self.spline.looks(0.0, self.neck);
        looks.into_iter().map(|x| (x, self.spline.jet(x)[1])).collect()
    }
}
