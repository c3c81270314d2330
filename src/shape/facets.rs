//! Flats along the handle, in place of its round section.
//!
//! A section of six flats has one on top, one below, and two on each side that meet at the upright
//! edge; of eight, two sloping ones and an upright one on each side. Their edges are sharp: each runs
//! along a line of the lattice, so that mesh and spline faces have it exactly. Along the handle the
//! flats come out of the round section and go back into it, before its end and before the neck.

use super::spline::ease;
use crate::params::{Facets, Flats};

/// How far the sloping flats reach in where the file doesn't say: of six, this share of half of the
/// width, and of eight this share of the thickness. A hexagon and an octagon are then regular.
const SIX: f64 = 0.5;
const EIGHT: f64 = 0.292_893_218_813_452_4;

/// The flats of a handle.
#[derive(Clone, Copy, Debug)]
pub(crate) struct FacetRun {
    flats: Flats,
    /// Fixed reach of the sloping flats in from the side.
    chamfer: Option<f64>,
    /// Where they begin and end, and over which length they come and go.
    pub(crate) within: [f64; 2],
    pub(crate) run: f64,
}

/// The flats cut across at one place.
#[derive(Clone, Copy, Debug)]
pub(crate) struct FacetCut {
    /// How much there is of them: 0 none, 1 nothing else.
    pub(crate) there: f64,
    /// Where the flat on top ends, as a share of half of the width.
    pub(crate) breaks: f64,
    /// Half of the height of the upright side.
    pub(crate) half_side: f64,
}

/// Why there can be no such flats at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum NoFacet {
    /// They never come out wholly: so long are they, in mm.
    Short { long: f64 },
    /// The sloping flats reach in so far that they leave next to none on top, or so little that they
    /// are next to none themselves.
    Top(FacetPlace),
    /// They leave no upright flat as high as the edge.
    Side(FacetPlace),
}

/// The worst place of flats that have no room, and what has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct FacetPlace {
    /// Along the handle, and how far the sloping flats reach in there.
    pub(crate) x: f64,
    pub(crate) reach: f64,
    /// How far they may, there and everywhere along the flats; nowhere, if the first is greater.
    pub(crate) here: [f64; 2],
    pub(crate) everywhere: [f64; 2],
}

impl FacetRun {
    /// Least and most that they may reach in, as a share of half of the width: a flat is left beside
    /// them.
    const LEAST: f64 = 0.06;
    const MOST: f64 = 0.88;

    /// Between the end's rounding and the neck.
    pub(crate) fn new(facets: &Facets, [end, neck]: [f64; 2]) -> FacetRun {
        FacetRun {
            flats: facets.flats,
            chamfer: facets.chamfer.map(|chamfer| chamfer.as_mm()),
            within: [facets.from, facets.to].map(|share| end + share * (neck - end)),
            run: facets.run.as_mm(),
        }
    }

    /// How far the sloping flats reach in from each side.
    fn reach(&self, [half, thick]: [f64; 2]) -> f64 {
        self.chamfer.unwrap_or(match self.flats {
            Flats::Six => SIX * half,
            Flats::Eight => EIGHT * thick,
        })
    }

    /// At a place where the handle is that wide, in halves, and that thick, and has that edge; the flat
    /// on top ends at `core` where there is none of it.
    pub(crate) fn cut(
        &self,
        x: f64,
        [half, thick]: [f64; 2],
        edge: f64,
        core: f64,
    ) -> Option<FacetCut> {
        let [from, to] = self.within;
        let there = ease((x - from) / self.run) * ease((to - x) / self.run);
        let reach = self.reach([half, thick]);
        let side = match self.flats {
            Flats::Six => edge,
            Flats::Eight => thick - 2.0 * reach,
        };
        (there > 0.0).then(|| FacetCut {
            there,
            breaks: core + there * (1.0 - reach / half - core),
            half_side: 0.5 * side,
        })
    }

    /// Why there can be none, if so; `sizes` gives half of the width and the thickness at a place.
    pub(crate) fn trouble(&self, sizes: impl Fn(f64) -> [f64; 2], edge: f64) -> Option<NoFacet> {
        let long = self.within[1] - self.within[0];
        // Asked for, not against, so that a NaN fails.
        let comes_out = long >= 2.0 * self.run;
        if !comes_out {
            return Some(NoFacet::Short { long });
        }
        let mut everywhere = [0.0, f64::INFINITY];
        let mut worst: Option<(usize, f64, FacetPlace)> = None;
        for x in self.looks() {
            let [least, most, upright] = self.bounds(sizes(x), edge);
            let (reach, here) = (self.reach(sizes(x)), [least, most.min(upright)]);
            everywhere = [everywhere[0].max(here[0]), everywhere[1].min(here[1])];
            for (which, slack) in self.slacks(sizes(x), edge).into_iter().enumerate() {
                let fits = slack >= 0.0;
                if !fits && worst.is_none_or(|(_, worst, _)| slack < worst) {
                    worst = Some((which, slack, FacetPlace { x, reach, here, everywhere }));
                }
            }
        }
        let (which, _, place) = worst?;
        let place = FacetPlace { everywhere, ..place };
        Some(if which == 2 { NoFacet::Side(place) } else { NoFacet::Top(place) })
    }

    /// How much room there is to spare, in mm, negative where there is none: along the handle, beside the
    /// outline, on top and on the sides.
    pub(crate) fn spare(&self, sizes: impl Fn(f64) -> [f64; 2], edge: f64) -> [f64; 4] {
        let long = 0.5 * (self.within[1] - self.within[0]) - self.run;
        self.looks().fold([long, f64::MAX, f64::MAX, f64::MAX], |[along, a, b, c], x| {
            let [outline, top, sides] = self.slacks(sizes(x), edge);
            [along, a.min(outline), b.min(top), c.min(sides)]
        })
    }

    /// The room to spare at one place beside the outline, on top and on the sides.
    fn slacks(&self, sizes: [f64; 2], edge: f64) -> [f64; 3] {
        let (reach, [least, most, upright]) = (self.reach(sizes), self.bounds(sizes, edge));
        [reach - least, most - reach, upright - reach]
    }

    /// Least and most that the sloping flats may reach in for the flats on top, and most for upright ones.
    fn bounds(&self, [half, thick]: [f64; 2], edge: f64) -> [f64; 3] {
        let upright = match self.flats {
            Flats::Six => f64::MAX,
            Flats::Eight => 0.5 * (thick - edge),
        };
        [Self::LEAST * half, Self::MOST * half, upright]
    }

    /// Where it is looked, from end to end.
    fn looks(&self) -> impl Iterator<Item = f64> {
        const LOOKS: u32 = 200;
        let [from, to] = self.within;
        (0..=LOOKS).map(move |look| from + (to - from) * f64::from(look) / f64::from(LOOKS))
    }
}

impl FacetCut {
    /// Half of the thickness at a share of half of the width, of a handle that has half of that one in
    /// its middle and the round section's `round` there.
    pub(crate) fn half_thickness(&self, share: f64, half: f64, round: f64) -> f64 {
        let FacetCut { there, breaks, half_side } = *self;
        let along = ((share - breaks) / (1.0 - breaks)).max(0.0);
        round + there * (half + along * (half_side - half) - round)
    }
}
