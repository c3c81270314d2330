//! Advice on how wide a head and its rim are: two keys at once, one more station, or all of them.

use super::advice::{Done, after, changed, cures, mm, planned, spoon};
use treenwright::finding::Source;
use treenwright::job::Order;
use treenwright::params::{Bowl, Design, Head, Station, Varying};

/// What a help tells to do with them, each done by itself.
pub fn done(help: &str, order: &Order, piece: usize) -> Vec<Done> {
    let mut all = Vec::new();
    let mut add = |what: &str, change: &dyn Fn(&mut Design)| {
        let mut order = order.clone();
        change(&mut order.designs[piece]);
        all.push((what.to_owned(), order));
    };
    if let Some((share, rest)) = after(help, "write widest = \"") {
        let wide = mm(rest, "width = \"").expect("a width");
        add("widest", &|design| match &mut design.head {
            Head::Bowl(bowl) => (bowl.widest, bowl.width) = (0.01 * share, wide),
            Head::Blade(blade) => (blade.widest, blade.width) = (0.01 * share, wide),
        });
    }
    if let Some((share, rest)) = after(help, "add { at = \"") {
        let station = Station { at: 0.01 * share, size: mm(rest, "size = \"").expect("a size") };
        add("outline", &|design| {
            let outline = match &mut design.head {
                Head::Bowl(bowl) => &mut bowl.outline,
                Head::Blade(blade) => &mut blade.outline,
            };
            outline.push(station);
            outline.sort_by(|a, b| a.at.total_cmp(&b.at));
        });
    }
    if let Some((percent, _)) = after(help, "every size in bowl.rim ") {
        add("every rim", &|design| {
            if let Head::Bowl(Bowl { rim: Varying::At(rims), .. }) = &mut design.head {
                rims.iter_mut().for_each(|(_, rim)| *rim = *rim * (1.0 + 0.01 * percent));
            }
        });
    }
    all
}

/// What was told to be written only moved the place where the head swells.
#[test]
fn a_head_that_swells_is_told_what_keeps_it_narrow() {
    let outline =
        "outline = [{ at = \"20 %\", size = \"48 mm\" }, { at = \"92 %\", size = \"24 mm\" }]";
    let design = changed(spoon(), "[bowl]", &format!("[bowl]\n{outline}"));
    let case = planned("a swelling head", &design, super::template(Source::Shop));
    cures(&case, "head-wider");
    let told = case.outcome.findings.iter().find(|finding| finding.code.name == "head-wider");
    let help = &told.expect("told").help;
    assert!(help.contains("write widest = ") && help.contains("add { at = "), "{help}");
}

/// Of a rim with stations only what else is much was told.
#[test]
fn a_wall_behind_a_narrow_tip_is_told_of_the_rim() {
    let (at, _) = spoon().match_indices("\nrim = ").next().expect("a rim");
    let line = spoon()[at + 1..].lines().next().expect("its line");
    let rims = "rim = [{ at = \"50 %\", size = \"3 mm\" }, { at = \"100 %\", size = \"1.6 mm\" }]";
    let design = changed(spoon(), line, rims);
    let case = planned("a narrow tip", &design, super::template(Source::Shop));
    cures(&case, "wall-too-thin");
    let told = case.outcome.findings.iter().find(|finding| finding.code.name == "wall-too-thin");
    let help = &told.expect("told").help;
    assert!(help.contains("every size in bowl.rim "), "{help}");
}
