//! A bowl cut across at one place along the utensil: hollow and back as heights over a line across.

use super::eased::EasedLand;

/// How much rounder than a plain power curve the hollow is, and the back at least: 0 is a cone-like
/// dish, 1 is flat in the middle. By eye.
pub(super) const ROUND: f64 = 0.35;

/// A power curve made rounder: 0 at 0, 1 at 1.
pub(super) fn rounded(q: f64, round: f64) -> f64 {
    let q = q.max(0.0);
    q * (1.0 + round * (1.0 - q))
}

/// The bowl's top skin, cut across at one place.
pub(crate) struct BowlTop {
    pub(super) n: f64,
    pub(super) rim_plane: f64,
    pub(super) depth: f64,
    pub(super) whole: f64,
    pub(super) middle: f64,
    pub(super) half_width: f64,
    /// None where there is no hollow.
    pub(super) opening: Option<f64>,
    /// None where the land is flat.
    pub(super) eased: Option<EasedLand>,
}

impl BowlTop {
    /// How far the skin lies below the land's crest: the hollow, and what eases the land's edges.
    pub(crate) fn below(&self, y: f64) -> f64 {
        let within = self.opening.map_or(0.0, |opening| {
            let across = ((y - self.middle) / self.half_width).abs().powf(self.n);
            (opening - across) / self.whole
        });
        let eased = match &self.eased {
            Some(land) if within > 0.0 => land.fall,
            Some(land) => land.below(y),
            None => 0.0,
        };
        eased + self.depth * rounded(within, ROUND)
    }
}

/// The bowl's bottom skin, cut across at one place.
pub(crate) struct BowlBottom {
    pub(super) n: f64,
    pub(super) edge: f64,
    /// Depth of the back.
    pub(super) back: f64,
    pub(super) round: f64,
    /// What its form is where it is deepest.
    pub(super) deepest: f64,
    pub(super) whole: f64,
    pub(super) along: f64,
    pub(super) middle: f64,
    pub(super) half_width: f64,
    /// Depth of the keel in its middle.
    pub(super) keel: f64,
    /// The same of the handle's underside, whose section the keel has, drawn in.
    pub(super) ridge: f64,
    pub(super) narrow: f64,
    /// How much there is of the back.
    pub(super) begun: f64,
}

impl BowlBottom {
    /// Whether the keel has not run out yet.
    pub(crate) fn has_keel(&self) -> bool {
        self.keel > 0.0
    }

    /// Its height under the middle line: the keel, where the handle's underside would be `ridge`
    /// lower than the rim wall, and the bowl's back, joined.
    pub(crate) fn height(&self, y: f64, ridge: f64) -> f64 {
        let back = self.back * rounded(self.share(y), self.round);
        let keel = self.keel_at(ridge);
        if keel <= 0.0 {
            return -0.5 * self.edge - back;
        }
        let back = back * self.begun;
        // The deeper of the two, with a fair passage: the norm of the third power.
        -0.5 * self.edge - (keel * keel * keel + back * back * back).cbrt()
    }

    /// How far in from the outline, as a power curve: 0 there, 1 in the middle where the head is widest.
    fn share(&self, y: f64) -> f64 {
        let across = ((y - self.middle) / self.half_width).abs().powf(self.n);
        (self.along - across) / self.whole
    }

    /// Depth of the keel at a Y, where the handle's underside would be `ridge` lower than the rim wall.
    fn keel_at(&self, ridge: f64) -> f64 {
        // Drawn in by a fraction, not by a power, which would have no radius at the outline.
        let share = (ridge / self.ridge).max(0.0);
        self.keel * share / (1.0 + self.narrow * (1.0 - share))
    }

    /// What the back must be for the bottom skin to lie `low` below the middle line at a Y: its share
    /// there, and what its form must be, were it as deep as it is in its deepest place.
    pub(super) fn asks(&self, y: f64, ridge: f64, low: f64) -> [f64; 2] {
        let keel = self.keel_at(ridge);
        let depth = (low - 0.5 * self.edge).max(0.0);
        let back = (depth.powi(3) - keel.max(0.0).powi(3)).max(0.0).cbrt();
        let begun = if keel <= 0.0 { 1.0 } else { self.begun };
        [self.share(y), back / (self.back * self.deepest * begun)]
    }
}
