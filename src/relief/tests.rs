//! The relief models of a stand-in body, judged by rays and by edge counts.

mod stand_in;

use super::*;
use proptest::prelude::*;
use stand_in::*;
use std::f64::consts::TAU;

#[test]
fn both_models_are_closed_and_fill_the_stock_down_to_its_far_face() {
    let case = case();
    audit(&case.body.mesh);
    for face in Face::BOTH {
        let (relief, said) = told(&case, face);
        let relief = relief.expect("the case is sound");
        audit(&relief.mesh);
        let z = relief.mesh.points.iter().map(|p| p.z);
        match face {
            Face::Top => assert_eq!(z.fold(f64::INFINITY, f64::min), case.stock.0),
            Face::Bottom => assert_eq!(z.fold(f64::NEG_INFINITY, f64::max), case.stock.1),
        }
        assert!(said.is_empty());
        assert_eq!(relief.raised, Length::ZERO);
    }
}

#[test]
fn the_two_setups_carve_the_body_and_its_tabs_and_nothing_else() {
    let case = case();
    let top = make(&case, Face::Top).expect("sound");
    let bottom = make(&case, Face::Bottom).expect("sound");
    let (body, top, bottom) =
        (Rays::new(&case.body.mesh), Rays::new(&top.mesh), Rays::new(&bottom.mesh));
    let rim: Vec<DVec2> =
        case.body.rim_top.iter().map(|i| case.body.mesh.points[*i as usize].truncate()).collect();
    let mut seen = [0; 3];
    for i in 0..430 {
        for j in 0..260 {
            // Odd steps, so that no ray goes through a corner.
            let p = DVec2::new(-15.0 + 0.5271 * f64::from(i), -50.0 + 0.4113 * f64::from(j));
            let (above, below) = (top.at(p), bottom.at(p));
            if from_ring(&rim, p) < 0.05 || from_ring(&case.edge, p) < 0.1 {
                continue;
            }
            if !inside(&case.edge, p) {
                assert!(above.is_empty() && below.is_empty(), "a model reaches too far, at {p}");
                continue;
            }
            assert_eq!((above.len(), below.len()), (2, 2), "at {p}");
            // The top model fills from the stock's underside, the bottom model from its top: what
            // is left is what both hold.
            let (high, low) = (above[1], below[0]);
            if inside(&rim, p) {
                let exact = body.at(p);
                assert_eq!(exact.len(), 2, "at {p}");
                let (up, down) = (high - exact[1], exact[0] - low);
                let near = case.tabs.iter().any(|tab| tab.foot.distance(p) < 4.5 + 6.0);
                if near {
                    // Lifted to the tab's height at most, never lowered.
                    assert!(up.min(down) > -1e-3, "cut into the body at {p}");
                    let past = |high: f64, tab: &Tab| high <= tab.top.as_mm() + 1e-6;
                    assert!(up < 1e-3 || case.tabs.iter().any(|tab| past(high, tab)), "at {p}");
                } else {
                    assert!(up.abs() < 1e-9 && down.abs() < 1e-9, "at {p}");
                }
                seen[0] += 1;
                continue;
            }
            let across = case.tabs.iter().map(|tab| {
                let from = p - tab.foot;
                let near = from.dot(tab.out).abs() < 12.0;
                if near { from.dot(tab.along()).abs() - 4.5 } else { 99.0 }
            });
            let beside = across.fold(f64::INFINITY, f64::min);
            if beside < -0.03 {
                let out = case.tabs.iter().map(|tab| (p - tab.foot).dot(tab.out));
                let out = out.filter(|out| out.abs() < 6.0).fold(f64::NAN, f64::max);
                // Whole everywhere, and flat between its fillets.
                assert!(high - low > 5.0 - 1e-3, "tab of {} at {p}", high - low);
                let flat = (1.7..2.1).contains(&out);
                assert!(!flat || high - low < 5.05, "tab of {} at {p}", high - low);
                seen[1] += 1;
            } else if beside > 0.03 {
                let gap = low - high;
                assert!(
                    (gap - (case.ball + 1.0)).abs() < 0.05,
                    "gap of {gap} mm in the skirt at {p}"
                );
                seen[2] += 1;
            }
        }
    }
    assert!(seen[0] > 30_000 && seen[1] > 600 && seen[2] > 5_000, "{seen:?}");
}

