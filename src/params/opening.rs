//! What the design says of an opening: a hole or a slot that is closed all round.

use super::keys::{ANGLE, COUNT, LENGTH, POINT, keys};
use crate::units::{Angle, Length};
use glam::DVec2;
use std::f64::consts::TAU;

keys! {
    /// A hole or a slot closed all round, or a pattern of them.
    #[derive(Clone, Debug, PartialEq)]
    pub struct Opening {
        /// Its middle, or the pattern's: from the handle's end, and to the left of the middle.
        at: DVec2 = POINT.such_as("[\"14 mm\", \"0 mm\"]"),
        /// Diameter of a round hole; width of a slot.
        width: Length = LENGTH.such_as("6 mm"),
        /// Length of a slot, over its round ends.
        length: Option<Length> = LENGTH.such_as("48 mm").left_out("a round hole"),
        /// How far a slot is turned from along the handle, counter-clockwise from above with the tip to
        /// the right.
        turn: Angle = ANGLE.within(-90.0, 90.0).or("0 deg"),
        // What a head of any size holds (no source).
        /// How many behind each other.
        along: u32 = COUNT.within(1.0, 12.0).or("1"),
        /// How many beside each other.
        across: u32 = COUNT.within(1.0, 12.0).or("1"),
        /// From the middle of one to the next, along and across.
        pitch: Option<DVec2> = POINT.such_as("[\"12 mm\", \"11 mm\"]").left_out("none; needed where there are several"),
        /// Radius of a ring on which so many as `count` stand, in place of `along` and `across`.
        ring: Option<Length> = LENGTH.such_as("14 mm").left_out("no ring"),
        /// How many on the ring.
        count: u32 = COUNT.within(2.0, 24.0).or("6"),
    }
}

impl Opening {
    /// How many it asks for.
    pub fn many(&self) -> usize {
        (if self.ring.is_some() { self.count } else { self.along.saturating_mul(self.across) })
            as usize
    }

    /// The middle of each, in mm: row by row from behind and the right, or round the ring from its
    /// foremost place.
    pub fn middles(&self) -> Vec<DVec2> {
        if let Some(radius) = self.ring {
            let turn = |index: u32| TAU * f64::from(index) / f64::from(self.count);
            let places = (0..self.count).map(turn).map(DVec2::from_angle);
            return places.map(|way| self.at + radius.as_mm() * way).collect();
        }
        let pitch = self.pitch.unwrap_or_default();
        let off = |index: u32, count: u32| f64::from(index) - 0.5 * f64::from(count - 1);
        let row = |row: u32| {
            let place = move |column| DVec2::new(off(row, self.along), off(column, self.across));
            (0..self.across).map(move |column| self.at + pitch * place(column))
        };
        (0..self.along).flat_map(row).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::keys::usual;

    #[test]
    fn a_pattern_lies_round_its_middle() {
        let opening = Opening {
            at: DVec2::new(250.0, 2.0),
            along: 2,
            across: 3,
            pitch: Some(DVec2::new(10.0, 8.0)),
            ..usual()
        };
        let middles = opening.middles();
        assert_eq!([middles.len(), opening.many()], [6, 6]);
        assert_eq!(middles[0], DVec2::new(245.0, -6.0));
        assert_eq!(middles[5], DVec2::new(255.0, 10.0));
        let ring = Opening { ring: Some(Length::mm(12.0)), count: 4, ..opening };
        let middles = ring.middles();
        assert_eq!([middles.len(), ring.many()], [4, 4]);
        assert!(middles.iter().all(|p| (p.distance(ring.at) - 12.0).abs() < 1e-12));
    }
}
