//! Figures sunk into a printed block: seven strokes each, which do not touch, so that every one is
//! a plain rectangle.
//!
//! Promised: every stroke inside the room given. Not promised: a mark at all, where the room is so
//! small that it could not be read.

use crate::kernel::Sunk;
use crate::units::Length;
use glam::DVec2;

/// Height of a figure at full size, in mm (common practice, no source).
const HIGH: f64 = 7.0;
/// Its width.
const WIDE: f64 = 4.0;
/// Width of a stroke: two lines of a common 0.4 mm nozzle, and a little.
const STROKE: f64 = 0.9;
/// Wood between two strokes of a figure.
const GAP: f64 = 0.4;
/// From a figure to the next.
const PITCH: f64 = 5.4;
/// From the point to the next figure.
const POINT_PITCH: f64 = 2.2;
/// Left free round the mark.
const EDGE: f64 = 1.5;
/// Smaller than this part of its full size a mark does not print.
const LEAST_SCALE: f64 = 0.5;

/// Depth of the strokes: three layers of 0.2 mm (common practice, no source).
const DEPTH: Length = Length::mm(0.6);

/// Strokes of a figure in the order of the bits of [`strokes_of`]: top, upper right, lower right,
/// bottom, lower left, upper left, middle. Low and high corner.
fn stroke(which: usize) -> [DVec2; 2] {
    let half = HIGH / 2.0;
    let across =
        |y: f64| [DVec2::new(STROKE + GAP, y), DVec2::new(WIDE - STROKE - GAP, y + STROKE)];
    let up = |x: f64, y: f64| {
        [DVec2::new(x, y + GAP / 2.0), DVec2::new(x + STROKE, y + half - GAP / 2.0)]
    };
    match which {
        0 => across(HIGH - STROKE),
        1 => up(WIDE - STROKE, half),
        2 => up(WIDE - STROKE, 0.0),
        3 => across(0.0),
        4 => up(0.0, 0.0),
        5 => up(0.0, half),
        _ => across(half - STROKE / 2.0),
    }
}

/// Which strokes a figure has; none for what is no figure.
const fn strokes_of(figure: char) -> u8 {
    match figure {
        '0' => 0b011_1111,
        '1' => 0b000_0110,
        '2' => 0b101_1011,
        '3' => 0b100_1111,
        '4' => 0b110_0110,
        '5' => 0b110_1101,
        '6' => 0b111_1101,
        '7' => 0b000_0111,
        '8' => 0b111_1111,
        '9' => 0b110_1111,
        _ => 0,
    }
}

/// Rectangles of a text of figures and points, at full size from the origin, and its size.
fn laid(text: &str) -> (Vec<[DVec2; 2]>, DVec2) {
    let mut rectangles = Vec::new();
    let mut x = 0.0;
    let mut end: f64 = 0.0;
    for figure in text.chars() {
        if figure == '.' {
            let low = DVec2::new(x, 0.0);
            rectangles.push([low, low + STROKE]);
            end = x + STROKE;
            x += POINT_PITCH;
            continue;
        }
        let strokes = strokes_of(figure);
        for which in (0..7).filter(|which| strokes >> which & 1 == 1) {
            rectangles.push(stroke(which).map(|p| p + DVec2::new(x, 0.0)));
        }
        end = x + WIDE;
        x += PITCH;
    }
    (rectangles, DVec2::new(end, HIGH))
}

/// Rectangles that write `text` (figures and a point) into the room from `low`
/// to `high`, in mm, as seen on the far side of a block: it reads towards smaller X, or upwards
/// where there is more room that way. Nothing where it could not be read.
pub(crate) fn mark(text: &str, low: DVec2, high: DVec2) -> Vec<Sunk> {
    let (rectangles, size) = laid(text);
    let room = high - low - 2.0 * EDGE;
    let scale = |wide: f64, high: f64| (room.x / wide).min(room.y / high).min(1.0);
    let (level, turned) = (scale(size.x, size.y), scale(size.y, size.x));
    let upright = turned > level;
    let scale = level.max(turned);
    // Asked this way round, NaN fails too.
    let readable = scale >= LEAST_SCALE && !rectangles.is_empty();
    if !readable {
        return Vec::new();
    }
    let middle = (low + high) / 2.0;
    let place = |p: DVec2| {
        let p = (p - size / 2.0) * scale;
        // Seen from the far side, X runs to the left.
        middle + if upright { DVec2::new(p.y, p.x) } else { DVec2::new(-p.x, p.y) }
    };
    rectangles
        .iter()
        .map(|[low, high]| {
            let (a, b) = (place(*low), place(*high));
            let (low, high) = (a.min(b), a.max(b));
            let outline = vec![low, DVec2::new(high.x, low.y), high, DVec2::new(low.x, high.y)];
            Sunk { outline, depth: DEPTH }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strokes_stay_in_their_room_and_do_not_touch() {
        let (low, high) = (DVec2::new(-30.0, 2.0), DVec2::new(0.0, 20.0));
        for text in ["30.9", "0.123456789", "8888", "1.5"] {
            let strokes: Vec<_> = mark(text, low, high).into_iter().map(|s| s.outline).collect();
            for (i, a) in strokes.iter().enumerate() {
                assert!(a[0].cmpge(low + 1.0).all() && a[2].cmple(high - 1.0).all(), "{text}");
                assert!((a[2] - a[0]).min_element() > 0.4);
                for b in &strokes[..i] {
                    let gap = (a[0] - b[2]).max(b[0] - a[2]).max_element();
                    assert!(gap > 0.15, "{text}: {gap}");
                }
            }
        }
        assert_eq!(mark("8888", low, high).len(), 28);
        assert!(mark("30.9", low, DVec2::new(-26.0, 20.0)).is_empty(), "no room");
        assert!(!mark("30.9", low, DVec2::new(-20.0, 30.0)).is_empty(), "written upwards");
    }

    /// Seen from the far side, where X runs to the left, a 7 has its upright stroke on the right.
    #[test]
    fn a_seven_is_not_mirrored() {
        let strokes = mark("7", DVec2::ZERO, DVec2::splat(20.0));
        let strokes: Vec<_> = strokes.into_iter().map(|s| s.outline).collect();
        let top = strokes.iter().max_by(|a, b| a[0].y.total_cmp(&b[0].y)).expect("strokes");
        let uprights = strokes.iter().filter(|s| s[2].y - s[0].y > s[2].x - s[0].x);
        for upright in uprights {
            assert!(upright[2].x < top[0].x, "smaller X is to the right");
        }
    }
}
