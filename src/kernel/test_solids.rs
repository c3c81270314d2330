//! Solids of known volume, and what is tested on them.

use super::*;
use crate::units::Length;
use glam::{DVec2, DVec3};
use std::f64::consts::{FRAC_PI_2, PI};
use truck_modeling::{self as truck, BoundedCurve, ParametricCurve, ParametricSurface};

const RADIUS: f64 = 40.0;
const HEIGHT: f64 = 12.0;
const RIM: f64 = 3.0;

/// Two caps and the cylinder between: h^2 (3 R - h) pi / 3 each, and the rim's circle has
/// r^2 = h (2 R - h).
fn lens_volume() -> f64 {
    let cap = PI * HEIGHT * HEIGHT * (3.0 * RADIUS - HEIGHT) / 3.0;
    2.0 * cap + PI * HEIGHT * (2.0 * RADIUS - HEIGHT) * RIM
}

fn rim_radius() -> f64 {
    (HEIGHT * (2.0 * RADIUS - HEIGHT)).sqrt()
}

/// The disc as a core (0) and a ring of four blocks (1 to 4) round it.
fn disc(block: usize, a: f64, b: f64) -> DVec2 {
    let half = 0.45 * rim_radius();
    if block == 0 {
        return half * DVec2::new(2.0 * a - 1.0, 2.0 * b - 1.0);
    }
    let turn = DVec2::from_angle(FRAC_PI_2 * (block - 1) as f64);
    let core = DVec2::new(half, half * (2.0 * a - 1.0));
    let rim = rim_radius() * DVec2::from_angle(FRAC_PI_2 * (a - 0.5));
    turn.rotate(core.lerp(rim, b))
}

fn skin(p: DVec2, up: f64) -> DVec3 {
    let over = (RADIUS * RADIUS - p.length_squared()).sqrt() - (RADIUS - HEIGHT);
    p.extend(up * (RIM / 2.0 + over))
}

/// A lens of two spherical caps, R 40 h 12, on a rim 3 high.
pub(super) fn lens(n: usize) -> Shell<'static> {
    lens_turned(n, [true, false])
}

fn lens_turned(n: usize, outward: [bool; 2]) -> Shell<'static> {
    let mut shell = Shell::new();
    let rims = [1.0, -1.0].map(|up: f64| {
        let at = move |block: usize, a: f64, b: f64| skin(disc(block, a, b), up);
        let outward = outward[usize::from(up < 0.0)];
        let inner = [1, 2, 3, 4].map(|k| shell.vertex(at(k, 0.0, 0.0)));
        let outer = [1, 2, 3, 4].map(|k| shell.vertex(at(k, 0.0, 1.0)));
        let next = |k: usize| (k + 1) % 4;
        let core =
            [0, 1, 2, 3].map(|k| shell.edge(inner[k], inner[next(k)], &|t| at(k + 1, t, 0.0), n));
        let rim =
            [0, 1, 2, 3].map(|k| shell.edge(outer[k], outer[next(k)], &|t| at(k + 1, t, 1.0), n));
        let spoke =
            [0, 1, 2, 3].map(|k| shell.edge(inner[k], outer[k], &|t| at(k + 1, 0.0, t), n + 3));
        // the ring's first block is to the right, so the core's south is the fourth
        let sides = [(core[3], false), (core[0], false), (core[1], true), (core[2], true)];
        shell.patch(sides, move |a, b| at(0, a, b), outward);
        for k in 0..4 {
            let sides =
                [(core[k], false), (spoke[next(k)], false), (rim[k], false), (spoke[k], false)];
            // along the rim x outward points down
            shell.patch(sides, move |a, b| at(k + 1, a, b), !outward);
        }
        rim
    });
    for (&top, &bottom) in rims[0].iter().zip(&rims[1]) {
        shell.ruled((bottom, false), (top, false), true);
    }
    shell
}

