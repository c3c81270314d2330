//! How deep a finishing cutter goes in wood, square by square: what lies in a strip beside a wall is usual,
//! what covers whole squares was to be roughed before.

use crate::program::Motion;
use glam::{DVec2, DVec3};
use std::collections::BTreeMap;

/// Side of a square, in mm.
const SQUARE_MM: f64 = 5.0;

/// A square in which so much was cut too deep is one of solid wood: a strip beside a wall, or beside two, is
/// less.
const SOLID: f64 = 0.5;

/// Less than this, in mm², is a single wrong cut.
const LEAST_MM2: f64 = 300.0;

/// Squares of the plan where one finishing cutter went deeper than the passes before it leave.
#[derive(Clone, Debug, Default)]
pub(super) struct DeepSquares {
    squares: BTreeMap<(i64, i64), DeepSquare>,
}

#[derive(Clone, Copy, Debug)]
struct DeepSquare {
    mm2: f64,
    deepest: f64,
    line: u32,
    at: DVec3,
}

/// Solid wood that was finished in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct SolidWood {
    /// Of all its squares.
    pub(super) mm2: f64,
    /// The most that was cut at once, its line and its place.
    pub(super) deepest: f64,
    pub(super) worst_line: u32,
    pub(super) at: DVec3,
    /// The first line of all.
    pub(super) line: u32,
}

impl DeepSquares {
    /// Adds what one motion cut too deep: how much of the plan, and how deep.
    pub(super) fn add(&mut self, motion: &Motion, mm2: f64, deepest: f64) {
        let flat = motion.from.truncate().distance(motion.to.truncate());
        let parts = (flat / SQUARE_MM).ceil().max(1.0);
        for part in 0..parts as u32 {
            let at = motion.at((f64::from(part) + 0.5) / parts);
            let place: DVec2 = (at.truncate() / SQUARE_MM).floor();
            let fresh = DeepSquare { mm2: 0.0, deepest: 0.0, line: motion.line, at };
            let square = self.squares.entry((place.x as i64, place.y as i64)).or_insert(fresh);
            square.mm2 += mm2 / parts;
            if deepest > square.deepest {
                (square.deepest, square.line, square.at) = (deepest, motion.line, at);
            }
        }
    }

    /// Whether it was solid wood, and where it was deepest.
    pub(super) fn solid(&self) -> Option<SolidWood> {
        let square = SQUARE_MM * SQUARE_MM;
        let solid = self.squares.values().filter(|one| one.mm2 >= SOLID * square);
        let mm2 = solid.clone().count() as f64 * square;
        let line = solid.clone().map(|one| one.line).min()?;
        let worst = solid.max_by(|a, b| a.deepest.total_cmp(&b.deepest))?;
        (mm2 >= LEAST_MM2).then_some(SolidWood {
            mm2,
            deepest: worst.deepest,
            worst_line: worst.line,
            at: worst.at,
            line,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::program::PathForm;

    /// Passes of that width over a field of 30 mm, cut so deep.
    fn raster(wide: f64, over: f64) -> DeepSquares {
        let mut squares = DeepSquares::default();
        for row in 0..(30.0 / over) as u32 {
            let y = f64::from(row) * over;
            let (from, to) = (DVec3::new(0.0, y, 5.0), DVec3::new(30.0, y, 5.0));
            let (form, rapid, feed) = (PathForm::Straight, false, 1000.0);
            let (tool, spinning, speed) = (None, true, 0.0);
            let motion = Motion { line: row, from, to, form, rapid, feed, tool, spinning, speed };
            squares.add(&motion, 30.0 * wide, 20.0);
        }
        squares
    }

    #[test]
    fn a_field_that_is_entered_from_the_side_is_solid_and_strips_are_not() {
        let solid = raster(0.3, 0.3).solid().expect("a field");
        assert_eq!((solid.mm2, solid.deepest), (900.0, 20.0));
        assert_eq!(raster(3.0, 3.0).solid().map(|solid| solid.mm2), Some(900.0));
        // Strips of half a millimetre each 5 mm, as walls have them.
        assert_eq!(raster(0.5, 5.0).solid(), None);
    }
}
