//! The rim land: how wide it is round the hollow.

use super::spline::Eased;
use crate::params::Bowl;

/// The rim land's width round the hollow, in mm, square to the outline.
///
/// The hollow's line lies on the outline's normals, as far in as the land is wide where they stand, so each of
/// its places is just that far from the outline.
#[derive(Clone, Debug)]
pub(super) struct RimLand {
    widths: Eased,
    varies: bool,
    /// Where the head is widest, and the tip.
    widest: f64,
    tip: f64,
    /// Its greatest width.
    most: f64,
}

impl RimLand {
    /// That of a bowl from the neck to the tip, in mm along X.
    pub(super) fn new(bowl: &Bowl, [neck, widest, tip]: [f64; 3]) -> RimLand {
        let places: Vec<(f64, f64)> =
            bowl.rim.places().map(|(at, size)| (neck + at * (tip - neck), size.as_mm())).collect();
        let [least, most] = bowl.rim.range().map(|size| size.as_mm());
        RimLand { widths: Eased::through(&places), varies: least < most, widest, tip, most }
    }

    /// At a place of the outline along the utensil.
    pub(super) fn at(&self, x: f64) -> f64 {
        self.widths.value(x)
    }

    /// Where the head is widest.
    pub(super) fn beside(&self) -> f64 {
        self.at(self.widest)
    }

    /// At the tip.
    pub(super) fn front(&self) -> f64 {
        self.at(self.tip)
    }

    /// The widest that it is.
    pub(super) fn most(&self) -> f64 {
        self.most
    }

    /// Whether it isn't as wide everywhere.
    pub(super) fn varies(&self) -> bool {
        self.varies
    }

    /// One that is everywhere as wide as this is where the head is widest.
    pub(super) fn plain(&self) -> RimLand {
        let beside = self.beside();
        let widths = Eased::through(&[(self.widest, beside)]);
        RimLand { widths, varies: false, most: beside, ..self.clone() }
    }
}
