//! Where outlines meet the triangles of a body.

use super::part::{AT_CORNER, CutFailed, NEAR, Part};
use super::ring::{At, Ring};
use crate::mesh::BodyMesh;
use glam::{DVec2, DVec3};
use std::collections::BTreeMap;

/// The share of the mesh's shortest edge by which a corner may be moved to an outline's side, so
/// that no triangle is turned over.
const OF_EDGE: f64 = 0.05;

/// A triangle that an outline may meet.
pub(super) struct Nearby {
    pub triangle: usize,
    pub part: Part,
    /// The edges from each of its corners to the next.
    pub edges: [usize; 3],
    /// Corners of outlines inside it.
    pub inner: Vec<u32>,
}

/// An edge of such a triangle.
pub(super) struct Edge {
    pub ends: [u32; 2],
    parts: [Part; 2],
    /// Points on it, and how far along.
    pub splits: Vec<(f64, u32)>,
}

/// The body's points and those of the outlines on it, and who meets whom.
pub(super) struct Meeting<'a> {
    pub rings: &'a [Ring],
    pub points: Vec<DVec3>,
    /// Where on an outline a point lies.
    pub on: Vec<Option<At>>,
    /// In the body's order.
    pub near: Vec<Nearby>,
    pub edges: Vec<Edge>,
    /// How near to an outline a corner of the mesh is moved onto it, in mm.
    reach: f64,
}

