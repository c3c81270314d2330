use super::*;
use crate::finding::heard;
use std::f64::consts::TAU;

/// An ellipse of 50 and 20 with its end at x = 0.
fn ellipse() -> Vec<DVec2> {
    (0..400)
        .map(|i| {
            let a = TAU * f64::from(i) / 400.0;
            DVec2::new(50.0 + 50.0 * a.cos(), 20.0 * a.sin())
        })
        .collect()
}

/// 4 mm outside it.
fn edge() -> Vec<DVec2> {
    let ring = ellipse();
    let normal = |p: DVec2| DVec2::new((p.x - 50.0) / 2500.0, p.y / 400.0).normalize();
    ring.into_iter().map(|p| p + 4.0 * normal(p)).collect()
}

fn asked(places: &[(Side, f64)]) -> params::Tabs {
    params::Tabs {
        width: Length::mm(9.0),
        thickness: Length::mm(5.0),
        place: places.iter().map(|&(side, at)| TabPlace { side, at }).collect(),
        auto: None,
    }
}

fn run(places: &[(Side, f64)], slots: &[Vec<DVec2>]) -> (Vec<Tab>, Vec<&'static str>) {
    let stock = Stock::round(Length::mm(30.0), Length::mm(-10.0), Length::mm(10.0));
    let ground = TabGround {
        length: Length::mm(100.0),
        outline: &ellipse(),
        edge: &edge(),
        parting: &|p| p.x / 20.0,
        stock: &stock,
        skirt: Length::mm(4.0),
        slots,
        height: &|_| 9.0,
    };
    let (tabs, findings) = heard(|out| place_tabs(&asked(places), &ground, out));
    (tabs, findings.iter().map(|f| f.code.name).collect())
}

#[test]
fn a_tab_stands_square_to_an_ellipse() {
    let (tabs, codes) = run(&[(Side::Left, 0.75), (Side::Right, 0.3)], &[]);
    assert!(codes.is_empty(), "{codes:?}");
    // At x = 75: cos = 0.5, so y = 20 sin 60; the normal is (cos / a, sin / b).
    let (c, s) = (0.5, 0.75_f64.sqrt());
    assert!(tabs[0].foot.distance(DVec2::new(75.0, 20.0 * s)) < 0.01);
    let normal = DVec2::new(c / 50.0, s / 20.0).normalize();
    assert!(tabs[0].out.angle_to(normal).abs() < 0.001, "a twentieth of a degree");
    assert!((tabs[0].top.as_mm() - (75.0 / 20.0 + 2.5)).abs() < 1e-9);
    assert!((tabs[0].bottom.as_mm() - (75.0 / 20.0 - 2.5)).abs() < 1e-9);
    assert!(tabs[1].foot.y < 0.0 && tabs[1].out.y < 0.0);
}

#[test]
fn the_contour_spans_the_skirt_with_the_width_asked() {
    let (tabs, _) = run(&[(Side::Left, 0.5)], &[]);
    let bearing = tabs[0].stands_on(&ellipse(), Length::mm(4.0)).expect("on the side");
    let path = tab_contour(&tabs[0], bearing, Length::mm(4.0), &edge()).expect("to the edge");
    let p = corners(&path);
    assert!((p[0].distance(p[3]) - 9.0).abs() < 1e-9 && (p[1].distance(p[2]) - 9.0).abs() < 1e-9);
    assert!(p[1].y >= 24.0 - 1e-6 && p[0].y <= 20.0);
    let area: f64 = (0..4).map(|i| p[i].perp_dot(p[(i + 1) % 4]) / 2.0).sum();
    assert!(area > 9.0 * 4.0, "counter-clockwise and across the skirt: {area}");
}

#[test]
fn a_saw_line_is_clear_of_the_body_and_crosses_the_whole_tab() {
    let (tabs, _) = run(&[(Side::Left, 0.5), (Side::Right, 0.2)], &[]);
    for tab in &tabs {
        let line = saw_line(tab, &ellipse());
        assert!(!line.closed && (line.length().as_mm() - 15.0).abs() < 1e-9);
        let body = ArcPath::polygon(ellipse());
        for i in 0..=60 {
            let [a, b] = [line.vertices[0].point, line.vertices[1].point];
            let p = a.lerp(b, f64::from(i) / 60.0);
            assert!(!body.contains(p) && body.distance(p).as_mm() > 0.5, "at {p}");
        }
    }
}

#[test]
fn at_the_ends_there_is_no_side() {
    for at in [0.0, 0.004, 0.996, 1.0] {
        assert_eq!(run(&[(Side::Left, at)], &[]).1, ["tab-misses-body"], "at {at}");
    }
    for at in [0.1, 0.5, 0.9] {
        assert!(run(&[(Side::Left, at), (Side::Right, at)], &[]).1.is_empty(), "at {at}");
    }
}

#[test]
fn neighbours_that_touch_are_a_fault() {
    assert_eq!(run(&[(Side::Left, 0.5), (Side::Left, 0.58)], &[]).1, ["tabs-touch"]);
    assert!(run(&[(Side::Left, 0.4), (Side::Left, 0.6)], &[]).1.is_empty());
}

