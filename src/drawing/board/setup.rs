//! What a setup's drawing shows beside the board: spacers with their stops, the board's sizes, the axes.

use super::paper::Paper;
use crate::bed::spacer::Spacer;
use crate::drawing::ink::{Anchor, Ink, Line, MAIN, MINOR};
use crate::drawing::measure::Both;
use crate::job::Mounting;
use crate::params::StopSide;
use crate::units::{Length, Unit};
use glam::DVec2;

/// How wide a spacer is, and how much of a long one is drawn before its stop.
const SPACER_MM: f64 = 30.0;
const SHOWN_MM: f64 = 16.0;
/// By how much of the spacer's width its stop is drawn longer at each end.
const STOP_OVER: f64 = 0.3;

/// The two ways of a stop: from the board out to it, and along it.
const fn ways(side: StopSide) -> (DVec2, DVec2) {
    match side {
        StopSide::Left => (DVec2::NEG_X, DVec2::Y),
        StopSide::Front => (DVec2::NEG_Y, DVec2::X),
    }
}

/// Corners of a spacer in the setup's plan: against the board, and where its stop is drawn.
pub(super) fn spacer(spacer: &Spacer, at: DVec2) -> [DVec2; 4] {
    let (out, along) = ways(spacer.side);
    let (out, half) = (out * spacer.size.as_mm().min(SHOWN_MM), along * SPACER_MM / 2.0);
    [at - half, at - half + out, at + half + out, at + half]
}

/// What a spacer and its stop, which is longer, take up.
pub(super) fn stop(spacer: [DVec2; 4]) -> [DVec2; 4] {
    let over = (spacer[2] - spacer[1]) * STOP_OVER;
    [spacer[0] - over, spacer[1] - over, spacer[2] + over, spacer[3] + over]
}

/// The spacers against the board, each with a piece of its stop behind it.
pub(super) fn spacers(ink: &mut Ink, mounting: &Mounting, setup: usize, paper: &Paper) {
    for (i, (one, at)) in (1..).zip(mounting.clamps.stands(setup)) {
        let corners = spacer(one, at).map(|p| paper.at(p));
        ink.filled(&corners, "white");
        ink.lines(Line::Outline, &corners, true);
        let [_, from, to, _] = stop(corners);
        ink.lines(Line::Seen, &[from, to], false);
        // Beyond the stop, where no line runs.
        let middle = (corners[1] + corners[2]) / 2.0;
        let (at, anchor) = match one.side {
            StopSide::Left => (middle + DVec2::new(-1.0, 0.26 * MINOR), Anchor::End),
            StopSide::Front => (middle + DVec2::Y * (1.0 + 0.76 * MINOR), Anchor::Middle),
        };
        ink.words(at, anchor, false, MINOR, &format!("S{i}"));
    }
}

/// The board's length and width, below it and to its right.
pub(super) fn sizes(ink: &mut Ink, (size, unit): (DVec2, Unit), paper: &Paper, foot: f64) {
    let [left, right] = [0.0, size.x].map(|x| paper.at(DVec2::new(x, 0.0)));
    let both = |mm: f64| Both::of(Length::mm(mm), unit);
    ink.across(left, right, foot + 5.0, &both(size.x));
    let [front, back] = [0.0, size.y].map(|y| paper.at(DVec2::new(size.x, y)));
    let clear = paper.at(DVec2::new(paper.high.x, 0.0)).x + 3.0;
    ink.dimension(back, front, clear);
    let at = DVec2::new(clear, (front.y + back.y) / 2.0);
    ink.beside(at, Anchor::Start, "", &both(size.y));
}

/// The two axes beside the board, from zero, as long as the hold-downs leave room for.
pub(super) fn axes(ink: &mut Ink, at: DVec2, blocks: &[[DVec2; 4]]) {
    const MOST: f64 = 13.0;
    const LEAST: f64 = 4.0;
    const OFF: f64 = 2.6;
    // An axis' letter, and a hair before the block.
    const LETTER: f64 = 4.2;
    let (x, y) = (at + DVec2::new(0.0, OFF), at - DVec2::new(OFF, 0.0));
    let long = |from: DVec2, way: DVec2| {
        let ahead = |block: &[DVec2; 4]| {
            let corners = block.map(|p| DVec2::new((p - from).dot(way), (p - from).perp_dot(way)));
            let low = corners.iter().copied().fold(corners[0], DVec2::min);
            let high = corners.iter().copied().fold(corners[0], DVec2::max);
            (low.y < 2.0 && high.y > -2.0 && low.x > 0.0).then_some(low.x)
        };
        let room = blocks.iter().filter_map(ahead).fold(MOST + LETTER, f64::min);
        (room - LETTER).max(LEAST)
    };
    let (right, up) = (long(x, DVec2::X), long(y, DVec2::NEG_Y));
    ink.lines(Line::Seen, &[x, x + DVec2::X * (right - 1.0)], false);
    ink.arrow(x + DVec2::X * right, DVec2::X);
    ink.lines(Line::Seen, &[y, y - DVec2::Y * (up - 1.0)], false);
    ink.arrow(y - DVec2::Y * up, -DVec2::Y);
    let low = DVec2::Y * 0.26 * MAIN;
    ink.words(x + DVec2::X * (right + 0.8) + low, Anchor::Start, false, MAIN, "X");
    ink.words(y - DVec2::Y * (up + 1.2), Anchor::Middle, false, MAIN, "Y");
    ink.words(at + DVec2::new(-2.4, 4.8), Anchor::End, false, MAIN, "0");
}