/// A circle as four quarters, counter-clockwise.
pub(super) fn round(centre: DVec2, radius: f64) -> Vec<Corner> {
    [DVec2::X, DVec2::Y, DVec2::NEG_X, DVec2::NEG_Y]
        .map(|way| Corner { point: centre + radius * way, centre: Some(centre) })
        .to_vec()
}

pub(super) fn block_with_hole() -> Result<Solid, KernelError> {
    let profile =
        [(0.0, 0.0), (60.0, 0.0), (60.0, 18.0), (30.0, 18.0), (30.0, 31.75), (0.0, 31.75)]
            .map(DVec2::from)
            .to_vec();
    let bore = Bore { hole: round(DVec2::new(45.0, 0.0), 3.3), to: Length::mm(18.0), pocket: None };
    let across = [-12.0, 12.0].map(Length::mm);
    Prism { profile, across, bore: Some(bore), sunk: vec![] }.solid()
}

#[test]
fn a_lens_has_the_volume_of_two_caps_and_a_cylinder() {
    assert!((PI * HEIGHT * HEIGHT * 108.0 / 3.0 - 16286.016316).abs() < 1e-6);
    for (n, part) in [(8, 1e-5), (12, 1e-7), (20, 1e-9)] {
        let solid = lens(n).solid().unwrap();
        let off = (solid.volume_mm3() / lens_volume() - 1.0).abs();
        assert!(off < part, "{n}: {off:e}");
    }
}

#[test]
fn the_fit_error_falls_and_is_not_zero() {
    let error = |n: usize| lens(n).solid().unwrap().fit_error().as_mm();
    assert!(error(8) < 5e-3 && error(8) > 1e-8, "{:e}", error(8));
    assert!(error(16) < error(8) / 10.0, "{:e} {:e}", error(8), error(16));
}

/// Places on an edge against its nearest border of a face's surface, both by the library's own
/// evaluation.
#[test]
fn edges_lie_on_their_faces() {
    let mut checked = 0;
    for solid in [lens(11).solid().unwrap(), block_with_hole().unwrap()] {
        for face in solid.body.face_iter() {
            let surface = face.surface();
            for edge in face.edge_iter() {
                let curve = edge.oriented_curve();
                let (start, end) = curve.range_tuple();
                let places: Vec<truck::Point3> = (0..=20)
                    .map(|k| curve.subs(start + (end - start) * f64::from(k) / 20.0))
                    .collect();
                assert!(far(edge.front().point(), places[0]) < 1e-9);
                assert!(far(edge.back().point(), places[20]) < 1e-9);
                let off = match &surface {
                    truck::Surface::Plane(plane) => {
                        let off = |p: &truck::Point3| {
                            let d = *p - plane.origin();
                            let n = plane.normal();
                            (d.x * n.x + d.y * n.y + d.z * n.z).abs()
                        };
                        places.iter().map(off).fold(0.0, f64::max)
                    }
                    _ => border_gap(&surface, &places),
                };
                assert!(off < 1e-9, "{off:e}");
                checked += 1;
            }
        }
    }
    assert!(checked > 80);
}

fn far(a: truck::Point3, b: truck::Point3) -> f64 {
    ((a.x - b.x).powi(2) + (a.y - b.y).powi(2) + (a.z - b.z).powi(2)).sqrt()
}

fn border_gap(surface: &truck::Surface, places: &[truck::Point3]) -> f64 {
    let mut least = f64::INFINITY;
    for side in 0..8 {
        let gap = places
            .iter()
            .enumerate()
            .map(|(k, &p)| {
                let t = if side < 4 { k as f64 / 20.0 } else { 1.0 - k as f64 / 20.0 };
                let (u, v) = [(t, 0.0), (t, 1.0), (0.0, t), (1.0, t)][side % 4];
                far(surface.subs(u, v), p)
            })
            .fold(0.0, f64::max);
        least = least.min(gap);
    }
    least
}

