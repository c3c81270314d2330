//! Paths beside a path, at a constant distance, arcs kept as arcs.
//!
//! Promised: every point of a result is at the distance asked for from the path. Not promised:
//! a result at all. An offset inward by more than the path's inside leaves nothing, and a waist
//! narrower than twice the distance gives two paths.

use super::{ArcPath, SAME_POINT};
use crate::units::Length;
use cavalier_contours::polyline::{PlineOffsetOptions, PlineSource};

/// Pieces of a raw offset that are nearer to the path than the distance asked for, by more than
/// this in mm, are cut away. A tenth of a micrometre: under the fit, over rounding.
const TOO_NEAR: f64 = 1e-4;

/// The paths at a distance `by` from a closed path: outside it if positive, inside if negative,
/// whichever way it runs. Results run the way the path does. Outer corners are rounded.
pub fn offset(path: &ArcPath, by: Length) -> Vec<ArcPath> {
    if by == Length::ZERO {
        return vec![path.clone()];
    }
    let Some(polyline) = path.as_polyline().filter(|_| path.closed) else {
        return Vec::new();
    };
    if !by.as_mm().is_finite() {
        return Vec::new();
    }
    // The library counts to the left of travel, which is inward on a counter-clockwise path.
    let left = if path.signed_area() > 0.0 { -by.as_mm() } else { by.as_mm() };
    let options = PlineOffsetOptions {
        pos_equal_eps: SAME_POINT,
        offset_dist_eps: TOO_NEAR,
        ..Default::default()
    };
    polyline.parallel_offset_opt(left, &options).iter().map(ArcPath::from_polyline).collect()
}

/// Of the paths at that distance the one that encloses most; none when there is none.
pub fn largest(path: &ArcPath, by: Length) -> Option<ArcPath> {
    let area = |path: &ArcPath| path.signed_area().abs();
    offset(path, by).into_iter().max_by(|a, b| area(a).total_cmp(&area(b)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::outline::arcs::fit;
    use crate::shape::PlanCurve;
    use glam::DVec2;
    use std::f64::consts::{PI, TAU};
    use std::sync::Arc;

    /// Offset of a closed smooth curve: length L + 2 pi d, area A + L d + pi d^2; for the ellipse
    /// 50 / 35 checked against a densely sampled offset.
    ///
    /// Tolerance: a path that leaves the curve by at most e gives an offset that leaves the true
    /// offset by at most e. That changes the area by at most e times the length, and the length
    /// by at most e times a full turn.
    #[test]
    fn the_ellipse_grows_and_shrinks_by_its_formula() {
        let ellipse: Vec<PlanCurve> =
            vec![Arc::new(|t: f64| DVec2::new(50.0 * (TAU * t).cos(), 35.0 * (TAU * t).sin()))];
        for e in [0.005, 0.0002] {
            let path = fit(&ellipse, Length::mm(e)).path;
            for (by, length, area) in
                [(3.175, 289.067_562, 6_383.907_437), (-3.175, 249.169_336, 4_675.005_285)]
            {
                let beside = offset(&path, Length::mm(by));
                assert_eq!(beside.len(), 1);
                let beside = &beside[0];
                assert!(beside.closed && !beside.self_crosses());
                assert!((beside.length().as_mm() - length).abs() <= e * TAU);
                assert!((beside.signed_area() - area).abs() <= e * length);
                for segment in beside.segments() {
                    let apart = path.distance(segment.point_at(0.5)).as_mm();
                    assert!((apart - 3.175).abs() < 1e-4, "{apart}");
                }
                assert!(beside.vertices.iter().any(|v| v.bulge != 0.0));
            }
        }
    }

    #[test]
    fn outward_is_outward_whichever_way_the_path_runs() {
        let circle = ArcPath::circle(DVec2::new(7.0, 1.0), Length::mm(10.0));
        for path in [circle.reversed(), circle] {
            let grown = offset(&path, Length::mm(2.0));
            let sign = path.signed_area().signum();
            assert!((grown[0].signed_area() * sign - 144.0 * PI).abs() < 1e-9);
            assert!(offset(&path, Length::mm(-11.0)).is_empty());
        }
    }

    #[test]
    fn a_waist_parts_and_corners_are_rounded() {
        let corners = [
            (0.0, 0.0),
            (20.0, 0.0),
            (20.0, 8.0),
            (30.0, 8.0),
            (30.0, 0.0),
            (50.0, 0.0),
            (50.0, 20.0),
            (30.0, 20.0),
            (30.0, 12.0),
            (20.0, 12.0),
            (20.0, 20.0),
            (0.0, 20.0),
        ];
        let dumbbell = ArcPath::polygon(corners.map(DVec2::from));
        let inner = offset(&dumbbell, Length::mm(-3.0));
        assert_eq!(inner.len(), 2);
        // 14 x 14 each, and a little tongue into the waist between circles round its corners
        let tongue = 12.0 - 2.0 * 5.0_f64.sqrt() - 9.0 * (2.0_f64 / 3.0).asin();
        for part in &inner {
            assert!((part.signed_area() - 196.0 - tongue).abs() < 1e-6);
        }
        let square =
            ArcPath::polygon([(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0)].map(DVec2::from));
        let outer = offset(&square, Length::mm(2.0));
        assert!((outer[0].signed_area() - (81.0 + 72.0 + 4.0 * PI)).abs() < 1e-6);
        assert!(offset(&square, Length::mm(f64::NAN)).is_empty());
    }
}
