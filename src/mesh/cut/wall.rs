//! Upright walls where a cut has opened the body, from skin to skin.

use super::meet::Meeting;
use super::part::{CutFailed, Part};
use super::ring::Ring;
use crate::mesh::flat::{Seed, fill_regions};
use glam::{DVec2, DVec3};
use std::collections::BTreeMap;

/// A point of a wall's edge, and how far along the outline it lies. Falls in the order of the run.
type Stop = (f64, u32);

/// The walls that close a mesh of which these edges are known, each with what it belongs to.
pub(super) fn walls(
    meeting: &Meeting<'_>,
    rings: &[Ring],
    edges: &[([u32; 2], Part)],
) -> Result<Vec<[u32; 3]>, CutFailed> {
    let mut open = open(meeting, edges)?;
    let mut walls = Vec::new();
    // Edges all round an opening in one skin only, which wait for the other skin's.
    let mut rounds: BTreeMap<(usize, Part), Vec<u32>> = BTreeMap::new();
    while let Some((&first, _)) = open.first_key_value() {
        let mut run = Vec::new();
        let mut at = first;
        while let Some((to, part)) = open.remove(&at) {
            run.push((at, part));
            at = to;
        }
        if at != first {
            return Err(CutFailed);
        }
        let ring = meeting.on[first as usize].ok_or(CutFailed)?.ring;
        let part = run[0].1;
        if run.iter().all(|(_, other)| *other == part) {
            let points = run.into_iter().map(|(point, _)| point).collect();
            if rounds.insert((ring, part), points).is_some() {
                return Err(CutFailed);
            }
        } else {
            walls.extend(through_rim(meeting, &rings[ring], run).ok_or(CutFailed)?);
        }
    }
    for (index, ring) in rings.iter().enumerate() {
        let Some(top) = rounds.remove(&(index, Part::Top)) else { continue };
        let bottom = rounds.remove(&(index, Part::Bottom)).ok_or(CutFailed)?;
        walls.extend(all_round(meeting, ring, top, bottom).ok_or(CutFailed)?);
    }
    if rounds.is_empty() { Ok(walls) } else { Err(CutFailed) }
}

/// Edges on an outline that one triangle alone has: from a point to a point.
fn open(
    meeting: &Meeting<'_>,
    edges: &[([u32; 2], Part)],
) -> Result<BTreeMap<u32, (u32, Part)>, CutFailed> {
    let on = |point: u32| meeting.on[point as usize].is_some();
    let mut found: Vec<_> = edges.iter().filter(|([a, b], _)| on(*a) && on(*b)).collect();
    found.sort_unstable();
    let mut open = BTreeMap::new();
    for ([a, b], part) in &found {
        let back = found.binary_search_by(|(edge, _)| edge.cmp(&[*b, *a]));
        if back.is_err() && open.insert(*a, (*b, *part)).is_some() {
            return Err(CutFailed);
        }
    }
    Ok(open)
}

/// The walls of an opening that runs out through the rim: along the top skin, down the rim, back
/// along the bottom skin, up the rim.
fn through_rim(
    meeting: &Meeting<'_>,
    ring: &Ring,
    mut run: Vec<(u32, Part)>,
) -> Option<Vec<[u32; 3]>> {
    let count = run.len();
    let start = (0..count)
        .find(|i| run[*i].1 == Part::Top && run[(i + count - 1) % count].1 != Part::Top)?;
    run.rotate_left(start);
    let mut stretches: Vec<(Part, Vec<u32>)> = Vec::new();
    for (i, (point, part)) in run.iter().enumerate() {
        let next = run[(i + 1) % count].0;
        match stretches.last_mut().filter(|(last, _)| last == part) {
            Some((_, points)) => points.push(next),
            None => stretches.push((*part, vec![*point, next])),
        }
    }
    let [(Part::Top, top), (Part::Wall, down), (Part::Bottom, bottom), (Part::Wall, up)] =
        <[_; 4]>::try_from(stretches).ok()?
    else {
        return None;
    };
    let top = stops(meeting, ring, top)?;
    let mut bottom: Vec<u32> = bottom;
    bottom.reverse();
    let bottom = beside(ring, stops(meeting, ring, bottom)?, top[0].0);
    if top.len() < 4 || bottom.len() < 4 {
        return None;
    }
    // The rim's own points stand one over the other: fans reach them from the last before them.
    let (a, c) = (&top[1..top.len() - 1], &bottom[1..bottom.len() - 1]);
    let mut walls = end(&meeting.points, &up, [c[0].1, a[0].1])?;
    walls.extend(strip(a, c));
    walls.extend(end(&meeting.points, &down, [a.last()?.1, c.last()?.1])?);
    Some(walls)
}

