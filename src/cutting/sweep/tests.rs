//! What a sweep promises, on a wedge whose height is known everywhere.

use super::*;
use crate::fit::{Placement, Stock};
use crate::params::{CutterForm, TurnAxis, Zero};
use crate::units::Angle;
use glam::DVec3;

/// From the bed up to `height`, 60 mm by 40 mm in the setup's plan.
fn wedge(height: fn(f64) -> f64) -> Mesh {
    let corners = [(0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0)];
    let under = corners.map(|(x, y)| DVec3::new(x, y, 0.0));
    let over = corners.map(|(x, y)| DVec3::new(x, y, height(x)));
    let points = [under, over].concat();
    let quads =
        [[0, 3, 2, 1], [4, 5, 6, 7], [0, 1, 5, 4], [1, 2, 6, 5], [2, 3, 7, 6], [3, 0, 4, 7]];
    let triangles = quads.iter().flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]]).collect();
    Mesh { points, triangles }
}

fn slope(x: f64) -> f64 {
    5.0 + 0.2 * x
}

/// The setup's plan is the design's, so that paths may be given in it.
fn setup() -> Setup {
    let stock = Stock::round(Length::mm(30.0), Length::mm(-10.0), Length::mm(10.0));
    let size = DVec2::new(60.0, 40.0);
    Setup::new(Face::Top, TurnAxis::X, Zero::Bottom, size, &stock, &Placement::at(DVec2::ZERO))
}

fn holder() -> Holder {
    let [diameter, length] = [20.0, 40.0].map(Length::mm);
    Holder { diameter, nose: diameter, length }
}

fn swept(kind: PassKind, centre: ArcPath, through: Option<Length>) -> Sweep {
    let cutter = Cutter::bare("ball", CutterForm::Ball, 3.0, 30.0);
    let centre = vec![centre];
    let pass = Pass { kind, face: Face::Top, cutter, area: centre.clone(), centre, through };
    let mut swept = Swept::new(&setup(), &wedge(slope), &[pass], holder());
    swept.sweeps.remove(0)
}

/// A place of the sweep near enough to `p`, no higher than the wedge there.
fn covers(sweep: &Sweep, p: DVec2) -> bool {
    let low = |(at, tip): &(DVec2, f64)| at.distance(p) <= sweep.slack && *tip <= slope(p.x) + 1e-9;
    sweep.places.iter().any(low)
}

/// The wedge is 5 mm high at its low end; its underside is not carved.
#[test]
fn the_lowest_that_is_carved_is_not_the_underside() {
    let swept = Swept::new(&setup(), &wedge(slope), &[], holder());
    assert!((swept.lowest.as_mm() - 5.0).abs() < 1e-9, "{}", swept.lowest);
}

#[test]
fn wherever_the_centre_may_go_a_low_enough_place_is_near() {
    let askew = ArcPath::circle(DVec2::new(31.3, 19.6), Length::mm(14.0));
    let sweep = swept(PassKind::Finish, askew.clone(), None);
    for i in 0..2000 {
        // Spread evenly over the disc by the golden angle.
        let out = 14.0 * (f64::from(i) / 2000.0).sqrt();
        let p = DVec2::new(31.3, 19.6) + out * DVec2::from_angle(2.399_963 * f64::from(i));
        assert!(covers(&sweep, p), "{p}");
    }
    let off = |p: DVec2| p.distance(DVec2::new(31.3, 19.6)) - 14.0;
    assert!(sweep.places.iter().all(|(p, _)| off(*p) <= CELL_MM), "beside the limit");
    let least = sweep.places[0].1;
    assert!(sweep.places.iter().all(|(_, tip)| *tip >= least), "lowest first");
    // No lower than the wedge is inside the disc or a cell past it.
    assert!(least >= slope(31.3 - 14.0 - 1.0), "{least}");
}

#[test]
fn an_edge_pass_is_swept_along_its_path_alone() {
    let path = ArcPath::circle(DVec2::new(30.0, 20.0), Length::mm(15.0));
    let sweep = swept(PassKind::Edge, path.clone(), None);
    assert!(sweep.places.iter().all(|(p, _)| path.distance(*p).as_mm() < 0.06));
    assert!(sweep.places.iter().all(|(p, tip)| (tip - slope(p.x)).abs() < 1e-6));
    for i in 0..500 {
        let p = DVec2::new(30.0, 20.0) + 15.0 * DVec2::from_angle(f64::from(i));
        let near = sweep.places.iter().any(|(at, _)| at.distance(p) <= sweep.slack);
        assert!(near, "{p}");
    }
}

/// A slot hardly wider than its cutter leaves the centre a strip that no cell's middle lies in.
#[test]
fn a_slot_as_wide_as_its_cutter_is_swept() {
    let corners = [(20.3, 10.4), (40.3, 10.4), (40.3, 10.43), (20.3, 10.43)];
    let sweep =
        swept(PassKind::Slots, ArcPath::polygon(corners.map(DVec2::from)), Some(Length::mm(0.5)));
    for x in 203..403 {
        assert!(covers(&sweep, DVec2::new(f64::from(x) / 10.0, 10.415)), "{x}");
    }
    assert!(sweep.places.iter().all(|(_, tip)| *tip == 0.5), "as deep as it is told");
}

#[test]
fn places_lie_on_the_board_also_when_it_is_turned() {
    let stock = Stock::round(Length::mm(30.0), Length::mm(-10.0), Length::mm(10.0));
    let size = DVec2::new(100.0, 80.0);
    let placement = Placement { origin: DVec2::new(90.0, 70.0), angle: Angle::degrees(180.0) };
    for (turn, zero) in [(TurnAxis::X, Zero::Top), (TurnAxis::Y, Zero::Bottom)] {
        let setup = Setup::new(Face::Bottom, turn, zero, size, &stock, &placement);
        let bed = setup.stock_bottom.as_mm();
        // The wedge stands on the bed in the setup's own plan, at its corner.
        let mut relief = wedge(slope);
        relief.points.iter_mut().for_each(|p| p.z += bed);
        let surface = Swept::new(&setup, &relief, &[], holder()).surface;
        for p in [DVec2::new(12.0, 7.0), DVec2::new(44.0, 31.0)] {
            let [column, row] = surface.cell_of(setup.from_board.place_back(p));
            let cell = row as usize * surface.columns + column as usize;
            let height = surface.heights[cell];
            assert!((height - slope(p.x)).abs() <= 0.2 * CELL_MM, "{height} at {p}");
        }
    }
}
