//! Faces as plain control points: fitting, checking, integrating.

use super::edge::{EdgeId, JOIN, SolidEdge, sound, tidy};
use super::error::KernelError;
use super::spline::{DEGREE, Knots, SplineFit, gauss};
use crate::units::Length;
use glam::DVec3;
use std::collections::BTreeMap;

/// A caller's surface.
pub(super) type PatchSurface<'s> = Box<dyn Fn(f64, f64) -> DVec3 + Send + Sync + 's>;

/// A rectangle of control points, `rows` along u and `columns` along v.
#[derive(Clone, Debug)]
pub(super) struct Net {
    pub rows: usize,
    pub columns: usize,
    pub points: Vec<DVec3>,
    /// One for each row; empty where all are 1.
    pub weights: Vec<f64>,
}

impl Net {
    fn transposed(self) -> Net {
        let points = (0..self.columns)
            .flat_map(|j| (0..self.rows).map(move |i| (i, j)))
            .map(|(i, j)| self.points[i * self.columns + j])
            .collect();
        Net { rows: self.columns, columns: self.rows, points, weights: self.weights }
    }

    /// A third of the integral of place . normal: this face's share of the volume.
    fn volume(&self) -> f64 {
        let (u, v) = (Knots::even(self.rows), Knots::even(self.columns));
        let stations = |knots: &Knots| {
            let rule = gauss(knots.spans());
            rule.into_iter().map(|(t, w)| (knots.basis(t), w)).collect::<Vec<_>>()
        };
        let across = stations(&u);
        let mut sum = 0.0;
        let mut rows = vec![(DVec3::ZERO, DVec3::ZERO); self.rows];
        for (basis_v, weight_v) in stations(&v) {
            for (i, row) in rows.iter_mut().enumerate() {
                *row = (DVec3::ZERO, DVec3::ZERO);
                for k in 0..=v.degree {
                    let point = self.points[i * self.columns + basis_v.first + k];
                    row.0 += basis_v.value[k] * point;
                    row.1 += basis_v.slope[k] * point;
                }
            }
            for (basis_u, weight_u) in &across {
                let (mut at, mut du, mut dv) = (DVec3::ZERO, DVec3::ZERO, DVec3::ZERO);
                let (mut weight, mut weight_slope) = (0.0, 0.0);
                for k in 0..=u.degree {
                    let (row, slope) = rows[basis_u.first + k];
                    let own = self.weights.get(basis_u.first + k).copied().unwrap_or(1.0);
                    at += basis_u.value[k] * own * row;
                    du += basis_u.slope[k] * own * row;
                    dv += basis_u.value[k] * own * slope;
                    weight += basis_u.value[k] * own;
                    weight_slope += basis_u.slope[k] * own;
                }
                let place = at / weight;
                let du = (du - weight_slope * place) / weight;
                sum += place.dot(du.cross(dv / weight)) * weight_u * weight_v;
            }
        }
        sum / 3.0
    }
}

/// What a face lies on.
#[derive(Clone, Debug)]
pub(super) enum FaceSurface {
    Spline(Net),
    /// A place, and two unit axes whose cross product points outward.
    Plane {
        origin: DVec3,
        axes: [DVec3; 2],
    },
}

/// A finished face: its loops run counter-clockwise seen from outside.
#[derive(Clone, Debug)]
pub(super) struct SolidFace {
    pub surface: FaceSurface,
    pub loops: Vec<Vec<EdgeId>>,
    /// Its share of the solid's volume, in cubic mm.
    pub volume: f64,
    /// Greatest measured distance from the surface that was asked for, in mm.
    pub error: f64,
}

/// A face as the caller gave it.
pub(super) enum Draft<'s> {
    Patch { sides: [EdgeId; 4], surface: PatchSurface<'s>, outward: bool },
    Ruled([EdgeId; 4]),
    Flat { loops: Vec<Vec<EdgeId>>, normal: DVec3 },
}

