//! What a bolt can be held in: the tracks and the inserts of the bed.
//!
//! Promised: a bolt is offered only where its slot in the hold-down lies over the middle of a track
//! or over an insert, within the bolt's play in its hole. A bed without either takes a bolt
//! anywhere. Not promised: that a track holds the bolt's head, nor how much it bears.

use super::mounts::Mount;
use crate::params::{Clamp, Shop, Stop, StopSide};
use crate::setup::Setup;
use glam::DVec2;

/// The bed's tracks and inserts.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Anchors {
    /// Two corners of each: the ends of a track's middle line, or an insert twice. In mm.
    spans: Vec<[DVec2; 2]>,
}

/// The slot of a hold-down's bolt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct BoltSlot {
    /// The bolt's places furthest from the board and nearest to it, in mm.
    pub(super) ends: [DVec2; 2],
    /// How far the bolt can be off the slot's middle line, in mm.
    pub(super) play: f64,
}

impl Anchors {
    /// Those of a shop, in the machine's X and Y.
    pub fn of(shop: &Shop) -> Anchors {
        let Clamp { tracks, inserts, .. } = &shop.bed.clamp;
        let tracks = tracks.iter().flat_map(|track| track.lines());
        let inserts = inserts.iter().flat_map(|insert| insert.places().map(|at| [at, at]));
        Anchors { spans: tracks.chain(inserts).collect() }
    }

    /// The same on the board as it is mounted.
    #[must_use]
    pub fn on_board(&self, setup: &Setup, mount: &Mount) -> Anchors {
        let place = |p: DVec2| setup.from_board.place_back(p - mount.zero.truncate());
        let spans = self.spans.iter().map(|[a, b]| {
            let (a, b) = (place(*a), place(*b));
            [a.min(b), a.max(b)]
        });
        Anchors { spans: spans.collect() }
    }

    /// The same, moved, in mm.
    pub(super) fn moved(&self, by: DVec2) -> Anchors {
        Anchors { spans: self.spans.iter().map(|ends| ends.map(|end| end + by)).collect() }
    }

    /// Whether there are tracks.
    pub(super) fn has_tracks(&self) -> bool {
        self.spans.iter().any(|[from, to]| from != to)
    }

    /// Whether a bolt can stand anywhere: there is neither a track nor an insert.
    pub fn is_empty(&self) -> bool {
        self.spans.is_empty()
    }

    /// The middle lines of tracks that cross a line along one axis, and the inserts, by their place
    /// along that axis: those that no row of places a step apart is sure to meet.
    pub(super) fn along(&self, axis: DVec2) -> impl Iterator<Item = f64> + '_ {
        let narrow = move |[low, high]: &&[DVec2; 2]| (*high - *low).dot(axis) < 1e-6;
        self.spans.iter().filter(narrow).map(move |[low, _]| low.dot(axis))
    }

    /// Where the bolt of a slot along one axis stands, as near to the slot's middle as can be; none
    /// where neither a track nor an insert is under it.
    pub(super) fn bolt(&self, slot: &BoltSlot) -> Option<DVec2> {
        let middle = slot.ends[0].midpoint(slot.ends[1]);
        if self.is_empty() {
            return Some(middle);
        }
        let (low, high) = (slot.ends[0].min(slot.ends[1]), slot.ends[0].max(slot.ends[1]));
        let held = |[from, to]: &[DVec2; 2]| {
            let nearest = middle.clamp(*from, *to).clamp(low, high);
            // The ends of the slot are round.
            let off = nearest.clamp(*from, *to).distance(nearest);
            (off <= slot.play).then_some(nearest)
        };
        let places = self.spans.iter().filter_map(held);
        places.min_by(|a, b| a.distance(middle).total_cmp(&b.distance(middle)))
    }

    /// Whether any lies under a stop, so that the stop can be bolted down.
    pub(super) fn under(&self, [low, high]: [DVec2; 2]) -> bool {
        self.spans.iter().any(|[from, to]| from.cmple(high).all() && to.cmpge(low).all())
    }
}

/// A stop's plan on the bed, in mm: low and high corner.
pub(super) fn stop_on_bed(stop: &Stop) -> [DVec2; 2] {
    let (from, to, at) = (stop.from.as_mm(), stop.to.as_mm(), stop.at.as_mm());
    let back = at - stop.deep.as_mm();
    match stop.side {
        StopSide::Left => [DVec2::new(back, from), DVec2::new(at, to)],
        StopSide::Front => [DVec2::new(from, back), DVec2::new(to, at)],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn anchors(spans: &[[f64; 4]]) -> Anchors {
        let span = |[a, b, c, d]: &[f64; 4]| [DVec2::new(*a, *b), DVec2::new(*c, *d)];
        Anchors { spans: spans.iter().map(span).collect() }
    }

    const SLOT: BoltSlot =
        BoltSlot { ends: [DVec2::new(40.0, -28.0), DVec2::new(40.0, -20.0)], play: 0.3 };

    #[test]
    fn a_bed_with_neither_takes_a_bolt_in_the_middle_of_its_slot() {
        assert_eq!(anchors(&[]).bolt(&SLOT), Some(DVec2::new(40.0, -24.0)));
    }

    #[test]
    fn a_bolt_slides_to_the_track_that_its_slot_crosses() {
        let along = anchors(&[[0.0, -21.5, 600.0, -21.5]]);
        assert_eq!(along.bolt(&SLOT), Some(DVec2::new(40.0, -21.5)));
        assert_eq!(anchors(&[[0.0, -19.0, 600.0, -19.0]]).bolt(&SLOT), None, "past the slot");
        assert!(anchors(&[[0.0, -19.8, 600.0, -19.8]]).bolt(&SLOT).is_some(), "within its play");
        assert_eq!(anchors(&[[50.0, -24.0, 600.0, -24.0]]).bolt(&SLOT), None, "begins later");
    }

    #[test]
    fn a_track_along_the_slot_holds_it_anywhere_if_they_meet() {
        let up = anchors(&[[40.2, -500.0, 40.2, 500.0]]);
        assert_eq!(up.bolt(&SLOT), Some(DVec2::new(40.0, -24.0)));
        assert_eq!(anchors(&[[40.4, -500.0, 40.4, 500.0]]).bolt(&SLOT), None);
        // Only the far half of the slot lies over it.
        assert_eq!(
            anchors(&[[40.0, -500.0, 40.0, -26.0]]).bolt(&SLOT),
            Some(DVec2::new(40.0, -26.0))
        );
    }

    #[test]
    fn of_several_inserts_the_one_nearest_to_the_middle_holds() {
        let two = anchors(&[[40.0, -27.0, 40.0, -27.0], [40.1, -22.0, 40.1, -22.0]]);
        assert_eq!(two.bolt(&SLOT), Some(DVec2::new(40.0, -22.0)));
        assert_eq!(two.along(DVec2::X).collect::<Vec<_>>(), [40.0, 40.1]);
    }
}
