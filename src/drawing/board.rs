//! The board from above: as measured, with the piece laid on it, and as it lies in each setup,
//! seen from where the maker stands.

mod bed;
mod clear;
pub mod layout;
mod legend;
mod paper;
mod scene;
mod setup;

use super::ink::{Anchor, Ink, Line, MAIN, MINOR};
use super::piece::WIDE;
use super::words;
pub(crate) use super::words::{LAYOUT_NAME, SETUP_NAME};
use crate::job::{Job, Mounted, Mounting};
use crate::outline::ArcPath;
use crate::params::FlawShape;
use crate::setup::Setup;
use crate::units::{Length, Unit, plain};
use glam::DVec2;
use paper::Paper;
pub(crate) use paper::Shows;
use scene::{BoardView, Lying};

/// Chords of what is drawn: finer than a line is wide at any scale.
const CHORD: Length = Length::mm(0.05);

/// The picture as SVG.
pub(crate) fn svg(pieces: &[Mounted<'_>], setup: usize, shows: Shows, name: &str) -> String {
    let Some(scene) = BoardView::held(pieces) else { return String::new() };
    let (ink, size) = drawn(&scene, setup, shows);
    ink.done(size, name)
}

/// Draws the board in the setup of that number, with all pieces that lie on it, and its pins and
/// hold-downs as far as they are known.
fn drawn(scene: &BoardView<'_>, setup: usize, shows: Shows) -> (Ink, DVec2) {
    let mut ink = Ink::default();
    let BoardView { job, setups, pieces, mounting } = scene;
    let Some(lies) = setups.get(setup) else { return (ink, DVec2::ONE) };
    let (board, unit) = (&job.board, job.shop.unit);
    let size = board.size();
    let blocks: Vec<[DVec2; 4]> = match mounting {
        Some(mounting) if shows == Shows::Setup => {
            let held = &mounting.clamps.places[setup];
            held.iter().map(|place| place.plan.map(|p| lies.from_board.place(p))).collect()
        }
        _ => Vec::new(),
    };
    let stands: Vec<[DVec2; 4]> = match mounting {
        Some(mounting) if shows == Shows::Setup => {
            mounting.clamps.stands(setup).map(|(one, at)| setup::spacer(one, at)).collect()
        }
        _ => Vec::new(),
    };
    let (low, high) = blocks
        .iter()
        .chain(&stands)
        .flatten()
        .fold((DVec2::ZERO, size), |(low, high), p| (low.min(*p), high.max(*p)));
    let paper = Paper::new(low, high, shows);
    let foot = paper.at(low).y;
    let rows = legend::rows(scene, shows);
    // Below the board: its length, where the maker stands, and the legend.
    let below = foot + if shows == Shows::Setup { 10.0 } else { 0.0 };
    let whole = DVec2::new(WIDE, below + 11.0 + legend::high(rows.len()));

    let on_board = |p: DVec2| paper.at(lies.from_board.place(p));
    if let Some(mounting) = mounting.filter(|_| shows == Shows::Setup) {
        bed::draw(&mut ink, &job.shop, &mounting.mounts[setup], size, &paper);
    }
    for at in pieces {
        piece(&mut ink, at, setup, &paper, shows);
    }
    let edge = [DVec2::ZERO, DVec2::new(size.x, 0.0), size, DVec2::new(0.0, size.y)].map(on_board);
    ink.lines(Line::Seen, &edge, true);
    if shows == Shows::Wood {
        grain(&mut ink, board.grain.as_radians(), lies);
    } else {
        ink.zero(paper.at(DVec2::ZERO));
        let blocks: Vec<_> = blocks.iter().map(|block| block.map(|p| paper.at(p))).collect();
        let stands = stands.iter().map(|stands| setup::stop(stands.map(|p| paper.at(p))));
        let ahead: Vec<_> = blocks.iter().copied().chain(stands).collect();
        setup::axes(&mut ink, paper.at(DVec2::ZERO), &ahead);
        if let Some(mounting) = mounting {
            setup::spacers(&mut ink, mounting, setup, &paper);
        }
        setup::sizes(&mut ink, (size, unit), &paper, foot);
        for (i, corners) in (1..).zip(&blocks) {
            ink.filled(corners, "white");
            ink.lines(Line::Seen, corners, true);
            let middle = corners.iter().sum::<DVec2>() / 4.0;
            let off = DVec2::Y * 0.26 * MINOR;
            ink.words(middle + off, Anchor::Middle, false, MINOR, &format!("H{i}"));
        }
    }
    if pieces.len() > 1 {
        for Lying { piece, placement, .. } in pieces {
            let at = DVec2::new(piece.body.neck_x().half().as_mm(), 0.0);
            let at = on_board(placement.on_board(at)) + DVec2::Y * 0.26 * MINOR;
            ink.words(at, Anchor::Middle, false, MINOR, &piece.design.name);
        }
    }
    if let Some(mounting) = mounting {
        pins(&mut ink, mounting, &paper, &on_board, whole);
    }
    if shows == Shows::Wood {
        clear::draw(&mut ink, &clear::shown(scene), &paper, &on_board, (whole, unit));
    }
    flaws(&mut ink, job, &on_board, paper.scale, whole);
    if shows == Shows::Wood {
        zeros(&mut ink, setups, &on_board, whole);
        for reading in &board.readings {
            let at = on_board(reading.at);
            ink.lines(Line::Thin, &[at - DVec2::splat(0.9), at + DVec2::splat(0.9)], false);
            let other = DVec2::new(0.9, -0.9);
            ink.lines(Line::Thin, &[at - other, at + other], false);
            ink.label(at, 0.9, whole, &fine(reading.thickness, unit));
        }
    }
    let stand = match shows {
        Shows::Wood => words::BOARD_FRONT,
        Shows::Setup => words::YOU_STAND_HERE,
    };
    let stand = words::fill(stand, &[("unit", unit.symbol())]);
    ink.words(DVec2::new(WIDE / 2.0, below + 6.5), Anchor::Middle, false, MAIN, &stand);
    legend::draw(&mut ink, below + 13.0, &rows);
    (ink, whole)
}

/// The pins, crossed.
fn pins(
    ink: &mut Ink,
    mounting: &Mounting,
    paper: &Paper,
    on_board: &dyn Fn(DVec2) -> DVec2,
    whole: DVec2,
) {
    for (i, pin) in (1..).zip(&mounting.pins.places) {
        let at = on_board(*pin);
        let radius = (mounting.pins.hole.half().as_mm() * paper.scale).max(0.7);
        ink.circle(Line::Seen, at, radius);
        let cross = radius + 1.2;
        ink.lines(Line::Thin, &[at - DVec2::X * cross, at + DVec2::X * cross], false);
        ink.lines(Line::Thin, &[at - DVec2::Y * cross, at + DVec2::Y * cross], false);
        ink.label(at, cross, whole, &format!("P{i}"));
    }
}

/// A reading, as fine as a caliper has it.
fn fine(length: Length, unit: Unit) -> String {
    match unit {
        Unit::Millimetre => plain(length.as_mm(), 2),
        Unit::Inch => format!("{:.3}", length.to_print(Unit::Inch)),
    }
}

/// The piece with its slots and tabs; on the wood with its skirt's edge, which is what clearances
/// are measured from, in a setup with the limit of the cutter's centre.
fn piece(ink: &mut Ink, at: &Lying<'_>, setup: usize, paper: &Paper, shows: Shows) {
    let (outlines, setup) = (&at.piece.outlines, &at.setups[setup]);
    let flat = |path: &ArcPath| -> Vec<DVec2> {
        path.to_polyline(CHORD).into_iter().map(|p| paper.at(setup.from_design.place(p))).collect()
    };
    let body = flat(&outlines.body);
    ink.filled(&body, "#e9e9e9");
    for (_, tab) in at.tabs {
        let tab = flat(tab);
        ink.filled(&tab, "#e9e9e9");
        ink.lines(Line::Thin, &tab, true);
    }
    ink.lines(Line::Seen, &body, true);
    for slot in &outlines.cuts() {
        ink.lines(Line::Hidden, &flat(slot), true);
    }
    let limit = match shows {
        Shows::Wood => &outlines.limit.area,
        Shows::Setup => &outlines.limit.centre,
    };
    ink.lines(Line::Limit, &flat(limit), true);
}

fn flaws(ink: &mut Ink, job: &Job, at: &dyn Fn(DVec2) -> DVec2, scale: f64, paper: DVec2) {
    for flaw in &job.board.flaws {
        let (middle, radius) = match &flaw.shape {
            FlawShape::Circle { centre, radius } => {
                let radius = radius.as_mm() * scale;
                ink.circle(Line::Dotted, at(*centre), radius);
                (at(*centre), radius)
            }
            FlawShape::Polygon(corners) | FlawShape::Line(corners) => {
                let closed = matches!(flaw.shape, FlawShape::Polygon(_));
                let points: Vec<DVec2> = corners.iter().map(|p| at(*p)).collect();
                ink.lines(Line::Dotted, &points, closed);
                let middle = points.iter().sum::<DVec2>() / points.len().max(1) as f64;
                // Beside a closed flaw, and close to a line's middle.
                let far = points.iter().map(|p| p.distance(middle)).fold(0.0, f64::max);
                (middle, if closed { far.min(12.0) } else { 1.5 })
            }
        };
        ink.label(middle, radius, paper, flaw.kind.name());
    }
}

/// A long arrow with two heads, above the board on the right.
fn grain(ink: &mut Ink, angle: f64, setup: &Setup) {
    let way =
        setup.from_board.place(DVec2::from_angle(angle)) - setup.from_board.place(DVec2::ZERO);
    // Steeper grain is drawn shorter, so that it keeps to its row.
    let reach = (4.5 / way.y.abs().max(1e-9)).min(13.0);
    let middle = DVec2::new(WIDE - 26.0, 5.5);
    let way = DVec2::new(way.x, -way.y);
    let ends = [middle - way * reach, middle + way * reach];
    ink.lines(Line::Thin, &ends, false);
    ink.arrow(ends[1], way);
    ink.arrow(ends[0], -way);
    let at = middle + DVec2::new(-reach - 3.0, 0.9);
    ink.words(at, Anchor::End, false, MAIN, words::GRAIN);
}

/// The corner of the board that is zero in each setup, on the board as it was measured.
fn zeros(ink: &mut Ink, setups: &[Setup; 2], on_board: &dyn Fn(DVec2) -> DVec2, whole: DVec2) {
    for setup in setups {
        let at = on_board(setup.from_board.place_back(DVec2::ZERO));
        ink.zero(at);
        let name = match setup.face {
            crate::relief::Face::Top => words::ZERO_TOP,
            crate::relief::Face::Bottom => words::ZERO_BOTTOM,
        };
        ink.label(at, 2.2, whole, name);
    }
}

#[cfg(test)]
mod tests {
    use super::super::piece::tests::{job, stand_free};
    use super::*;

    fn held(job: &Job) -> BoardView<'_> {
        BoardView::held(&job.mounted()).expect("a whole job")
    }

    #[test]
    fn words_stand_free_on_every_board() {
        for (kind, board) in [("spoon", "cherry"), ("fork", "beech"), ("turner", "pear")] {
            let job = job(kind, board);
            for setup in 0..2 {
                for shows in [Shows::Wood, Shows::Setup] {
                    let (ink, size) = drawn(&held(&job), setup, shows);
                    stand_free(&ink, size);
                    if shows == Shows::Setup {
                        let said: Vec<&str> =
                            ink.covered().iter().map(|(words, _)| words.as_str()).collect();
                        for word in ["P1", "P2", "H1", "H4", "X", "Y", "0"] {
                            assert!(said.contains(&word), "{kind}: {word} of {said:?}");
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn the_wood_shows_where_zero_is_and_how_far_a_piece_is_from_the_edge() {
        let job = job("fork", "cherry");
        let (ink, _) = drawn(&held(&job), 0, Shows::Wood);
        let said: Vec<&str> = ink.covered().iter().map(|(words, _)| words.as_str()).collect();
        // The edge by the outline's chords and the ball's skirt round them.
        let skirt = job.pieces[0].outlines.limit.area.to_polyline(CHORD);
        let size = job.board.size();
        let edge = skirt
            .iter()
            .map(|p| job.mounted()[0].placement.on_board(*p))
            .map(|p| p.min(size - p).min_element())
            .fold(f64::INFINITY, f64::min);
        for word in [words::ZERO_TOP, words::ZERO_BOTTOM, &plain(edge, 1)] {
            assert!(said.contains(&word), "{word} of {said:?}");
        }
    }

    #[test]
    fn turned_about_its_length_the_board_shows_its_back_edge_in_front() {
        let job = job("spoon", "cherry");
        let place = |i: usize| {
            let mounting = job.mounting.as_ref().expect("a whole job");
            let setup = &mounting.setups[i];
            let size = job.board.size();
            let paper = Paper::new(DVec2::ZERO, size, Shows::Wood);
            paper.at(setup.from_board.place(mounting.pins.places[0]))
        };
        let (top, bottom) = (place(0), place(1));
        assert!((top.x - bottom.x).abs() < 1e-9, "the ends stay where they are");
        let paper_high = paper::ABOVE * 2.0
            + job.board.width.as_mm()
                * Paper::new(DVec2::ZERO, job.board.size(), Shows::Wood).scale;
        assert!((top.y + bottom.y - paper_high).abs() < 1e-9, "front and back change places");
    }
}
