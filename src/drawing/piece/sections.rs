//! The cross-sections: which there are, and their drawing.

use super::super::ink::{Anchor, Ink, Line, MAIN};
use super::super::measure::Both;
use super::super::words;
use super::cut;
use crate::job::Piece;
use crate::units::{Length, Unit, plain};
use glam::DVec2;

/// Where the piece stands on the paper of the views, from left to right.
pub(super) const LEFT: f64 = 26.0;
pub(super) const RIGHT: f64 = 143.0;

/// A place where the piece is cut across.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Section {
    /// `A`, `B` and so on, from the handle's end.
    pub(crate) letter: String,
    /// Where, from the handle's end.
    pub(crate) x: Length,
    /// Which place it is, in words.
    pub(crate) place: String,
    /// Corners, X to the right as seen towards the tip, Z up, in mm.
    pub(crate) corners: Vec<DVec2>,
    /// From edge to edge.
    pub(crate) width: Length,
    /// From its lowest to its highest place.
    pub(crate) height: Length,
}

/// Sections nearer to each other on paper have no room for their letters, in mm.
const APART: f64 = 9.0;

/// The sections: at the handle's stations of width and thickness, and where the head is widest.
pub(crate) fn sections(piece: &Piece) -> Vec<Section> {
    let body = &piece.body;
    let handle = &piece.design.handle;
    let scale = (RIGHT - LEFT) / body.length().as_mm();
    let mut at: Vec<f64> = handle.width.iter().chain(&handle.thickness).map(|s| s.at).collect();
    at.sort_by(f64::total_cmp);
    let mut places: Vec<(f64, String)> = Vec::new();
    for at in at {
        let x = body.handle_x(at).as_mm();
        if places.last().is_none_or(|(last, _)| (x - last) * scale >= APART) {
            let place = words::fill(words::SECTION_HANDLE, &[("at", &plain(at * 100.0, 0))]);
            places.push((x, place));
        }
    }
    places.push((body.widest_x().as_mm(), words::SECTION_HEAD.to_owned()));
    (b'A'..=b'Z')
        .zip(places)
        .map(|(letter, (x, place))| {
            let x = Length::mm(x);
            let corners = cut::across(body, x);
            let (low, high) = extent(&corners);
            Section {
                letter: char::from(letter).to_string(),
                x,
                place,
                corners,
                width: Length::mm(high.x - low.x),
                height: Length::mm(high.y - low.y),
            }
        })
        .collect()
}

fn extent(points: &[DVec2]) -> (DVec2, DVec2) {
    points
        .iter()
        .fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |(low, high), p| (low.min(*p), high.max(*p)))
}

/// Room for a section's figures under and beside it, in mm of paper.
const FIGURES: f64 = 24.0;
const BESIDE: f64 = 30.0;

/// A section's drawing, its size, and its title.
pub(crate) struct Drawn {
    pub(crate) ink: Ink,
    pub(crate) size: DVec2,
    pub(crate) title: String,
}

/// No section's drawing is wider, in mm: on a phone of 390 pixels its smallest letters are then
/// about 9 pixels high.
const WIDEST: f64 = 96.0;

/// Each section by itself, so that they stand beside each other where there is room and under each
/// other on a phone; at true size where it fits.
pub(crate) fn drawn(piece: &Piece, unit: Unit) -> Vec<Drawn> {
    let sections = sections(piece);
    let scale = |s: &Section| ((WIDEST - BESIDE) / s.width.as_mm().max(1.0)).min(1.0);
    // Those of the handle are of one height, so that what is read across stands level. Upright
    // figures may stand out over a flat section, so there is room for them.
    let (head, handle) = sections.split_last().map_or((None, &[][..]), |(h, rest)| (Some(h), rest));
    let high = |s: &Section| (s.height.as_mm() * scale(s)).max(FIGURES - 8.0);
    let level = handle.iter().map(high).fold(0.0, f64::max);
    let handle = handle.iter().map(|section| one(section, unit, scale(section), level));
    handle.chain(head.map(|section| one(section, unit, scale(section), high(section)))).collect()
}

fn one(section: &Section, unit: Unit, scale: f64, high: f64) -> Drawn {
    let mut ink = Ink::default();
    let (low, most) = extent(&section.corners);
    let wide = (section.width.as_mm() * scale).max(FIGURES);
    // Half of a wide line more than the paper's edge.
    let centre = DVec2::new(0.5 + wide / 2.0, 10.0 + high / 2.0);
    let paper = |p: DVec2| {
        let off = (p - (low + most) / 2.0) * scale;
        centre + DVec2::new(off.x, -off.y)
    };
    let corners: Vec<DVec2> = section.corners.iter().map(|p| paper(*p)).collect();
    ink.hatched(&corners);
    ink.lines(Line::Seen, &corners, true);
    let named = [("letter", section.letter.as_str()), ("place", section.place.as_str())];
    let title = words::fill(words::SECTION, &named);
    ink.words(DVec2::new(0.5, 4.0), Anchor::Start, false, MAIN, &title);
    // From where the section is widest, and from its highest and lowest place.
    let at = |score: &dyn Fn(&DVec2) -> f64| {
        corners.iter().copied().max_by(|a, b| score(a).total_cmp(&score(b))).unwrap_or(centre)
    };
    let (west, east) = (at(&|p| -p.x), at(&|p| p.x));
    let (north, south) = (at(&|p| -p.y), at(&|p| p.y));
    let foot = centre.y + high / 2.0 + 6.5;
    ink.across(west, east, foot, &Both::of(section.width, unit));
    let beside = 0.5 + wide + 6.5;
    ink.upright(north, south, beside, Anchor::Start, "", &Both::of(section.height, unit));
    Drawn { ink, size: DVec2::new(wide + BESIDE, foot + 5.5), title }
}
