//! The room under a cone against triangles of Pythagoras and ratios.

use super::*;
use crate::params::{Cutter, CutterForm, Holder};
use crate::units::Length;

/// A cutter of 4 mm that sticks out 30 mm.
fn cutter() -> Cutter {
    Cutter::bare("flat", CutterForm::Flat, 4.0, 30.0)
}

/// From a radius of 3 mm to one of 13 mm over 40 mm: 4 mm up for each mm out.
fn sweep(places: &[(f64, f64, f64)], slack: f64) -> Sweep {
    let [nose, diameter, length] = [6.0, 26.0, 40.0].map(Length::mm);
    Sweep {
        pass: crate::cutting::PassKind::Finish,
        cutter: cutter(),
        holder: Holder { diameter, nose, length },
        places: places.iter().map(|(x, y, tip)| (DVec2::new(*x, *y), *tip)).collect(),
        slack,
    }
}

/// A flat floor, 41 mm by 41 mm round the origin, with a post on one of its cells.
fn floor(at: f64, post: Option<(DVec2, f64)>) -> CarvedSurface {
    let mut surface =
        CarvedSurface { origin: DVec2::splat(-20.0), columns: 41, heights: vec![at; 41 * 41] };
    if let Some((place, top)) = post {
        let [column, row] = surface.cell_of(place);
        surface.heights[(row * 41 + column) as usize] = top;
    }
    surface
}

fn nearest(surface: &CarvedSurface, hold_downs: &[Standing], sweep: &Sweep) -> (f64, DVec2, Meets) {
    let area = ArcPath::circle(DVec2::ZERO, Length::mm(20.0));
    let carved = Some(CarvedFace::new(surface, &area));
    Surroundings { carved, hold_downs, height: 25.0 }.nearest(sweep).expect("something is met")
}

#[test]
fn beside_the_frame_the_cone_counts_where_it_is() {
    let floor = floor(5.0, None);
    // 9 mm off the frame the floor under the nose is nearer.
    let (room, p, meets) = nearest(&floor, &[], &sweep(&[(11.0, 0.0, 5.0)], 0.0));
    assert!((room - 30.0).abs() < 1e-9 && meets == Meets::Piece, "{room}");
    assert_eq!(p, DVec2::new(11.0, 0.0));
    // 5 mm off it the cone is 2 mm past the nose, so 8 mm up.
    let (room, _, meets) = nearest(&floor, &[], &sweep(&[(15.0, 0.0, 5.0)], 0.0));
    assert!((room - (5.0 + 30.0 + 8.0 - 25.0)).abs() < 1e-9 && meets == Meets::Frame, "{room}");
    // As near as the slack lets it be, but never nearer than the cutter is thick.
    let (room, ..) = nearest(&floor, &[], &sweep(&[(15.0, 0.0, 5.0)], 1.0));
    assert!((room - (5.0 + 30.0 + 4.0 - 25.0)).abs() < 1e-9, "{room}");
    let (room, ..) = nearest(&floor, &[], &sweep(&[(17.9, 0.0, 5.0)], 1.0));
    assert!((room - (5.0 + 30.0 - 25.0)).abs() < 1e-9, "{room}");
}

#[test]
fn the_lowest_of_all_places_counts() {
    let places = [(0.0, 0.0, 2.0), (17.0, 0.0, 5.0), (15.0, 0.0, 6.0)];
    let (room, p, _) = nearest(&floor(5.0, None), &[], &sweep(&places, 0.0));
    assert!((room - 10.0).abs() < 1e-9, "{room}");
    assert_eq!(p, DVec2::new(17.0, 0.0));
}

#[test]
fn a_hold_down_is_as_far_as_its_exact_edge() {
    // Its corner is 3 and 4 mm away from the axis, so 2 mm past the nose: 8 mm up.
    let corners = [(3.0, 4.0), (40.0, 4.0), (40.0, 9.0), (3.0, 9.0)];
    let plan = corners.map(DVec2::from).to_vec();
    let stands = Standing { plan, top: Length::mm(35.0) };
    let (room, _, meets) = nearest(&floor(0.0, None), &[stands], &sweep(&[(0.0, 0.0, 5.0)], 0.0));
    assert!((room - (5.0 + 30.0 + 8.0 - 35.0)).abs() < 1e-9 && meets == Meets::HoldDown, "{room}");
}

#[test]
fn over_the_piece_the_room_is_never_more_than_the_true_one_nor_much_less() {
    // A post that may lie anywhere in its cell, and as high as it in the cells round it.
    let post = DVec2::new(6.0, 8.0);
    let floor = floor(0.0, Some((post, 24.0)));
    let (room, _, meets) = nearest(&floor, &[], &sweep(&[(0.0, 0.0, 5.0)], 0.0));
    // 10 mm from the axis: 28 mm up.
    let exact = 5.0 + 30.0 + 28.0 - 24.0;
    // A neighbour's middle and half a cell nearer, at 4 mm up for each.
    let unsure = 4.0 * (2.0_f64.sqrt() + IN_CELL_MM);
    assert_eq!(meets, Meets::Piece);
    assert!(room <= exact && room >= exact - unsure, "{room} {exact}");
}

#[test]
fn a_whole_board_stands_under_the_nose() {
    let ground = Surroundings { carved: None, hold_downs: &[], height: 25.0 };
    let bores = Sweep::bores(&cutter(), sweep(&[], 0.0).holder, &[DVec2::ZERO], Length::ZERO);
    let (room, _, meets) = ground.nearest(&bores).expect("a board");
    assert!((room - (30.0 - 25.0 - 0.5)).abs() < 1e-9 && meets == Meets::Board, "{room}");
}

#[test]
fn nothing_is_met_where_nothing_is_in_reach() {
    let ground = Surroundings { carved: None, hold_downs: &[], height: 25.0 };
    assert!(ground.nearest(&sweep(&[], 0.0)).is_none());
}
