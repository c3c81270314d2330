//! Upright cuts through a body: its slots, in the view of the finished piece.
//!
//! Both skins are height fields and the cutter stands upright, so a slot is cut in the plan: the
//! triangles that its outline meets are split along it, what lies within goes, and upright walls
//! join the two skins.
//!
//! Promised: the result is closed; its walls stand exactly on the outlines, but where one turns just at
//! the rim (see `clear`); no corner of the mesh lies beside an outline nearer to it than [`part::NEAR`], so
//! that no cut leaves a triangle without height; away from the outlines the mesh is the body's own.
//! Not promised: well-shaped triangles. A wall's reach from skin to skin, whatever its width.

mod clear;
mod meet;
mod part;
mod ring;
mod wall;

use super::flat::{Seed, fill_regions};
use super::{BodyMesh, Mesh, closed};
use glam::{DVec2, DVec3};
pub use part::CutFailed;

use meet::{Meeting, Nearby};
use part::Part;
use ring::{At, Ring};

/// The mesh without what stands over the outlines: closed polygons in the plan, counter-clockwise,
/// in mm, that do not overlap each other.
///
/// # Errors
/// When an outline runs along the body's rim, or crosses it other than from skin to skin.
pub fn cut_through(body: &BodyMesh, outlines: &[Vec<DVec2>]) -> Result<Mesh, CutFailed> {
    if outlines.is_empty() {
        return Ok(body.mesh.clone());
    }
    let rim: Vec<DVec2> =
        body.rim_top.iter().map(|point| body.mesh.points[*point as usize].truncate()).collect();
    let rim = Ring::new(&rim);
    let rings: Vec<Ring> =
        outlines.iter().map(|outline| Ring::new(&clear::of_rim(outline, &rim))).collect();
    let meeting = Meeting::of(body, &rings)?;
    let mut near = meeting.near.iter().peekable();
    let mut triangles = Vec::with_capacity(body.mesh.triangles.len());
    let mut edges = Vec::new();
    for (index, corners) in body.mesh.triangles.iter().enumerate() {
        let Some(found) = near.next_if(|near| near.triangle == index) else {
            triangles.push(*corners);
            continue;
        };
        for piece in pieces(&meeting, found, *corners)? {
            let middle = piece.map(|i| meeting.points[i as usize]).iter().sum::<DVec3>() / 3.0;
            if !rings.iter().any(|ring| ring.holds(middle.truncate())) {
                triangles.push(piece);
                let [a, b, c] = piece;
                edges.extend([[a, b], [b, c], [c, a]].map(|edge| (edge, found.part)));
            }
        }
    }
    triangles.extend(wall::walls(&meeting, &rings, &edges)?);
    let cut = used(&meeting.points, triangles);
    if closed(&cut) { Ok(cut) } else { Err(CutFailed) }
}

/// A triangle in the pieces into which the outlines part it.
fn pieces(
    meeting: &Meeting<'_>,
    near: &Nearby,
    corners: [u32; 3],
) -> Result<Vec<[u32; 3]>, CutFailed> {
    let mut ids = Vec::new();
    for (k, corner) in corners.into_iter().enumerate() {
        ids.push(corner);
        let edge = &meeting.edges[near.edges[k]];
        let splits = edge.splits.iter().map(|(_, point)| *point);
        if edge.ends[0] == corner { ids.extend(splits) } else { ids.extend(splits.rev()) }
    }
    let border = ids.len() as u32;
    ids.extend(&near.inner);
    if ids.len() == 3 {
        return Ok(vec![corners]);
    }
    let seeds: Vec<Seed> =
        (0..border).map(|i| Seed { from: i, to: (i + 1) % border, label: 0 }).collect();
    let beside = |i: u32, j: u32| {
        i < border && j < border && ((i + 1) % border == j || (j + 1) % border == i)
    };
    let links: Vec<[u32; 2]> =
        links(meeting, &ids).into_iter().filter(|[i, j]| !beside(*i, *j)).collect();
    let flat = flattened(meeting, near.part, corners, &ids);
    let filled = fill_regions(&flat, &links, &seeds).ok_or(CutFailed)?;
    Ok(filled.into_iter().map(|piece| piece.corners.map(|i| ids[i as usize])).collect())
}

/// Points of a triangle in a plane in which it runs counter-clockwise.
fn flattened(meeting: &Meeting<'_>, part: Part, corners: [u32; 3], ids: &[u32]) -> Vec<DVec2> {
    let [p, q, r] = corners.map(|corner| meeting.points[corner as usize]);
    let along = (q - p).normalize_or_zero();
    let up = (q - p).cross(r - p).cross(along).normalize_or_zero();
    ids.iter()
        .map(|id| meeting.points[*id as usize])
        .map(|point| match part {
            Part::Top => point.truncate(),
            Part::Bottom => DVec2::new(point.x, -point.y),
            Part::Wall => DVec2::new((point - p).dot(along), (point - p).dot(up)),
        })
        .collect()
}

/// Which of some points of a triangle follow each other on an outline, as indices of the list.
fn links(meeting: &Meeting<'_>, ids: &[u32]) -> Vec<[u32; 2]> {
    // By outline, side and place on the side. A corner of an outline is on two sides.
    let mut found: Vec<(usize, usize, f64, u32)> = Vec::new();
    for (index, id) in ids.iter().enumerate() {
        let Some(At { ring, u }) = meeting.on[*id as usize] else { continue };
        let side = u as usize;
        found.push((ring, side, u - side as f64, index as u32));
        if u == side as f64 {
            found.push((ring, meeting.rings[ring].before(side), 1.0, index as u32));
        }
    }
    found.sort_by(|p, q| (p.0, p.1).cmp(&(q.0, q.1)).then(p.2.total_cmp(&q.2)));
    found
        .windows(2)
        .filter(|pair| (pair[0].0, pair[0].1) == (pair[1].0, pair[1].1))
        .map(|pair| [pair[0].3, pair[1].3])
        .collect()
}

/// The mesh of some triangles, with the points that they use.
fn used(points: &[DVec3], mut triangles: Vec<[u32; 3]>) -> Mesh {
    let mut index = vec![u32::MAX; points.len()];
    let mut kept = Vec::with_capacity(points.len());
    for corner in triangles.iter_mut().flatten() {
        let slot = &mut index[*corner as usize];
        if *slot == u32::MAX {
            *slot = kept.len() as u32;
            kept.push(points[*corner as usize]);
        }
        *corner = *slot;
    }
    Mesh { points: kept, triangles }
}

#[cfg(test)]
mod tests;
