//! Arcs against the true curve, measured by sampling that shares nothing with the fit.

use super::*;
use proptest::prelude::*;
use std::f64::consts::{PI, TAU};
use std::sync::Arc;

/// A loop as one piece.
fn whole(curve: impl Fn(f64) -> DVec2 + Send + Sync + 'static) -> Vec<PlanCurve> {
    vec![Arc::new(curve)]
}

fn ellipse(a: f64, b: f64) -> Vec<PlanCurve> {
    whole(move |t| DVec2::new(a * (TAU * t).cos(), b * (TAU * t).sin()))
}

/// A quarter of a superellipse at a time, by polar angle, so that it is regular at the ends.
fn superellipse(a: f64, b: f64, n: f64) -> Vec<PlanCurve> {
    (0..4)
        .map(|quarter| {
            let piece: PlanCurve = Arc::new(move |t: f64| {
                let (sin, cos) = (t * PI / 2.0).sin_cos();
                let reach = (cos.abs().powf(n) + sin.abs().powf(n)).powf(-1.0 / n);
                let p = DVec2::new(cos, sin) * reach;
                let turned = match quarter {
                    0 => p,
                    1 => DVec2::new(-p.y, p.x),
                    2 => -p,
                    _ => DVec2::new(p.y, -p.x),
                };
                DVec2::new(a * turned.x, b * turned.y)
            });
            piece
        })
        .collect()
}

/// Greatest distance both ways, from so many points of the curve and 40 of each arc, each against
/// the other.
fn measured(pieces: &[PlanCurve], path: &ArcPath, points: usize) -> f64 {
    let per = points / pieces.len();
    let curve: Vec<DVec2> = pieces
        .iter()
        .flat_map(|piece| (0..per).map(move |i| piece(i as f64 / per as f64)))
        .collect();
    let mut worst = curve.iter().map(|p| path.distance(*p).as_mm()).fold(0.0, f64::max);
    // walk along the path and the curve together: the nearest chord is never far from the last
    let mut at = 0;
    for segment in path.segments() {
        for k in 0..40 {
            let p = segment.point_at(f64::from(k) / 40.0);
            if k == 0 {
                at = (0..curve.len())
                    .min_by(|&i, &j| curve[i].distance(p).total_cmp(&curve[j].distance(p)))
                    .unwrap();
            }
            let n = curve.len();
            let chord =
                |i: usize| Segment { from: curve[i % n], to: curve[(i + 1) % n], bulge: 0.0 };
            while chord(at + 1).distance(p) < chord(at).distance(p) {
                at = (at + 1) % n;
            }
            let d = chord(at).distance(p).min(chord(at + n - 1).distance(p));
            worst = worst.max(d);
        }
    }
    worst
}

/// Greatest angle between neighbours in radians.
fn greatest_kink(path: &ArcPath) -> f64 {
    let all: Vec<Segment> = path.segments().collect();
    (0..all.len())
        .map(|i| {
            let next = all[(i + 1) % all.len()];
            all[i].end_direction().angle_to(next.start_direction()).abs()
        })
        .fold(0.0, f64::max)
}

fn sound(path: &ArcPath) {
    assert!(path.closed && path.signed_area() > 0.0);
    assert!(!path.self_crosses());
    for segment in path.segments() {
        assert!(segment.from.is_finite() && segment.bulge.abs() <= 1.0 + 1e-12);
        assert!(segment.from.distance(segment.to) > 1e-4);
    }
}

/// Area and perimeter: ellipse 50 / 35, complete elliptic integral, 5497.787144 and 269.118449.
#[test]
fn an_ellipse_takes_few_arcs_and_keeps_its_sizes() {
    let pieces = ellipse(50.0, 35.0);
    let fitted = fit(&pieces, ARC_FIT);
    sound(&fitted.path);
    assert!(fitted.error <= ARC_FIT);
    let error = measured(&pieces, &fitted.path, 20_000);
    assert!(error <= 0.005 + 1e-6, "{error}");
    assert!(fitted.path.vertices.len() <= 48, "{}", fitted.path.vertices.len());
    assert!(greatest_kink(&fitted.path) < 1e-5);
    // an error of e everywhere on one side would change the area by e times the perimeter and the
    // length by e times a full turn
    assert!((fitted.path.signed_area() - 5_497.787_144).abs() <= 0.005 * 269.118_449);
    assert!((fitted.path.length().as_mm() - 269.118_449).abs() <= 0.005 * TAU);
}

