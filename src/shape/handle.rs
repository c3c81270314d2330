//! The handle's two skins: a superellipse section, cut off at the rim wall, on a curved middle
//! line, closed at its end in plan and in profile alike. Flats may take the section's place.

use super::end::HandleSize;
use super::facets::{FacetCut, FacetRun, NoFacet};
use super::middle::MiddleLine;
use super::plan::{Plan, stations};
use super::spline::dying;
use crate::params::Design;
use crate::units::Length;

/// Share of the half-width that the blocks' core takes in a round section.
pub(crate) const CORE: f64 = 0.5;

/// The handle's heights, in mm.
#[derive(Clone, Debug)]
pub(crate) struct HandleSkins {
    /// Height of the middle line over the parting plane.
    pub(crate) rise: MiddleLine,
    thickness: HandleSize,
    facets: Option<FacetRun>,
    /// Where the head begins; the thickness there, and how long it goes on thinning or swelling.
    neck: f64,
    at_neck: [f64; 2],
    fades: f64,
    edge: f64,
}

/// The handle cut across at one place.
pub(crate) struct HandleSection {
    n: f64,
    middle: f64,
    half_open: f64,
    /// |v|ⁿ along X.
    along: f64,
    thickness: f64,
    /// Height of the cut at the outline, as a share of the thickness, to the power n.
    cut: f64,
    facets: Option<FacetCut>,
}

impl HandleSection {
    /// Half of the thickness over the middle line: `edge / 2` at the outline, half of the thickness
    /// in the middle.
    pub(crate) fn half_thickness(&self, y: f64) -> f64 {
        let share = ((y - self.middle) / self.half_open).abs();
        let inside = (1.0 - share.powf(self.n) - self.along).max(0.0);
        let half = 0.5 * self.thickness;
        let round = half * (self.cut + (1.0 - self.cut) * inside).powf(1.0 / self.n);
        self.facets.map_or(round, |facets| facets.half_thickness(share, half, round))
    }
}

impl HandleSkins {
    /// The handle of a design on its plan.
    pub(crate) fn new(design: &Design, plan: &Plan) -> HandleSkins {
        let rise = stations(&design.handle.curve, plan.end, plan.neck, 1.0);
        let head = stations(design.head.curve(), plan.neck, plan.length, 1.0);
        let thickness = stations(&design.handle.thickness, plan.end, plan.neck, 1.0);
        let knob = design.handle.knob.as_ref().map(|knob| {
            [knob.thickness_of(&design.handle), knob.runs_out(&design.handle)].map(Length::as_mm)
        });
        let thickness = HandleSize::new(&thickness, knob, plan.end);
        let facets = design.handle.facets.as_ref();
        let [size, slope, _] = thickness.jet(plan.neck);
        HandleSkins {
            rise: MiddleLine::through(&rise, &head, [plan.end, plan.neck, plan.rest]),
            thickness,
            facets: facets.map(|facets| FacetRun::new(facets, [plan.end, plan.neck])),
            neck: plan.neck,
            at_neck: [size, slope],
            // Soon over: a neck is no place for thinning.
            fades: (0.5 * (plan.rest - plan.neck)).min(size / slope.abs().max(1e-9)),
            edge: design.edge.as_mm(),
        }
    }

    /// Thickness in the middle, without the end's rounding. Past the neck it comes back to the neck's.
    fn thick(&self, x: f64) -> f64 {
        if x <= self.neck {
            return self.thickness.value(x);
        }
        let [size, slope] = self.at_neck;
        size + slope * self.fades * dying((x - self.neck) / self.fades)[0]
    }

    /// The section at a place along the utensil.
    ///
    /// It is the superellipse |v|ⁿ + |2z/t|ⁿ = 1, widened so that it is `edge` high at
    /// the outline. Where the end is rounded, |v|ⁿ is joined by the same power along X.
    pub(crate) fn section(&self, plan: &Plan, x: f64) -> HandleSection {
        let n = plan.section(x);
        let thickness = self.thick(x);
        let half_open = plan.half_open(x);
        HandleSection {
            n,
            middle: plan.sway.value(x),
            half_open,
            along: if x < plan.end { plan.closing.taken(plan.toward_end(x), n) } else { 0.0 },
            thickness,
            cut: (self.edge / thickness).clamp(0.0, 1.0).powf(n),
            facets: self.facet_cut(x, [half_open, thickness]),
        }
    }

    fn facet_cut(&self, x: f64, sizes: [f64; 2]) -> Option<FacetCut> {
        self.facets?.cut(x, sizes, self.edge, CORE)
    }

    /// Share of half of the width that the blocks' core takes at a place along the utensil: where there
    /// are flats, its border is the edge of the one on top.
    pub(crate) fn core(&self, plan: &Plan, x: f64) -> f64 {
        let cut = || self.facet_cut(x, [plan.half_open(x), self.thick(x)]);
        cut().map_or(CORE, |cut| cut.breaks)
    }

    /// Why there can be no such flats, if so.
    pub(super) fn facet_trouble(&self, plan: &Plan) -> Option<NoFacet> {
        self.facets?.trouble(|x| [plan.half_open(x), self.thick(x)], self.edge)
    }

    /// How much room its flats have to spare, in mm, as a [`FacetRun`] counts it; none without flats.
    pub(super) fn facet_spare(&self, plan: &Plan) -> Option<[f64; 4]> {
        Some(self.facets?.spare(|x| [plan.half_open(x), self.thick(x)], self.edge))
    }

    /// How many times as thick as the plain handle its knob is, if it has one.
    pub(super) fn knob(&self) -> Option<f64> {
        self.thickness.swells()
    }

    /// Places along the handle, as far as the neck, with half of its thickness in the middle, without
    /// the end's rounding, and the slope of that.
    pub(crate) fn half_thicknesses(&self) -> Vec<[f64; 3]> {
        let looks = self.thickness.looks(0.0, self.neck);
        looks
            .into_iter()
            .map(|x| (x, self.thickness.jet(x)))
            .map(|(x, [thick, slope, _])| [x, 0.5 * thick, 0.5 * slope])
            .collect()
    }

    /// How much lower than the rim wall the underside is in its middle, at a place past the neck and
    /// at the neck.
    pub(crate) fn ridge(&self, x: f64) -> [f64; 2] {
        [self.thick(x), self.at_neck[0]].map(|thick| 0.5 * (thick - self.edge))
    }

    /// Half of the rim wall's height.
    pub(crate) fn half_edge(&self) -> f64 {
        0.5 * self.edge
    }

    /// Half of the thickness in the middle of the handle, without the end's rounding.
    pub(crate) fn half_in_middle(&self, x: f64) -> f64 {
        0.5 * self.thick(x)
    }

    /// Share of the half-width at which the section's angle is `share` of the way from `core` (a
    /// share of the half-width) to the outline: steps of equal angle climb the steep flank in
    /// steps of about equal length.
    pub(crate) fn by_angle(&self, plan: &Plan, x: f64, core: f64, share: f64) -> f64 {
        let n = plan.section(x);
        let cut = (0.5 * self.edge / self.half_in_middle(x)).clamp(0.0, 0.999);
        let reach = (1.0 - cut.powf(n)).powf(1.0 / n);
        let (from, to) = ((core * reach).asin(), reach.asin());
        (from + share * (to - from)).sin() / reach
    }
}
