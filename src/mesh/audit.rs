//! The invariants of a mesh, looked at afresh: nothing here knows how the mesh was made.
//!
//! What a file can spoil is judged on coordinates rounded to 32-bit floats, as files have them,
//! with corners that then fall on each other taken for one.

use super::{BodyMesh, Mesh, crossing};
use crate::units::Unit;
use glam::DVec3;
use rayon::prelude::*;

/// A triangle flatter than this, in mm, is none: 32-bit floats place a corner 400 mm out to a
/// hundred-thousandth.
pub const FLATTEST_MM: f64 = 1e-5;

/// What an audit found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Audit {
    /// Every edge is shared by exactly two triangles, which run along it in opposite directions.
    pub closed: bool,
    /// How many parts there are that share no corner.
    pub pieces: usize,
    /// Enclosed volume in mm³; negative when the mesh is inside out.
    pub volume_mm3: f64,
    /// Area in mm².
    pub area_mm2: f64,
    /// Least angle of any triangle, in degrees.
    pub least_angle_deg: f64,
    /// Least height of any triangle over its longest edge, in mm.
    pub least_height_mm: f64,
    /// How many pairs of triangles pass through each other, or touch where they share no corner.
    pub crossing: usize,
    /// Where the first of them is, in mm.
    pub crossing_at: Option<DVec3>,
    /// Whether all coordinates are finite.
    pub finite: bool,
}

impl Audit {
    /// One closed piece, the right way out, finite, without flat triangles, and nowhere through
    /// itself.
    pub fn sound(&self) -> bool {
        self.trouble().is_none()
    }

    /// What is wrong with the mesh, in words that follow its name.
    pub fn trouble(&self) -> Option<String> {
        self.trouble_of(1)
    }

    /// The same for so many pieces that lie apart.
    pub fn trouble_of(&self, pieces: usize) -> Option<String> {
        if !self.finite {
            Some("has a corner nowhere".to_owned())
        } else if !self.closed {
            Some("is not closed".to_owned())
        } else if self.pieces != pieces {
            Some(format!("is in {} pieces", self.pieces))
        } else if self.volume_mm3.is_nan() || self.volume_mm3 <= 0.0 {
            Some("is inside out".to_owned())
        } else if self.least_height_mm < FLATTEST_MM || self.least_angle_deg <= 0.0 {
            Some(format!("has a triangle {:.0e} mm high", self.least_height_mm))
        } else {
            let at = self.crossing_at?;
            let places = if self.crossing == 1 { "place" } else { "places" };
            Some(format!(
                "passes through itself in {} {places}, one of them at ({:.2}, {:.2}, {:.2})",
                self.crossing, at.x, at.y, at.z
            ))
        }
    }
}

/// Audits a mesh as a file in millimetres has it.
pub fn audit(mesh: &Mesh) -> Audit {
    audit_in(mesh, Unit::Millimetre)
}

/// Audits a mesh as a file in that unit has it: its 32-bit floats are others.
pub fn audit_in(mesh: &Mesh, unit: Unit) -> Audit {
    looked_at(mesh, unit, false)
}

impl BodyMesh {
    /// Audits the body's mesh. Where its triangles have been looked at already for some that pass
    /// through others, it is not done twice.
    pub fn audit(&self) -> Audit {
        looked_at(&self.mesh, Unit::Millimetre, self.untangled)
    }
}

fn looked_at(mesh: &Mesh, unit: Unit, untangled: bool) -> Audit {
    let finite = mesh.points.iter().all(|point| point.is_finite());
    let written = as_written(&mesh.points, &mesh.triangles, unit);
    // Nonsense has no order in space.
    let pairs = if finite && !untangled {
        crossing::crossings(&written.points, &written.triangles)
    } else {
        Vec::new()
    };
    let area = |triangle: &[u32; 3]| {
        let [p, q, r] = mesh.corners(*triangle);
        (q - p).cross(r - p).length() / 2.0
    };
    Audit {
        closed: closed(&written),
        pieces: pieces(&written),
        volume_mm3: mesh.volume_mm3(),
        area_mm2: mesh.triangles.iter().fold(0.0, |sum, triangle| sum + area(triangle)),
        least_angle_deg: least_angle(mesh).to_degrees(),
        least_height_mm: least_height(&written) * unit.in_mm(),
        crossing: pairs.len(),
        crossing_at: pairs.first().map(|[one, _]| {
            let [a, b, c] = written.corners(written.triangles[*one as usize]);
            (a + b + c) / 3.0 * unit.in_mm()
        }),
        finite,
    }
}

/// Where a mesh passes through itself: pairs of triangles, in coordinates as files have them.
pub fn crossings(points: &[DVec3], triangles: &[[u32; 3]]) -> Vec<[u32; 2]> {
    let written = as_written(points, triangles, Unit::Millimetre);
    crossing::crossings(&written.points, &written.triangles)
}

