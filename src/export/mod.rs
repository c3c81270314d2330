//! Things as bytes of a format: models, outlines, maps, the list of a packet.
//!
//! Every exporter returns bytes and touches no disk; `writer` alone puts a packet on it.

pub mod cusp_map;
pub mod dxf;
pub mod dxf_space;
pub mod face_map;
pub mod list;
pub mod reach_map;
pub mod stl;
pub mod svg;
pub mod threemf;
pub mod writer;

use crate::kernel::KernelError;
use crate::mesh::Mesh;
use crate::units::Unit;
use rayon::prelude::*;
use std::sync::atomic::{AtomicUsize, Ordering};
use thiserror::Error;

/// One file of a packet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Artefact {
    /// Path in the packet, with forward slashes, such as `top/relief.stl`.
    pub name: String,
    /// What it is for, in a few words of the trade.
    pub role: &'static str,
    /// Unit of the lengths in it: `mm`, `in`, or empty where there are none.
    pub unit: &'static str,
    /// The frame it is in: `design`, `top`, `bottom`, `board`, `bed`, or empty where there is none.
    pub frame: &'static str,
    /// The file itself.
    pub bytes: Vec<u8>,
}

/// Why a file could not be made. Each is a fault of this tool, not of the maker's files.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum ExportError {
    /// The mesh has no triangle.
    #[error("the mesh has no triangle")]
    Empty,
    /// More triangles than the format can count.
    #[error("{triangles} triangles are more than the format can count")]
    TooMany {
        /// How many.
        triangles: usize,
    },
    /// A triangle names a point that isn't there.
    #[error("triangle {triangle} names a point that is not in the mesh")]
    NoSuchPoint {
        /// Which triangle.
        triangle: usize,
    },
    /// A point is not finite, or beyond what a 32-bit float can say.
    #[error("triangle {triangle} has a point that is not finite")]
    NotFinite {
        /// Which triangle has it.
        triangle: usize,
    },
    /// A triangle has no area once its corners are rounded to what the format can say.
    #[error("triangle {triangle} has no area once it is rounded for the file")]
    NoArea {
        /// Which triangle.
        triangle: usize,
    },
    /// The library that writes the format refused.
    #[error("{format}: {message}")]
    Library {
        /// The format.
        format: &'static str,
        /// What it said.
        message: String,
    },
    /// No such file in this job's packet.
    #[error("this packet has no file `{}`; it has: {}", .name.escape_debug(), .known.join(", "))]
    NoSuchFile {
        /// What was asked for.
        name: String,
        /// What there is.
        known: Vec<String>,
    },
}

impl From<KernelError> for ExportError {
    fn from(error: KernelError) -> ExportError {
        ExportError::Library { format: "STEP", message: error.to_string() }
    }
}

/// A triangle as a file of 32-bit floats holds it: corners in the file's unit, and its unit normal by the right
/// hand.
type Facet = ([[f32; 3]; 3], [f32; 3]);

/// All facets of a mesh, rounded to 32-bit floats and put in the form that `made` gives them, or
/// the first that such a file can't hold.
///
/// `unit` is the file's. `grid` rounds each coordinate to so many parts of it first, where given.
fn facets<T: Send>(
    mesh: &Mesh,
    unit: Unit,
    grid: Option<f64>,
    made: impl Fn(Facet) -> T + Sync,
) -> Result<Vec<T>, ExportError> {
    if mesh.triangles.is_empty() {
        return Err(ExportError::Empty);
    }
    if u32::try_from(mesh.triangles.len()).is_err() {
        return Err(ExportError::TooMany { triangles: mesh.triangles.len() });
    }
    let rounded: Vec<[f32; 3]> = mesh
        .points
        .par_iter()
        .map(|point| {
            point.to_array().map(|mm| {
                let v = mm / unit.in_mm();
                match grid {
                    Some(parts) => single((v * parts).round() / parts),
                    None => single(v),
                }
            })
        })
        .collect();
    // The first that fails, whichever thread is quicker: the same message on every run.
    let fails = AtomicUsize::new(usize::MAX);
    let made = mesh
        .triangles
        .par_iter()
        .enumerate()
        .map(|(triangle, corners)| {
            made(facet(&rounded, triangle, corners).unwrap_or_else(|_| {
                fails.fetch_min(triangle, Ordering::Relaxed);
                Facet::default()
            }))
        })
        .collect();
    let first = fails.into_inner();
    match mesh.triangles.get(first) {
        Some(corners) => facet(&rounded, first, corners).map(|_| made),
        None => Ok(made),
    }
}

