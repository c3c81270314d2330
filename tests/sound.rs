//! Bodies are sound, or refused by a rule that says what to change: over designs that once were
//! neither (`tests/sound/*.toml`, each named after its failure), and over random ones whose sizes
//! lie at, near and past the limits of their keys.
//!
//! `PROPTEST_CASES` sets how many random ones are tried, at the coarsest tolerance and at the usual
//! one; 500 when it is not set.

mod random;

use proptest::prelude::*;
use std::fs;
use std::path::Path;
use treenwright::finding::Findings;
use treenwright::mesh;
use treenwright::params;
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
    let trouble = mesh::audit(&made.mesh).trouble();
    trouble.map_or_else(|| "sound".to_owned(), |trouble| format!("the mesh {trouble}"))
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

fn cases() -> ProptestConfig {
    let asked = std::env::var("PROPTEST_CASES").ok().and_then(|text| text.parse().ok());
    ProptestConfig {
        cases: asked.unwrap_or(500),
        failure_persistence: None,
        max_shrink_iters: 200,
        ..ProptestConfig::default()
    }
}

proptest! {
    #![proptest_config(cases())]

    #[test]
    fn a_body_at_its_limits_is_sound_or_refused(text in random::text(), fine in any::<bool>()) {
        let outcome = outcome(&text, if fine { 0.02 } else { 0.1 });
        prop_assert!(!outcome.starts_with("the mesh"), "{outcome}\n{text}");
    }
}