/// The same for pairs of which one triangle at least is asked for; not all of them when there are
/// [`crossing::MOST`] or more.
pub(super) fn crossings_of(
    points: &[DVec3],
    triangles: &[[u32; 3]],
    asked: impl Fn(u32) -> bool + Sync,
) -> Vec<[u32; 2]> {
    let written = as_written(points, triangles, Unit::Millimetre);
    crossing::crossings_of(&written.points, &written.triangles, asked)
}

/// The mesh with its coordinates as files in that unit have them, and one corner for each place.
fn as_written(points: &[DVec3], triangles: &[[u32; 3]], unit: Unit) -> Mesh {
    // Adding zero makes one of both zeros.
    let written = |p: &DVec3| (*p / unit.in_mm()).as_vec3().as_dvec3() + 0.0;
    let points: Vec<DVec3> = points.iter().map(written).collect();
    // The bits of all three, and below them the index.
    let key = |(index, p): (usize, &DVec3)| {
        let place = p.as_vec3().to_array().map(f32::to_bits);
        place.into_iter().chain([index as u32]).fold(0, |key, bits| (key << 32) | u128::from(bits))
    };
    let mut order: Vec<u128> = points.iter().enumerate().map(key).collect();
    order.par_sort_unstable();
    let mut own: Vec<u32> = (0..points.len() as u32).collect();
    for pair in order.windows(2) {
        if pair[0] >> 32 == pair[1] >> 32 {
            own[pair[1] as u32 as usize] = own[pair[0] as u32 as usize];
        }
    }
    let triangles = triangles.iter().map(|t| t.map(|corner| own[corner as usize])).collect();
    Mesh { points, triangles }
}

/// Least angle of any triangle, in radians; 0 without triangles.
fn least_angle(mesh: &Mesh) -> f64 {
    /// The angle of a corner is taken when its cotangent is as great as any before, or so nearly
    /// that rounding may have made it less.
    const NEARLY: f64 = 1.0 - 1e-9;
    let mut least = f64::INFINITY;
    let mut greatest = f64::NEG_INFINITY;
    for triangle in &mesh.triangles {
        let [p, q, r] = mesh.corners(*triangle);
        for (a, b, c) in [(p, q, r), (q, r, p), (r, p, q)] {
            let (across, along) = ((b - a).cross(c - a).length(), (b - a).dot(c - a));
            let cotangent = along / across;
            if cotangent < greatest * NEARLY {
                continue;
            }
            greatest = greatest.max(cotangent);
            // Exact also for nearly parallel ones.
            least = least.min(across.atan2(along));
        }
    }
    if mesh.triangles.is_empty() { 0.0 } else { least }
}

/// Least height over the longest edge.
fn least_height(mesh: &Mesh) -> f64 {
    let height = |triangle: &[u32; 3]| {
        let [p, q, r] = mesh.corners(*triangle);
        let longest = (q - p).length_squared().max((r - q).length_squared());
        let longest = longest.max((p - r).length_squared()).sqrt();
        // A NaN is no height either.
        let height = (q - p).cross(r - p).length() / longest;
        if height > 0.0 { height } else { 0.0 }
    };
    let least = mesh.triangles.iter().map(height).fold(f64::INFINITY, f64::min);
    if least.is_finite() { least } else { 0.0 }
}

/// How many parts share no corner.
fn pieces(mesh: &Mesh) -> usize {
    let mut up: Vec<u32> = (0..mesh.points.len() as u32).collect();
    let mut used = vec![false; mesh.points.len()];
    let root = |mut at: u32, up: &mut Vec<u32>| {
        while up[at as usize] != at {
            up[at as usize] = up[up[at as usize] as usize];
            at = up[at as usize];
        }
        at
    };
    for &[a, b, c] in &mesh.triangles {
        let [a, b, c] = [a, b, c].map(|corner| {
            used[corner as usize] = true;
            root(corner, &mut up)
        });
        let least = a.min(b).min(c);
        for corner in [a, b, c] {
            up[corner as usize] = least;
        }
    }
    (0..mesh.points.len()).filter(|at| used[*at] && up[*at] == *at as u32).count()
}

