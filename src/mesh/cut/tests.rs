//! Cuts through slabs, whose volumes are known by hand, and through forks.

use super::*;
use crate::finding::Findings;
use crate::mesh::{audit, tessellate};
use crate::params;
use crate::shape::Body;
use crate::units::Length;

/// A slab 20 x 10 and 4 high in cells of 1, its corners shifted a little so that no line of them
/// is straight, one end of it open to the world at x = 20.
fn slab() -> BodyMesh {
    let (wide, deep) = (20_u32, 10_u32);
    let id =
        |x: u32, y: u32, top: bool| u32::from(top) * (wide + 1) * (deep + 1) + y * (wide + 1) + x;
    let mut mesh = Mesh::default();
    for z in [0.0, 4.0] {
        for y in 0..=deep {
            for x in 0..=wide {
                let inner = x > 0 && x < wide && y > 0 && y < deep;
                let shift = if inner { 0.2 * f64::from((x * 7 + y * 5) % 4) - 0.3 } else { 0.0 };
                let shift = DVec3::new(shift, -shift, 0.0);
                mesh.points.push(DVec3::new(f64::from(x), f64::from(y), z) + shift);
            }
        }
    }
    let mut skin = |top: bool| {
        let start = mesh.triangles.len();
        for y in 0..deep {
            for x in 0..wide {
                let [a, b, c, d] =
                    [(x, y), (x + 1, y), (x + 1, y + 1), (x, y + 1)].map(|(x, y)| id(x, y, top));
                let pair = if top { [[a, b, c], [a, c, d]] } else { [[a, c, b], [a, d, c]] };
                mesh.triangles.extend(pair);
            }
        }
        start..mesh.triangles.len()
    };
    let (top, bottom) = (skin(true), skin(false));
    let mut rim: Vec<(u32, u32)> = (0..wide).map(|x| (x, 0)).collect();
    rim.extend((0..deep).map(|y| (wide, y)));
    rim.extend((1..=wide).rev().map(|x| (x, deep)));
    rim.extend((1..=deep).rev().map(|y| (0, y)));
    let start = mesh.triangles.len();
    for (i, (x, y)) in rim.iter().enumerate() {
        let (u, v) = rim[(i + 1) % rim.len()];
        let [a, b, c, d] = [id(*x, *y, false), id(u, v, false), id(u, v, true), id(*x, *y, true)];
        mesh.triangles.extend([[a, b, c], [a, c, d]]);
    }
    let wall = start..mesh.triangles.len();
    let [rim_top, rim_bottom] =
        [true, false].map(|top| rim.iter().map(|(x, y)| id(*x, *y, top)).collect());
    BodyMesh { mesh, top, bottom, wall, rim_top, rim_bottom, error: Length::ZERO, untangled: false }
}

fn plan<const N: usize>(corners: [(f64, f64); N]) -> Vec<DVec2> {
    corners.map(DVec2::from).to_vec()
}

fn least_height(mesh: &Mesh) -> f64 {
    let heights = mesh.triangles.iter().map(|triangle| {
        let [p, q, r] = mesh.corners(*triangle);
        let longest = p.distance(q).max(q.distance(r)).max(r.distance(p));
        (q - p).cross(r - p).length() / longest
    });
    heights.fold(f64::INFINITY, f64::min)
}

#[test]
fn openings_in_a_slab_take_their_own_volume() {
    let whole = slab();
    assert!((audit(&whole.mesh).volume_mm3 - 800.0).abs() < 1e-9);
    for (outline, area) in [
        // Oblique, inside.
        (plan([(5.3, 2.1), (9.7, 4.4), (6.2, 8.3)]), 0.5 * (4.4 * 6.2 - 2.3 * 0.9)),
        // Through the rim at the far end, by 3.7 on average.
        (plan([(16.0, 3.05), (25.0, 3.05), (25.0, 6.45), (16.6, 6.45)]), 3.4 * 3.7),
        // Along the rows of the mesh's rim, a hair from its corners.
        (plan([(12.001, 4.999), (22.0, 4.999), (22.0, 7.001), (12.001, 7.001)]), 7.999 * 2.002),
    ] {
        let cut = cut_through(&whole, std::slice::from_ref(&outline)).expect("a cut");
        let found = audit(&cut);
        assert!(found.sound(), "{found:?}");
        // Skins are level, so that a corner moved along them changes nothing; one of the rim, moved
        // along the rim, neither.
        assert!((found.volume_mm3 - (800.0 - 4.0 * area)).abs() < 1e-9, "{area}: {found:?}");
        assert!(least_height(&cut) > 1e-3, "{area}: {}", least_height(&cut));
    }
}

