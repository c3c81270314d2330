//! Lays the piece on the board, clear of flaws.

use super::flaw::Wood;
use super::layout::FLAW_CLEAR;
use crate::finding::{Code, Finding, Findings, Source};
use crate::params::Board;
use crate::units::{Angle, Length};
use glam::{DAffine2, DVec2};

/// The piece and its frame do not fit on the board.
pub const PIECE_OFF_BOARD: Code = Code {
    name: "piece-off-board",
    explain: "The piece, its skirt and the frame round them are longer or wider than the board. \
        The skirt is where the finishing cutter runs out past the outline. \
        The frame is the wood that is left all round it, for pins and hold-downs and so that the \
        board stays stiff. \
        The message says how much length or width is missing. \
        Use a longer or wider board, shorten or narrow the design, finish with a smaller ball, \
        or ask for a smaller margin in the shop's limits. \
        The piece is laid along the board only, never askew.",
};

/// No place clear of flaws was found.
pub const FLAW_IN_PIECE: Code = Code {
    name: "flaw-in-piece",
    explain: "Wherever the piece is laid on this board, a knot, a check or a wane touches it. \
        The piece has been laid where it would lie without flaws: in the board's middle. \
        A knot tears out and moves as it dries; a check splits further; a wane leaves the \
        piece short of wood. \
        Use another board, or shorten the piece. \
        Places are tried in small steps along and across the board, not askew and not turned \
        end for end, so a maker may still find one.",
};

/// Places are tried this far apart: finer than a flaw can be drawn on wood (no source).
const STEP_MM: f64 = 2.0;

/// What of the piece must lie where. Both closed polygons in the design frame, in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Footprint {
    /// What must be sound wood: the body's outline.
    pub sound: Vec<DVec2>,
    /// What must lie on the board with the frame round it: the skirt's edge.
    pub whole: Vec<DVec2>,
}

/// Where the piece lies on the board.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Placement {
    /// The design's origin in the board's frame, in mm.
    pub origin: DVec2,
    /// From the board's X to the design's, counter-clockwise seen from above.
    pub angle: Angle,
}

impl Placement {
    /// Not turned.
    pub const fn at(origin: DVec2) -> Placement {
        Placement { origin, angle: Angle::radians(0.0) }
    }

    /// Cosine and sine of the angle.
    pub fn spin(&self) -> DVec2 {
        DVec2::from_angle(self.angle.as_radians())
    }

    /// The map from the design frame to the board's.
    pub fn affine(&self) -> DAffine2 {
        DAffine2::from_angle_translation(self.angle.as_radians(), self.origin)
    }

    /// A place of the design, in mm, on the board.
    pub fn on_board(&self, p: DVec2) -> DVec2 {
        self.spin().rotate(p) + self.origin
    }

    /// A place of the board, in mm, in the design frame.
    pub fn in_design(&self, p: DVec2) -> DVec2 {
        (self.spin() * DVec2::new(1.0, -1.0)).rotate(p - self.origin)
    }
}

/// Lays the piece as near to the board's middle as flaws allow, with `frame` of wood all round.
///
/// When it can't lie on the board at all there is a fault; when no place is clear of flaws, a
/// caution; in both cases it is laid in the middle.
pub fn place(board: &Board, piece: &Footprint, frame: Length) -> (Placement, Findings) {
    let mut findings = Findings::new();
    let fold = |f: fn(DVec2, DVec2) -> DVec2| piece.whole.iter().copied().reduce(f);
    let (Some(low), Some(high)) = (fold(DVec2::min), fold(DVec2::max)) else {
        return (Placement::at(DVec2::ZERO), findings);
    };
    let size = DVec2::new(board.length.as_mm(), board.width.as_mm());
    let middle = size / 2.0 - (low + high) / 2.0;
    let room = (size - (high - low)) / 2.0 - frame.as_mm();
    for (room, size, name, key) in
        [(room.x, size.x, "long", "length"), (room.y, size.y, "wide", "width")]
    {
        if room < 0.0 {
            // In hundredths, and no less than it is: what is read here does.
            let missing = Length::mm((-200.0 * room - 1e-9).ceil() / 100.0);
            findings.push(
                Finding::fault(
                    PIECE_OFF_BOARD,
                    format!(
                        "the board is {} {name}; the piece with its skirt and {frame} of frame \
                         round it needs {}",
                        Length::mm(size),
                        Length::mm(size) + missing
                    ),
                    format!("Use a board at least {missing} more in {key}, or a smaller design."),
                )
                .at(Source::Board, key),
            );
        }
    }
    let middle = Placement::at(middle);
    if !findings.is_empty() || board.flaws.is_empty() {
        return (middle, findings);
    }
    let wood = Wood::of(board);
    let sound = thinned(&piece.sound);
    let mut region = sound.clone();
    for slide in slides(room) {
        let origin = middle.origin + slide;
        for (to, from) in region.iter_mut().zip(&sound) {
            *to = *from + origin;
        }
        if wood.gap(&region) >= FLAW_CLEAR.as_mm() {
            return (Placement::at(origin), findings);
        }
    }
    findings.push(
        Finding::caution(
            FLAW_IN_PIECE,
            "no place on the board was found where the piece is clear of every flaw",
            "Use another board, or move the piece by hand and leave the flaw in the waste.",
        )
        .at(Source::Board, "flaws"),
    );
    (middle, findings)
}