impl Draft<'_> {
    pub fn edges(&self) -> Box<dyn Iterator<Item = EdgeId> + '_> {
        match self {
            Draft::Patch { sides, .. } | Draft::Ruled(sides) => Box::new(sides.iter().copied()),
            Draft::Flat { loops, .. } => Box::new(loops.iter().flatten().copied()),
        }
    }

    /// Numbers of control points along a and along b that a patch needs to be fitted with.
    pub fn counts(&self, edges: &[SolidEdge]) -> Vec<usize> {
        let Draft::Patch { sides, .. } = self else { return Vec::new() };
        let count = |k: usize| edges[sides[k].index].count();
        // between two straight sides the surface may still bulge
        let pair = |k: usize| count(k).or(count(k + 2)).unwrap_or(2 * (DEGREE + 1));
        vec![pair(0), pair(1)]
    }

    pub fn fit(
        self,
        face: usize,
        vertices: &[DVec3],
        edges: &[SolidEdge],
        fits: &BTreeMap<usize, SplineFit>,
    ) -> Result<SolidFace, KernelError> {
        let counts = self.counts(edges);
        let whole = |loops: &[Vec<EdgeId>]| {
            let met = loops.iter().all(|ring| {
                ring.iter().zip(ring.iter().cycle().skip(1)).all(|(a, b)| {
                    edges[a.index].ends(a.reversed).1 == edges[b.index].ends(b.reversed).0
                }) && ring.len() > 1
            });
            if met { Ok(()) } else { Err(KernelError::LoopBroken { face }) }
        };
        match self {
            Draft::Patch { sides: [south, east, north, west], surface, outward } => {
                let ring = [south, east, north.reversed(), west.reversed()];
                whole(&[ring.to_vec()])?;
                let (Some(u), Some(v)) = (fits.get(&counts[0]), fits.get(&counts[1])) else {
                    return Err(KernelError::SidesDiffer { face });
                };
                let side = |id: EdgeId, fit: &SplineFit| {
                    edges[id.index]
                        .side(vertices, id.reversed, fit)
                        .ok_or(KernelError::SidesDiffer { face })
                };
                let sides = [side(south, u)?, side(east, v)?, side(north, u)?, side(west, v)?];
                let (net, error) = fit_patch(face, u, v, &sides, &surface)?;
                let (net, ring) = if outward {
                    (net, ring)
                } else {
                    (net.transposed(), [west, north, east.reversed(), south.reversed()])
                };
                Ok(SolidFace {
                    volume: net.volume(),
                    surface: FaceSurface::Spline(net),
                    loops: vec![ring.to_vec()],
                    error,
                })
            }
            Draft::Ruled([lower, east, upper, west]) => {
                let ring = vec![lower, east, upper.reversed(), west.reversed()];
                whole(std::slice::from_ref(&ring))?;
                let low = edges[lower.index].poles(vertices, lower.reversed);
                let high = edges[upper.index].poles(vertices, upper.reversed);
                let alike = low.weights.len() == high.weights.len()
                    && low.weights.iter().zip(&high.weights).all(|(a, b)| (a - b).abs() < 1e-9);
                if low.points.len() != high.points.len() || !alike {
                    return Err(KernelError::SidesDiffer { face });
                }
                let rows = low.points.len();
                let points = low.points.iter().zip(&high.points).flat_map(|(a, b)| [*a, *b]);
                let net = Net { rows, columns: 2, points: points.collect(), weights: low.weights };
                Ok(SolidFace {
                    volume: net.volume(),
                    surface: FaceSurface::Spline(net),
                    loops: vec![ring],
                    error: 0.0,
                })
            }
            Draft::Flat { mut loops, normal } => {
                whole(&loops)?;
                flat(face, vertices, edges, &mut loops, normal)
            }
        }
    }
}

