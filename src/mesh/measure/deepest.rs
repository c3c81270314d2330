//! Where a hollow is deepest.

use super::Rule;
use crate::units::Length;

impl Rule<'_> {
    /// How far past the neck the hollow's middle is deepest below a straightedge across the rim, in mm.
    pub(super) fn deepest(&self) -> f64 {
        let [neck, tip] = [self.body.neck_x(), self.body.length()].map(|x| x.as_mm());
        let edge = self.rim_heights(&self.mesh.rim_top);
        let depth = |x: f64| Some(edge.at(x) - self.top_at(self.body.middle_at(Length::mm(x)))?);
        highest_along(depth, [neck, tip]) - neck
    }
}

/// Where a height along a line is greatest: by a parabola through the heights round the highest that is looked
/// at, since a mesh's facets are level over a stretch. The line's `from` where there is none.
fn highest_along(height: impl Fn(f64) -> Option<f64>, [from, to]: [f64; 2]) -> f64 {
    const LOOKS: u32 = 400;
    /// On either side of the highest, as many as a twentieth of the line holds.
    const BESIDE: i32 = 20;
    let step = (to - from) / f64::from(LOOKS);
    let looks = (0..=LOOKS).map(|look| from + f64::from(look) * step);
    let highest = looks.filter_map(|x| Some((x, height(x)?))).max_by(|a, b| a.1.total_cmp(&b.1));
    let Some((top, _)) = highest else { return from };
    let round: Vec<[f64; 2]> = (-BESIDE..=BESIDE)
        .map(f64::from)
        .filter_map(|look| Some([look, height(top + look * step)?]))
        .collect();
    // With as many on both sides, slope and bend of the best parabola don't depend on each other.
    let count = round.len() as f64;
    let square = round.iter().map(|[u, _]| u * u).sum::<f64>() / count;
    let slope = round.iter().map(|[u, z]| u * z).sum::<f64>() / (count * square);
    let bends = |[u, z]: &[f64; 2]| (u * u - square) * z;
    let spread = round.iter().map(|[u, _]| (u * u - square).powi(2)).sum::<f64>();
    let bend = round.iter().map(bends).sum::<f64>() / spread;
    if bend < 0.0 { top - 0.5 * slope / bend * step } else { top }
}
