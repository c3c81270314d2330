//! The two mountings of the board, and the frame of each.
//!
//! A setup's frame is right-handed: X to the right along the bed, Y away from the maker, Z up;
//! X and Y are zero in the front left corner of the stock as it lies, Z on its upper or lower
//! face as it lies, as the shop says. Turning the board over is a half turn, so nothing is ever
//! mirrored in space, though the plan is.

use crate::fit::{Placement, Stock};
use crate::mesh::Mesh;
use crate::outline::{ArcPath, ArcVertex};
use crate::params::{TurnAxis, Zero};
use crate::relief::Face;
use crate::units::Length;
use glam::{DVec2, DVec3};

/// A rigid map into a setup's frame: turned in the plan, each axis kept or turned round, shifted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Cosine and sine of the turn in the plan.
    spin: DVec2,
    /// 1 or -1 for each axis; their product is 1.
    turn: DVec3,
    /// In mm.
    shift: DVec3,
}

impl Frame {
    /// A point in mm, into the setup's frame.
    pub fn point(&self, p: DVec3) -> DVec3 {
        self.spin.rotate(p.truncate()).extend(p.z) * self.turn + self.shift
    }

    /// A point of the setup's frame in mm, back.
    pub fn point_back(&self, p: DVec3) -> DVec3 {
        let p = (p - self.shift) * self.turn;
        (self.spin * DVec2::new(1.0, -1.0)).rotate(p.truncate()).extend(p.z)
    }

    /// The map as a 4 × 4 matrix, row by row.
    pub fn matrix(&self) -> [[f64; 4]; 4] {
        let Frame { spin, turn, shift } = self;
        [
            [spin.x * turn.x, -spin.y * turn.x, 0.0, shift.x],
            [spin.y * turn.y, spin.x * turn.y, 0.0, shift.y],
            [0.0, 0.0, turn.z, shift.z],
            [0.0, 0.0, 0.0, 1.0],
        ]
    }

    /// A place in the plan in mm, into the setup's frame.
    pub fn place(&self, p: DVec2) -> DVec2 {
        self.point(p.extend(0.0)).truncate()
    }

    /// A place in the setup's plan in mm, back.
    pub fn place_back(&self, p: DVec2) -> DVec2 {
        self.point_back(p.extend(0.0)).truncate()
    }

    /// A mesh into the setup's frame. The map is a rotation and a shift, so triangles stay
    /// counter-clockwise seen from outside.
    pub fn mesh(&self, mesh: &Mesh) -> Mesh {
        Mesh {
            points: mesh.points.iter().map(|p| self.point(*p)).collect(),
            triangles: mesh.triangles.clone(),
        }
    }

    /// A path into the setup's plan. Seen from the other side a path runs the other way round; a
    /// closed one is reversed, so that one that ran counter-clockwise still does.
    pub fn path(&self, path: &ArcPath) -> ArcPath {
        self.mapped(path, |p| self.place(p))
    }

    /// A path of the setup's plan, back.
    pub fn path_back(&self, path: &ArcPath) -> ArcPath {
        self.mapped(path, |p| self.place_back(p))
    }

    /// A closed polygon in mm into the setup's plan, keeping its sense of rotation.
    pub fn polygon(&self, corners: &[DVec2]) -> Vec<DVec2> {
        let mut moved: Vec<DVec2> = corners.iter().map(|p| self.place(*p)).collect();
        if self.mirrors_plan() {
            moved.reverse();
        }
        moved
    }

    fn mirrors_plan(&self) -> bool {
        self.turn.x * self.turn.y < 0.0
    }

    fn mapped(&self, path: &ArcPath, to: impl Fn(DVec2) -> DVec2) -> ArcPath {
        let moved = |i: usize, bulge: f64| ArcVertex { point: to(path.vertices[i].point), bulge };
        let count = path.vertices.len();
        let vertices = (0..count).map(|i| match (self.mirrors_plan(), path.closed) {
            (false, _) => moved(i, path.vertices[i].bulge),
            // Mirrored, so every arc bends the other way.
            (true, false) => moved(i, -path.vertices[i].bulge),
            // Mirrored and run backwards: the arc from a corner is the one that led to it, and
            // bends the other way twice.
            (true, true) => {
                let from = count - 1 - i;
                moved(from, path.vertices[(from + count - 1) % count].bulge)
            }
        });
        ArcPath { vertices: vertices.collect(), closed: path.closed }
    }
}

