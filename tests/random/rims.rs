//! Rim lands of random designs.

use proptest::prelude::*;

/// A rim land beside one of a single width and flat: how it changes, and how its edges are eased.
#[derive(Clone, Debug)]
pub struct Rims {
    /// Two or three stations: the first place, how far each is from the one before, and how many times as wide.
    stations: Option<Vec<[f64; 2]>>,
    /// As a share of the most by its width.
    round: Option<f64>,
}

impl Rims {
    /// Its keys, where one width alone is written as that.
    pub fn written(&self, width: f64, even: &str) -> String {
        let mut place = 0.0;
        let one = |[further, times]: &[f64; 2]| {
            place += 100.0 * further;
            format!(
                "{{ at = \"{:.2} %\", size = \"{:.4} mm\" }}",
                f64::min(place, 100.0),
                times * width
            )
        };
        let all = self.stations.as_ref().map(|all| all.iter().map(one).collect::<Vec<_>>());
        let rim = all.map_or_else(|| even.to_owned(), |all| format!("[{}]", all.join(", ")));
        let least = self.stations.iter().flatten().map(|[_, times]| times * width);
        let least = least.reduce(f64::min).unwrap_or(width);
        let round = self.round.map_or_else(String::new, |share| {
            format!("rim_round = \"{:.4} mm\"\n", 0.25 * share * least)
        });
        format!("rim = {rim}\n{round}")
    }
}

prop_compose! {
    /// Often plain; else often as steep, or as round, as may be, and now and then more.
    pub fn rims()(
        stations in prop::option::of(prop::collection::vec([0.1..0.6_f64, 0.4..1.6_f64], 2..=3)),
        round in prop::option::of(0.05..1.02_f64),
    ) -> Rims {
        Rims { stations, round }
    }
}