/// In a round notch the skirt's edge is further from a tab's sides than the skirt is wide, and so
/// far the tab goes.
#[test]
fn tabs_that_meet_at_the_edge_of_the_skirt_touch() {
    let arc = |x: f64, radius: f64, from: f64, to: f64| {
        let angle = move |i: i32| (from + (to - from) * f64::from(i) / 180.0).to_radians();
        (0..=180)
            .map(move |i| DVec2::new(x, 20.0) + radius * DVec2::new(angle(i).cos(), angle(i).sin()))
    };
    let around = |off: f64, notch: Vec<DVec2>| {
        let mut ring = vec![DVec2::new(200.0 + off, 20.0 + off)];
        ring.extend(notch.into_iter().rev());
        ring.extend(
            [(-off, 20.0 + off), (-off, -40.0 - off), (200.0 + off, -40.0 - off)].map(DVec2::from),
        );
        ring
    };
    // The notch is 30 in radius; 24 outside it, 6, between rounds of 24 about its two corners.
    let outline = around(0.0, arc(100.0, 30.0, 180.0, 360.0).collect());
    let corners = [arc(70.0, 24.0, 90.0, 0.0), arc(130.0, 24.0, 180.0, 90.0)];
    let [first, last] = corners.map(|corner| corner.collect::<Vec<_>>());
    let middle = arc(100.0, 6.0, 180.0, 360.0);
    let edge = around(24.0, first.into_iter().chain(middle).chain(last).collect());
    let stock = Stock::round(Length::mm(30.0), Length::mm(-10.0), Length::mm(10.0));
    let ground = TabGround {
        length: Length::mm(200.0),
        outline: &outline,
        edge: &edge,
        parting: &|_| 0.0,
        stock: &stock,
        skirt: Length::mm(24.0),
        slots: &[],
        height: &|_| 9.0,
    };
    let both = asked(&[(Side::Left, 0.4), (Side::Left, 0.6)]);
    let (tabs, findings) = heard(|out| place_tabs(&both, &ground, out));
    assert_eq!(findings.iter().map(|f| f.code.name).collect::<Vec<_>>(), ["tabs-touch"]);
    // Its sides, 4.5 off the middle line, end where 6 round the notch's middle does.
    let bearing = tabs[0].stands_on(&outline, ground.skirt).expect("on the notch");
    let ends = tabs[0].ends_at(&edge, bearing).expect("at the edge").map(Length::as_mm);
    let known = 30.0 - (6.0_f64.powi(2) - 4.5_f64.powi(2)).sqrt();
    assert!(ends.iter().all(|end| (end - known).abs() < 0.01), "{ends:?} {known}");
}

#[test]
fn a_face_of_the_stock_thins_a_tab() {
    let stock = Stock::round(Length::mm(6.0), Length::mm(-3.0), Length::mm(3.0));
    let ground = TabGround {
        length: Length::mm(100.0),
        outline: &ellipse(),
        edge: &edge(),
        parting: &|_| 1.0,
        stock: &stock,
        skirt: Length::mm(4.0),
        slots: &[],
        height: &|_| 9.0,
    };
    let (tabs, findings) = heard(|out| place_tabs(&asked(&[(Side::Left, 0.5)]), &ground, out));
    assert_eq!(findings.iter().map(|f| f.code).collect::<Vec<_>>(), [TAB_THINNED]);
    assert_eq!(tabs[0].top - tabs[0].bottom, Length::mm(4.5));
}

#[test]
fn tabs_thicker_than_the_stock_or_the_body_are_one_fault_that_says_what_would_do() {
    let said = |height: f64, thickness: f64| {
        let stock = Stock::round(Length::mm(4.2), Length::mm(-2.1), Length::mm(2.1));
        let ground = TabGround {
            length: Length::mm(100.0),
            outline: &ellipse(),
            edge: &edge(),
            parting: &|_| 0.0,
            stock: &stock,
            skirt: Length::mm(4.0),
            slots: &[],
            height: &|_| height,
        };
        let four = [(Side::Left, 0.3), (Side::Right, 0.3), (Side::Left, 0.7)];
        let asked = params::Tabs { thickness: Length::mm(thickness), ..asked(&four) };
        let (_, findings) = heard(|out| place_tabs(&asked, &ground, out));
        findings.into_iter().map(|f| (f.code.name, f.message, f.help)).collect::<Vec<_>>()
    };
    let stock = said(9.0, 5.0);
    assert!(stock.len() == 1 && stock[0].0 == "tab-too-thick", "{stock:?}");
    assert!(stock[0].1.contains("the stock is 4.2 mm"), "{stock:?}");
    let body = said(3.17, 4.0);
    assert!(body.len() == 1 && body[0].1.contains("tab 3"), "{body:?}");
    assert!(body[0].2.contains("Make tabs.thickness 3.1 mm"), "{body:?}");
    assert!(said(3.17, 3.1).is_empty() && said(9.0, 4.2).is_empty());
}

#[test]
fn a_tab_at_a_slot_is_a_caution() {
    let slot = vec![
        DVec2::new(60.0, 12.0),
        DVec2::new(120.0, 12.0),
        DVec2::new(120.0, 18.0),
        DVec2::new(60.0, 18.0),
    ];
    assert_eq!(run(&[(Side::Left, 0.85)], std::slice::from_ref(&slot)).1, ["tab-at-slot"]);
    assert!(run(&[(Side::Left, 0.3)], &[slot]).1.is_empty());
}