fn flat(
    face: usize,
    vertices: &[DVec3],
    edges: &[SolidEdge],
    loops: &mut [Vec<EdgeId>],
    normal: DVec3,
) -> Result<SolidFace, KernelError> {
    let broken = KernelError::LoopBroken { face };
    let normal = normal.try_normalize().ok_or(KernelError::OutOfRange)?;
    let Some(&first) = loops.first().and_then(|ring| ring.first()) else { return Err(broken) };
    let (from, to) = edges[first.index].ends(first.reversed);
    let origin = vertices[from];
    let gap = loops
        .iter()
        .flatten()
        .flat_map(|id| edges[id.index].poles(vertices, false).points)
        .map(|p| (p - origin).dot(normal).abs())
        .fold(0.0, f64::max);
    if gap > JOIN {
        return Err(KernelError::NotFlat { face, gap: Length::mm(gap) });
    }
    let along = (vertices[to] - origin).reject_from_normalized(normal);
    let along = along.try_normalize().ok_or(broken)?;
    let mut area = 0.0;
    for (k, ring) in loops.iter_mut().enumerate() {
        let mut inside = 0.0;
        for id in ring.iter() {
            let sign = if id.reversed { -0.5 } else { 0.5 };
            for [at, step] in edges[id.index].steps(vertices) {
                inside += sign * normal.dot((at - origin).cross(step));
            }
        }
        // the outer loop counter-clockwise, the holes clockwise
        if (inside > 0.0) != (k == 0) {
            ring.reverse();
            ring.iter_mut().for_each(|id| *id = id.reversed());
            inside = -inside;
        }
        area += inside;
    }
    Ok(SolidFace {
        surface: FaceSurface::Plane { origin, axes: [along, normal.cross(along)] },
        loops: loops.to_vec(),
        volume: origin.dot(normal) * area / 3.0,
        error: 0.0,
    })
}

/// Interpolates a surface between its sides; also the greatest error half-way between samples.
fn fit_patch(
    face: usize,
    u: &SplineFit,
    v: &SplineFit,
    sides: &[[Vec<DVec3>; 2]; 4],
    surface: &PatchSurface<'_>,
) -> Result<(Net, f64), KernelError> {
    let (rows, columns) = (u.sites.len(), v.sites.len());
    let (last_row, last_column) = (rows - 1, columns - 1);
    let mut points = Vec::with_capacity(rows * columns);
    for &a in &u.sites {
        points.extend(v.sites.iter().map(|&b| surface(a, b)));
    }
    if !points.iter().all(|&p| sound(p)) {
        return Err(KernelError::OutOfRange);
    }
    let border = |points: &mut [DVec3], which: usize| {
        let mut gap: f64 = 0.0;
        let mut put = |place: usize, point: DVec3| {
            gap = gap.max(points[place].distance(point));
            points[place] = point;
        };
        let [south, east, north, west] = sides.each_ref().map(|side| &side[which]);
        for (i, (&low, &high)) in south.iter().zip(north).enumerate() {
            put(i * columns, low);
            put(i * columns + last_column, high);
        }
        for (j, (&left, &right)) in west.iter().zip(east).enumerate() {
            put(j, left);
            put(last_row * columns + j, right);
        }
        gap
    };
    let gap = border(&mut points, 1);
    if gap > JOIN {
        return Err(KernelError::OffEdge { face, gap: Length::mm(gap) });
    }
    for j in 0..columns {
        u.solve(&mut points, j, columns);
    }
    for i in 0..rows {
        v.solve(&mut points, i * columns, 1);
    }
    points.iter_mut().for_each(|p| *p = tidy(*p));
    border(&mut points, 0);

    let mut error: f64 = 0.0;
    let mut line = vec![DVec3::ZERO; columns];
    for (a, across) in &u.between {
        line.fill(DVec3::ZERO);
        for k in 0..=u.knots.degree {
            let row = &points[(across.first + k) * columns..][..columns];
            line.iter_mut().zip(row).for_each(|(sum, p)| *sum += across.value[k] * *p);
        }
        for (b, along) in &v.between {
            let here: DVec3 =
                (0..=v.knots.degree).map(|k| along.value[k] * line[along.first + k]).sum();
            let off = here.distance(surface(*a, *b));
            if !off.is_finite() {
                return Err(KernelError::OutOfRange);
            }
            error = error.max(off);
        }
    }
    Ok((Net { rows, columns, points, weights: Vec::new() }, error))
}
