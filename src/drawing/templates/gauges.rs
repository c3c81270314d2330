//! A gauge for each cross-section: a card with the section cut out of it, to be cut in two along
//! the line where the two sides meet and held against the piece while it is sanded.

use super::plan::open;
use crate::drawing::measure::{self, Both};
use crate::drawing::piece::sections;
use crate::drawing::words::{self, fill};
use crate::export::dxf::Layer;
use crate::job::Piece;
use crate::outline::ArcPath;
use crate::units::{Length, Unit};
use glam::DVec2;

/// Card left round a section, in mm: enough to hold.
const ROUND: f64 = 15.0;

/// Height of the letters.
const LETTERS: Length = Length::mm(3.2);

/// One part for each section, its card's lower left corner at zero.
pub(super) fn of(piece: &Piece, unit: Unit) -> Vec<Layer<'static>> {
    sections(piece)
        .into_iter()
        .map(|section| {
            let low = section.corners.iter().fold(DVec2::INFINITY, |low, p| low.min(*p));
            let high = section.corners.iter().fold(DVec2::NEG_INFINITY, |high, p| high.max(*p));
            let named = [("letter", section.letter.as_str()), ("place", section.place.as_str())];
            let title = fill(words::GAUGE, &named);
            let sizes = [section.width, section.height];
            let [width, height] = sizes.map(|size| Both::of(size, Unit::Millimetre).main);
            let metric = fill(words::GAUGE_SIZE, &[("width", &width), ("height", &height)]);
            let [width, height] = sizes.map(measure::fraction);
            let inches = fill(words::GAUGE_INCHES, &[("width", &width), ("height", &height)]);
            // A gauge is read off a rule, so its inches are a rule's; the shop's unit comes first.
            let [size, other] = match unit {
                Unit::Millimetre => [metric, inches],
                Unit::Inch => [inches, metric],
            };
            // Letters are no wider than this much of their height.
            let letters = title.chars().count().max(size.chars().count()) as f64;
            let wide = (high.x - low.x + 2.0 * ROUND).max(letters * LETTERS.as_mm() * 0.68 + 4.0);
            let tall = high.y - low.y + 2.0 * ROUND;
            let shift = DVec2::new((wide - (high.x + low.x)) / 2.0, ROUND - low.y);
            let hole: Vec<DVec2> = section.corners.iter().map(|p| *p + shift).collect();
            // The two sides meet half-way up the upright edge on the left.
            let edge = (section.corners.first(), section.corners.last());
            let level = match edge {
                (Some(up), Some(down)) => (up.y + down.y) / 2.0 + shift.y,
                _ => tall / 2.0,
            };
            let card =
                [DVec2::ZERO, DVec2::new(wide, 0.0), DVec2::new(wide, tall), DVec2::new(0.0, tall)];
            let (left, right) = (low.x + shift.x, high.x + shift.x);
            let mut part = Layer::new(
                "gauges",
                vec![
                    ArcPath::polygon(hole),
                    ArcPath::polygon(card),
                    open([DVec2::new(0.0, level), DVec2::new(left, level)]),
                    open([DVec2::new(right, level), DVec2::new(wide, level)]),
                ],
            );
            part.texts.push((DVec2::new(2.0, tall - 5.0), title, LETTERS));
            part.texts.push((DVec2::new(2.0, 7.0), size, LETTERS));
            part.texts.push((DVec2::new(2.0, 2.0), other, LETTERS));
            part
        })
        .collect()
}
