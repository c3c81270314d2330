//! A printed block: one profile all along Y, an upright hole with a pocket, and places sunk into
//! its far side. Its mesh is made here; its solid by the exporter, from the same figures.
//!
//! Made to print lying on its near side, Y up, without supports: the hole and its pocket have a
//! roof of 45 degrees towards the far side, and what is sunk into that side is open upwards.

use crate::mesh::Mesh;
use crate::mesh::flat::fill_loops;
use crate::outline::{ArcPath, ArcVertex};
use crate::units::Length;
use glam::{DVec2, DVec3};
use std::collections::BTreeMap;
use std::f64::consts::{PI, SQRT_2};

/// A round wall's mesh leaves the circle by at most this much, outwards.
const HOLE_ERROR_MM: f64 = 0.01;

/// A block. In mm: X and Z of the profile, Y across it.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// Counter-clockwise with X to the right and Z up.
    pub profile: Vec<DVec2>,
    /// From where to where it goes along Y.
    pub across: [Length; 2],
    /// From the underside to the top.
    pub hole: Option<Bored>,
    /// Polygons in X and Z, and how deep each is sunk into the far side.
    pub sunk: Vec<(Vec<DVec2>, Length)>,
}

/// An upright hole and its pocket.
#[derive(Clone, Debug, PartialEq)]
pub struct Bored {
    /// In X and Y, counter-clockwise.
    pub hole: ArcPath,
    /// In X and Y, counter-clockwise, and the height of its floor.
    pub pocket: Option<(ArcPath, Length)>,
    /// The block's height there.
    pub top: Length,
}

/// A hole of that radius, drawn out along X by `slide`, with its roof of 45 degrees towards Y.
pub(crate) fn roofed(centre: DVec2, radius: f64, slide: f64) -> ArcPath {
    let half = DVec2::new(slide / 2.0, 0.0);
    let slope = DVec2::splat(radius / SQRT_2);
    // From straight down to 45 degrees above level: 135 degrees, and the tangent of its quarter.
    let bulge = (0.75 * PI / 4.0).tan();
    let vertex = |point, bulge| ArcVertex { point, bulge };
    let mut vertices = Vec::new();
    if slide > 0.0 {
        vertices.push(vertex(centre - half - DVec2::Y * radius, 0.0));
    }
    vertices.push(vertex(centre + half - DVec2::Y * radius, bulge));
    vertices.push(vertex(centre + half + slope, 0.0));
    vertices.push(vertex(centre + DVec2::Y * roof(radius, slide), 0.0));
    vertices.push(vertex(centre - half + DVec2::new(-slope.x, slope.y), bulge));
    ArcPath { vertices, closed: true }
}

/// How far the roof's ridge stands from the middle.
pub(crate) fn roof(radius: f64, slide: f64) -> f64 {
    radius * SQRT_2 + slide / 2.0
}

/// A pocket that keeps a hexagon from turning: two flats along Y, drawn out along X by `slide`, and
/// a roof of 45 degrees towards Y.
pub(crate) fn hexagonal(centre: DVec2, flats: f64, slide: f64) -> ArcPath {
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
    ArcPath::polygon(corners.into_iter().map(|p| centre + p))
}

/// How far that roof's ridge stands from the middle.
pub(crate) fn hexagonal_roof(flats: f64, slide: f64) -> f64 {
    flats / 2.0 * (PI / 6.0).tan() + (flats + slide) / 2.0
}

/// Corners of a polygon round a path whose arcs go on smoothly into what is beside them; its sides
/// touch the arcs, so that a bolt passes.
fn circumscribed(path: &ArcPath) -> Vec<DVec2> {
    let mut corners = Vec::new();
    // Where an arc begins or ends there is no corner: three points of one line make a triangle
    // without area.
    let mut after_arc = path.segments().last().is_some_and(|segment| segment.bulge != 0.0);
    for segment in path.segments() {
        let Some(centre) = segment.centre() else {
            if !after_arc {
                corners.push(segment.from);
            }
            after_arc = false;
            continue;
        };
        after_arc = true;
        let (radius, sweep) = (segment.radius(), segment.sweep());
        // A corner lies r (1 / cos(half step) - 1) outside the circle. The first and last chord
        // are tangents of half a step, so that the ends lie on the polygon.
        let most = 2.0 * (radius / (radius + HOLE_ERROR_MM)).acos();
        let steps = (sweep / most.max(1e-3)).ceil().clamp(2.0, 720.0);
        let step = sweep / steps;
        let outer = radius / (step / 2.0).cos();
        let start = (segment.from - centre).to_angle();
        corners.extend(
            (0..steps as u32)
                .map(|k| centre + DVec2::from_angle(start + step * (f64::from(k) + 0.5)) * outer),
        );
    }
    corners
}

