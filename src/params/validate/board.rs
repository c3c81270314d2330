//! The board's figures against each other.

use crate::params::read::Reader;
use crate::params::{Board, FlawKind, FlawShape, codes};
use crate::units::Length;
use glam::DVec2;

/// A place this far outside still counts as on the edge, in mm: inches don't come out even.
const SLACK: f64 = 1e-6;
/// What to do about a place off the board.
const MEASURE: &str = "Measure from the corner: first along the board, then across.";

/// Checks a whole board.
pub(in crate::params) fn board(board: &Board, reader: &mut Reader) {
    height(board, reader);
    let size = board.size();
    if !size.is_finite() {
        // One of the two could not be read, which has been said already.
        return;
    }
    for (index, reading) in board.readings.iter().enumerate() {
        if off(reading.at, size) > SLACK {
            off_the_board(
                reader,
                &format!("reading[{index}].at"),
                "This reading",
                reading.at,
                board,
            );
        }
    }
    for (index, grain) in board.form.grain_at.iter().enumerate() {
        if off(grain.at, size) > SLACK {
            let what = "This grain direction";
            off_the_board(reader, &format!("grain[{index}].at"), what, grain.at, board);
        }
    }
    for (index, flaw) in board.flaws.iter().enumerate() {
        if crosses(&flaw.shape) {
            reader.fault(
                codes::FLAW_CROSSES,
                &board.flaw_key(index),
                format!("The line round this {} crosses itself.", flaw.kind.name()),
                "Write its points in the order in which you go along it.",
            );
        }
        if flaw.kind == FlawKind::Wane
            && !crosses(&flaw.shape)
            && let Some(far) = off_the_edge(&flaw.shape, size)
        {
            reader.fault(
                codes::WANE_OFF_EDGE,
                &board.flaw_key(index),
                format!("This wane ends {} inside the board.", Length::mm(far)),
                "Draw its line on to the board's edge at both ends.",
            );
        }
        if let Some(far) = far_off(&flaw.shape, size) {
            let what = format!("A point of this {}", flaw.kind.name());
            off_the_board(reader, &board.flaw_key(index), &what, far, board);
            continue;
        }
        let Some((low, high)) = bounds(&flaw.shape) else { continue };
        if high.x < -SLACK || high.y < -SLACK || low.x > size.x + SLACK || low.y > size.y + SLACK {
            reader.fault(
                codes::OFF_THE_BOARD,
                &board.flaw_key(index),
                format!(
                    "This {} doesn't touch the board: it goes from {} to {} along and from {} to \
                     {} across, and the board is {} by {}.",
                    flaw.kind.name(),
                    Length::mm(low.x),
                    Length::mm(high.x),
                    Length::mm(low.y),
                    Length::mm(high.y),
                    board.length,
                    board.width
                ),
                MEASURE,
            );
        }
    }
}

/// A corner of a line or a polygon that is off the board by more than one draws past its edge.
fn far_off(shape: &FlawShape, size: DVec2) -> Option<DVec2> {
    const PAST: f64 = 50.0;
    let (FlawShape::Line(points) | FlawShape::Polygon(points)) = shape else { return None };
    points.iter().copied().find(|p| off(*p, size) > PAST)
}

/// How far a place is off a board of that size, in mm; 0 or less on it.
fn off(p: DVec2, size: DVec2) -> f64 {
    (-p).max(p - size).max_element()
}

fn off_the_board(reader: &mut Reader, key: &str, what: &str, at: DVec2, board: &Board) {
    reader.fault(
        codes::OFF_THE_BOARD,
        key,
        format!(
            "{what} is {} along and {} across, off a board of {} by {}.",
            Length::mm(at.x),
            Length::mm(at.y),
            board.length,
            board.width
        ),
        MEASURE,
    );
}

