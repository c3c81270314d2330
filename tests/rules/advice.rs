//! What a help says with a number cures: for each file of the suite each number is put into the
//! design, the board or the shop as a maker would, the job is planned again, and the finding is
//! gone.

use super::{Case, cases};
use std::collections::BTreeSet;
use treenwright::finding::{Finding, Findings, Source};
use treenwright::fit;
use treenwright::job::{self, Order};
use treenwright::params::{Bound, CutterForm, Dimension, Head, Varying, dimension};
use treenwright::units::{Angle, Length};

/// Codes whose help has figures that are not a change to be made: an angle to run passes at, names
/// of cutters, an area to sand, minutes.
const NO_CURE: [&str; 4] = ["chip-out", "cutter-absent", "long-job", "no-position"];

/// A figure of a text after some words, and what stands behind it.
pub fn after<'t>(text: &'t str, words: &str) -> Option<(f64, &'t str)> {
    let rest = &text[text.find(words)? + words.len()..];
    let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
    let figure = rest[..end].trim_end_matches('.');
    Some((figure.parse().ok()?, rest[figure.len()..].trim_start()))
}

pub fn mm(text: &str, words: &str) -> Option<Length> {
    let (figure, unit) = after(text, words)?;
    unit.starts_with("mm").then_some(Length::mm(figure))
}

/// A job with one advice done.
pub type Done = (String, Order);

/// What an advice says the tabs must be thinned to, besides.
fn thinner(help: &str) -> Option<Length> {
    mm(help, ", with tabs.thickness ")
}

fn thin_tabs(order: &mut Order, piece: usize, to: Option<Length>) {
    if let Some(to) = to {
        order.designs[piece].tabs.thickness = to;
    }
}