/// Superellipse area / (a b) = 4 Gamma(1 + 1/n)^2 / Gamma(1 + 2/n).
#[test]
fn superellipses_have_their_gamma_function_areas() {
    let table = [
        (2.0, PI),
        (2.3, 3.298_701_864),
        (2.5, 3.380_935_363),
        (3.0, 3.533_277_501),
        (4.0, 3.708_149_355),
    ];
    for (n, unit) in table {
        let (a, b) = (46.0, 33.0);
        let pieces = superellipse(a, b, n);
        for tolerance in [0.005, 0.0005] {
            let fitted = fit(&pieces, Length::mm(tolerance));
            sound(&fitted.path);
            let error = measured(&pieces, &fitted.path, 20_000);
            assert!(error <= tolerance + 1e-6, "n {n}: {error}");
            let slack = tolerance * fitted.path.length().as_mm();
            assert!((fitted.path.signed_area() - unit * a * b).abs() <= slack, "n {n}");
            assert!(greatest_kink(&fitted.path) < 1e-4, "{}", greatest_kink(&fitted.path));
        }
    }
}

/// Corners stay corners, straight runs become single lines, arcs single arcs.
#[test]
fn a_plank_with_one_round_end_is_three_lines_and_a_half_circle() {
    let line = |a: DVec2, b: DVec2| -> PlanCurve { Arc::new(move |t: f64| a.lerp(b, t)) };
    let at = DVec2::new;
    let round: PlanCurve = Arc::new(|t: f64| {
        let (sin, cos) = ((t - 0.5) * PI).sin_cos();
        DVec2::new(200.0 + 12.0 * cos, 12.0 * sin)
    });
    let pieces = vec![
        line(at(0.0, 12.0), at(0.0, -12.0)),
        line(at(0.0, -12.0), at(80.0, -12.0)),
        line(at(80.0, -12.0), at(200.0, -12.0)),
        round,
        line(at(200.0, 12.0), at(0.0, 12.0)),
    ];
    let fitted = fit(&pieces, ARC_FIT);
    sound(&fitted.path);
    let lines = fitted.path.vertices.iter().filter(|v| v.bulge == 0.0).count();
    assert_eq!(lines, 3, "{:?}", fitted.path);
    assert!(fitted.path.vertices.len() <= 6, "{:?}", fitted.path);
    assert!((fitted.path.signed_area() - (4800.0 + 72.0 * PI)).abs() < 0.01);
    let sharp = fitted.path.vertices.iter().map(|v| v.point.x).filter(|x| x.abs() < 1e-9).count();
    assert_eq!(sharp, 2);
}

/// A parameter that rushes off at the ends is still a smooth curve.
#[test]
fn the_parameter_does_not_matter() {
    let ease = |t: f64| ((t + 1e-4).sqrt() - 1e-2) / (1.0001_f64.sqrt() - 1e-2);
    let pieces = whole(move |t| {
        let angle = TAU * ease(t);
        DVec2::new(50.0 * angle.cos(), 35.0 * angle.sin())
    });
    let fitted = fit(&pieces, ARC_FIT);
    sound(&fitted.path);
    assert!(measured(&ellipse(50.0, 35.0), &fitted.path, 20_000) <= 0.005 + 1e-6);
    assert!(fitted.path.vertices.len() <= 50, "{}", fitted.path.vertices.len());
}

#[test]
fn a_clockwise_loop_is_turned_round() {
    let pieces = whole(|t| DVec2::new(50.0 * (TAU * t).cos(), -35.0 * (TAU * t).sin()));
    sound(&fit(&pieces, ARC_FIT).path);
}

