//! A printed block: built once as a solid, from which its mesh and its STEP file are made, and the
//! upright hollows that it may have.
//!
//! Made to print lying on its near side, Y up, without supports: a hole and its pocket have a roof
//! of 45 degrees towards the far side, and what is sunk into that side is open upwards.

use crate::kernel::{Corner, KernelError, Prism, Solid};
use crate::mesh::Mesh;
use crate::mesh::flat::fill_faces;
use crate::units::Length;
use glam::DVec2;
use std::f64::consts::{PI, SQRT_2};

/// A round wall's mesh leaves the circle by at most this much, into the plastic, so that a bolt
/// passes.
const ROUND_ERROR: Length = Length::mm(0.01);

/// A block.
#[derive(Clone, Debug)]
pub struct Block {
    /// The closed solid.
    pub solid: Solid,
    /// The solid's faces as triangles.
    pub mesh: Mesh,
}

impl Block {
    /// Builds it.
    ///
    /// # Errors
    /// A prism that can't be built, or whose faces can't be filled.
    pub fn new(prism: &Prism) -> Result<Block, KernelError> {
        let solid = prism.solid()?;
        let facets = solid.facets(ROUND_ERROR)?;
        let mesh = fill_faces(facets.points, &facets.faces)
            .ok_or(KernelError::Prism("a face can't be filled"))?;
        Ok(Block { solid, mesh })
    }
}

/// A hole of that radius, drawn out along X by `slide`, with its roof of 45 degrees towards Y.
pub(crate) fn roofed(centre: DVec2, radius: f64, slide: f64) -> Vec<Corner> {
    let half = DVec2::new(slide / 2.0, 0.0);
    let slope = DVec2::splat(radius / SQRT_2);
    let down = DVec2::NEG_Y * radius;
    let corner = |from: DVec2, middle| Corner { point: centre + from, centre: middle };
    let mut corners = vec![
        // From straight down to 45 degrees above level.
        corner(half + down, Some(centre + half)),
        corner(half + slope, None),
        corner(DVec2::Y * roof(radius, slide), None),
        corner(DVec2::new(-slope.x, slope.y) - half, Some(centre - half)),
    ];
    if slide > 0.0 {
        corners.insert(0, corner(down - half, None));
    }
    corners
}

/// How far the roof's ridge stands from the middle.
pub(crate) fn roof(radius: f64, slide: f64) -> f64 {
    radius * SQRT_2 + slide / 2.0
}

/// A pocket that keeps a hexagon from turning: two flats along Y, drawn out along X by `slide`, and
/// a roof of 45 degrees towards Y.
pub(crate) fn hexagonal(centre: DVec2, flats: f64, slide: f64) -> Vec<Corner> {
    let wide = (flats + slide) / 2.0;
    // Half of a side of the hexagon, and from its middle to a corner.
    let (side, corner) = (flats / 2.0 * (PI / 6.0).tan(), flats / 2.0 / (PI / 6.0).cos());
    let mut corners = vec![DVec2::new(slide / 2.0, -corner), DVec2::new(wide, -side)];
    corners.push(DVec2::new(wide, side));
    corners.push(DVec2::new(0.0, hexagonal_roof(flats, slide)));
    corners.push(DVec2::new(-wide, side));
    corners.push(DVec2::new(-wide, -side));
    if slide > 0.0 {
        corners.push(DVec2::new(-slide / 2.0, -corner));
    }
    corners.into_iter().map(|p| Corner { point: centre + p, centre: None }).collect()
}

/// How far that roof's ridge stands from the middle.
pub(crate) fn hexagonal_roof(flats: f64, slide: f64) -> f64 {
    flats / 2.0 * (PI / 6.0).tan() + (flats + slide) / 2.0
}

/// The steepest that an overhang may be to print without supports: 45 degrees from upright, as the
/// sine of the angle under level (common practice, no source), with some room for rounding.
#[cfg(test)]
pub(crate) const OVERHANG: f64 = 0.707_2;