/// Everything that a help tells to do with a number, each done by itself.
fn done(case: &Case, finding: &Finding) -> Vec<Done> {
    let (help, order) = (finding.help.as_str(), &case.order);
    let piece = finding.piece.unwrap_or_default();
    let mut all: Vec<Done> = Vec::new();
    let mut add = |what: &str, change: &dyn Fn(&mut Order)| {
        let mut order = order.clone();
        change(&mut order);
        all.push((what.to_owned(), order));
    };
    // A key of the design and the size that it should have.
    for (at, _) in help.match_indices(|c: char| c.is_ascii_lowercase()) {
        let whole = at == 0 || help[..at].ends_with([' ', '"', '(']);
        // Told with another change, and done with it.
        let whole = whole && !help[..at].ends_with(", with ");
        let key = help[at..].split([' ', '"', ',']).next().unwrap_or_default();
        let mut design = order.designs[piece].clone();
        let Some(Dimension::Length(_)) = dimension(&mut design, key).filter(|_| whole) else {
            continue;
        };
        let Some(size) = mm(&help[at..], &format!("{key} ")) else { continue };
        add(key, &|order| {
            if let Some(Dimension::Length(length)) = dimension(&mut order.designs[piece], key) {
                *length = size;
            }
        });
    }
    if help.contains("neither does by itself") {
        // All at once.
        let mut both = order.clone();
        for (key, order) in &all {
            let mut changed = order.designs[piece].clone();
            if let (Some(Dimension::Length(to)), Some(Dimension::Length(length))) =
                (dimension(&mut changed, key), dimension(&mut both.designs[piece], key))
            {
                *length = *to;
            }
        }
        return vec![("both".to_owned(), both)];
    }
    let mut add = |what: &str, change: &dyn Fn(&mut Order)| {
        let mut order = order.clone();
        change(&mut order);
        all.push((what.to_owned(), order));
    };
    if let Some((percent, _)) = after(help, "every size of handle.thickness ") {
        add("handle.thickness", &|order| {
            for station in &mut order.designs[piece].handle.thickness {
                station.size = station.size * (1.0 + 0.01 * percent);
            }
        });
    }
    if let Some((count, _)) = after(help, "tines.count ") {
        add("tines.count", &|order| {
            order.designs[piece].tines.as_mut().expect("a fork").count = count as u32;
        });
    }
    for (at, _) in help.match_indices("give \"") {
        let mut words = help[at + 6..].split('"');
        let (key, rest) = (words.next().unwrap_or_default(), words.next().unwrap_or_default());
        let (figure, unit) = after(rest, " to ").expect("the limit that would do");
        let bound = match unit.starts_with('%') {
            true => Bound::Fraction(0.01 * figure),
            false => Bound::Length(Length::mm(figure)),
        };
        let (from, _) = after(rest, " from ").expect("the limit as it is");
        let besides = thinner(rest.split(". Or let ").next().unwrap_or_default());
        add(&format!("give {key}"), &|order| {
            thin_tabs(order, piece, besides);
            let give = &mut order.designs[piece].give;
            let give = give.iter_mut().find(|give| give.key == key).expect("a give");
            *(if figure < from { &mut give.least } else { &mut give.most }) = bound;
        });
    }
    if let Some(reads) = mm(help, "A board that reads ") {
        let besides = thinner(help.split(". ").find(|part| part.contains("reads")).unwrap_or(""));
        add("reading", &|order| {
            thin_tabs(order, piece, besides);
            order.board.readings.iter_mut().for_each(|reading| reading.thickness = reads);
        });
    }
    for words in ["Plane off ", "Resaw the board so that "] {
        if let Some(off) = mm(help, words) {
            add(words, &|order| {
                let thinner = |thickness: Length| thickness - off;
                let readings = order.board.readings.iter_mut();
                readings.for_each(|reading| reading.thickness = thinner(reading.thickness));
            });
        }
    }
    if let Some(skim) = mm(help, "Skim at least ") {
        add("skim", &|order| order.board.skim_top = skim - order.board.skim_bottom);
    }
    if help.starts_with("Use a board ") {
        // Longer and wider at once.
        let more = [" mm longer", " mm wider"].map(|words| {
            let figure = help[..help.find(words)?].rsplit(' ').next()?;
            figure.parse().ok().map(Length::mm)
        });
        add("a larger board", &|order| {
            let Order { board, .. } = order;
            for (size, more) in [&mut board.length, &mut board.width].into_iter().zip(more) {
                *size = *size + more.unwrap_or(Length::ZERO);
            }
        });
    }
    if let Some(rim) = mm(help, "Write rim = \"") {
        add("bowl.rim", &|order| {
            if let Head::Bowl(bowl) = &mut order.designs[piece].head {
                bowl.rim = Varying::Even(rim);
            }
        });
    }
    if let Some(chamfer) = mm(help, "Write chamfer = \"") {
        add("handle.facets.chamfer", &|order| {
            let facets = order.designs[piece].handle.facets.as_mut();
            facets.expect("flats").chamfer = Some(chamfer);
        });
    }
    if let Some(flute) = mm(help, " whose cutting edges are ") {
        let key = finding.place.as_ref().map(|place| place.key.as_str()).unwrap_or_default();
        let (index, _) = after(key, "cutter[").expect("which cutter");
        add("flute", &|order| order.shop.cutters[index as usize].flute = flute);
    }
    if let Some((share, _)) = after(help, "Write deepest = \"") {
        add("bowl.deepest", &|order| {
            if let Head::Bowl(bowl) = &mut order.designs[piece].head {
                bowl.deepest = Some(0.01 * share);
            }
        });
    }
    if let Some(wide) = mm(help, "Write width = \"") {
        add("width", &|order| {
            for opening in &mut order.designs[piece].opening {
                opening.width = opening.width.max(wide);
            }
        });
    }
    if let Some(thick) = mm(help, "Make hold_down.lip_thickness ") {
        add("lip_thickness", &|order| order.shop.hold_down.lip_thickness = thick);
    }
    if let Some(lip) = mm(help, "Write lip = \"") {
        add("lip", &|order| order.shop.hold_down.lip = lip);
    }
    if let Some(deep) = mm(help, "Make pin.depth ") {
        add("pin.depth", &|order| order.shop.bed.pin.depth = deep);
    }
    if let Some(further) = mm(help, "stick out ") {
        let key = finding.place.as_ref().map(|place| place.key.as_str()).unwrap_or_default();
        let (index, _) = after(key, "cutter[").expect("which cutter");
        add("stick_out", &|order| {
            let cutter = &mut order.shop.cutters[index as usize];
            cutter.stick_out = cutter.stick_out + further;
        });
    }
    if let Some(depth) = mm(help, "pass_depth = \"") {
        add("pass_depth", &|order| {
            let deep = |cutter: &&mut treenwright::params::Cutter| cutter.pass_depth.is_some();
            order.shop.cutters.iter_mut().filter(deep).for_each(|c| c.pass_depth = Some(depth));
        });
    }
    if let Some(leave) = mm(help, "Write leave = \"") {
        add("leave", &|order| order.shop.work.leave = leave);
    }
    if let Some(safe) = mm(help, "Write safe = \"") {
        add("safe", &|order| order.shop.bed.safe = Some(safe));
    }
    if let Some(thick) = mm(help, "Add a flat cutter of ") {
        add("a cutter", &|order| {
            let flat = order.shop.cutters.iter().find(|cutter| cutter.form == CutterForm::Flat);
            let mut cutter = flat.expect("a flat cutter").clone();
            (cutter.name, cutter.diameter) = ("another".to_owned(), thick);
            order.shop.cutters.push(cutter);
        });
    }
    let finish = order.shop.work.finish.as_str();
    if let Some(step) = mm(help, "Use a step-over of ") {
        add("step_over", &|order| {
            let cutter = order.shop.cutters.iter_mut().find(|cutter| cutter.name == finish);
            cutter.expect("the finishing cutter").step_over = Some(step);
        });
    }
    if let Some(thick) = mm(help, "One of ") {
        add("a ball", &|order| {
            let cutter = order.shop.cutters.iter_mut().find(|cutter| cutter.name == finish);
            cutter.expect("the finishing cutter").diameter = thick;
        });
    }
    if let Some(depth) = mm(help, "a bowl.depth of ") {
        add("bowl.depth", &|order| {
            if let Some(Dimension::Length(length)) =
                dimension(&mut order.designs[piece], "bowl.depth")
            {
                *length = depth;
            }
        });
    }
    if let Some((percent, _)) = after(help, "a handle.curve with ") {
        add("handle.curve", &|order| {
            for station in &mut order.designs[piece].handle.curve {
                station.size = station.size * (0.01 * percent);
            }
        });
    }
    all.extend(super::widths::done(help, order, piece));
    all
}

