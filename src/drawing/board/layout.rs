//! The board with a whole set on it, and where the saw goes, as a drawing of its own.

use super::drawn;
use super::paper::{Paper, Shows};
use super::scene::BoardView;
use crate::drawing::ink::Line;
use crate::drawing::ink::{Anchor, MINOR, covers, on_white};
use crate::drawing::measure::Both;
use crate::drawing::words::{self, fill};
use crate::fit::Placement;
use crate::fit::layout::Layout;
use crate::job::Job;
use crate::units::Length;
use glam::DVec2;

/// A drawing of a job's board with its pieces on it, flaws, grain, readings, pins, saw lines and
/// what the saw takes off, as an SVG file, on white. Empty for a job without a mounting.
pub fn svg(job: &Job) -> String {
    let (Some(mounting), Some(scene)) = (&job.mounting, BoardView::held(&job.mounted())) else {
        return String::new();
    };
    picture(&scene, mounting.clearance, &mounting.offcuts)
}

/// The same of a job that can't be held or carved as it is: its pieces where a layout has them,
/// without pins and tabs.
pub fn svg_loose(job: &Job, layout: &Layout) -> String {
    let places: Vec<Placement> = layout.places.iter().flatten().copied().collect();
    picture(&BoardView::loose(job, &places), layout.clearance, &layout.offcuts)
}

fn picture(scene: &BoardView<'_>, clearance: Length, offcuts: &[[DVec2; 2]]) -> String {
    let (board, unit) = (&scene.job.board, scene.job.shop.unit);
    let size = board.size();
    let (mut ink, whole) = drawn(scene, 0, Shows::Wood);
    let paper = Paper::new(DVec2::ZERO, size, Shows::Wood);
    for (number, [low, high]) in (1..).zip(offcuts) {
        let corners = [*low, DVec2::new(high.x, low.y), *high, DVec2::new(low.x, high.y)];
        ink.lines(Line::Middle, &corners.map(|p| paper.at(p)), true);
        let upright = high.y - low.y > high.x - low.x;
        let number = number.to_string();
        let name = fill(words::OFFCUT, &[("number", &number)]);
        // In the middle, or along the strip where nothing stands yet.
        let along = [0.5, 0.35, 0.65, 0.2, 0.8].map(|share| {
            let share = if upright { DVec2::new(0.5, share) } else { DVec2::new(share, 0.5) };
            let sink = if upright { DVec2::X } else { DVec2::Y } * 0.26 * MINOR;
            paper.at(*low + (*high - *low) * share) + sink
        });
        let free = |at: &&DVec2| ink.is_free(covers(**at, Anchor::Middle, upright, MINOR, &name));
        let at = along.iter().find(free).unwrap_or(&along[0]);
        ink.words(*at, Anchor::Middle, upright, MINOR, &name);
    }
    let title = fill(
        words::LAYOUT_TITLE,
        &[
            ("board", &board.name),
            ("length", &Both::of(board.length, unit).main),
            ("width", &Both::of(board.width, unit).main),
            ("clear", &Both::of(clearance, unit).main),
        ],
    );
    ink.words(DVec2::new(1.0, 5.0), Anchor::Start, false, MINOR, &title);
    on_white(&ink.done(whole, words::LAYOUT_NAME))
}
