//! What holds of whole bodies.

use super::Body;
use crate::finding::Findings;
use crate::params::{Design, parse_design};
use crate::units::Length;
use glam::DVec2;

const CORNER: &str = include_str!("../../params/designs/corner-spoon.toml");

fn design(text: &str) -> Design {
    parse_design(text, &mut Findings::new()).expect("it has no fault").0
}

/// Both skins and the outline of the twin are those of the other, seen in a mirror; everywhere.
#[test]
fn a_twin_is_the_other_in_a_mirror() {
    let written = CORNER.replace("sway = [{", "sway = [{ at = \"0 %\", shift = \"2 mm\" }, {");
    let twin = written.replacen("kind = ", "mirror = true\nkind = ", 1);
    let [one, other] = [&written, &twin].map(|text| Body::new(&design(text)));
    assert!(one.across(Length::mm(280.0))[1] > 4.0 - one.across(Length::mm(280.0))[0]);
    for i in 1..400 {
        let x = one.length().as_mm() * f64::from(i) / 400.0;
        let [right, left] = one.across(Length::mm(x));
        let [twin_right, twin_left] = other.across(Length::mm(x));
        assert!((right + twin_left).abs() < 1e-9 && (left + twin_right).abs() < 1e-9, "{x}");
        // The line round a hollow of two sides is found from the left one's places; between them it is
        // nearer than any mesh.
        for j in 1..20 {
            let y = right + (left - right) * f64::from(j) / 20.0;
            let [p, q] = [DVec2::new(x, y), DVec2::new(x, -y)];
            assert!((one.top(p) - other.top(q)).abs() < 0.005, "{p}");
            // The back follows what is asked for along that line.
            assert!((one.bottom(p) - other.bottom(q)).abs() < 1e-6, "{p}");
        }
    }
}

/// How much a hollow's line bends has no jump where its own end meets the offset of the outline: an elliptic one's
/// radius went from 14 to 50 mm there.
#[test]
fn a_hollows_line_flows_past_its_widest_place() {
    const SPOON: &str = include_str!("../../params/designs/harvest-spoon.toml");
    const STEP: f64 = 0.1;
    for (fullness, widest) in [(2.0, 40.0), (2.0, 54.0), (2.3, 54.0), (3.0, 45.0)] {
        let asked =
            format!("[bowl]\nfullness = {fullness}\nwidest = \"{widest} %\"\nshoulder = \"30 %\"");
        let text: String = SPOON
            .lines()
            .filter(|line| {
                !["fullness", "widest", "shoulder"].iter().any(|key| line.starts_with(key))
            })
            .map(|line| format!("{line}\n"))
            .collect();
        let body = Body::new(&design(&text.replacen("[bowl]", &asked, 1)));
        let super::HeadSkins::Bowl(bowl) = &body.0.head else { panic!("a bowl") };
        let half = |x: f64| bowl.hollow_within(&body.0.plan, x).expect("a hollow")[1];
        let middle = body.widest_x().as_mm();
        let bends: Vec<f64> = (-30..=30)
            .map(|i| middle + STEP * f64::from(i))
            .map(|x| (half(x + STEP) - 2.0 * half(x) + half(x - STEP)) / (STEP * STEP))
            .collect();
        let jump = bends.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f64::max);
        // 0.04 for each mm of the one with the jump.
        assert!(jump < 0.008, "{jump} at fullness {fullness}, widest {widest} %");
    }
}