/// The walls of an opening with the body all round it.
fn all_round(
    meeting: &Meeting<'_>,
    ring: &Ring,
    mut top: Vec<u32>,
    mut bottom: Vec<u32>,
) -> Option<Vec<[u32; 3]>> {
    bottom.reverse();
    for run in [&mut top, &mut bottom] {
        let corner = |id: &u32| meeting.on[*id as usize].is_some_and(|at| at.u == 0.0);
        let start = run.iter().position(corner)?;
        run.rotate_left(start);
        run.push(run[0]);
    }
    let top = stops(meeting, ring, top)?;
    let bottom = beside(ring, stops(meeting, ring, bottom)?, top[0].0);
    Some(strip(&top, &bottom))
}

/// How far along the outline points lie that run against it.
fn stops(meeting: &Meeting<'_>, ring: &Ring, run: Vec<u32>) -> Option<Vec<Stop>> {
    let whole = ring.count() as f64;
    let mut last = f64::INFINITY;
    run.into_iter()
        .map(|point| {
            let mut u = meeting.on[point as usize]?.u;
            while u >= last {
                u -= whole;
            }
            last = u;
            Some((u, point))
        })
        .collect()
}

/// The same counted from the turn of the outline that begins nearest to a place.
fn beside(ring: &Ring, stops: Vec<Stop>, start: f64) -> Vec<Stop> {
    let whole = ring.count() as f64;
    let turns = stops.first().map_or(0.0, |first| ((start - first.0) / whole).round());
    stops.into_iter().map(|(u, point)| (u + turns * whole, point)).collect()
}

/// A wall between an edge above and one below, both run against the outline.
fn strip(above: &[Stop], below: &[Stop]) -> Vec<[u32; 3]> {
    let (mut i, mut j) = (0, 0);
    let mut walls = Vec::with_capacity(above.len() + below.len());
    while i + 1 < above.len() || j + 1 < below.len() {
        let upper = above.get(i + 1).map_or(f64::NEG_INFINITY, |stop| stop.0);
        let lower = below.get(j + 1).map_or(f64::NEG_INFINITY, |stop| stop.0);
        // Whichever comes next. At the outline's corners both edges have a point, so that no
        // triangle reaches round one.
        if upper >= lower {
            walls.push([above[i + 1].1, above[i].1, below[j].1]);
            i += 1;
        } else {
            walls.push([below[j].1, below[j + 1].1, above[i].1]);
            j += 1;
        }
    }
    walls
}

/// The end of a wall: from its last points, of which `first` is next to the rim's first, to the points of
/// the rim. Where those don't stand one over the other, as on an eased edge, a fan may reach past them.
fn end(points: &[DVec3], rim: &[u32], [first, last]: [u32; 2]) -> Option<Vec<[u32; 3]>> {
    let border: Vec<u32> = [first, last].into_iter().chain(rim.iter().rev().copied()).collect();
    let [from, to] = [first, rim[0]].map(|id| points[id as usize].truncate());
    let out = (to - from).normalize_or_zero();
    let upright = |id: u32, sense: f64| {
        let point = points[id as usize];
        DVec2::new(sense * (point.truncate() - from).dot(out), point.z)
    };
    let twice = |round: &[u32], sense: f64| {
        let next = round.iter().skip(1).chain(round.first());
        let pairs = round.iter().zip(next).map(|(p, q)| [*p, *q].map(|id| upright(id, sense)));
        pairs.map(|[p, q]| p.perp_dot(q)).sum::<f64>()
    };
    // Seen from the side on which it runs counter-clockwise.
    let sense = twice(&border, 1.0).signum();
    let fan = fan(points, rim, first, last);
    if fan.iter().all(|corners| twice(corners, sense) > 0.0) {
        return Some(fan);
    }
    let flat: Vec<DVec2> = border.iter().map(|id| upright(*id, sense)).collect();
    let count = border.len() as u32;
    let seeds: Vec<Seed> =
        (0..count).map(|i| Seed { from: i, to: (i + 1) % count, label: 0 }).collect();
    let filled = fill_regions(&flat, &[], &seeds)?;
    Some(filled.into_iter().map(|piece| piece.corners.map(|i| border[i as usize])).collect())
}

/// The same as a fan from each of the last points.
fn fan(points: &[DVec3], rim: &[u32], first: u32, last: u32) -> Vec<[u32; 3]> {
    let height = |id: u32| points[id as usize].z;
    let middle = (height(first) + height(last)) / 2.0;
    let side = |id: u32| (height(id) - middle) * (height(first) - middle) > 0.0;
    let turn = rim[..rim.len() - 1].iter().take_while(|id| side(**id)).count();
    let mut walls = vec![[first, last, rim[turn]]];
    for (i, pair) in rim.windows(2).enumerate() {
        walls.push([pair[1], pair[0], if i < turn { first } else { last }]);
    }
    walls
}