/// One mounting of the board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setup {
    /// The side of the body that is carved.
    pub face: Face,
    /// From the board's frame, whose heights are the design's, into the setup's.
    pub from_board: Frame,
    /// From the design frame into the setup's.
    pub from_design: Frame,
    /// Height of the stock's upper face as it lies, in the setup's frame.
    pub stock_top: Length,
    /// Height of its lower face as it lies.
    pub stock_bottom: Length,
}

impl Setup {
    /// One of the two setups. `size` is the board's length and width in mm.
    pub fn new(
        face: Face,
        turn: TurnAxis,
        zero: Zero,
        size: DVec2,
        stock: &Stock,
        placement: &Placement,
    ) -> Setup {
        let turn = match (face, turn) {
            (Face::Top, _) => DVec3::ONE,
            (Face::Bottom, TurnAxis::X) => DVec3::new(1.0, -1.0, -1.0),
            (Face::Bottom, TurnAxis::Y) => DVec3::new(-1.0, 1.0, -1.0),
        };
        // An axis that is turned round starts from the board's other edge.
        let corner = |turn: f64, size: f64| if turn < 0.0 { size } else { 0.0 };
        let (upper, lower) = match face {
            Face::Top => (stock.top.as_mm(), stock.bottom.as_mm()),
            Face::Bottom => (stock.bottom.as_mm(), stock.top.as_mm()),
        };
        let level = match zero {
            Zero::Top => upper,
            Zero::Bottom => lower,
        };
        let from_board = Frame {
            spin: DVec2::X,
            turn,
            shift: DVec3::new(corner(turn.x, size.x), corner(turn.y, size.y), -level * turn.z),
        };
        let from_design = Frame {
            spin: placement.spin(),
            turn,
            shift: from_board.point(placement.origin.extend(0.0)),
        };
        Setup {
            face,
            from_board,
            from_design,
            stock_top: Length::mm((upper - level) * turn.z),
            stock_bottom: Length::mm((lower - level) * turn.z),
        }
    }

