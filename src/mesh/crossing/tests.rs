use super::*;

fn pairs(points: &[[f64; 3]], triangles: &[[u32; 3]]) -> usize {
    let points: Vec<DVec3> = points.iter().map(|p| DVec3::from_array(*p)).collect();
    crossings(&points, triangles).len()
}

const FLOOR: [[f64; 3]; 3] = [[0.0, 0.0, 0.0], [4.0, 0.0, 0.0], [0.0, 4.0, 0.0]];

/// The floor's triangle and one that shares none of its corners.
fn beside(other: [[f64; 3]; 3]) -> bool {
    pairs(&[FLOOR, other].concat(), &[[0, 1, 2], [3, 4, 5]]) == 1
}

#[test]
fn a_triangle_that_stands_in_another_crosses_it_and_one_over_it_does_not() {
    assert!(beside([[1.0, 1.0, -1.0], [1.0, 1.0, 1.0], [1.5, 1.0, 1.0]]));
    assert!(!beside([[1.0, 1.0, 1e-12], [1.0, 1.0, 1.0], [1.5, 1.0, 1.0]]));
    // Through its plane, beside it.
    assert!(!beside([[3.0, 3.0, -1.0], [3.0, 3.0, 1.0], [3.5, 3.0, 1.0]]));
    // A corner exactly on its face, on its edge, on its corner: they share no point of the mesh.
    assert!(beside([[1.0, 1.0, 0.0], [1.0, 1.0, 1.0], [1.5, 1.0, 1.0]]));
    assert!(beside([[1.0, 0.0, 0.0], [1.0, -1.0, 1.0], [1.5, -1.0, 1.0]]));
    assert!(!beside([[1.0, -1e-12, 0.0], [1.0, -1.0, 1.0], [1.5, -1.0, 1.0]]));
    // An edge that lies in its plane.
    assert!(beside([[1.0, 1.0, 0.0], [3.0, 3.0, 0.0], [3.0, 3.0, 1.0]]));
    assert!(!beside([[3.0, 2.0, 0.0], [3.0, 3.0, 0.0], [3.0, 3.0, 1.0]]));
    // A thin one through it, its corners all outside.
    assert!(beside([[-1.0, 1.0, -1.0], [5.0, 1.0, 1.0], [5.0, 1.1, 1.0]]));
}

#[test]
fn triangles_in_one_plane_cross_when_they_lie_in_one_another() {
    assert!(beside([[1.0, 1.0, 0.0], [1.2, 1.0, 0.0], [1.0, 1.2, 0.0]]));
    assert!(beside([[-9.0, -9.0, 0.0], [30.0, -9.0, 0.0], [-9.0, 30.0, 0.0]]));
    assert!(!beside([[3.0, 3.0, 0.0], [4.0, 3.0, 0.0], [3.0, 4.0, 0.0]]));
}

#[test]
fn neighbours_cross_only_beyond_what_they_share() {
    let with = |p: [f64; 3], q: [f64; 3], r: [f64; 3]| {
        let points = [FLOOR.to_vec(), vec![p, q, r]].concat();
        [pairs(&points, &[[0, 1, 2], [0, 3, 4]]), pairs(&points, &[[0, 1, 2], [5, 1, 0]])]
    };
    // Round the corner 0: standing over, lying beside, standing through, lying on it.
    assert_eq!(with([1.0, 1.0, 1.0], [2.0, 1.0, 1.0], [0.0, -4.0, 0.0]), [0, 0]);
    assert_eq!(with([-1.0, 1.0, 0.0], [-2.0, 1.0, 0.0], [1.0, 1.0, 1.0]), [0, 0]);
    assert_eq!(with([1.0, 1.0, 1.0], [2.0, 1.0, -1.0], [1.0, 1.0, 0.0]), [1, 1]);
    assert_eq!(with([1.0, 1.0, 0.0], [9.0, 1.0, 1.0], [1.0, -1.0, 1e-300]), [1, 0]);
    assert_eq!(with([9.0, -1.0, 0.0], [-1.0, 9.0, 0.0], [-1.0, -1.0, 0.0]), [1, 0]);
    // Through it from a far corner.
    assert_eq!(with([9.0, 9.0, 5.0], [9.0, 9.0, -5.0], [0.0, 0.0, 4.0]), [1, 0]);
    let twice = [[0, 1, 2], [2, 0, 1]];
    assert_eq!(pairs(&FLOOR, &twice), 1);
}

/// No corner has an open fan.
const NO_FANS: [bool; 2100] = [false; 2100];