#[test]
fn the_floor_lies_a_ball_radius_and_the_overlap_under_the_parting_line() {
    let case = case();
    let top = make(&case, Face::Top).expect("sound");
    let rays = Rays::new(&top.mesh);
    for step in 0..200 {
        let angle = TAU * (f64::from(step) + 0.37) / 200.0;
        if TAB_ANGLES.iter().any(|tab| (tab - angle).abs() < 0.3) {
            continue;
        }
        let way = plan_at(angle + 1e-6) - plan_at(angle - 1e-6);
        let p = plan_at(angle) - way.normalize().perp() * 0.1;
        let floor = *rays.at(p).last().expect("in the skirt");
        let expected = parting(plan_at(angle)) - 0.5 - case.ball / 2.0;
        assert!((floor - expected).abs() < 0.03, "{floor} for {expected} at {p}");
    }
}

#[test]
fn a_floor_that_would_break_through_stops_short_and_a_ridge_is_told() {
    let mut case = case();
    case.ball = 9.0;
    case.edge = grown(skirt_width(Length::mm(9.0)).as_mm());
    case.stock.0 = -7.7;
    let relief = make(&case, Face::Top).expect("still made");
    audit(&relief.mesh);
    let floor_least = Rays::new(&relief.mesh);
    let mut least = f64::INFINITY;
    for step in 0..400 {
        let angle = TAU * (f64::from(step) + 0.37) / 400.0;
        let way = plan_at(angle + 1e-6) - plan_at(angle - 1e-6);
        let p = plan_at(angle) - way.normalize().perp() * 0.1;
        least = least.min(*floor_least.at(p).last().expect("in the skirt"));
    }
    assert!((least - (-7.7 + 0.5)).abs() < 1e-3, "{least}");
    // Parting line: about -2.6 at the lowest. Wanted 2.6 + 0.5 + 4.5 = 7.6 deep.
    assert!(relief.raised.as_mm() > 0.1 && relief.raised.as_mm() < 1.0, "{}", relief.raised);
    assert_eq!(relief.ridge, Length::ZERO, "the overlaps make up for it");
    case.stock.0 = -6.6;
    let (relief, said) = told(&case, Face::Top);
    assert!(relief.expect("still made").ridge > Length::ZERO);
    assert_eq!(said.iter().map(|f| f.code).collect::<Vec<_>>(), [SKIRT_RIDGE]);
}

/// Carved on a grid by the finishing ball itself: it reaches all of a tab's foot, and what it
/// leaves has no step. Code of its own, on heights that rays give.
#[test]
fn the_ball_reaches_a_tabs_foot_and_leaves_no_step() {
    let case = case();
    let radius = case.ball / 2.0;
    const CELL: f64 = 0.1;
    for face in Face::BOTH {
        let relief = make(&case, face).expect("sound");
        let rays = Rays::new(&relief.mesh);
        for tab in &case.tabs {
            let (wide, tall) = (121, 141);
            let place = |column: usize, row: usize| {
                let a = CELL * (column as f64 - 60.0) + 1e-5;
                let s = CELL * (row as f64 - 80.0) + 1e-5;
                tab.foot + tab.along() * a + tab.out * s
            };
            let height = |p: DVec2| {
                let all = rays.at(p);
                let z = match face {
                    Face::Top => all.last().copied(),
                    Face::Bottom => all.first().map(|z| -z),
                };
                // The frame past the skirt.
                z.unwrap_or(match face {
                    Face::Top => case.stock.1,
                    Face::Bottom => -case.stock.0,
                })
            };
            let model: Vec<f64> =
                (0..wide * tall).map(|i| height(place(i % wide, i / wide))).collect();
            let reach = (radius / CELL) as isize;
            let ball: Vec<(isize, isize, f64)> = (-reach..=reach)
                .flat_map(|y| (-reach..=reach).map(move |x| (x, y)))
                .filter_map(|(x, y)| {
                    let far = CELL * CELL * (x * x + y * y) as f64;
                    (far <= radius * radius)
                        .then(|| (x, y, radius - (radius * radius - far).sqrt()))
                })
                .collect();
            let over = |map: &[f64], i: usize, f: &dyn Fn(f64, f64, f64) -> f64, start: f64| {
                let (column, row) = ((i % wide) as isize, (i / wide) as isize);
                ball.iter().fold(start, |best, (x, y, rise)| {
                    let (c, r) = (column + x, row + y);
                    let on = c >= 0 && r >= 0 && c < wide as isize && r < tall as isize;
                    if on { f(best, map[r as usize * wide + c as usize], *rise) } else { best }
                })
            };
            let tips: Vec<f64> = (0..model.len())
                .map(|i| over(&model, i, &|b, z, rise| b.max(z - rise), f64::NEG_INFINITY))
                .collect();
            let left: Vec<f64> = (0..model.len())
                .map(|i| over(&tips, i, &|b, z, rise| b.min(z + rise), f64::INFINITY))
                .collect();
            let mut worst: f64 = 0.0;
            let mut step: f64 = 0.0;
            // In the middle of the tab, from well inside the body to just before the frame.
            for row in 35..80 + 38 {
                for column in 45..76 {
                    let i = row * wide + column;
                    worst = worst.max(left[i] - model[i]);
                    assert!(left[i] > model[i] - 1e-9, "it never digs");
                    step = step.max((left[i + wide] - left[i]).abs());
                }
            }
            assert!(worst < 0.05, "{face:?}: {worst} mm left at {}", tab.foot);
            assert!(step < 0.45, "{face:?}: a step of {step} mm in {CELL} at {}", tab.foot);
        }
    }
}