/// What is still wrong after an advice was followed.
fn still(case: &Case, finding: &Finding, (what, order): &Done) -> Option<String> {
    let outcome = job::plan(order);
    let same = |other: &&Finding| {
        let key = |finding: &Finding| finding.place.as_ref().map(|place| place.key.clone());
        other.code == finding.code && other.piece == finding.piece && key(other) == key(finding)
    };
    let left = outcome.findings.iter().find(same);
    let left =
        left.map(|left| format!("{}: {what}: {}: {}", case.stem, finding.help, left.message));
    left.or_else(|| {
        // What does away with a fault in one file must not make one in another.
        let before = |code| case.outcome.findings.iter().any(|old| old.code == code);
        let new = outcome
            .findings
            .iter()
            .find(|new| new.severity == treenwright::finding::Severity::Fault && !before(new.code));
        new.map(|new| format!("{}: {what}: {}: now {}", case.stem, finding.help, new.message))
    })
}

/// A piece that is turned on the board as the help says, against the grain there.
fn turned(case: &Case, finding: &Finding) -> bool {
    let (degrees, rest) = after(&finding.help, "Turn the piece by ").expect("a turn");
    let way = if rest.starts_with("deg to the left") { 1.0 } else { -1.0 };
    let job = case.outcome.job.as_ref().expect("a job");
    let mounted = job.mounted()[finding.piece.unwrap_or_default()];
    let (design, mut place) = (&mounted.piece.design, *mounted.placement);
    let middle = glam::DVec2::new(0.5 * design.length.as_mm(), 0.0);
    let before = place.on_board(middle);
    place.angle = Angle::degrees(place.angle.as_degrees() + way * degrees);
    place.origin += before - place.on_board(middle);
    let mut said = Findings::new();
    fit::short_grain(design, &job.board, &place, &mut said);
    said.is_empty()
}

