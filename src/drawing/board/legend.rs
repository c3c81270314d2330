//! What each line of the drawing means, under it: of the lines that are drawn, and no others.

use super::bed;
use super::paper::Shows;
use super::scene::BoardView;
use crate::drawing::ink::{Anchor, Ink, Line, MINOR};
use crate::drawing::piece::WIDE;
use crate::drawing::words;
use crate::job::Outlines;
use glam::DVec2;

/// A line's mark and its meaning.
pub(super) type LegendRow = (Mark, String);

/// How a meaning is marked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mark {
    /// A piece of the line.
    Line(Line),
    /// The cross of a reading.
    Cross,
    /// A track of the bed.
    Track,
    /// A dimension line.
    Between,
    /// The ring of a zero.
    Zero,
}

/// Height of a row, and meanings in one.
const HIGH: f64 = 5.8;
const COLUMNS: usize = 2;

/// Height of so many meanings.
pub(super) fn high(count: usize) -> f64 {
    HIGH * count.div_ceil(COLUMNS) as f64
}

pub(super) fn rows(scene: &BoardView<'_>, shows: Shows) -> Vec<LegendRow> {
    let any = |cut: fn(&Outlines) -> bool| scene.pieces.iter().any(|at| cut(&at.piece.outlines));
    let slots = any(|outlines| !outlines.slots.is_empty());
    let openings = any(|outlines| !outlines.openings.is_empty());
    let tabs = scene.pieces.iter().any(|at| !at.tabs.is_empty());
    let flaws = !scene.job.board.flaws.is_empty();
    let wood = shows == Shows::Wood;
    let clamp = &scene.job.shop.bed.clamp;
    let bed = !(clamp.tracks.is_empty() && clamp.inserts.is_empty());
    let limit = match shows {
        Shows::Wood => words::LEGEND_SKIRT,
        Shows::Setup => words::LEGEND_LIMIT,
    };
    let all = [
        // What a setup shows has its name beside it.
        (Mark::Line(Line::Seen), words::LEGEND_SEEN, wood),
        (Mark::Line(Line::Thin), words::LEGEND_TABS, tabs && wood),
        (Mark::Line(Line::Limit), limit, true),
        (Mark::Line(Line::Hidden), words::LEGEND_SLOTS, slots && !openings),
        (Mark::Line(Line::Hidden), words::LEGEND_OPENINGS, openings),
        (Mark::Line(Line::Dotted), words::LEGEND_FLAWS, flaws),
        (Mark::Track, words::LEGEND_BED, bed && !wood),
        (Mark::Cross, words::LEGEND_READINGS, wood),
        (Mark::Between, words::LEGEND_CLEAR, wood),
        (Mark::Zero, words::LEGEND_ZERO, wood),
    ];
    let unit = scene.job.shop.unit.symbol();
    let there = all.into_iter().filter(|(.., there)| *there);
    there.map(|(mark, text, _)| (mark, words::fill(text, &[("unit", unit)]))).collect()
}

pub(super) fn draw(ink: &mut Ink, top: f64, rows: &[LegendRow]) {
    for (i, (mark, text)) in rows.iter().enumerate() {
        let column = (i % COLUMNS) as f64;
        let row = (i / COLUMNS) as f64;
        let at = DVec2::new(1.0 + column * WIDE / COLUMNS as f64, top + row * HIGH + 1.0);
        match mark {
            Mark::Cross => {
                let middle = at + DVec2::new(6.2, -0.9);
                for way in [DVec2::splat(0.9), DVec2::new(0.9, -0.9)] {
                    ink.lines(Line::Thin, &[middle - way, middle + way], false);
                }
            }
            Mark::Between => {
                let ends = [at + DVec2::new(1.0, -0.9), at + DVec2::new(11.4, -0.9)];
                ink.lines(Line::Thin, &ends, false);
                ink.arrow(ends[0], DVec2::NEG_X);
                ink.arrow(ends[1], DVec2::X);
            }
            Mark::Track => {
                let from = at - DVec2::Y * 0.9;
                bed::track(ink, from, from + DVec2::X * 12.4);
            }
            Mark::Zero => ink.zero(at + DVec2::new(6.2, -0.9)),
            Mark::Line(line) => {
                ink.lines(*line, &[at - DVec2::Y * 0.9, at + DVec2::new(12.4, -0.9)], false);
            }
        }
        ink.words(at + DVec2::X * 14.0, Anchor::Start, false, MINOR, text);
    }
}
