//! What a help says with a number cures: for each file of the suite each number is put into the
//! design, the board or the shop as a maker would, the job is planned again, and the finding is
//! gone.

use super::{Case, cases};
use std::collections::BTreeSet;
use treenwright::finding::{Finding, Findings};
use treenwright::fit;
use treenwright::job::{self, Order};
use treenwright::params::{Bound, CutterForm, Dimension, Head, dimension};
use treenwright::units::{Angle, Length};

/// Codes whose help has figures that are not a change to be made: an angle to run passes at, names
/// of cutters, an area to sand, minutes.
const NO_CURE: [&str; 4] = ["chip-out", "cutter-absent", "long-job", "no-position"];

/// A thinner body may want thinner tabs, which is told with what would do.
const MAY_FOLLOW: [&str; 1] = ["tab-too-thick"];

/// A figure of a text after some words, and what stands behind it.
fn after<'t>(text: &'t str, words: &str) -> Option<(f64, &'t str)> {
    let rest = &text[text.find(words)? + words.len()..];
    let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
    let figure = rest[..end].trim_end_matches('.');
    Some((figure.parse().ok()?, rest[figure.len()..].trim_start()))
}

fn mm(text: &str, words: &str) -> Option<Length> {
    let (figure, unit) = after(text, words)?;
    unit.starts_with("mm").then_some(Length::mm(figure))
}

/// A job with one advice done.
type Done = (String, Order);

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
    for (at, _) in help.match_indices("give \"") {
        let mut words = help[at + 6..].split('"');
        let (key, rest) = (words.next().unwrap_or_default(), words.next().unwrap_or_default());
        let (figure, unit) = after(rest, " to ").expect("the limit that would do");
        let bound = match unit.starts_with('%') {
            true => Bound::Fraction(0.01 * figure),
            false => Bound::Length(Length::mm(figure)),
        };
        let (from, _) = after(rest, " from ").expect("the limit as it is");
        add(&format!("give {key}"), &|order| {
            let give = &mut order.designs[piece].give;
            let give = give.iter_mut().find(|give| give.key == key).expect("a give");
            *(if figure < from { &mut give.least } else { &mut give.most }) = bound;
        });
    }
    if let Some(reads) = mm(help, "A board that reads ") {
        add("reading", &|order| {
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
                bowl.rim = rim;
            }
        });
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
        let new = outcome.findings.iter().find(|new| {
            new.severity == treenwright::finding::Severity::Fault
                && !before(new.code)
                && !MAY_FOLLOW.contains(&new.code.name)
        });
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