#[test]
fn faults_come_out_as_errors() {
    let wrong = |shell: Shell<'_>| shell.solid().unwrap_err();

    let mut open = lens(8);
    let stray = open.vertex(DVec3::ZERO);
    assert!(open.solid().is_ok(), "a vertex that nothing uses does no harm");
    let mut other = Shell::new();
    other.line(stray, stray);
    assert_eq!(wrong(other), KernelError::UnknownId);
    assert!(matches!(wrong(Shell::new()), KernelError::NotClosed(_)));
    // skins turned in, walls turned out
    assert!(matches!(wrong(lens_turned(8, [false, true])), KernelError::NotClosed(_)));
}

#[test]
fn a_box_inside_out_is_refused() {
    let cube = |sign: f64| {
        let mut shell = Shell::new();
        let corner =
            |k: usize| DVec3::new((k & 1) as f64, (k >> 1 & 1) as f64, (k >> 2) as f64) * 10.0;
        let v: Vec<VertexId> = (0..8).map(|k| shell.vertex(corner(k))).collect();
        for (face, normal) in [
            ([0, 1, 3, 2], DVec3::NEG_Z),
            ([4, 5, 7, 6], DVec3::Z),
            ([0, 1, 5, 4], DVec3::NEG_Y),
            ([2, 3, 7, 6], DVec3::Y),
            ([0, 2, 6, 4], DVec3::NEG_X),
            ([1, 3, 7, 5], DVec3::X),
        ] {
            let ring: Vec<(EdgeId, bool)> =
                (0..4).map(|k| (shell.line(v[face[k]], v[face[(k + 1) % 4]]), false)).collect();
            shell.planar(&ring, &[], normal * sign);
        }
        shell.solid()
    };
    assert!((cube(1.0).unwrap().volume_mm3() - 1000.0).abs() < 1e-9);
    assert_eq!(cube(-1.0).unwrap_err(), KernelError::InsideOut);
}

#[test]
fn curves_and_surfaces_that_miss_are_refused() {
    let mut shell = Shell::new();
    let [a, b] = [DVec3::ZERO, DVec3::X].map(|p| shell.vertex(p));
    shell.edge(a, b, &|t| DVec3::X * t * 1.001, 8);
    assert!(matches!(shell.solid(), Err(KernelError::EndsApart { edge: 0, .. })));

    // 9 control points meet the curve in the middle, 8 only near it
    for count in [8, 9] {
        let mut shell = Shell::new();
        let [a, b] = [DVec3::ZERO, DVec3::X].map(|p| shell.vertex(p));
        let hole = |t: f64| if (t - 0.5).abs() < 1e-9 { f64::NAN } else { 0.0 };
        shell.edge(a, b, &|t| DVec3::new(t, hole(t), 0.0), count);
        assert_eq!(shell.solid().unwrap_err(), KernelError::OutOfRange, "{count}");
    }

    for count in [0, 1, 5000] {
        let mut shell = Shell::new();
        let [a, b] = [DVec3::ZERO, DVec3::X].map(|p| shell.vertex(p));
        shell.edge(a, b, &|t| DVec3::X * t, count);
        assert_eq!(shell.solid().unwrap_err(), KernelError::ControlPoints { edge: 0, count });
    }

    let square = |bump: f64, turn: bool| {
        let mut shell = Shell::new();
        let v = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]
            .map(|(x, y)| shell.vertex(DVec3::new(x, y, 0.0)));
        let side = [(0, 1), (1, 2), (3, 2), (0, 3)].map(|(i, j)| (shell.line(v[i], v[j]), false));
        let sides = if turn { [(side[0].0, true), side[1], side[2], side[3]] } else { side };
        shell.patch(sides, move |a, b| DVec3::new(a, b, bump), true);
        shell.solid().unwrap_err()
    };
    assert!(matches!(square(1e-3, false), KernelError::OffEdge { face: 0, .. }));
    assert_eq!(square(0.0, true), KernelError::LoopBroken { face: 0 });
    assert!(matches!(square(0.0, false), KernelError::NotClosed(_)));
}
