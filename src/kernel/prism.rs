//! Stepped blocks with upright round holes: hold-downs and spacers.

use super::error::KernelError;
use super::shell::{EdgeId, Shell, VertexId};
use super::solid::Solid;
use crate::units::Length;
use glam::{DVec2, DVec3};

/// Least wood left between a hole and an edge or another hole, in mm: what keeps the faces apart
/// by more than the file's tolerance; common practice, no source.
const LEAST_WALL: f64 = 1e-3;

/// An upright round hole through a block.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hole {
    /// Its axis, in X and Y.
    pub centre: DVec2,
    /// Half its diameter.
    pub radius: Length,
    /// Height of the level face that it enters from below.
    pub from: Length,
    /// Height of the level face where it comes out on top.
    pub to: Length,
}

/// A block with one profile all along Y, from `across[0]` to `across[1]`, and upright holes with
/// exact cylinder walls.
///
/// `profile` is a simple polygon in X and Z (mm), counter-clockwise with X to the right and Z up.
/// Each hole runs between two level faces of the block, whole within both and with solid wood
/// between.
///
/// # Errors
/// A profile that is not such a polygon; a hole that leaves the block, a level face or touches
/// another hole.
pub fn stepped_prism(
    profile: &[DVec2],
    across: [Length; 2],
    holes: &[Hole],
) -> Result<Solid, KernelError> {
    let [near, far] = across.map(Length::as_mm);
    check_profile(profile)?;
    // asked for, not against, so that a NaN fails; so below
    let wide = far - near > LEAST_WALL;
    if !wide {
        return Err(KernelError::Prism("it has no width"));
    }
    for (k, hole) in holes.iter().enumerate() {
        check_hole(profile, [near, far], hole)?;
        for other in &holes[..k] {
            let apart =
                hole.centre.distance(other.centre) - hole.radius.as_mm() - other.radius.as_mm();
            let clear = hole.from > other.to || other.from > hole.to;
            if !(clear || apart > LEAST_WALL) {
                return Err(KernelError::Prism("two holes touch"));
            }
        }
    }

    let mut shell = Shell::new();
    let row = |shell: &mut Shell<'_>, y: f64| -> Vec<VertexId> {
        profile.iter().map(|p| shell.vertex(DVec3::new(p.x, y, p.y))).collect()
    };
    let rows = [row(&mut shell, near), row(&mut shell, far)];
    let rings: Vec<[Vec<(EdgeId, bool)>; 2]> =
        holes.iter().map(|hole| hole_walls(&mut shell, hole)).collect();

    let count = profile.len();
    for k in 0..count {
        let next = (k + 1) % count;
        let corners = [rows[0][k], rows[0][next], rows[1][next], rows[1][k]];
        let along = profile[next] - profile[k];
        let mut inner = Vec::new();
        for (hole, [below, above]) in holes.iter().zip(&rings) {
            for (z, ring, runs) in [(hole.from, below, 1.0), (hole.to, above, -1.0)] {
                if on_edge(profile[k], profile[next], hole, z.as_mm(), runs) {
                    inner.push(ring.clone());
                }
            }
        }
        let outer = polygon(&mut shell, &corners);
        shell.planar(&outer, &inner, DVec3::new(along.y, 0.0, -along.x));
    }
    for (row, normal) in rows.iter().zip([DVec3::NEG_Y, DVec3::Y]) {
        let outer = polygon(&mut shell, row);
        shell.planar(&outer, &[], normal);
    }
    shell.solid()
}

fn polygon(shell: &mut Shell<'_>, corners: &[VertexId]) -> Vec<(EdgeId, bool)> {
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).map(|(&a, &b)| (shell.line(a, b), false)).collect()
}

/// The four quarter walls of a hole; gives the rings below and above.
fn hole_walls(shell: &mut Shell<'_>, hole: &Hole) -> [Vec<(EdgeId, bool)>; 2] {
    let [below, above] = [hole.from, hole.to].map(|z| {
        let centre = hole.centre.extend(z.as_mm());
        let corners = [DVec3::X, DVec3::Y, DVec3::NEG_X, DVec3::NEG_Y]
            .map(|d| shell.vertex(centre + hole.radius.as_mm() * d));
        [0, 1, 2, 3].map(|k| shell.arc(corners[k], corners[(k + 1) % 4], centre, DVec3::Z))
    });
    for (&low, &high) in below.iter().zip(&above) {
        shell.ruled((low, false), (high, false), false);
    }
    [below, above].map(|ring| ring.map(|edge| (edge, false)).to_vec())
}

/// Whether the hole ends in the level edge from `a` to `b` of the profile, which runs to larger X
/// under the block (`runs` 1) and to lesser X on top of it (`runs` -1).
fn on_edge(a: DVec2, b: DVec2, hole: &Hole, z: f64, runs: f64) -> bool {
    let radius = hole.radius.as_mm() + LEAST_WALL;
    a.y == z
        && b.y == z
        && (b.x - a.x) * runs > 0.0
        && a.x.min(b.x) <= hole.centre.x - radius
        && a.x.max(b.x) >= hole.centre.x + radius
}

fn edges(profile: &[DVec2]) -> impl Iterator<Item = (DVec2, DVec2)> {
    profile.iter().zip(profile.iter().cycle().skip(1)).map(|(&a, &b)| (a, b))
}