/// The polygon with corners no nearer than a step, for speed. Round a handle's end of 7 mm radius
/// it is 0.07 mm off, far less than the distance kept.
fn thinned(polygon: &[DVec2]) -> Vec<DVec2> {
    let mut few: Vec<DVec2> = Vec::new();
    for &corner in polygon {
        if few.last().is_none_or(|last| last.distance(corner) >= STEP_MM) {
            few.push(corner);
        }
    }
    few
}

/// Slides from the middle, the shortest first; of equal ones the one along the grain's length,
/// then towards the board's start.
fn slides(room: DVec2) -> Vec<DVec2> {
    // Bounded, so that an absurd board takes no absurd time.
    let steps = |room: f64| (room / STEP_MM).floor().clamp(0.0, 400.0) as i32;
    let (nx, ny) = (steps(room.x), steps(room.y));
    let mut all: Vec<(i32, i32)> =
        (-nx..=nx).flat_map(|x| (-ny..=ny).map(move |y| (x, y))).collect();
    all.sort_by_key(|&(x, y)| (x * x + y * y, y.abs(), x, y));
    all.into_iter().map(|(x, y)| DVec2::new(f64::from(x), f64::from(y)) * STEP_MM).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::{Flaw, FlawKind, FlawShape};

    fn rectangle(low: DVec2, high: DVec2) -> Vec<DVec2> {
        vec![low, DVec2::new(high.x, low.y), high, DVec2::new(low.x, high.y)]
    }

    fn piece() -> Footprint {
        Footprint {
            sound: rectangle(DVec2::new(0.0, -30.0), DVec2::new(300.0, 30.0)),
            whole: rectangle(DVec2::new(-4.0, -34.0), DVec2::new(304.0, 34.0)),
        }
    }

    fn board(flaws: Vec<Flaw>) -> Board {
        Board::bare(DVec2::new(420.0, 140.0), flaws)
    }

    fn knot(x: f64, y: f64, radius: f64) -> Flaw {
        let centre = DVec2::new(x, y);
        Flaw {
            kind: FlawKind::Knot,
            shape: FlawShape::Circle { centre, radius: Length::mm(radius) },
        }
    }

    #[test]
    fn a_clear_board_takes_the_piece_in_its_middle() {
        let (at, findings) = place(&board(vec![]), &piece(), Length::mm(15.0));
        assert!(findings.is_empty());
        assert_eq!(at.on_board(DVec2::new(150.0, 0.0)), DVec2::new(210.0, 70.0));
        assert_eq!(at.in_design(DVec2::new(210.0, 70.0)), DVec2::new(150.0, 0.0));
    }

    #[test]
    fn a_knot_at_the_edge_pushes_the_piece_just_past_it() {
        // The body's upper side lies at 100; the knot reaches down to 95.
        let (at, findings) =
            place(&board(vec![knot(210.0, 100.0, 5.0)]), &piece(), Length::mm(15.0));
        assert!(findings.is_empty());
        let upper = at.on_board(DVec2::new(0.0, 30.0)).y;
        assert!(upper <= 94.0 && upper > 91.9, "{upper}");
        assert_eq!(at.origin.x, 60.0, "not moved along");
    }

    #[test]
    fn a_knot_in_the_middle_of_a_board_without_room_is_a_caution() {
        let (_, findings) = place(&board(vec![knot(210.0, 70.0, 5.0)]), &piece(), Length::mm(15.0));
        let codes: Vec<_> = findings.iter().map(|f| f.code).collect();
        assert_eq!(codes, [FLAW_IN_PIECE]);
    }

    #[test]
    fn a_short_board_is_told_by_how_much() {
        let (_, findings) = place(&board(vec![]), &piece(), Length::mm(60.0));
        let all: Vec<_> = findings.iter().collect();
        assert_eq!(all.len(), 2);
        assert!(all[0].message.contains("needs 428 mm"), "{}", all[0].message);
        assert!(all[1].message.contains("needs 188 mm"), "{}", all[1].message);
        assert!(findings.has_fault());
    }
}