#[test]
fn touching_tabs_and_tabs_beside_the_body_are_faults_not_panics() {
    let mut case = case();
    case.tabs.push(tab_at(TAB_ANGLES[0] + 0.05));
    assert_eq!(make(&case, Face::Top).unwrap_err().code, RELIEF_NOT_MADE);
    case.tabs.pop();
    case.tabs[0].foot.x += 400.0;
    assert_eq!(make(&case, Face::Bottom).unwrap_err().code, RELIEF_NOT_MADE);
    case.tabs[0] = Tab { foot: DVec2::NAN, ..case.tabs[1] };
    assert!(make(&case, Face::Top).is_err());
    case.tabs.truncate(0);
    case.edge.clear();
    assert!(make(&case, Face::Top).is_err());
}

#[test]
fn a_tab_may_stand_anywhere_round_the_body() {
    for step in 0..180 {
        let angle = TAU * f64::from(step) / 180.0 + 0.003;
        let tabs = vec![tab_at(angle)];
        let case = Case { tabs, ..case() };
        for face in Face::BOTH {
            let relief = make(&case, face).unwrap_or_else(|f| panic!("{angle}: {}", f.message));
            audit(&relief.mesh);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]
    /// Whatever the tabs, the ball and the stock: a closed model, or a fault.
    #[test]
    fn a_model_is_closed_or_refused(
        angles in prop::collection::vec(0.0..TAU, 0..6),
        width in 0.5..25.0f64,
        thickness in 0.3..12.0f64,
        ball in 0.5..14.0f64,
        overlap in 0.0..2.0f64,
        bottom in -12.0..-4.5f64,
        top in 5.0..15.0f64,
    ) {
        let tabs = angles
            .iter()
            .map(|angle| {
                let tab = tab_at(*angle);
                let middle = parting(tab.foot);
                Tab {
                    width: Length::mm(width),
                    bottom: Length::mm(middle - thickness / 2.0),
                    top: Length::mm(middle + thickness / 2.0),
                    ..tab
                }
            })
            .collect::<Vec<_>>();
        let edge = grown(skirt_width(Length::mm(ball)).as_mm());
        let case = Case { body: body(), tabs, edge, ball, overlap, stock: (bottom, top) };
        for face in Face::BOTH {
            match make(&case, face) {
                Ok(relief) => drop(audit(&relief.mesh)),
                Err(finding) => {
                    // One tab or none, and wood enough: nothing to refuse.
                    prop_assert!(angles.len() > 1 || width > 12.0 || bottom > -6.0 || top < 9.0, "{}", finding.message);
                }
            }
        }
    }
}