fn height(board: &Board, reader: &mut Reader) {
    let skims = board.skim_top + board.skim_bottom + board.crooked();
    let least = board
        .readings
        .iter()
        .enumerate()
        .min_by(|a, b| a.1.thickness.as_mm().total_cmp(&b.1.thickness.as_mm()));
    if let Some((index, median)) = odd(board) {
        reader.fault(
            codes::ODD_READING,
            &format!("reading[{index}].thickness"),
            format!(
                "This reading is {}, and the others are about {median}.",
                board.readings[index].thickness
            ),
            "Is it a slip? Check the decimal point and the unit, and measure there again. If the board \
             is so there, leave the reading out and write that place down as a [[wane]].",
        );
        return;
    }
    if let Some((index, reading)) = least
        && reading.thickness <= skims
    {
        reader.fault(
            codes::NO_USABLE_HEIGHT,
            &format!("reading[{index}].thickness"),
            format!(
                "The thinnest reading is {}, but skims, cup, bow and twist take {skims}, so no \
                 wood is left.",
                reading.thickness
            ),
            "Write skim_top = \"0.3 mm\" and skim_bottom = \"0.3 mm\", or measure the board again.",
        );
    }
}

/// The one reading that is far from all the others, with their median: by more than a third of it,
/// where they differ by less than a fifth (no source; boards that are used are more even by far).
fn odd(board: &Board) -> Option<(usize, Length)> {
    /// Fewer don't show which one is odd.
    const LEAST: usize = 4;
    let all: Vec<f64> = board.readings.iter().map(|reading| reading.thickness.as_mm()).collect();
    if all.len() < LEAST || all.iter().any(|mm| !mm.is_finite()) {
        return None;
    }
    (0..all.len()).find_map(|index| {
        let mut others = all.clone();
        others.remove(index);
        others.sort_by(f64::total_cmp);
        let (least, most) = (*others.first()?, *others.last()?);
        let median = others[others.len() / 2];
        let far = (all[index] - median).abs() > median / 3.0;
        (far && most - least < 0.2 * median).then_some((index, Length::mm(median)))
    })
}

/// Whether two edges that are no neighbours cross.
fn crosses(shape: &FlawShape) -> bool {
    let (points, closed) = match shape {
        FlawShape::Circle { .. } => return false,
        FlawShape::Polygon(points) => (points, true),
        FlawShape::Line(points) => (points, false),
    };
    let count = points.len();
    let edges = if closed { count } else { count.saturating_sub(1) };
    // Bounded, so that an absurd flaw takes no absurd time.
    let edge = |i: usize| (points[i], points[(i + 1) % count]);
    let side = |a: DVec2, b: DVec2, p: DVec2| (b - a).perp_dot(p - a);
    (0..edges.min(2000)).any(|i| {
        (0..i.saturating_sub(1)).any(|j| {
            let ((a, b), (c, d)) = (edge(i), edge(j));
            side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
        })
    })
}

/// How far inside a board of that size, in mm, an end of a wane's line lies, or all of its polygon; none
/// where it lies near enough to the edge.
fn off_the_edge(shape: &FlawShape, size: DVec2) -> Option<f64> {
    /// What is not there at the very edge is seldom measured (no source).
    const NEAR_MM: f64 = 5.0;
    let inside = |p: &DVec2| p.min(size - *p).min_element();
    let far = match shape {
        FlawShape::Line(points) => inside(points.first()?).max(inside(points.last()?)),
        FlawShape::Polygon(points) => points.iter().map(inside).fold(f64::INFINITY, f64::min),
        FlawShape::Circle { .. } => return None,
    };
    (far > NEAR_MM).then_some(far)
}

/// The least box round a flaw; none if it has no points.
fn bounds(shape: &FlawShape) -> Option<(DVec2, DVec2)> {
    match shape {
        FlawShape::Circle { centre, radius } => {
            let half = DVec2::splat(radius.as_mm());
            Some((*centre - half, *centre + half))
        }
        FlawShape::Polygon(points) | FlawShape::Line(points) => {
            let first = *points.first()?;
            Some(
                points
                    .iter()
                    .fold((first, first), |(low, high), point| (low.min(*point), high.max(*point))),
            )
        }
    }
}