    /// Both setups, in the order in which they are carved. `size` is the board's length and width
    /// in mm.
    pub fn both(
        turn: TurnAxis,
        zero: Zero,
        size: DVec2,
        stock: &Stock,
        placement: &Placement,
    ) -> [Setup; 2] {
        Face::BOTH.map(|face| Setup::new(face, turn, zero, size, stock, placement))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DMat3;
    use proptest::prelude::*;

    fn all(size: DVec2, stock: &Stock, placement: &Placement) -> Vec<(TurnAxis, Zero, Setup)> {
        let mut all = Vec::new();
        for turn in [TurnAxis::X, TurnAxis::Y] {
            for zero in [Zero::Top, Zero::Bottom] {
                for setup in Setup::both(turn, zero, size, stock, placement) {
                    all.push((turn, zero, setup));
                }
            }
        }
        all
    }

    /// Signed area by the shoelace of chords, each arc in 64 parts.
    fn area(path: &ArcPath) -> f64 {
        let mut points = Vec::new();
        let count = path.vertices.len();
        for i in 0..count {
            let (a, b) = (path.vertices[i], path.vertices[(i + 1) % count]);
            let theta = 4.0 * a.bulge.atan();
            points.push(a.point);
            if theta.abs() > 1e-9 {
                let chord = b.point - a.point;
                // The centre lies left of the chord for a positive arc under a half turn.
                let centre = a.point + chord / 2.0 + chord.perp() / (2.0 * (theta / 2.0).tan());
                for part in 1..64 {
                    let turn = DVec2::from_angle(theta * f64::from(part) / 64.0);
                    points.push(centre + turn.rotate(a.point - centre));
                }
            }
        }
        (0..points.len()).map(|i| points[i].perp_dot(points[(i + 1) % points.len()]) / 2.0).sum()
    }

    proptest! {
        #[test]
        fn every_frame_is_right_handed_and_goes_back(
            x in -400.0..400.0f64, y in -90.0..90.0f64, z in -30.0..30.0f64,
            length in 100.0..900.0f64, width in 40.0..300.0f64,
            low in -30.0..0.0f64, high in 1.0..30.0f64, usable in 5.0..60.0f64,
        ) {
            let stock = Stock::round(Length::mm(usable), Length::mm(low), Length::mm(high));
            let placement = Placement::at(DVec2::new(31.0, 64.0));
            let size = DVec2::new(length, width);
            for (_, zero, setup) in all(size, &stock, &placement) {
                for frame in [setup.from_board, setup.from_design] {
                    let p = DVec3::new(x, y, z);
                    let origin = frame.point(DVec3::ZERO);
                    let axes = DMat3::from_cols(
                        frame.point(DVec3::X) - origin,
                        frame.point(DVec3::Y) - origin,
                        frame.point(DVec3::Z) - origin,
                    );
                    prop_assert!((axes.determinant() - 1.0).abs() < 1e-9);
                    prop_assert!((frame.point_back(frame.point(p)) - p).length() < 1e-9);
                    prop_assert!((frame.place_back(frame.place(p.truncate())) - p.truncate()).length() < 1e-9);
                }
                // The stock's corners as it lies.
                let corners = [
                    setup.from_board.point(DVec3::new(0.0, 0.0, stock.bottom.as_mm())),
                    setup.from_board.point(DVec3::new(length, width, stock.top.as_mm())),
                ];
                let (least, most) = (corners[0].min(corners[1]), corners[0].max(corners[1]));
                prop_assert!(least.truncate().length() < 1e-9);
                prop_assert!((most.truncate() - size).length() < 1e-9);
                let level = match zero { Zero::Top => most.z, Zero::Bottom => least.z };
                prop_assert!(level.abs() < 1e-9);
                prop_assert!((setup.stock_top.as_mm() - most.z).abs() < 1e-9);
                prop_assert!((setup.stock_bottom.as_mm() - least.z).abs() < 1e-9);
                // What is carved lies upwards.
                let up = setup.from_design.point(DVec3::Z).z - setup.from_design.point(DVec3::ZERO).z;
                prop_assert_eq!(up > 0.0, setup.face == Face::Top);
                // Both maps agree.
                let p = DVec3::new(x, y, z);
                let on_board = placement.on_board(p.truncate()).extend(z);
                prop_assert!((setup.from_design.point(p) - setup.from_board.point(on_board)).length() < 1e-9);
            }
        }
    }

    #[test]
    fn turned_about_x_the_near_edge_goes_far_and_about_y_end_goes_for_end() {
        let stock = Stock::round(Length::mm(30.0), Length::mm(-10.0), Length::mm(10.0));
        let placement = Placement::at(DVec2::new(50.0, 60.0));
        let size = DVec2::new(400.0, 120.0);
        let handle_end = DVec3::new(0.0, 5.0, 15.0);
        let at = |turn, zero| {
            let [_, bottom] = Setup::both(turn, zero, size, &stock, &placement);
            bottom.from_design.point(handle_end)
        };
        assert_eq!(at(TurnAxis::X, Zero::Bottom), DVec3::new(50.0, 55.0, 0.0));
        assert_eq!(at(TurnAxis::X, Zero::Top), DVec3::new(50.0, 55.0, -30.0));
        assert_eq!(at(TurnAxis::Y, Zero::Bottom), DVec3::new(350.0, 65.0, 0.0));
    }

    #[test]
    fn a_path_keeps_its_arcs_and_runs_counter_clockwise_in_both_setups() {
        // A D: a straight back and a half circle, with one corner off the axis.
        let vertex = |x, y, bulge| ArcVertex { point: DVec2::new(x, y), bulge };
        let path = ArcPath {
            vertices: vec![
                vertex(0.0, 0.0, 0.0),
                vertex(30.0, 0.0, 1.0),
                vertex(30.0, 20.0, 0.0),
                vertex(-5.0, 20.0, 0.2),
            ],
            closed: true,
        };
        let stock = Stock::round(Length::mm(30.0), Length::mm(-10.0), Length::mm(10.0));
        let placement = Placement::at(DVec2::new(50.0, 60.0));
        let before = area(&path);
        assert!(before > 600.0);
        for (_, _, setup) in all(DVec2::new(400.0, 120.0), &stock, &placement) {
            let moved = setup.from_design.path(&path);
            assert!((area(&moved) - before).abs() < 1e-9);
            let back = setup.from_design.path_back(&moved);
            assert!((area(&back) - before).abs() < 1e-9);
            for (a, b) in back.vertices.iter().zip(&path.vertices) {
                assert!((a.point - b.point).length() < 1e-9 && a.bulge == b.bulge);
            }
        }
    }
}