/// Against every pair looked at without the fans, on rings of triangles that are ever more bent.
#[test]
fn an_open_fan_hides_no_crossing() {
    let mut state = 5_u64;
    let mut next = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        f64::from((state >> 40) as f32 / 16_777_216.0) - 0.5
    };
    let (around, across) = (36, 14);
    let corner = |i: u32, j: u32| (i % around) * across + j % across;
    let cells = (0..around).flat_map(|i| (0..across).map(move |j| (i, j)));
    let triangles: Vec<[u32; 3]> = cells
        .flat_map(|(i, j)| {
            let [a, b] = [corner(i, j), corner(i + 1, j)];
            let [c, d] = [corner(i + 1, j + 1), corner(i, j + 1)];
            [[a, b, c], [a, c, d]]
        })
        .collect();
    let mut found = Vec::new();
    for bent in [0.0, 0.3, 0.6, 1.0, 2.0, 4.0] {
        let place = |index: u32| {
            let [u, v] = [(index / across, around), (index % across, across)]
                .map(|(i, of)| std::f64::consts::TAU * f64::from(i) / f64::from(of));
            let out = 10.0 + 3.0 * v.cos();
            DVec3::new(out * u.cos(), out * u.sin(), 3.0 * v.sin())
        };
        let mut bend = || DVec3::new(next(), next(), next()) * bent;
        let points: Vec<DVec3> = (0..around * across)
            .map(|index| (place(index) + bend()).as_vec3().as_dvec3())
            .collect();
        let mut known = Vec::new();
        for i in 0..triangles.len() as u32 {
            for j in i + 1..triangles.len() as u32 {
                let [p, q] = [i, j].map(|index| triangles[index as usize]);
                if cross((&points, &NO_FANS), p, q) {
                    known.push([i, j]);
                }
            }
        }
        assert_eq!(crossings(&points, &triangles), known);
        let open = open_fans(&points, &triangles).into_iter().filter(|open| *open).count();
        found.push((open, known.len()));
    }
    // From all open but the steepest, and no crossing, to hardly any.
    let [(all, 0), .., (few, many)] = found[..] else { panic!("{found:?}") };
    assert!(all > 400 && few < 100 && many > 1000, "{found:?}");
}

/// Against every pair, on a heap of triangles thrown at random.
#[test]
fn the_tree_of_boxes_misses_no_pair() {
    let mut state = 1_u64;
    let mut next = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        f64::from((state >> 40) as f32 / 16_777_216.0)
    };
    let mut points = Vec::new();
    for _ in 0..700 {
        let middle = DVec3::new(60.0 * next(), 9.0 * next(), 9.0 * next());
        for _ in 0..3 {
            points.push((middle + DVec3::new(next(), next(), next()) * 3.0).as_vec3().as_dvec3());
        }
    }
    let triangles: Vec<[u32; 3]> = (0..700).map(|i| [3 * i, 3 * i + 1, 3 * i + 2]).collect();
    let found = crossings(&points, &triangles);
    let at = |corner: u32| points[corner as usize];
    let mut known = Vec::new();
    for i in 0..700 {
        for j in i + 1..700 {
            let [p, q] = [i, j].map(|index: u32| triangles[index as usize]);
            let exact = apart(p.map(at), q.map(at));
            assert_eq!(cross((&points, &NO_FANS), p, q), exact);
            if exact {
                known.push([i, j]);
            }
        }
    }
    assert!(known.len() > 100, "{}", known.len());
    assert_eq!(found, known);
}

/// Random triangles round a corner and round an edge, many of them nearly in one plane.
#[test]
fn what_is_seen_at_a_glance_to_be_clear_is_clear() {
    let mut state = 7_u64;
    let mut next = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        f64::from((state >> 40) as f32 / 16_777_216.0) - 0.5
    };
    let mut seen = [0; 4];
    for round in 0..40_000 {
        let flat = [1.0, 1e-3, 1e-7, 0.0][round % 4];
        let p: [DVec3; 5] = std::array::from_fn(|_| {
            DVec3::new(next() + 300.0, next(), flat * next()).as_vec3().as_dvec3()
        });
        let [v, a, b, c, d] = p;
        let (one, other) = ([v, a, b], [v, c, d]);
        if parted(one, other) {
            assert!(!fan(one, other), "{p:?}");
            seen[0] += 1;
        } else {
            seen[1] += usize::from(fan(one, other));
        }
        let (one, other) = ([a, v, b], [c, b, v]);
        if unfolded(one, other) {
            assert!(!folded(one, other), "{p:?}");
            seen[2] += 1;
        } else {
            seen[3] += usize::from(folded(one, other));
        }
    }
    assert!(seen.iter().all(|count| *count > 1000), "{seen:?}");
}
