//! Places on the edges of a plan at which a surface is looked at, each measured once for the triangles on both
//! of its sides, and for as long as the edge stays.

use super::valley::Lies;
use glam::{DVec2, DVec3};
use rayon::prelude::*;

/// Where on an edge, from its end of the lower number.
pub(super) const PARTS: [f64; 3] = [0.5, 0.25, 0.75];

/// An edge that has to be measured: its number, the numbers of its ends, on which side of the outline it lies,
/// and at how many of the parts.
pub(super) type WantedEdge = (usize, [u32; 2], Lies, usize);

/// A place on an edge, and how far the surface is off the edge there.
pub(super) type EdgePlace = (f64, DVec2);

#[derive(Clone, Copy)]
struct MeasuredEdge {
    ends: [u32; 2],
    lies: Lies,
    count: usize,
    places: [EdgePlace; PARTS.len()],
}

/// What is known of the edges of a plan, by their numbers.
#[derive(Default)]
pub(super) struct EdgePlaces {
    known: Vec<Option<MeasuredEdge>>,
}

impl EdgePlaces {
    /// Measures those that aren't known yet.
    pub(super) fn measure(
        &mut self,
        wanted: impl Iterator<Item = WantedEdge>,
        corners: &[DVec3],
        height: &(dyn Fn(DVec2, Lies) -> f64 + Sync),
    ) {
        let mut new = Vec::new();
        for (edge, [a, b], lies, count) in wanted {
            let ends = [a.min(b), a.max(b)];
            if self.known.len() <= edge {
                self.known.resize(edge + 1, None);
            }
            let known = &mut self.known[edge];
            if known.is_some_and(|it| it.ends == ends && it.lies == lies && it.count >= count) {
                continue;
            }
            *known = Some(MeasuredEdge { ends, lies, count, places: [(0.0, DVec2::ZERO); 3] });
            new.push(edge);
        }
        let measured = new.par_iter().filter_map(|edge| {
            let mut own = self.known[*edge]?;
            let [a, b] = own.ends.map(|at| corners[at as usize]);
            for (place, part) in own.places.iter_mut().zip(PARTS).take(own.count) {
                let on = a.lerp(b, part);
                *place = ((height(on.truncate(), own.lies) - on.z).abs(), on.truncate());
            }
            Some((*edge, own))
        });
        for (edge, own) in measured.collect::<Vec<_>>() {
            self.known[edge] = Some(own);
        }
    }

    /// So many places of an edge that was measured.
    pub(super) fn of(&self, edge: usize, count: usize) -> &[EdgePlace] {
        self.known.get(edge).and_then(Option::as_ref).map_or(&[], |own| &own.places[..count])
    }
}