impl Block {
    /// The closed mesh; none when its faces can't be filled.
    pub(crate) fn mesh(&self) -> Option<Mesh> {
        let [near, far] = self.across.map(Length::as_mm);
        let mut faces = Faces::default();
        let side = |points: &[DVec2], y: f64| -> Vec<DVec3> {
            points.iter().map(|p| DVec3::new(p.x, y, p.y)).collect()
        };
        let level = |points: &[DVec2], z: f64| -> Vec<DVec3> {
            points.iter().map(|p| p.extend(z)).collect()
        };
        let bored = self.hole.as_ref().map(|bored| {
            let pocket = bored.pocket.as_ref().map(|(p, floor)| (circumscribed(p), floor.as_mm()));
            (circumscribed(&bored.hole), pocket, bored.top.as_mm())
        });
        let count = self.profile.len();
        for k in 0..count {
            let (a, b) = (self.profile[k], self.profile[(k + 1) % count]);
            let plane = [side(&[a, b], near), side(&[b, a], far)].concat();
            let mut loops = vec![plane];
            if let Some((hole, pocket, top)) = &bored {
                if a.y == 0.0 && b.y == 0.0 && b.x > a.x {
                    loops.push(level(hole, 0.0));
                }
                if a.y == *top && b.y == *top && b.x < a.x {
                    let mouth = pocket.as_ref().map_or(hole, |(pocket, _)| pocket);
                    loops.push(level(mouth, *top));
                }
            }
            let along = b - a;
            faces.fill(&loops, DVec3::new(along.y, 0.0, -along.x))?;
        }
        faces.fill(&[side(&self.profile, near)], DVec3::NEG_Y)?;
        let mut loops = vec![side(&self.profile, far)];
        for (outline, depth) in &self.sunk {
            let floor = far - depth.as_mm();
            // Seen from the far side, X runs to the left.
            let next = outline.iter().cycle().skip(1);
            let area: f64 = outline.iter().zip(next).map(|(a, b)| a.perp_dot(*b)).sum();
            let mut outline = outline.clone();
            if area > 0.0 {
                outline.reverse();
            }
            let outline = &outline;
            faces.fill(&[side(outline, floor)], DVec3::Y)?;
            faces.walls(&side(outline, far), &side(outline, floor));
            loops.push(side(outline, far));
        }
        faces.fill(&loops, DVec3::Y)?;
        if let Some((hole, pocket, top)) = &bored {
            let end = pocket.as_ref().map_or(*top, |(_, floor)| *floor);
            faces.walls(&level(hole, end), &level(hole, 0.0));
            if let Some((pocket, floor)) = pocket {
                faces.fill(&[level(pocket, *floor), level(hole, *floor)], DVec3::Z)?;
                faces.walls(&level(pocket, *top), &level(pocket, *floor));
            }
        }
        Some(faces.mesh)
    }
}

/// Flat faces that share the corners which lie at the same place.
#[derive(Default)]
struct Faces {
    mesh: Mesh,
    known: BTreeMap<[u64; 3], u32>,
}

impl Faces {
    fn corner(&mut self, p: DVec3) -> u32 {
        // Without a negative zero, whose bits differ.
        let p = p + DVec3::ZERO;
        let next = self.mesh.points.len() as u32;
        let corner = *self.known.entry(p.to_array().map(f64::to_bits)).or_insert(next);
        if corner == next {
            self.mesh.points.push(p);
        }
        corner
    }

