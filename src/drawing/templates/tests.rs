//! Tests of the templates.

use super::super::piece::tests::job;
use super::*;
use crate::params::Paper;
use crate::units::Length;

#[test]
fn every_place_of_the_plan_is_on_a_page_and_the_pages_agree() {
    for paper in [Paper::A4, Paper::Letter] {
        let mut job = job("fork", "beech");
        job.shop.paper = paper;
        let pages = pages::of(&job.mounted()[0]);
        assert!(pages.len() >= 3 && pages.len() <= 8, "{}", pages.len());
        let sides = paper.size().map(Length::as_mm);
        for page in &pages {
            let own = [page.size.min_element(), page.size.max_element()];
            assert_eq!(own, sides);
            let (low, high) = page.window;
            assert!(low.min_element() >= 10.0 && (page.size - high).min_element() >= 9.99);
        }
        // Each corner of the outline falls into the window of some page at least.
        let tiled: Vec<_> =
            pages.iter().filter(|page| page.tile.iter().any(|p| p.name == "outline")).collect();
        assert!(tiled.len() > 1);
        for (i, vertex) in job.pieces[0].outlines.body.vertices.iter().enumerate() {
            let seen = tiled.iter().any(|page| {
                let outline = page.tile.iter().find(|p| p.name == "outline").expect("it");
                let at = outline.paths[0].vertices[i].point;
                at.cmpge(page.window.0).all() && at.cmple(page.window.1).all()
            });
            assert!(seen, "{vertex:?}");
        }
    }
}

#[test]
fn the_same_job_gives_the_same_bytes_and_names_stay_text() {
    let mut job = job("spoon", "cherry");
    job.pieces[0].design.name = ") Tj ET /F 9 Tf (\u{202e}</svg><script>".to_owned();
    let (first, second) = (pdf(&job.mounted()[0]), pdf(&job.mounted()[0]));
    assert_eq!(first, second);
    let text = String::from_utf8_lossy(&first);
    assert!(!text.contains("() Tj ET"), "the bracket is escaped");
    assert!(!String::from_utf8_lossy(&svg(&job.mounted()[0])).contains("<script"));
}
