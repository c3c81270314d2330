//! The convex hull of places in the plan: Andrew's monotone chain (1979).

use glam::DVec2;

/// Corners that stand out by less, as the area of their triangle, twice, in mm², are none: a
/// nanometre on a metre.
const FLAT_MM2: f64 = 1e-9;

/// The hull, counter-clockwise.
pub fn hull(places: &[DVec2]) -> Vec<DVec2> {
    let mut sorted = places.to_vec();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    sorted.dedup();
    let mut under = lower(sorted.iter().copied());
    let mut over = lower(sorted.iter().rev().copied());
    // Each ends where the other begins.
    under.pop();
    over.pop();
    under.extend(over);
    under
}

/// The lower side of the hull of places that run along X, all of it; the upper one of places that
/// run back.
pub fn lower(places: impl IntoIterator<Item = DVec2>) -> Vec<DVec2> {
    let mut chain: Vec<DVec2> = Vec::new();
    for p in places {
        while let [.., a, b] = chain[..] {
            if (b - a).perp_dot(p - a) > FLAT_MM2 {
                break;
            }
            chain.pop();
        }
        chain.push(p);
    }
    chain
}

#[cfg(test)]
mod tests {
    use super::*;

    fn places(all: &[(f64, f64)]) -> Vec<DVec2> {
        all.iter().copied().map(DVec2::from).collect()
    }

    #[test]
    fn corners_are_kept_and_what_lies_inside_or_on_a_side_is_not() {
        let square = [(2.0, 2.0), (0.0, 0.0), (1.0, 1.0), (2.0, 0.0), (0.0, 2.0), (1.0, 0.0)];
        let known = places(&[(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]);
        assert_eq!(hull(&places(&square)), known);
        assert_eq!(hull(&places(&[(1.0, 1.0), (1.0, 1.0)])).len(), 0);
        assert!(hull(&places(&[(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)])).len() < 3, "no area");
        assert!(hull(&[]).is_empty());
    }

    #[test]
    fn a_profile_is_touched_from_below() {
        let profile = places(&[(0.0, 1.0), (50.0, 4.0), (100.0, 0.0), (120.0, 3.0)]);
        assert_eq!(lower(profile), places(&[(0.0, 1.0), (100.0, 0.0), (120.0, 3.0)]));
    }
}