/// The least height of any triangle, in mm.
#[cfg(test)]
pub(crate) fn thinnest(mesh: &Mesh) -> f64 {
    let heights = mesh.triangles.iter().map(|t| {
        let [a, b, c] = mesh.corners(*t);
        let longest = (b - a).length().max((c - b).length()).max((a - c).length());
        (b - a).cross(c - a).length() / longest
    });
    heights.fold(f64::INFINITY, f64::min)
}

/// What looks down too steeply when the block is printed lying on its near side, as areas in mm².
#[cfg(test)]
pub(crate) fn overhangs(mesh: &Mesh) -> f64 {
    let low = mesh.points.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    mesh.triangles
        .iter()
        .filter_map(|t| {
            let [a, b, c] = mesh.corners(*t);
            let twice = (b - a).cross(c - a);
            let on_plate = [a, b, c].iter().all(|p| p.y < low + 1e-9);
            (twice.y < -OVERHANG * twice.length() && !on_plate).then_some(twice.length() / 2.0)
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kernel::Bore;
    use crate::mesh::audit;

    const CENTRE: DVec2 = DVec2::new(-18.0, 0.0);

    fn block(hole: Vec<Corner>, pocket: Option<(Vec<Corner>, f64)>) -> Block {
        let profile = [(-40.0, 0.0), (0.0, 0.0), (0.0, 30.0), (-40.0, 30.0)].map(DVec2::from);
        let pocket = pocket.map(|(ring, floor)| (ring, Length::mm(floor)));
        let bore = Some(Bore { hole, to: Length::mm(30.0), pocket });
        let across = [-18.0, 18.0].map(Length::mm);
        let prism = Prism { profile: profile.into(), across, bore, sunk: vec![] };
        Block::new(&prism).expect("built")
    }

    #[test]
    fn a_roofed_hole_takes_its_own_volume_and_needs_no_support() {
        for slide in [0.0, 6.0] {
            // The lower three quarters of a disc, a square over its upper quarter, and the slot.
            let area = |r: f64| {
                0.75 * PI * r * r
                    + r * r
                    + slide * 2.0 * r
                    + slide * slide / 4.0
                    + slide * r * (SQRT_2 - 1.0)
            };
            let pocket = roofed(CENTRE, 6.2, slide);
            let block = block(roofed(CENTRE, 3.4, slide), Some((pocket, 24.0)));
            let exact = 40.0 * 36.0 * 30.0 - area(3.4) * 24.0 - area(6.2) * 6.0;
            // Quadrature over arcs of 135 degrees leaves 2e-9.
            assert!((block.solid.volume_mm3() / exact - 1.0).abs() < 1e-8, "{slide}");
            let found = audit(&block.mesh);
            assert!(found.sound());
            assert!(found.volume_mm3 < exact && found.volume_mm3 > exact - 20.0);
            assert_eq!(overhangs(&block.mesh), 0.0);
        }
    }

    #[test]
    fn a_round_hole_would_need_support() {
        let ways = [DVec2::X, DVec2::Y, DVec2::NEG_X, DVec2::NEG_Y];
        let corner = |way| Corner { point: CENTRE + 3.4 * way, centre: Some(CENTRE) };
        let block = block(ways.map(corner).to_vec(), None);
        assert!(audit(&block.mesh).sound());
        assert!(overhangs(&block.mesh) > 30.0, "a quarter of the wall");
    }

    #[test]
    fn a_hexagon_sits_between_its_flats_and_needs_no_support() {
        let pocket = (hexagonal(CENTRE, 10.2, 0.0), 26.0);
        let block = block(roofed(CENTRE, 3.4, 0.0), Some(pocket));
        for k in 0..6 {
            let way = DVec2::from_angle(PI / 6.0 + PI / 3.0 * f64::from(k) + 1e-6);
            let corner = way * 5.1 / (PI / 6.0).cos();
            let below = block.mesh.met_by(CENTRE + corner * 0.9999);
            assert_eq!(below, [0.0, 26.0], "corner {k}");
        }
        assert!(audit(&block.mesh).sound());
        assert_eq!(overhangs(&block.mesh), 0.0);
    }
}
