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
}

/// The least wood beside each opening. `others` are slots that lie in the same body.
pub fn wood(outline: &ArcPath, openings: &[ArcPath], others: &[ArcPath]) -> Vec<OpeningWood> {
    let within = outline.inside();
    let lines: Vec<Vec<DVec2>> = openings.iter().map(|path| path.to_polyline(CHORD)).collect();
    let least = |index: usize| {
        let own = lines.get(index)?;
        let mine = openings.get(index)?;
        let beside = (0..openings.len()).filter(|other| *other != index);
        let beside = beside.filter_map(|other| openings.get(other)).chain(others);
        // An opening within another has its outline inside that one.
        let beside: Vec<_> = beside.map(|path| (path, path.inside(), path.bounds())).collect();
        let around = mine.bounds()?;
        let mut found: Option<(DVec2, f64)> = None;
        let take = |found: &mut Option<(DVec2, f64)>, place: DVec2, wood: f64| {
            if found.is_none_or(|(_, least)| wood < least) {
                *found = Some((place, wood));
            }
        };
        for point in own {
            let far = outline.distance(*point).as_mm();
            take(&mut found, *point, if within(*point) { far } else { -far });
        }
        for (path, inside, bounds) in &beside {
            let nearest = bounds.map_or(f64::INFINITY, |bounds| gap(around, bounds));
            if found.is_some_and(|(_, least)| nearest > least) {
                continue;
            }
            for point in own {
                let far = path.distance(*point).as_mm();
                take(&mut found, *point, if inside(*point) { -far } else { far });
            }
        }
        let (place, least) = found?;
        Some(OpeningWood { opening: index, place, least: Length::mm(least) })
    };
    (0..openings.len()).filter_map(least).collect()
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