#[test]
fn two_openings_at_once_and_none() {
    let whole = slab();
    let outlines = [
        plan([(2.2, 2.2), (4.4, 2.2), (4.4, 4.9), (2.2, 4.9)]),
        plan([(15.5, 6.6), (21.0, 6.6), (21.0, 8.3), (15.5, 8.3)]),
    ];
    let cut = cut_through(&whole, &outlines).expect("a cut");
    let found = audit(&cut);
    assert!(found.sound());
    let taken = 4.0 * (2.2 * 2.7 + 4.5 * 1.7);
    assert!((found.volume_mm3 - (800.0 - taken)).abs() < 1e-9, "{found:?}");
    assert_eq!(cut_through(&whole, &[]).as_ref(), Ok(&whole.mesh));
}

/// A round tip's side bends many times; a fork was refused because one bend fell on its rim.
#[test]
fn an_outline_may_bend_just_at_the_rim() {
    for off in [-0.1, -0.01, 0.0, 0.01, 0.1] {
        let (x, low) = (20.0 + off, 3.05);
        let outline = plan([(15.0, low), (x, low), (25.0, 2.05), (25.0, 6.0), (15.0, 6.0)]);
        let cut = cut_through(&slab(), std::slice::from_ref(&outline)).expect("a cut");
        let found = audit(&cut);
        assert!(found.sound(), "{off}: {found:?}");
        assert!(least_height(&cut) > 1e-3, "{off}: {}", least_height(&cut));
        // The bend of 11 degrees moves by 0.02 mm at most, over 0.3 mm.
        let taken = 4.0 * (5.0 * (6.0 - low) + 0.1 * (20.0 - x).max(0.0).powi(2));
        assert!((found.volume_mm3 - (800.0 - taken)).abs() < 0.015, "{off}: {found:?}");
    }
}

#[test]
fn an_outline_along_the_rim_is_refused() {
    let outline = plan([(15.0, 3.0), (20.0, 3.05), (20.0, 6.0), (15.0, 6.0)]);
    assert_eq!(cut_through(&slab(), &[outline]), Err(CutFailed));
}

/// Round the shipped fork's slots no triangle was higher than 7e-7 mm when a library for solids cut
/// them.
#[test]
fn a_forks_slots_leave_no_triangle_without_height() {
    let text = include_str!("../../../params/designs/harvest-fork.toml");
    let (design, _) = params::parse_design(text, &mut Findings::new()).expect("an example");
    let body = Body::new(&design);
    let tines: Vec<Vec<DVec2>> = (0..3)
        .map(|slot| {
            let y = 13.3 * (f64::from(slot) - 1.0);
            let root = (0..=12).map(|k| {
                let angle = std::f64::consts::PI * (0.5 + f64::from(k) / 12.0);
                DVec2::new(251.0, y) + 3.0 * DVec2::from_angle(angle)
            });
            root.chain([DVec2::new(303.0, y - 3.5), DVec2::new(303.0, y + 3.5)]).collect()
        })
        .collect();
    for tolerance in [0.1, 0.02, 0.005] {
        let whole = tessellate(&body, &body.lattice(), Length::mm(tolerance));
        let cut = cut_through(&whole, &tines).expect("a cut");
        assert!(audit(&cut).sound());
        assert!(least_height(&cut) > 2e-4, "{tolerance}: {}", least_height(&cut));
    }
}