#[test]
fn what_a_help_says_with_a_number_takes_the_finding_away() {
    let (mut wrong, mut followed) = (Vec::new(), BTreeSet::new());
    for case in cases() {
        // Each file's own finding: others come with it in other files.
        let own = case.outcome.findings.iter().filter(|finding| finding.code.name == case.stem);
        for finding in own {
            let name = finding.code.name;
            if finding.help.contains("Turn the piece by ") {
                followed.insert(name);
                if !turned(case, finding) {
                    wrong.push(format!("{}: {}", case.stem, finding.help));
                }
                continue;
            }
            let all = done(case, finding);
            if !all.is_empty() {
                followed.insert(name);
            } else if finding.help.contains(|c: char| c.is_ascii_digit())
                && !NO_CURE.contains(&name)
            {
                wrong.push(format!("{name}: what does this tell to do? {}", finding.help));
            }
            wrong.extend(all.iter().filter_map(|done| still(case, finding, done)));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    let must = [
        "cusp-too-high",
        "deepest-no-room",
        "holder-hits",
        "knife-edge",
        "pass-too-deep",
        "rim-too-thin",
        "rim-too-wide",
        "rough-too-thick",
        "set-not-placed",
        "short-grain",
        "slot-too-narrow",
        "tab-too-thick",
        "tab-weak",
        "thickness-varies",
        "thin-place",
        "tine-too-thin",
        "too-tall",
        "too-thick",
        "uncut",
        "wall-too-thin",
        "weak",
    ];
    for code in must {
        assert!(followed.contains(code), "{code}: no number to follow");
    }
}

/// A shipped example with one thing in it changed.
pub fn changed(text: &str, from: &str, to: &str) -> String {
    assert!(text.contains(from), "{from}");
    text.replacen(from, to, 1)
}

/// A job of a design and a shop on the shipped board, planned.
pub fn planned(name: &str, design: &str, shop: &str) -> Case {
    let (design, board, shop) = super::read(design, super::template(Source::Board), shop);
    let order = Order::new(vec![design], board, shop);
    let outcome = job::plan(&order);
    let (stem, expected) = (name.to_owned(), String::new());
    Case { stem, file: Source::Design, expected, order, outcome }
}

fn said<'c>(case: &'c Case, code: &str) -> Option<&'c Finding> {
    case.outcome.findings.iter().find(|finding| finding.code.name == code)
}

/// Follows all that the finding of that code tells to do.
pub fn cures(case: &Case, code: &str) -> String {
    let Some(finding) = said(case, code) else {
        panic!("{}: no {code}: {:#?}", case.stem, case.outcome.findings)
    };
    let all = done(case, finding);
    assert!(!all.is_empty(), "{}: no number to follow: {}", case.stem, finding.help);
    let left: Vec<String> = all.iter().filter_map(|done| still(case, finding, done)).collect();
    assert!(left.is_empty(), "{left:#?}");
    finding.place.as_ref().map(|place| place.key.clone()).unwrap_or_default()
}

pub fn spoon() -> &'static str {
    super::template(Source::Design)
}

fn fork() -> String {
    std::fs::read_to_string(super::root().join("params/designs/harvest-fork.toml"))
        .expect("the fork")
}

/// A step-over of 3 mm was told to be 0.47 mm, which still left ridges on half of the bottom.
#[test]
fn a_step_over_that_is_told_is_enough_by_the_rule_itself() {
    let shop =
        changed(super::template(Source::Shop), "step_over = \"0.3 mm\"", "step_over = \"3 mm\"");
    cures(&planned("step-over of 3 mm", spoon(), &shop), "cusp-too-high");
}

/// A ball of 3.175 mm was to take 5 mm at once, and rapid moves to pass through the hold-downs or higher
/// than the machine goes, and none of it was told.
#[test]
fn what_is_left_for_the_ball_and_how_high_rapid_moves_go_are_told_what_would_do() {
    for (from, to, code) in [
        ("# leave = \"0.5 mm\"", "leave = \"5 mm\"", "pass-too-deep"),
        ("# safe = \"15 mm\"", "safe = \"1.5 mm\"", "figure-doubtful"),
        ("# safe = \"15 mm\"", "safe = \"150 mm\"", "out-of-travel"),
    ] {
        cures(&planned(to, spoon(), &changed(super::template(Source::Shop), from, to)), code);
    }
}

