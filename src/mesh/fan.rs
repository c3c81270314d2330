//! The triangles round each corner of a mesh.

use glam::DVec3;
use rayon::prelude::*;

/// Of a product of lengths: far more than its rounding.
pub(super) const SURE: f64 = 1e-13;

/// The corners round which, seen along one of the axes, all triangles lie side by side once round,
/// as they do on nearly all of a skin: surely, so that no two of them need be compared.
pub(super) fn open_fans(points: &[DVec3], triangles: &[[u32; 3]]) -> Vec<bool> {
    let mut starts = vec![0_u32; points.len() + 1];
    for corner in triangles.iter().flatten() {
        starts[*corner as usize + 1] += 1;
    }
    for corner in 1..starts.len() {
        starts[corner] += starts[corner - 1];
    }
    let mut next = starts.clone();
    // Of each triangle round a corner the other two, in its sense.
    let mut others = vec![[0_u32; 2]; 3 * triangles.len()];
    for [a, b, c] in triangles {
        for (corner, two) in [(a, [*b, *c]), (b, [*c, *a]), (c, [*a, *b])] {
            let place = &mut next[*corner as usize];
            others[*place as usize] = two;
            *place += 1;
        }
    }
    let fan = |corner: usize| &others[starts[corner] as usize..starts[corner + 1] as usize];
    let corners = (0..points.len()).into_par_iter().with_min_len(4096);
    corners.map(|corner| lies_open(points, points[corner], fan(corner))).collect()
}

/// Whether triangles round a corner, given by their other two, surely lie side by side once round it.
fn lies_open(points: &[DVec3], middle: DVec3, fan: &[[u32; 2]]) -> bool {
    /// A fan of more is not worth the search for neighbours.
    const MOST: usize = 16;
    let once = |side: usize, corner: u32| fan.iter().filter(|two| two[side] == corner).count() == 1;
    // Each ends where one other begins: in rings.
    if fan.len() > MOST || !fan.iter().all(|[from, to]| once(0, *to) && once(1, *from)) {
        return false;
    }
    let sides = fan.iter().map(|two| two.map(|corner| points[corner as usize] - middle));
    let up: DVec3 = sides.clone().map(|[from, to]| from.cross(to)).sum();
    let (u, v) = broadest(up);
    let turn = up[3 - u - v].signum();
    // With all of them turned one way, there are as many rings as pass a ray from the corner.
    let mut rings = 0;
    for [from, to] in sides {
        let (left, right) = (turn * (from[u] * to[v]), turn * (from[v] * to[u]));
        if left - right <= SURE * (left.abs() + right.abs()) {
            return false;
        }
        rings += u32::from((turn * from[v] < 0.0) & (turn * to[v] >= 0.0));
    }
    rings == 1
}

/// The axes of the plane that a normal is most square to.
pub(super) fn broadest(normal: DVec3) -> (usize, usize) {
    let [x, y, z] = normal.abs().to_array();
    if x > y.max(z) {
        (1, 2)
    } else if y > z {
        (2, 0)
    } else {
        (0, 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A fan round the origin, a triangle for each step, that goes so many times round; the heights
    /// of its outer corners.
    fn fan(count: u32, turns: f64, height: impl Fn(u32) -> f64) -> bool {
        let corner = |i: u32| {
            let angle = std::f64::consts::TAU * turns * f64::from(i) / f64::from(count);
            DVec3::new(angle.cos(), angle.sin(), height(i))
        };
        let points: Vec<DVec3> = (0..count).map(corner).chain([DVec3::ZERO]).collect();
        let triangles: Vec<[u32; 3]> = (0..count).map(|i| [count, i, (i + 1) % count]).collect();
        open_fans(&points, &triangles)[count as usize]
    }

    #[test]
    fn a_fan_once_round_is_open_and_one_that_overlaps_itself_is_not() {
        assert!(fan(6, 1.0, |_| 0.0) && fan(6, -1.0, |_| 0.0));
        assert!(fan(7, 1.0, |i| f64::from(i % 2)), "folded like a fan");
        assert!(!fan(9, 2.0, f64::from), "twice round");
        // Not round at all, and with a triangle that leans over its neighbour.
        assert!(!fan(6, 0.4, |_| 0.0));
        let [a, b, c, d] = [[1.0, 0.0], [0.0, 1.0], [-1.0, -1.0], [0.5, 0.6]]
            .map(|[x, y]: [f64; 2]| DVec3::new(x, y, 0.0));
        let over = |points: &[DVec3]| {
            let round = points.len() as u32 - 1;
            let triangles: Vec<[u32; 3]> =
                (0..round).map(|i| [round, i, (i + 1) % round]).collect();
            open_fans(points, &triangles)[round as usize]
        };
        assert!(over(&[a, b, c, DVec3::ZERO]) && over(&[a, d, b, c, DVec3::ZERO]));
        assert!(!over(&[a, b, d, c, DVec3::ZERO]));
    }

    #[test]
    fn two_rings_at_one_corner_and_an_edge_of_three_triangles_are_compared_pair_by_pair() {
        let ring = |height: f64, from: u32| {
            let corners = [[1.0, 0.0], [-0.5, 0.8], [-0.5, -0.8]];
            let points = corners.map(|[x, y]| DVec3::new(x, y, height));
            (points, [[0, from, from + 1], [0, from + 1, from + 2], [0, from + 2, from]])
        };
        let ((one, low), (other, high)) = (ring(0.1, 1), ring(0.4, 4));
        let points = [&[DVec3::ZERO][..], &one, &other].concat();
        assert!(open_fans(&points, &low)[0] && open_fans(&points, &high)[0]);
        assert!(!open_fans(&points, &[low, high].concat())[0]);
        assert!(!open_fans(&points, &low[..2])[0], "not closed");
        assert!(!open_fans(&points, &[&low[..], &[[0, 1, 4]]].concat())[0]);
    }
}