impl<'a> Meeting<'a> {
    pub fn of(body: &BodyMesh, rings: &'a [Ring]) -> Result<Meeting<'a>, CutFailed> {
        let points = body.mesh.points.clone();
        let on = vec![None; points.len()];
        let mut meeting =
            Meeting { rings, points, on, near: Vec::new(), edges: Vec::new(), reach: NEAR };
        meeting.look(body);
        let length = |edge: &Edge| {
            let [p, q] = edge.ends.map(|end| meeting.points[end as usize]);
            p.distance(q)
        };
        let shortest = meeting.edges.iter().map(length).fold(f64::INFINITY, f64::min);
        meeting.reach = NEAR.min(OF_EDGE * shortest);
        meeting.move_onto(&body.mesh.triangles)?;
        meeting.set_corners(&body.mesh.triangles)?;
        meeting.cross();
        Ok(meeting)
    }

    /// Finds the triangles about the outlines, and their edges.
    fn look(&mut self, body: &BodyMesh) {
        let mut sides: Vec<([u32; 2], usize, usize)> = Vec::new();
        for (triangle, corners) in body.mesh.triangles.iter().enumerate() {
            let plan = corners.map(|corner| self.points[corner as usize].truncate());
            let (low, high) =
                (plan[0].min(plan[1]).min(plan[2]), plan[0].max(plan[1]).max(plan[2]));
            if !self.rings.iter().any(|ring| ring.meets_box(low, high, AT_CORNER * NEAR)) {
                continue;
            }
            let part = if body.top.contains(&triangle) {
                Part::Top
            } else if body.bottom.contains(&triangle) {
                Part::Bottom
            } else {
                Part::Wall
            };
            for k in 0..3 {
                let ends = [corners[k], corners[(k + 1) % 3]];
                sides.push(([ends[0].min(ends[1]), ends[0].max(ends[1])], self.near.len(), k));
            }
            self.near.push(Nearby { triangle, part, edges: [0; 3], inner: Vec::new() });
        }
        sides.sort_unstable();
        for (ends, near, k) in sides {
            let part = self.near[near].part;
            match self.edges.last_mut().filter(|edge| edge.ends == ends) {
                Some(edge) => edge.parts[1] = part,
                None => self.edges.push(Edge { ends, parts: [part; 2], splits: Vec::new() }),
            }
            self.near[near].edges[k] = self.edges.len() - 1;
        }
    }

    /// Moves corners of the mesh that are near an outline onto it.
    fn move_onto(&mut self, triangles: &[[u32; 3]]) -> Result<(), CutFailed> {
        let mut corners: Vec<(u32, Part)> = self
            .near
            .iter()
            .flat_map(|near| triangles[near.triangle].map(|corner| (corner, near.part)))
            .collect();
        corners.sort_unstable();
        // The wall, where a corner is on it, comes last and stays.
        corners.dedup_by(|next, kept| {
            let same = next.0 == kept.0;
            if same {
                kept.1 = next.1;
            }
            same
        });
        let taken = self.nearest_to_corners(&corners);
        let mut moves = Vec::new();
        for (corner, part) in corners {
            let p = self.points[corner as usize].truncate();
            let at_corner = taken.get(&corner).copied();
            for (index, ring) in self.rings.iter().enumerate() {
                let u = match at_corner {
                    Some((of, side)) => (of == index).then_some(side as f64),
                    None => ring.place_near(p, self.reach),
                };
                let Some(u) = u else { continue };
                let (u, point) = match part {
                    Part::Wall if at_corner.is_some() => return Err(CutFailed),
                    Part::Wall => self.along_rim(corner, index).ok_or(CutFailed)?,
                    skin => {
                        let at = ring.at(u);
                        let (_, height) = self.under(triangles, skin, at).ok_or(CutFailed)?;
                        (u, at.extend(height))
                    }
                };
                moves.push((corner, At { ring: index, u }, point));
            }
        }
        for (corner, at, point) in moves {
            if self.on[corner as usize].replace(at).is_some() {
                return Err(CutFailed);
            }
            self.points[corner as usize] = point;
        }
        Ok(())
    }

    /// The corners of the mesh that take their places at corners of outlines: which outline's, and
    /// which of its corners. One of each part of the body at most.
    fn nearest_to_corners(&self, corners: &[(u32, Part)]) -> BTreeMap<u32, (usize, usize)> {
        let mut found: BTreeMap<(usize, Part, usize), (f64, u32)> = BTreeMap::new();
        let reach = AT_CORNER * self.reach;
        for (corner, part) in corners {
            let p = self.points[*corner as usize].truncate();
            for (index, ring) in self.rings.iter().enumerate() {
                let near =
                    ring.meets_box(p, p, reach).then(|| ring.corner_near(p, reach)).flatten();
                let Some(side) = near else { continue };
                let off = ring.corners[side].distance(p);
                let best = found.entry((index, *part, side)).or_insert((off, *corner));
                if off < best.0 {
                    *best = (off, *corner);
                }
            }
        }
        found.into_iter().map(|((ring, _, side), (_, corner))| (corner, (ring, side))).collect()
    }

    /// Where a corner of the wall comes onto an outline along an edge of the wall, the nearest such
    /// place. A corner of the rim keeps to the rim.
    fn along_rim(&self, corner: u32, ring: usize) -> Option<(f64, DVec3)> {
        let rim = |edge: &&Edge| edge.parts[0] != edge.parts[1];
        let mine = || self.edges.iter().filter(|edge| edge.ends.contains(&corner));
        let at_rim = mine().any(|edge| rim(&edge));
        let mut best: Option<(f64, f64, DVec3)> = None;
        for edge in mine().filter(|edge| rim(edge) || (!at_rim && edge.parts[0] == Part::Wall)) {
            let [p, q] = edge.ends.map(|end| self.points[end as usize]);
            for (share, u) in self.rings[ring].crossings([p.truncate(), q.truncate()], |_| false) {
                let point = self.rings[ring].at(u).extend(p.z + share * (q.z - p.z));
                let moved = point.distance(self.points[corner as usize]);
                if best.is_none_or(|best| moved < best.0) {
                    best = Some((moved, u, point));
                }
            }
        }
        best.filter(|best| best.0 <= AT_CORNER * self.reach).map(|(_, u, point)| (u, point))
    }

    /// The triangle of a skin over a point, and the height there.
    fn under(&self, triangles: &[[u32; 3]], skin: Part, p: DVec2) -> Option<(usize, f64)> {
        /// Rounding may put a point of an edge beside both its triangles.
        const BESIDE: f64 = -1e-9;
        let mut best = (BESIDE, None);
        for (index, near) in self.near.iter().enumerate().filter(|(_, near)| near.part == skin) {
            let [a, b, c] = triangles[near.triangle].map(|corner| self.points[corner as usize]);
            let low = a.min(b).min(c).truncate();
            let high = a.max(b).max(c).truncate();
            if !(p.cmpge(low).all() && p.cmple(high).all()) {
                continue;
            }
            let (u, v, w) = ((b - a).truncate(), (c - a).truncate(), p - a.truncate());
            let area = u.perp_dot(v);
            let (s, t) = (w.perp_dot(v) / area, u.perp_dot(w) / area);
            let inside = s.min(t).min(1.0 - s - t);
            if inside >= best.0 {
                best = (inside, Some((index, a.z + s * (b.z - a.z) + t * (c.z - a.z))));
            }
        }
        best.1
    }

    /// Puts the outlines' corners on the skins: an edge that passes near one is bent through it.
    fn set_corners(&mut self, triangles: &[[u32; 3]]) -> Result<(), CutFailed> {
        let mut taken = vec![[false; 2]; self.rings.iter().map(Ring::count).sum()];
        let starts: Vec<usize> = self
            .rings
            .iter()
            .scan(0, |next, ring| Some(std::mem::replace(next, *next + ring.count())))
            .collect();
        for near in &self.near {
            for corner in triangles[near.triangle] {
                if let Some(At { ring, u }) =
                    self.on[corner as usize].filter(|at| at.u.fract() == 0.0)
                {
                    taken[starts[ring] + u as usize][usize::from(near.part == Part::Bottom)] = true;
                }
            }
        }
        let rings = self.rings;
        for (ring, outline) in rings.iter().enumerate() {
            for (corner, place) in outline.corners.iter().enumerate() {
                for skin in [Part::Top, Part::Bottom] {
                    if taken[starts[ring] + corner][usize::from(skin == Part::Bottom)] {
                        continue;
                    }
                    let Some((near, height)) = self.under(triangles, skin, *place) else {
                        continue;
                    };
                    let at = At { ring, u: corner as f64 };
                    let point = self.add(place.extend(height), at);
                    let bent = self.near[near].edges.into_iter().find_map(|edge| {
                        let [p, q] = self.edges[edge].ends.map(|end| self.points[end as usize]);
                        let (p, along) = (p.truncate(), (q - p).truncate());
                        let share = (*place - p).dot(along) / along.length_squared();
                        let off = (p + along * share).distance(*place);
                        (off < self.reach && (0.0..1.0).contains(&share)).then_some((edge, share))
                    });
                    match bent {
                        Some((edge, _))
                            if self.edges[edge].parts[0] != self.edges[edge].parts[1] =>
                        {
                            return Err(CutFailed);
                        }
                        Some((edge, share)) => self.edges[edge].splits.push((share, point)),
                        None => self.near[near].inner.push(point),
                    }
                }
            }
        }
        Ok(())
    }

    /// Puts a point on every edge where an outline crosses it.
    fn cross(&mut self) {
        for index in 0..self.edges.len() {
            let mut stops = self.edges[index].splits.clone();
            stops.sort_by(|a, b| a.0.total_cmp(&b.0));
            let [from, to] = self.edges[index].ends;
            stops.insert(0, (0.0, from));
            stops.push((1.0, to));
            let mut splits = stops.clone();
            for pair in stops.windows(2) {
                let [p, q] = [pair[0].1, pair[1].1].map(|id| self.points[id as usize]);
                let ends = [pair[0].1, pair[1].1].map(|id| self.on[id as usize]);
                let rings = self.rings;
                for (ring, outline) in rings.iter().enumerate() {
                    let known = |side: usize| {
                        ends.iter()
                            .flatten()
                            .any(|at| at.ring == ring && outline.touches(at.u, side))
                    };
                    let found = outline.crossings([p.truncate(), q.truncate()], known);
                    for (share, u) in found.collect::<Vec<_>>() {
                        let point = outline.at(u).extend(p.z + share * (q.z - p.z));
                        let point = self.add(point, At { ring, u });
                        splits.push((pair[0].0 + share * (pair[1].0 - pair[0].0), point));
                    }
                }
            }
            splits.sort_by(|a, b| a.0.total_cmp(&b.0));
            self.edges[index].splits =
                splits.into_iter().filter(|(_, point)| ![from, to].contains(point)).collect();
        }
    }

    fn add(&mut self, point: DVec3, at: At) -> u32 {
        self.points.push(point);
        self.on.push(Some(at));
        (self.points.len() - 1) as u32
    }
}
