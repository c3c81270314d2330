//! What of the bed shows round the board: tracks by the edges of their slots, inserts by their rings.

use super::paper::Paper;
use crate::bed::mounts::Mount;
use crate::drawing::ink::{Ink, Line};
use crate::params::Shop;
use glam::DVec2;

/// How far apart a track's edges are drawn, on paper.
const TRACK_MM: f64 = 1.4;

/// A track shorter than this beside the board is left out; in mm of the bed.
const SHORT_MM: f64 = 2.0;

/// Draws them beside a board of that size, as far as the paper goes.
pub(super) fn draw(ink: &mut Ink, shop: &Shop, mount: &Mount, size: DVec2, paper: &Paper) {
    let plan = |p: DVec2| p - mount.zero.truncate();
    let clamp = &shop.bed.clamp;
    for [from, to] in clamp.tracks.iter().flat_map(|track| track.lines()) {
        for [from, to] in beside([plan(from), plan(to)], size, paper) {
            track(ink, paper.at(from), paper.at(to));
        }
    }
    let radius = (shop.bolt.size.thickness().half().as_mm() * paper.scale).max(0.5);
    for at in clamp.inserts.iter().flat_map(|insert| insert.places()).map(plan) {
        let over = at.cmpge(DVec2::ZERO).all() && at.cmple(size).all();
        let shown = at.cmpge(paper.low).all() && at.cmple(paper.high).all();
        if shown && !over {
            ink.circle(Line::Thin, paper.at(at), radius);
        }
    }
}

/// A track as the edges of its slot.
pub(super) fn track(ink: &mut Ink, from: DVec2, to: DVec2) {
    let side = (to - from).normalize_or_zero().perp() * TRACK_MM / 2.0;
    for side in [side, -side] {
        ink.lines(Line::Thin, &[from + side, to + side], false);
    }
}

/// The parts of an upright or level line that lie on the paper and not under the board.
fn beside([from, to]: [DVec2; 2], size: DVec2, paper: &Paper) -> Vec<[DVec2; 2]> {
    let (low, high) = (from.min(to).max(paper.low), from.max(to).min(paper.high));
    if low.cmpgt(high).any() {
        return Vec::new();
    }
    let upright = high.y - low.y > high.x - low.x;
    let (across, end) = if upright { (low.x, size.x) } else { (low.y, size.y) };
    let (board, axis) = match upright {
        true => (size.y, DVec2::Y),
        false => (size.x, DVec2::X),
    };
    let parts = if (0.0..=end).contains(&across) {
        let at = |s: f64| low + axis * (s - low.dot(axis));
        vec![[low, at(high.dot(axis).min(0.0))], [at(low.dot(axis).max(board)), high]]
    } else {
        vec![[low, high]]
    };
    parts.into_iter().filter(|[a, b]| (*b - *a).dot(axis) > SHORT_MM).collect()
}

#[cfg(test)]
mod tests {
    use super::super::paper::Shows;
    use super::*;

    #[test]
    fn a_track_under_the_board_shows_on_both_sides_of_it() {
        let size = DVec2::new(400.0, 140.0);
        let paper = Paper::new(DVec2::new(-50.0, -40.0), DVec2::new(450.0, 180.0), Shows::Setup);
        let found = beside([DVec2::new(100.0, -200.0), DVec2::new(100.0, 900.0)], size, &paper);
        let at = |y| DVec2::new(100.0, y);
        assert_eq!(found, [[at(-40.0), at(0.0)], [at(140.0), at(180.0)]]);
        let level = beside([DVec2::new(-9e3, -20.0), DVec2::new(9e3, -20.0)], size, &paper);
        assert_eq!(level, [[DVec2::new(-50.0, -20.0), DVec2::new(450.0, -20.0)]]);
        assert!(beside([at(20.0), at(120.0)], size, &paper).is_empty(), "under it");
        assert!(beside([DVec2::new(500.0, 0.0), DVec2::new(500.0, 9.0)], size, &paper).is_empty());
    }
}
