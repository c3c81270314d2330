//! Holes and slots that are closed all round, and the wood between them.
//!
//! Promised: the sizes that are asked for, as lines and arcs. Not promised: that they lie within the
//! body, or apart; [`wood`] says that.

use super::{ArcPath, ArcVertex};
use crate::params::Opening;
use crate::units::Length;
use glam::DVec2;

/// Chords of an outline whose distance from others is measured.
const CHORD: Length = Length::mm(0.01);

/// The outlines of all openings, in the order of the file, counter-clockwise, in the design frame.
pub fn openings(asked: &[Opening]) -> Vec<ArcPath> {
    let one = |opening: &Opening, middle: DVec2| match opening.length {
        Some(length) => slot(middle, [length, opening.width], opening.turn.as_radians()),
        None => ArcPath::circle(middle, opening.width.half()),
    };
    asked
        .iter()
        .flat_map(|opening| opening.middles().into_iter().map(|p| one(opening, p)))
        .collect()
}

/// A slot with round ends, of that length and width.
fn slot(middle: DVec2, [length, width]: [Length; 2], turn: f64) -> ArcPath {
    let along = DVec2::from_angle(turn) * (0.5 * (length - width).as_mm());
    let aside = DVec2::from_angle(turn).perp() * (0.5 * width.as_mm());
    let corner = |point: DVec2, bulge| ArcVertex { point, bulge };
    ArcPath {
        vertices: vec![
            corner(middle - along - aside, 0.0),
            corner(middle + along - aside, 1.0),
            corner(middle + along + aside, 0.0),
            corner(middle - along + aside, 1.0),
        ],
        closed: true,
    }
}

/// What stands nearest to an opening, over the wood between them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BesideOpening {
    /// The body's outline.
    Outline,
    /// Another opening.
    Opening,
    /// A fork's slot.
    Slot,
}

/// Wood that an opening leaves beside it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpeningWood {
    /// Which opening.
    pub opening: usize,
    /// Where on its outline, in mm.
    pub place: DVec2,
    /// The least to the body's outline or to another opening or slot; less than nothing where it
    /// crosses one or lies outside.
    pub least: Length,
    /// To what.
    pub neighbour: BesideOpening,
}

/// The least wood beside each opening. `others` are slots that lie in the same body.
pub fn wood(outline: &ArcPath, openings: &[ArcPath], others: &[ArcPath]) -> Vec<OpeningWood> {
    let within = outline.inside();
    // Worked out once each: of many openings every one asks every other.
    let bounded = |path: &ArcPath| path.bounds().unwrap_or((DVec2::INFINITY, DVec2::INFINITY));
    let paths = openings.iter().map(|path| (path, BesideOpening::Opening));
    let paths = paths.chain(others.iter().map(|path| (path, BesideOpening::Slot)));
    let beside: Vec<_> =
        paths.map(|(path, kind)| (path, kind, path.inside(), bounded(path))).collect();
    let least = |(index, mine): (usize, &ArcPath)| {
        let own = mine.to_polyline(CHORD);
        let around = bounded(mine);
        let mut found: Option<OpeningWood> = None;
        let mut take = |place: DVec2, wood: f64, neighbour| {
            if found.is_none_or(|found| wood < found.least.as_mm()) {
                let least = Length::mm(wood);
                found = Some(OpeningWood { opening: index, place, least, neighbour });
            }
            found.map_or(f64::INFINITY, |found| found.least.as_mm())
        };
        let mut least = f64::INFINITY;
        for point in &own {
            let far = outline.distance(*point).as_mm();
            least = take(*point, if within(*point) { far } else { -far }, BesideOpening::Outline);
        }
        for (other, (path, kind, inside, bounds)) in beside.iter().enumerate() {
            if other == index || gap(around, *bounds) > least {
                continue;
            }
            // An opening within another has its outline inside that one.
            for point in &own {
                let far = path.distance(*point).as_mm();
                least = take(*point, if inside(*point) { -far } else { far }, *kind);
            }
        }
        found
    };
    openings.iter().enumerate().filter_map(least).collect()
}

/// Distance between two boxes, each its low and its high corner.
fn gap((low, high): (DVec2, DVec2), (from, to): (DVec2, DVec2)) -> f64 {
    (from - high).max(low - to).max(DVec2::ZERO).length()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn block() -> ArcPath {
        ArcPath::polygon(
            [(200.0, -30.0), (300.0, -30.0), (300.0, 30.0), (200.0, 30.0)].map(DVec2::from),
        )
    }

    #[test]
    fn a_slot_has_its_area_and_its_size() {
        let slot = slot(DVec2::new(250.0, 3.0), [40.0, 6.0].map(Length::mm), 0.4);
        assert!((slot.signed_area() - (34.0 * 6.0 + PI * 9.0)).abs() < 1e-9);
        assert!((slot.length().as_mm() - (68.0 + 6.0 * PI)).abs() < 1e-9);
        assert!(!slot.self_crosses());
    }

    #[test]
    fn the_wood_beside_openings_is_the_least_to_edge_and_neighbour() {
        let at = |x, y| ArcPath::circle(DVec2::new(x, y), Length::mm(4.0));
        let found = wood(&block(), &[at(250.0, 20.0), at(250.0, 8.0), at(270.0, 0.0)], &[]);
        let least: Vec<f64> = found.iter().map(|wood| wood.least.as_mm()).collect();
        assert!((least[0] - 4.0).abs() < 0.02 && (least[1] - 4.0).abs() < 0.02, "{least:?}");
        // To the second: 21.54 between the middles.
        assert!((least[2] - (464.0_f64.sqrt() - 8.0)).abs() < 0.02, "{least:?}");
    }

    #[test]
    fn what_crosses_or_lies_outside_has_less_than_nothing() {
        let at = |x, y, r| ArcPath::circle(DVec2::new(x, y), Length::mm(r));
        for openings in [
            vec![at(250.0, 28.0, 4.0)],
            vec![at(250.0, 40.0, 4.0)],
            vec![at(250.0, 0.0, 4.0), at(255.0, 0.0, 4.0)],
            vec![at(250.0, 0.0, 4.0), at(250.0, 0.0, 12.0)],
        ] {
            let found = wood(&block(), &openings, &[]);
            assert!(found.iter().any(|wood| wood.least < Length::ZERO), "{openings:?}");
        }
    }
}
