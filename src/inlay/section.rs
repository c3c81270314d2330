//! A cut across the piece through an inlay whose plug sits in its recess, to be drawn.
//!
//! Promised: heights of the body, the recess and the plug themselves, every few hundredths of a millimetre.
//! Not promised: that the cut is square to a handle that bends sideways.

use super::bed_of_art::{BedOfArt, KERF_MM, Underside};
use super::one::OneInlay;
use crate::units::Length;
use glam::DVec2;

/// Cuts that are tried lie so far apart, in mm.
const TRIED_MM: f64 = 0.5;
/// Places of a cut lie so far apart, in mm: a third of a thin line, drawn five times as large.
const STEP_MM: f64 = 0.04;

/// A cut across the piece, in the frame in which the inlay's face looks up. In mm.
#[derive(Clone, Debug)]
pub struct MatedSection {
    /// From the handle's end.
    pub along: Length,
    /// Places from right to left, as seen towards the tip.
    pub places: Vec<SectionPlace>,
    /// Where the plate behind the plug begins.
    pub plate: f64,
    /// Where the saw's way ends, that begins at the plate: what stands over the face is trimmed.
    pub sawn: f64,
}

/// The heights at a place of a cut.
#[derive(Clone, Copy, Debug)]
pub struct SectionPlace {
    /// To the left.
    pub y: f64,
    /// The face.
    pub face: f64,
    /// What the recess leaves of it; the face itself beside the art.
    pub cut: f64,
    /// The plug's underside, or its plate's.
    pub plug: f64,
    /// The piece's other side.
    pub other: f64,
}

impl MatedSection {
    /// Where the floor is widest, of all cuts through the art.
    pub(super) fn of(
        one: &OneInlay<'_>,
        bed: &BedOfArt<'_>,
        under: &Underside,
    ) -> Option<MatedSection> {
        let ends = |pick: fn(f64, f64) -> f64, start| {
            bed.shore.points.iter().map(|p| p.x).fold(start, pick)
        };
        let (from, to) = (ends(f64::min, f64::INFINITY), ends(f64::max, f64::NEG_INFINITY));
        let steps = ((to - from) / TRIED_MM).ceil();
        let tried = (0..=steps as u32).map(|k| from + (to - from) * f64::from(k) / steps.max(1.0));
        // The floor first, then what is let in at all.
        let wide = |x: f64| {
            let all = places(one, x, TRIED_MM / 2.0);
            let deep = all.filter(|p| bed.is_art(*p)).map(|p| {
                let floor = bed.floor(p);
                (u32::from(bed.shore.below(p) < floor), 1)
            });
            deep.fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1))
        };
        let (_, x) = tried.map(|x| (wide(x), x)).fold(None, |best, one| match best {
            Some((most, _)) if most >= one.0 => best,
            _ => Some(one),
        })?;
        let body = one.order.body;
        let place = |p: DVec2| {
            let own = one.in_plan(p);
            let face = (bed.face)(p);
            let art = bed.is_art(p);
            let other = if one.upside_down() { -body.top(own) } else { body.bottom(own) };
            let cut = if art { bed.cut(p) } else { face };
            let plug = bed.under(p, art).min(under.plate);
            SectionPlace { y: p.y, face, cut, plug, other }
        };
        Some(MatedSection {
            along: Length::mm(x),
            places: places(one, x, STEP_MM).map(place).collect(),
            plate: under.plate,
            sawn: under.plate - KERF_MM,
        })
    }
}

/// Places across the piece from edge to edge.
fn places(one: &OneInlay<'_>, x: f64, step: f64) -> impl Iterator<Item = DVec2> + use<> {
    let edges = one.order.body.across(Length::mm(x)).map(|y| one.in_plan(DVec2::new(x, y)).y);
    let (right, left) = (edges[0].min(edges[1]), edges[0].max(edges[1]));
    let steps = ((left - right) / step).ceil().max(0.0);
    let count = if steps.is_finite() { steps as u32 } else { 0 };
    (0..=count).map(move |k| {
        DVec2::new(x, right + (left - right) * f64::from(k) / f64::from(count.max(1)))
    })
}