/// To a 32-bit float, without a negative zero: readers join points by their bits, and the two
/// zeros differ in theirs.
fn single(value: f64) -> f32 {
    value as f32 + 0.0
}

fn facet(points: &[[f32; 3]], triangle: usize, corners: &[u32; 3]) -> Result<Facet, ExportError> {
    let mut at = [[0.0_f32; 3]; 3];
    for (place, corner) in at.iter_mut().zip(corners) {
        *place = *points.get(*corner as usize).ok_or(ExportError::NoSuchPoint { triangle })?;
        if place.iter().any(|v| !v.is_finite()) {
            return Err(ExportError::NotFinite { triangle });
        }
    }
    // Differences of 32-bit floats are exact enough in 64 bits that a sliver keeps its normal.
    let [a, b, c] = at.map(|p| glam::DVec3::from_array(p.map(f64::from)));
    let cross = (b - a).cross(c - a);
    let twice_area = cross.length();
    if twice_area > 0.0 {
        Ok((at, (cross / twice_area).to_array().map(single)))
    } else {
        Err(ExportError::NoArea { triangle })
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use glam::DVec3;

    /// A brick with its low corner at the origin, sizes in mm, counter-clockwise from outside.
    pub(crate) fn brick(size: DVec3) -> Mesh {
        let points = (0..8)
            .map(|i| {
                let pick = |bit: u32, s: f64| if i & bit != 0 { s } else { 0.0 };
                DVec3::new(pick(1, size.x), pick(2, size.y), pick(4, size.z))
            })
            .collect();
        let quads =
            [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
        let triangles =
            quads.iter().flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]]).collect::<Vec<_>>();
        Mesh { points, triangles }
    }

    #[test]
    fn points_that_merge_as_32_bit_floats_are_an_error_not_a_facet_without_area() {
        // At 300 mm a 32-bit float steps by 3e-5 mm; these two points are 1e-6 mm apart.
        let mesh = Mesh {
            points: vec![
                DVec3::new(300.0, 0.0, 0.0),
                DVec3::new(300.000_001, 0.0, 0.0),
                DVec3::new(300.0, 1.0, 0.0),
            ],
            triangles: vec![[0, 1, 2]],
        };
        assert_eq!(
            facets(&mesh, Unit::Millimetre, None, |f| f),
            Err(ExportError::NoArea { triangle: 0 })
        );
    }

    #[test]
    fn what_is_not_a_number_or_not_there_is_an_error() {
        let mut mesh = brick(DVec3::ONE);
        mesh.points[3].z = f64::NAN;
        assert!(matches!(
            facets(&mesh, Unit::Millimetre, None, |f| f),
            Err(ExportError::NotFinite { .. })
        ));
        mesh.points[3].z = 1e300;
        assert!(matches!(
            facets(&mesh, Unit::Millimetre, None, |f| f),
            Err(ExportError::NotFinite { .. })
        ));
        let mut mesh = brick(DVec3::ONE);
        mesh.triangles[5][1] = 8;
        assert_eq!(
            facets(&mesh, Unit::Millimetre, None, |f| f),
            Err(ExportError::NoSuchPoint { triangle: 5 })
        );
        assert_eq!(
            facets(&Mesh::default(), Unit::Millimetre, None, |f| f),
            Err(ExportError::Empty)
        );
    }
}
