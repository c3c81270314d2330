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
