//! A rim land with eased edges, cut across at one place along the utensil.

/// A land that falls to both its edges, the hollow's and the outline's, from a crest between them.
///
/// By a parabola over the share of the way from the one to the other. The share is found from how many times
/// larger or smaller each line would have to be to pass through the place, so that the land meets both without
/// a step.
pub(super) struct EasedLand {
    /// How much lower its edges lie than its crest.
    pub(super) fall: f64,
    pub(super) n: f64,
    /// The hollow's power in its middle, its middle and its half-width.
    pub(super) hollow: [f64; 3],
    /// The same of the outline.
    pub(super) outline: [f64; 3],
}

impl EasedLand {
    /// How much lower than its crest it lies at a Y, between the hollow and the outline.
    pub(super) fn below(&self, y: f64) -> f64 {
        let past = |[power, middle, half]: [f64; 3]| {
            let across = ((y - middle) / half).abs().powf(self.n);
            half * ((across + 1.0 - power).max(0.0).powf(1.0 / self.n) - 1.0)
        };
        let [past, within] = [past(self.hollow), -past(self.outline)].map(|far| far.max(0.0));
        let share = past / (past + within).max(f64::MIN_POSITIVE);
        self.fall * (2.0 * share - 1.0).powi(2)
    }
}