/// Six tines were told to be too thin without what would do.
#[test]
fn tines_that_are_too_thin_are_told_what_would_do() {
    let design = changed(&fork(), "count = 4", "count = 6");
    let case = planned("six tines", &design, super::template(Source::Shop));
    cures(&case, "tine-too-thin");
    let help = &said(&case, "tine-too-thin").expect("told").help;
    assert!(help.contains("tines.count 4") && help.contains("bowl.width "), "{help}");
}

/// One finding said 3 mm and the other 1.5.
#[test]
fn a_wall_that_is_too_thin_is_told_one_size() {
    let design = changed(spoon(), "wall = \"4.5 mm\"", "wall = \"1.2 mm\"");
    let case = planned("wall of 1.2 mm", &design, super::template(Source::Shop));
    cures(&case, "wall-too-thin");
    assert!(said(&case, "thin-place").is_none(), "{:#?}", case.outcome.findings);
}

/// The handle was told to be thicker where the tines' ends were weak.
#[test]
fn a_weak_tip_is_told_of_the_head() {
    let design = changed(&fork(), "tip = \"20 N\"", "tip = \"150 N\"");
    let design = changed(&design, "slot = { width = \"6 mm\"", "slot = { width = \"10 mm\"");
    let design = changed(&design, "wall = \"5 mm\"", "wall = \"4.2 mm\"");
    let case = planned("slots of 10 mm", &design, super::template(Source::Shop));
    let weak = case.outcome.findings.iter().find(|finding| {
        finding.code.name == "weak"
            && finding.spot.is_some_and(|spot| spot.along > Length::mm(280.0))
    });
    let key = weak.and_then(|weak| weak.place.as_ref()).map(|place| place.key.as_str());
    assert_eq!(key, Some("tines.slot.width"), "{:#?}", case.outcome.findings);
}

#[test]
fn a_long_job_is_told_of_the_part_that_takes_longest() {
    let shop =
        changed(super::template(Source::Shop), "diameter = \"1/4 in\"", "diameter = \"1/4 mm\"");
    let shop = changed(&shop, "step_over = \"2.5 mm\"", "step_over = \"0.1 mm\"");
    let case = planned("a cutter of 1/4 mm", spoon(), &shop);
    let help = &said(&case, "long-job").expect("a long job").help;
    assert!(help.starts_with("Roughing alone") && help.contains("flat 1/4"), "{help}");
    assert!(said(&case, "cutter-doubtful").is_some());
}

/// A width of `65 in` was told to have a narrower rim.
#[test]
fn a_slip_is_named_alone() {
    for (from, to, key) in [
        ("width = \"65 mm\"", "width = \"65 in\"", "bowl.width"),
        (
            "{ at = \"60 %\", size = \"11.5 mm\" }",
            "{ at = \"60 %\", size = \"115 mm\" }",
            "handle.thickness[1].size",
        ),
    ] {
        let design = changed(spoon(), from, to);
        let mut findings = Findings::new();
        let whole = match treenwright::params::parse_design(&design, &mut findings) {
            Some(_) => planned(to, &design, super::template(Source::Shop)).outcome.findings,
            None => findings,
        };
        let all: Vec<&Finding> = whole.iter().collect();
        let [slip] = all[..] else { panic!("{to}: {all:#?}") };
        assert_eq!(
            (slip.code.name, slip.place.as_ref().map(|at| at.key.as_str())),
            ("size-doubtful", Some(key))
        );
    }
}

/// A handle thicker than the board was told of as a thin board.
#[test]
fn a_handle_thicker_than_the_board_is_named() {
    let design = changed(
        spoon(),
        "{ at = \"60 %\", size = \"11.5 mm\" }",
        "{ at = \"60 %\", size = \"36 mm\" }",
    );
    let case = planned("a handle of 36 mm", &design, super::template(Source::Shop));
    let tall = said(&case, "too-tall").expect("too tall");
    assert_eq!(tall.place.as_ref().map(|at| at.key.as_str()), Some("handle.thickness[1].size"));
    assert!(tall.help.starts_with("Check handle.thickness: 36 mm alone"), "{}", tall.help);
    assert!(tall.message.contains("top of the handle"), "{}", tall.message);
}