#[test]
fn nonsense_gives_an_empty_path() {
    for pieces in [vec![], whole(|_| DVec2::NAN), whole(|_| DVec2::ONE), whole(|t| DVec2::X / t)] {
        let fitted = fit(&pieces, ARC_FIT);
        assert!(fitted.path.vertices.is_empty() && fitted.error.as_mm().is_infinite());
    }
    let fitted = fit(&ellipse(50.0, 35.0), Length::mm(f64::NAN));
    assert!(fitted.error.as_mm() < 1e-3);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..Default::default() })]

    /// Star-shaped smooth loops of all kinds, cut into pieces at odd places.
    #[test]
    fn any_smooth_loop_is_fitted(
        size in 8.0..300.0_f64,
        waves in prop::collection::vec((0.0..0.12_f64, 0.0..TAU), 1..6),
        squash in 0.2..1.0_f64,
        cuts in prop::collection::vec(0.02..1.0_f64, 1..7),
        tolerance in prop::sample::select(vec![0.002, 0.005, 0.02]),
    ) {
        let waves = Arc::new(waves);
        let total: f64 = cuts.iter().sum();
        let mut from = 0.0;
        let mut pieces: Vec<PlanCurve> = Vec::new();
        for cut in &cuts {
            let (start, share) = (from, cut / total);
            let waves = Arc::clone(&waves);
            pieces.push(Arc::new(move |t: f64| {
                let angle = TAU * (start + share * t);
                let mut reach = 1.0;
                for (k, (amount, phase)) in waves.iter().enumerate() {
                    let order = (k + 2) as f64;
                    reach += amount / order.sqrt() * (order * angle + phase).cos();
                }
                DVec2::new(angle.cos(), squash * angle.sin()) * size * reach
            }));
            from += share;
        }
        let fitted = fit(&pieces, Length::mm(tolerance));
        sound(&fitted.path);
        prop_assert!(fitted.error.as_mm() <= tolerance);
        let error = measured(&pieces, &fitted.path, 8_000);
        // The yardstick's own chords leave the curve a little: s^2 / 8R with s the spacing of
        // 8,000 points on a loop six times its size round and R no less than a hundredth of it.
        // The fit measures at samples, which miss the peak between them by some per cent.
        let chords = (6.0 * size / 8_000.0_f64).powi(2) / (8.0 * size / 100.0);
        prop_assert!(error <= tolerance * 1.04 + chords, "{error} of {tolerance}");
        prop_assert!(greatest_kink(&fitted.path) < 1e-3, "{}", greatest_kink(&fitted.path));
        prop_assert!(fitted.path.vertices.len() < 700);
    }

    /// What is beside a smooth loop keeps its distance, crosses nothing and stays arcs.
    #[test]
    fn offsets_of_any_smooth_loop_keep_their_distance(
        size in 20.0..200.0_f64,
        waves in prop::collection::vec((0.0..0.15_f64, 0.0..TAU), 1..6),
        by in prop::sample::select(vec![-6.35, -1.5, 0.8, 3.175, 12.0]),
    ) {
        let pieces = whole(move |t| {
            let angle = TAU * t;
            let mut reach = 1.0;
            for (k, (amount, phase)) in waves.iter().enumerate() {
                let order = (k + 2) as f64;
                reach += amount / order.sqrt() * (order * angle + phase).cos();
            }
            DVec2::new(angle.cos(), 0.6 * angle.sin()) * size * reach
        });
        let path = fit(&pieces, ARC_FIT).path;
        let beside = crate::outline::offset::offset(&path, Length::mm(by));
        prop_assert!(by < 0.0 || beside.len() == 1);
        for part in &beside {
            prop_assert!(part.closed && part.signed_area() > 0.0 && !part.self_crosses());
            for segment in part.segments() {
                for k in 0..8 {
                    let point = segment.point_at(f64::from(k) / 8.0);
                    let apart = path.distance(point).as_mm();
                    prop_assert!((apart - by.abs()).abs() < 2e-4, "{apart} for {by}");
                    prop_assert!(path.contains(point) == (by < 0.0));
                }
            }
        }
        // nothing is left out: no outline point has all of the offset further away than it must
        if by > 0.0 {
            prop_assert!(beside[0].signed_area() > path.signed_area());
        }
    }

    /// Jumps, cusps, loops, specks and giants: never a panic, and the error is owned up to.
    #[test]
    fn wild_curves_break_nothing(
        scale in prop::sample::select(vec![1e-6, 1e-3, 1.0, 1e3, 1e6]),
        points in prop::collection::vec((-1.0..1.0_f64, -1.0..1.0_f64), 1..12),
        jumps in any::<bool>(),
    ) {
        let count = points.len();
        let pieces: Vec<PlanCurve> = (0..count)
            .map(|i| {
                let (a, b) = (DVec2::from(points[i]), DVec2::from(points[(i + 1) % count]));
                let piece: PlanCurve = Arc::new(move |t: f64| {
                    let t = if jumps { (t * 3.0).floor() / 3.0 } else { t };
                    (a.lerp(b, t) + DVec2::new(t * (1.0 - t), 0.0)) * scale
                });
                piece
            })
            .collect();
        let fitted = fit(&pieces, ARC_FIT);
        for segment in fitted.path.segments() {
            prop_assert!(segment.from.is_finite() && segment.bulge.abs() <= 1.0);
            prop_assert!(segment.from != segment.to);
        }
        // A piece turns back at its sharpest within half the square of its height, which tangent
        // arcs can't follow when that is less than the fit itself.
        let height = |i: usize| (points[(i + 1) % count].1 - points[i].1).abs();
        if !jumps && scale == 1.0 && (0..count).all(|i| height(i) > 0.1) {
            prop_assert!(fitted.error <= ARC_FIT);
        }
        let _ = crate::outline::offset::offset(&fitted.path, Length::mm(3.0));
    }
}
