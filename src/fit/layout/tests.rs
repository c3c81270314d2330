use super::*;
use crate::finding::Findings;
use crate::outline::ArcPath;
use crate::params::{self, FlawKind, FlawShape};
use crate::units::Angle;

pub(super) fn board(length: f64, width: f64, flaws: Vec<Flaw>) -> Board {
    let text = params::template(crate::finding::Source::Board);
    let mut board = params::parse_board(text, &mut Findings::new()).unwrap().0;
    board.length = Length::mm(length);
    board.width = Length::mm(width);
    board.grain = Angle::degrees(0.0);
    board.flaws = flaws;
    board
}

use crate::params::Flaw;

pub(super) fn knot(x: f64, y: f64, radius: f64) -> Flaw {
    let shape = FlawShape::Circle { centre: DVec2::new(x, y), radius: Length::mm(radius) };
    Flaw { kind: FlawKind::Knot, shape }
}

/// A lollipop: a disc of radius 30 on a stick 20 wide, 300 long over all.
fn lollipop() -> Footprint {
    let outline = |grow: f64| {
        let half = 10.0 + grow;
        let from = (half / (30.0 + grow)).asin();
        let mut corners = vec![DVec2::new(-grow, half), DVec2::new(-grow, -half)];
        for i in 0..=60 {
            let angle = -std::f64::consts::PI
                + from
                + (2.0 * std::f64::consts::PI - 2.0 * from) * f64::from(i) / 60.0;
            corners.push(DVec2::new(270.0, 0.0) + (30.0 + grow) * DVec2::from_angle(angle));
        }
        ArcPath::polygon(corners)
    };
    Footprint { sound: outline(0.0), whole: outline(4.0), lean: Angle::degrees(5.0) }
}

const FRAME: Length = Length::mm(3.0);

fn laid(board: &Board, pieces: &[Footprint], together: Match) -> Layout {
    let ask = Ask { frame: FRAME, together, effort: Effort::Best, room: &|_, _| true };
    lay(board, pieces, &ask)
}

#[test]
fn one_piece_lies_in_the_middle_of_a_clear_board() {
    let layout = laid(&board(400.0, 110.0, vec![]), &[lollipop()], Match::Free);
    // 110 less 68 of skirt less twice the frame, in halves.
    assert!((layout.clearance.as_mm() - 18.0).abs() < 0.1, "{layout:?}");
}

#[test]
fn two_go_head_to_tail_where_they_could_not_side_by_side() {
    // Side by side the heads take 2 · 68 and three frames, 145; head to tail a head goes beside a
    // stick of half 14: 34 + 34 + 14 + 34 and three frames, 125.
    let narrow = board(420.0, 130.0, vec![]);
    let pieces = [lollipop(), lollipop()];
    let layout = laid(&narrow, &pieces, Match::Free);
    assert_eq!(layout.placed(), 2, "{layout:?}");
    assert!(layout.clearance.as_mm() > 0.0);
    let side = laid(&narrow, &pieces, Match::Side);
    assert!(
        side.placed() == 2 && !side.kept,
        "both lie, and that it is otherwise is known: {side:?}"
    );
    let turned = laid(&narrow, &pieces, Match::HeadToTail);
    assert!(turned.placed() == 2 && turned.kept, "{turned:?}");
}

#[test]
fn of_three_that_go_head_to_tail_the_middle_one_across_is_turned() {
    let pieces = [lollipop(), lollipop(), lollipop()];
    let layout = laid(&board(420.0, 260.0, vec![]), &pieces, Match::HeadToTail);
    assert!(layout.placed() == 3 && layout.kept, "{layout:?}");
    let mut places: Vec<Placement> = layout.places.iter().flatten().copied().collect();
    places.sort_by(|a, b| a.origin.y.total_cmp(&b.origin.y));
    let ways: Vec<bool> = places.iter().map(|place| place.angle.as_radians().cos() > 0.0).collect();
    assert!(ways[0] != ways[1] && ways[1] != ways[2], "{ways:?}");
}

#[test]
fn mirrored_pieces_lean_opposite_ways_or_are_told_not_to() {
    // A knot in the middle of each edge: leaning gets past them.
    let knots = vec![knot(210.0, 0.0, 12.0), knot(210.0, 190.0, 12.0)];
    let pieces = [lollipop(), lollipop()];
    let layout = laid(&board(420.0, 190.0, knots), &pieces, Match::Mirrored);
    let angles: Vec<f64> = layout
        .places
        .iter()
        .flatten()
        .map(|place| (place.angle.as_degrees() + 90.0).rem_euclid(180.0) - 90.0)
        .collect();
    assert!(layout.kept && angles.len() == 2, "{layout:?}");
    assert!((angles[0] + angles[1]).abs() < 1e-9, "{angles:?}");
    // Grain that leans by more than the pieces may can't be met both ways.
    let mut leaning = board(420.0, 260.0, vec![]);
    leaning.grain = Angle::degrees(9.0);
    let layout = laid(&leaning, &pieces, Match::Mirrored);
    assert!(layout.placed() == 2 && !layout.kept, "{layout:?}");
}

#[test]
fn a_knot_is_left_in_the_waste() {
    // In the middle of the board, where one piece would lie.
    let layout =
        laid(&board(420.0, 160.0, vec![knot(210.0, 80.0, 8.0)]), &[lollipop()], Match::Free);
    assert_eq!(layout.placed(), 1);
    assert!(layout.clearance.as_mm() > 5.0, "{layout:?}");
}

#[test]
fn the_handle_follows_the_grain() {
    let mut leaning = board(420.0, 160.0, vec![]);
    leaning.grain = Angle::degrees(9.0);
    let layout = laid(&leaning, &[lollipop()], Match::Free);
    let angle = layout.places[0].unwrap().angle.as_degrees();
    let off = (angle - 9.0).rem_euclid(180.0);
    assert!(off.min(180.0 - off) <= 5.0 + 1e-9, "{angle}");
}

#[test]
fn what_does_not_fit_is_left_out() {
    let layout = laid(&board(330.0, 90.0, vec![]), &[lollipop(), lollipop()], Match::Free);
    assert_eq!(layout.placed(), 1);
    let none = laid(&board(200.0, 90.0, vec![]), &[lollipop()], Match::Free);
    assert_eq!(none.placed(), 0);
}

#[test]
fn the_saw_takes_its_kerf_from_the_offcut() {
    let long = board(600.0, 80.0, vec![]);
    let layout = laid(&long, &[lollipop()], Match::Free);
    let cuts = cuts(&long, &layout, Length::mm(3.0));
    assert_eq!(cuts.len(), 1, "{layout:?}");
    let strip = layout.offcuts[0];
    assert!((cuts[0].offcut[0].as_mm() - (strip[1].x - strip[0].x - 3.0)).abs() < 1e-9);
}
