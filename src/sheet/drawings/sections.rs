//! The cross-sections: which there are, and their drawing.

use super::super::ink::{Anchor, Ink, Line, MAIN};
use super::super::measure::Both;
use super::super::words;
use super::{LEFT, RIGHT, WIDE, cut};
use crate::job::Job;
use crate::units::{Length, plain};
use glam::DVec2;

/// A place where the piece is cut across.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::sheet) struct Section {
    /// `A`, `B` and so on, from the handle's end.
    pub(in crate::sheet) letter: String,
    /// Where, from the handle's end.
    pub(in crate::sheet) x: Length,
    /// Which place it is, in words.
    pub(in crate::sheet) place: String,
    /// Corners, X to the right as seen towards the tip, Z up, in mm.
    pub(in crate::sheet) corners: Vec<DVec2>,
    /// From edge to edge.
    pub(in crate::sheet) width: Length,
    /// From its lowest to its highest place.
    pub(in crate::sheet) height: Length,
}

/// Sections nearer to each other on paper have no room for their letters, in mm.
const APART: f64 = 9.0;

/// The sections: at the handle's stations of width and thickness, and where the head is widest.
pub(in crate::sheet) fn sections(job: &Job) -> Vec<Section> {
    let body = &job.body;
    let handle = &job.order.design.handle;
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
const BETWEEN: f64 = 4.0;

/// The sections in rows, at true size where the widest fits.
pub(super) fn drawn(job: &Job) -> (Ink, DVec2) {
    let mut ink = Ink::default();
    let sections = sections(job);
    let widest = sections.iter().map(|s| s.width.as_mm()).fold(1.0, f64::max);
    let scale = ((WIDE - BESIDE - BETWEEN) / widest).min(1.0);
    let cell = |s: &Section| (s.width.as_mm() * scale).max(FIGURES) + BESIDE + BETWEEN;
    let mut left = 0.0;
    let mut top = 0.0;
    let mut row: Vec<(f64, &Section)> = Vec::new();
    for section in &sections {
        if left + cell(section) > WIDE + BETWEEN && !row.is_empty() {
            top = draw_row(&mut ink, &row, top, scale);
            (left, row) = (0.0, Vec::new());
        }
        row.push((left, section));
        left += cell(section);
    }
    top = draw_row(&mut ink, &row, top, scale);
    (ink, DVec2::new(WIDE, top))
}

/// One row from `top` down; returns where the next may begin.
fn draw_row(ink: &mut Ink, row: &[(f64, &Section)], top: f64, scale: f64) -> f64 {
    // Upright figures may stand out over a flat section, so there is room for them.
    let high = row.iter().map(|(_, s)| s.height.as_mm() * scale).fold(FIGURES - 8.0, f64::max);
    let middle = top + 10.0 + high / 2.0;
    for (left, section) in row {
        let (low, most) = extent(&section.corners);
        let wide = (section.width.as_mm() * scale).max(FIGURES);
        // Half of a wide line more than the paper's edge.
        let left = left + 0.5;
        let centre = DVec2::new(left + wide / 2.0, middle);
        let paper = |p: DVec2| {
            let off = (p - (low + most) / 2.0) * scale;
            centre + DVec2::new(off.x, -off.y)
        };
        let corners: Vec<DVec2> = section.corners.iter().map(|p| paper(*p)).collect();
        ink.hatched(&corners);
        ink.lines(Line::Seen, &corners, true);
        let named = [("letter", section.letter.as_str()), ("place", section.place.as_str())];
        let title = words::fill(words::SECTION, &named);
        ink.words(DVec2::new(left, top + 4.0), Anchor::Start, false, MAIN, &title);
        let (least, most) = extent(&corners);
        // From where the section is widest, and from its highest and lowest place.
        let at = |score: &dyn Fn(&DVec2) -> f64| {
            corners.iter().copied().max_by(|a, b| score(a).total_cmp(&score(b))).unwrap_or(centre)
        };
        let (west, east) = (at(&|p| -p.x), at(&|p| p.x));
        let (north, south) = (at(&|p| -p.y), at(&|p| p.y));
        let foot = (middle + high / 2.0).max(most.y) + 6.5;
        ink.across(west, east, foot, &Both::of(section.width));
        let beside = (left + wide).max(most.x.max(least.x)) + 6.5;
        let figure = Both::of(section.height);
        ink.upright(north, south, beside, Anchor::Start, "", &figure);
    }
    middle + high / 2.0 + 6.5 + 7.0
}
