//! Bodies are sound, or refused by a rule that says what to change: over designs that once were
//! neither (`tests/sound/*.toml`, each named after its failure), and over random ones whose sizes
//! lie at, near and past the limits of their keys.
//!
//! `PROPTEST_CASES` sets how many random ones are tried, three quarters of them at the coarsest
//! tolerance and a quarter at the usual one; 2,000 when it is not set.

mod random;

use proptest::prelude::*;
use std::fs;
use std::path::Path;
use treenwright::finding::Findings;
use treenwright::mesh;
use treenwright::outline::{arcs, openings, slots};
use treenwright::params::{self, Design, Head};
use treenwright::shape::Body;
use treenwright::units::Length;

/// What comes of a design: the codes of its faults, or what is wrong with its mesh, or `sound`.
fn outcome(text: &str, tolerance: f64) -> String {
    let mut findings = Findings::new();
    let Some((design, _)) = params::parse_design(text, &mut findings) else {
        let codes: Vec<&str> = findings.iter().map(|finding| finding.code.name).collect();
        return codes.join(" ");
    };
    let body = Body::new(&design);
    if let Some(fault) = body.trouble() {
        return fault.code.name.to_owned();
    }
    let made = mesh::tessellate(&body, &body.lattice(), Length::mm(tolerance));
    if made.error.as_mm() > tolerance {
        return format!("the mesh strays by {}", made.error);
    }
    if let Some(trouble) = mesh::audit(&made.mesh).trouble() {
        return format!("the mesh {trouble}");
    }
    let opened = opened(&design, &body, &made);
    if opened.starts_with("the mesh") { opened } else { slotted(&design, &body, &made) }
}

/// What comes of its openings, where they lie in the wood and apart from each other.
fn opened(design: &Design, body: &Body, made: &mesh::BodyMesh) -> String {
    let outline = arcs::fit(&body.outline(), arcs::ARC_FIT).path;
    let cut = openings::openings(&design.opening);
    if openings::wood(&outline, &cut, &[]).iter().any(|wood| wood.least <= Length::ZERO) {
        return "opening-astray".to_owned();
    }
    let lines: Vec<_> = cut.iter().map(|path| path.to_polyline(Length::mm(0.01))).collect();
    match mesh::cut_through(made, &lines) {
        Ok(cut) => mesh::audit(&cut).trouble().map_or_else(
            || "sound".to_owned(),
            |trouble| format!("the mesh with its openings {trouble}"),
        ),
        Err(_) => "the mesh can't be cut for its openings".to_owned(),
    }
}

/// What comes of a fork's slots, cut by a cutter that goes into them.
fn slotted(design: &Design, body: &Body, made: &mesh::BodyMesh) -> String {
    let (Some(tines), Head::Bowl(bowl)) = (&design.tines, &design.head) else {
        return "sound".to_owned();
    };
    let outline = arcs::fit(&body.outline(), arcs::ARC_FIT).path;
    // Thinner cutters for wood are hardly made.
    let cutter = Length::mm(1.0);
    if tines.slot.width < cutter {
        return "slot-too-narrow".to_owned();
    }
    let cut = slots::slots(&outline, body.length(), bowl.length, bowl.width, tines, cutter);
    // A rule asks for tines of some width, and wants the figure.
    if slots::measure(&outline, body.length(), tines, &cut).is_none() {
        return "no tines".to_owned();
    }
    let lines: Vec<_> = cut.iter().map(|slot| slot.to_polyline(Length::mm(0.01))).collect();
    match mesh::cut_through(made, &lines) {
        Ok(cut) => mesh::audit(&cut).trouble().map_or_else(
            || "sound".to_owned(),
            |trouble| format!("the mesh with its slots {trouble}"),
        ),
        Err(_) => "the mesh can't be cut".to_owned(),
    }
}

#[test]
fn what_was_accepted_and_came_out_unsound_is_sound_or_refused() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/sound");
    let mut paths: Vec<_> = fs::read_dir(folder)
        .expect("tests/sound is there")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    paths.sort();
    assert!(paths.len() >= 10);
    for path in paths {
        let text = fs::read_to_string(&path).expect("a file");
        let expected = text.lines().find_map(|line| line.strip_prefix("# expect: "));
        for tolerance in [0.1, 0.02] {
            assert_eq!(Some(outcome(&text, tolerance).as_str()), expected, "{}", path.display());
        }
    }
}

/// So many of the random designs.
fn cases(share: f64) -> ProptestConfig {
    let asked = std::env::var("PROPTEST_CASES").ok().and_then(|text| text.parse().ok());
    ProptestConfig {
        cases: (share * asked.unwrap_or(2000.0)).ceil() as u32,
        failure_persistence: None,
        max_shrink_iters: 200,
        ..ProptestConfig::default()
    }
}

// Two tests, which run at once.
proptest! {
    #![proptest_config(cases(0.75))]

    #[test]
    fn a_body_at_its_limits_is_sound_or_refused(text in random::text()) {
        let outcome = outcome(&text, 0.1);
        prop_assert!(!outcome.starts_with("the mesh"), "{outcome}\n{text}");
    }
}

proptest! {
    #![proptest_config(cases(0.25))]

    #[test]
    fn a_finer_body_at_its_limits_is_sound_or_refused(text in random::text()) {
        let outcome = outcome(&text, 0.02);
        prop_assert!(!outcome.starts_with("the mesh"), "{outcome}\n{text}");
    }
}