fn check_profile(profile: &[DVec2]) -> Result<(), KernelError> {
    if profile.len() < 3 || !profile.iter().all(|p| p.is_finite()) {
        return Err(KernelError::Prism("its profile is not a polygon"));
    }
    let area: f64 = edges(profile).map(|(a, b)| a.perp_dot(b)).sum();
    let counter_clockwise = area > 0.0;
    if !counter_clockwise {
        return Err(KernelError::Prism("its profile does not run counter-clockwise"));
    }
    let side = |a: DVec2, b: DVec2, p: DVec2| (b - a).perp_dot(p - a);
    for (i, (a, b)) in edges(profile).enumerate() {
        for (j, (c, d)) in edges(profile).enumerate().skip(i + 1) {
            let next = j == i + 1 || (i == 0 && j + 1 == profile.len());
            // neighbours share a corner; they may only not fold back on each other
            let folded = (b - a).perp_dot(d - c) == 0.0 && (b - a).dot(d - c) < 0.0;
            let apart = side(a, b, c) * side(a, b, d) > 0.0
                || side(c, d, a) * side(c, d, b) > 0.0
                || a.max(b).cmplt(c.min(d)).any()
                || c.max(d).cmplt(a.min(b)).any();
            if (next && folded) || (!next && !apart) {
                return Err(KernelError::Prism("its profile crosses or touches itself"));
            }
        }
    }
    Ok(())
}

fn check_hole(profile: &[DVec2], across: [f64; 2], hole: &Hole) -> Result<(), KernelError> {
    let (radius, from, to) = (hole.radius.as_mm(), hole.from.as_mm(), hole.to.as_mm());
    let room = radius + LEAST_WALL;
    let (x, y) = (hole.centre.x, hole.centre.y);
    if !(radius > LEAST_WALL && from < to && x.is_finite()) {
        return Err(KernelError::Prism("a hole has no size"));
    }
    if !(y - room >= across[0] && y + room <= across[1]) {
        return Err(KernelError::Prism("a hole leaves the block sideways"));
    }
    let ends = [(from, 1.0), (to, -1.0)]
        .map(|(z, runs)| edges(profile).any(|(a, b)| on_edge(a, b, hole, z, runs)));
    if ends != [true, true] {
        return Err(KernelError::Prism("a hole does not run between two level faces"));
    }
    for (a, b) in edges(profile) {
        let beside = a.x.max(b.x) <= x - radius || a.x.min(b.x) >= x + radius;
        let beyond = a.y.max(b.y) <= from || a.y.min(b.y) >= to;
        if !(beside || beyond) {
            return Err(KernelError::Prism("a hole cuts a side of the block"));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::super::test_solids::block_with_hole;
    use super::*;

    fn profile() -> Vec<DVec2> {
        [(0.0, 0.0), (60.0, 0.0), (60.0, 18.0), (30.0, 18.0), (30.0, 31.75), (0.0, 31.75)]
            .map(DVec2::from)
            .to_vec()
    }

    fn hole(x: f64, y: f64, radius: f64, to: f64) -> Hole {
        let [radius, from, to] = [radius, 0.0, to].map(Length::mm);
        Hole { centre: DVec2::new(x, y), radius, from, to }
    }

    fn width() -> [Length; 2] {
        [Length::ZERO, Length::mm(24.0)]
    }

    #[test]
    fn a_block_with_a_hole_has_its_exact_volume() {
        let exact = 24.0 * (60.0 * 18.0 + 30.0 * 13.75) - std::f64::consts::PI * 3.3 * 3.3 * 18.0;
        let volume = block_with_hole().unwrap().volume_mm3();
        assert!((volume - exact).abs() < 1e-6, "{volume} for {exact}");
    }

    #[test]
    fn two_holes_at_different_heights() {
        let holes = [hole(45.0, 12.0, 4.0, 18.0), hole(15.0, 12.0, 5.0, 31.75)];
        let exact = 24.0 * (60.0 * 18.0 + 30.0 * 13.75)
            - std::f64::consts::PI * (16.0 * 18.0 + 25.0 * 31.75);
        let volume = stepped_prism(&profile(), width(), &holes).unwrap().volume_mm3();
        assert!((volume - exact).abs() < 1e-6, "{volume} for {exact}");
    }

    #[test]
    fn what_cannot_be_made_is_refused() {
        let mut clockwise = profile();
        clockwise.reverse();
        let bow: Vec<DVec2> =
            [(0.0, 0.0), (9.0, 9.0), (9.0, 0.0), (0.0, 20.0)].map(DVec2::from).to_vec();
        let nan = vec![DVec2::ZERO, DVec2::X, DVec2::new(f64::NAN, 1.0)];
        for bad in [clockwise, bow, nan, vec![DVec2::ZERO, DVec2::X], vec![DVec2::ZERO; 4]] {
            assert!(stepped_prism(&bad, width(), &[]).is_err(), "{bad:?}");
        }
        for bad in [
            hole(30.0, 12.0, 4.0, 18.0),  // under the step
            hole(45.0, 2.0, 4.0, 18.0),   // out of the side
            hole(45.0, 12.0, 4.0, 31.75), // no face at that height there
            hole(45.0, 12.0, 0.0, 18.0),
            hole(f64::NAN, 12.0, 4.0, 18.0),
            hole(45.0, 12.0, f64::INFINITY, 18.0),
        ] {
            assert!(stepped_prism(&profile(), width(), &[bad]).is_err(), "{bad:?}");
        }
        let touching = [hole(40.0, 12.0, 4.0, 18.0), hole(48.0, 12.0, 4.0, 18.0)];
        assert!(stepped_prism(&profile(), width(), &touching).is_err());
        let flat = [Length::mm(5.0), Length::mm(5.0)];
        assert!(stepped_prism(&profile(), flat, &[]).is_err());
        assert!(stepped_prism(&profile(), width(), &[]).is_ok());
    }
}
