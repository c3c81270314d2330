//! Tests of ink and paper.

use super::*;

#[test]
fn hatching_stays_inside_and_covers_the_area() {
    let mut ink = Ink::default();
    let square = [DVec2::ZERO, DVec2::new(40.0, 0.0), DVec2::splat(40.0), DVec2::new(0.0, 40.0)];
    ink.hatched(&square);
    let d = ink.marks.split('"').nth(1).expect("a path").to_owned();
    let mut long = 0.0;
    for line in d.split('M').skip(1) {
        let (from, to) = line.split_once('L').expect("a line");
        let point = |text: &str| {
            let (x, y) = text.split_once(' ').expect("two figures");
            DVec2::new(x.parse().expect("x"), y.parse().expect("y"))
        };
        let (from, to) = (point(from), point(to));
        for p in [from, to] {
            assert!(p.min_element() > -0.01 && p.max_element() < 40.01, "{p}");
        }
        let way = (to - from).normalize();
        assert!((way.x.abs() - way.y.abs()).abs() < 0.02 || from.distance(to) < 1.0);
        long += from.distance(to);
    }
    // Lines so far apart have this length on the area of the square, within one line's.
    assert!((long / (1600.0 / HATCH) - 1.0).abs() < 0.05, "{long}");
}

#[test]
fn words_are_escaped_and_keep_to_their_box() {
    let mut ink = Ink::default();
    ink.words(DVec2::ZERO, Anchor::Start, false, 3.0, "</svg><script>&\"");
    ink.words(DVec2::NAN, Anchor::Start, false, 3.0, "nowhere");
    let text = ink.done(DVec2::ONE, "\"><b>");
    assert!(!text.contains("<script") && !text.contains("<b>") && !text.contains("nowhere"));
    assert!(text.contains("textLength="));
}