    /// A flat face: its outer loop, then its holes, either way round; its outside is at `normal`.
    fn fill(&mut self, loops: &[Vec<DVec3>], normal: DVec3) -> Option<()> {
        let normal = normal.normalize();
        let u = normal.any_orthonormal_vector();
        let v = normal.cross(u);
        let mut plan = Vec::new();
        let mut corners = Vec::new();
        for (count, ring) in loops.iter().enumerate() {
            let flat: Vec<DVec2> = ring.iter().map(|p| DVec2::new(p.dot(u), p.dot(v))).collect();
            let next = flat.iter().cycle().skip(1);
            let area: f64 = flat.iter().zip(next).map(|(a, b)| a.perp_dot(*b)).sum();
            let own: Vec<u32> = ring.iter().map(|p| self.corner(*p)).collect();
            let mut both: Vec<(DVec2, u32)> = flat.into_iter().zip(own).collect();
            if (area > 0.0) != (count == 0) {
                both.reverse();
            }
            corners.extend(both.iter().map(|(_, corner)| *corner));
            plan.push(both.into_iter().map(|(p, _)| p).collect());
        }
        for triangle in fill_loops(&plan)? {
            self.mesh.triangles.push(triangle.map(|k| corners[k as usize]));
        }
        Some(())
    }

    /// Walls of a hollow between its mouth and its floor, whose loops have the same corners and
    /// run counter-clockwise seen from the mouth.
    fn walls(&mut self, mouth: &[DVec3], floor: &[DVec3]) {
        let count = mouth.len();
        for k in 0..count {
            let next = (k + 1) % count;
            let [a, b, c, d] =
                [mouth[k], mouth[next], floor[next], floor[k]].map(|p| self.corner(p));
            self.mesh.triangles.push([a, b, c]);
            self.mesh.triangles.push([a, c, d]);
        }
    }
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
    use crate::mesh::audit;

    fn block(hole: Option<Bored>) -> Block {
        let profile = [(-40.0, 0.0), (0.0, 0.0), (0.0, 30.0), (-40.0, 30.0)].map(DVec2::from);
        Block { profile: profile.into(), across: [-18.0, 18.0].map(Length::mm), hole, sunk: vec![] }
    }

    fn bored(hole: ArcPath, pocket: Option<(ArcPath, Length)>) -> Option<Bored> {
        Some(Bored { hole, pocket, top: Length::mm(30.0) })
    }

    #[test]
    fn a_roofed_hole_takes_its_own_volume_and_needs_no_support() {
        let centre = DVec2::new(-18.0, 0.0);
        for slide in [0.0, 6.0] {
            let hole = roofed(centre, 3.4, slide);
            let pocket = (roofed(centre, 6.2, slide), Length::mm(24.0));
            // The lower three quarters of a disc, a square over its upper quarter, and the slot.
            let area = |r: f64| {
                0.75 * PI * r * r
                    + r * r
                    + slide * 2.0 * r
                    + slide * slide / 4.0
                    + slide * r * (SQRT_2 - 1.0)
            };
            assert!((hole.signed_area() - area(3.4)).abs() < 1e-9, "{slide}");
            let block = block(bored(hole, Some(pocket)));
            let mesh = block.mesh().expect("filled");
            let found = audit(&mesh);
            assert!(found.sound());
            let exact = 40.0 * 36.0 * 30.0 - area(3.4) * 24.0 - area(6.2) * 6.0;
            assert!(found.volume_mm3 < exact && found.volume_mm3 > exact - 20.0);
            assert_eq!(overhangs(&mesh), 0.0);
        }
    }

    #[test]
    fn a_round_hole_would_need_support() {
        let hole = ArcPath::circle(DVec2::new(-18.0, 0.0), Length::mm(3.4));
        let mesh = block(bored(hole, None)).mesh().expect("filled");
        assert!(audit(&mesh).sound());
        assert!(overhangs(&mesh) > 30.0, "a quarter of the wall");
    }

    #[test]
    fn a_hexagon_sits_between_its_flats_and_needs_no_support() {
        let centre = DVec2::new(-18.0, 0.0);
        let hole = roofed(centre, 3.4, 0.0);
        let pocket = hexagonal(centre, 10.2, 0.0);
        for k in 0..6 {
            let corner =
                DVec2::from_angle(PI / 6.0 + PI / 3.0 * f64::from(k)) * 5.1 / (PI / 6.0).cos();
            assert!(pocket.contains(centre + corner * 0.9999), "corner {k}");
        }
        let mesh = block(bored(hole, Some((pocket, Length::mm(26.0))))).mesh().expect("filled");
        assert!(audit(&mesh).sound());
        assert_eq!(overhangs(&mesh), 0.0);
    }
}