/// Whether each edge is run along exactly once each way.
pub fn closed(mesh: &Mesh) -> bool {
    let mut edges: Vec<u64> = Vec::with_capacity(mesh.triangles.len() * 3);
    for &[a, b, c] in &mesh.triangles {
        if a == b || b == c || c == a {
            return false;
        }
        for (from, to) in [(a, b), (b, c), (c, a)] {
            // The lowest bit tells the direction, so that the two runs of an edge sort together.
            let (low, high) = (u64::from(from.min(to)), u64::from(from.max(to)));
            edges.push((low << 33) | (high << 1) | u64::from(from > to));
        }
    }
    edges.par_sort_unstable();
    !edges.is_empty()
        && edges.len().is_multiple_of(2)
        && edges.chunks_exact(2).all(|pair| pair[0] & 1 == 0 && pair[1] == pair[0] + 1)
        && edges.chunks_exact(2).zip(edges.chunks_exact(2).skip(1)).all(|(p, q)| p[0] != q[0])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cube() -> Mesh {
        let points = (0..8)
            .map(|i| DVec3::new(f64::from(i & 1), f64::from(i >> 1 & 1), f64::from(i >> 2)))
            .collect();
        let triangles = vec![
            [0, 2, 1],
            [1, 2, 3],
            [4, 5, 6],
            [5, 7, 6],
            [0, 1, 4],
            [1, 5, 4],
            [2, 6, 3],
            [3, 6, 7],
            [0, 4, 2],
            [2, 4, 6],
            [1, 3, 5],
            [3, 7, 5],
        ];
        Mesh { points, triangles }
    }

    #[test]
    fn a_cube_is_sound_and_has_its_volume() {
        let found = audit(&cube());
        assert!(found.sound());
        assert!((found.volume_mm3 - 1.0).abs() < 1e-12 && (found.area_mm2 - 6.0).abs() < 1e-12);
        assert!((found.least_angle_deg - 45.0).abs() < 1e-9);
    }

    #[test]
    fn a_hole_a_flip_and_a_doubled_triangle_are_found() {
        let mut open = cube();
        open.triangles.pop();
        assert!(!audit(&open).closed);
        let mut flipped = cube();
        flipped.triangles[3].swap(0, 1);
        assert!(!audit(&flipped).closed);
        let mut doubled = cube();
        doubled.triangles.extend(cube().triangles);
        assert!(!audit(&doubled).closed);
        let mut inside_out = cube();
        inside_out.triangles.iter_mut().for_each(|t| t.swap(0, 1));
        assert!(audit(&inside_out).closed && !audit(&inside_out).sound());
    }

    /// Another cube beside or in the first.
    fn and_cube(at: f64) -> Audit {
        let (mut both, other) = (cube(), cube());
        both.points.extend(other.points.iter().map(|p| *p + at));
        both.triangles.extend(other.triangles.iter().map(|t| t.map(|corner| corner + 8)));
        audit(&both)
    }

    #[test]
    fn two_pieces_and_a_crossing_are_found() {
        let beside = and_cube(2.0);
        assert!(beside.closed && beside.pieces == 2 && beside.crossing == 0 && !beside.sound());
        assert!(beside.trouble_of(2).is_none() && beside.trouble_of(3).is_some());
        let through = and_cube(0.3);
        assert!(through.closed && through.crossing > 0 && !through.sound());
    }

    #[test]
    fn what_32_bit_floats_make_flat_or_open_is_found() {
        // 300 mm out, the edge from corner 0 to 1 with a corner of its own.
        let mut mesh = cube();
        mesh.points.iter_mut().for_each(|p| p.x += 300.0);
        mesh.points.push(DVec3::new(300.5, 0.0, 0.0));
        mesh.triangles.retain(|t| ![[0, 2, 1], [0, 1, 4]].contains(t));
        mesh.triangles.extend([[0, 2, 8], [8, 2, 1], [0, 8, 4], [8, 1, 4]]);
        assert!(audit(&mesh).sound());
        // Nearer to corner 0 than a float can say there.
        mesh.points[8].x = 300.000_001;
        let found = audit(&mesh);
        assert!(!found.sound() && found.least_height_mm == 0.0 && !found.closed);
    }

    #[test]
    fn what_is_flat_in_inches_alone_is_found() {
        // Past 16 in, where floats of inches step by 4.8e-5 mm and those of millimetres by 3.1e-5: less
        // than half a step of the one, more than that of the other.
        let mut mesh = cube();
        mesh.points.iter_mut().for_each(|p| p.x += 412.75);
        let step = 2e-5;
        mesh.points.push(DVec3::new(412.75 + step, 0.0, 0.0));
        mesh.triangles.retain(|t| ![[0, 2, 1], [0, 1, 4]].contains(t));
        mesh.triangles.extend([[0, 2, 8], [8, 2, 1], [0, 8, 4], [8, 1, 4]]);
        let [mm, inches] = [Unit::Millimetre, Unit::Inch].map(|unit| audit_in(&mesh, unit));
        assert!(mm.sound(), "{mm:?}");
        assert!(inches.least_height_mm == 0.0 && !inches.sound(), "{inches:?}");
    }
}
