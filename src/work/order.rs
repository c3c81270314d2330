//! The order of work, as data: steps, what each needs done before it, and why it stands where it
//! does. The sheet prints it and the checks read it.
//!
//! Promised: no step comes before one that it needs. Not promised: that it is the only good order.

use super::order_more;
use super::words::{self, Said};
use crate::finding::fill;
use crate::relief::Face;

/// One step of the work.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Its name, by which others need it.
    pub key: &'static str,
    /// What is done, in a sentence or two.
    pub what: String,
    /// Why it stands at this place.
    pub why: &'static str,
    /// What to mind; empty for nothing of its own. The machine's manual and local rules go first.
    pub mind: &'static str,
    /// The steps that must be done before.
    pub after: Vec<&'static str>,
    /// The setup in which it is done; none on the bench.
    pub setup: Option<Face>,
    /// Name of the cutter.
    pub cutter: Option<String>,
    /// The packet's files that are used.
    pub files: Vec<&'static str>,
}

/// What the wording of the steps depends on.
#[derive(Clone, Debug, Default)]
pub struct Work {
    /// Skims and the stock's height, as they are written.
    pub skim_top: String,
    /// The same of the bottom face.
    pub skim_bottom: String,
    /// The stock's height.
    pub stock: String,
    /// Diameter of the pins' holes.
    pub hole: String,
    /// How many pins.
    pub pins: usize,
    /// How the board is turned.
    pub turn: &'static str,
    /// Names of the cutters: boring, roughing, finishing, slots, edge.
    pub bore: Option<String>,
    /// Roughing.
    pub rough: String,
    /// Finishing.
    pub finish: String,
    /// Slots, and how far under the stock's upper face they go; none without slots.
    pub slots: Option<(String, String)>,
    /// Edge pass.
    pub edge: Option<String>,
    /// How many places are cleaned up.
    pub clean_up: usize,
    /// How many hold-downs stand in each setup.
    pub hold_downs: [usize; 2],
    /// What depends on the clamps and on the skirt.
    pub more: order_more::More,
    /// The work positions' words.
    pub positions: [Option<String>; 2],
}

/// The steps of a job in their order.
pub fn steps(work: &Work) -> Vec<Step> {
    arranged(order_more::added(&work.more, unordered(work)))
}

/// The first step that stands before one that it needs, and that one. None when the order holds.
pub fn out_of_order(steps: &[Step]) -> Option<(&'static str, &'static str)> {
    steps.iter().enumerate().find_map(|(index, step)| {
        let missing = |need: &&&'static str| !steps[..index].iter().any(|s| s.key == **need);
        step.after.iter().find(missing).map(|need| (step.key, *need))
    })
}

/// Each step as early as its needs allow, otherwise in the order given; a step whose needs can
/// never be met comes last.
fn arranged(mut left: Vec<Step>) -> Vec<Step> {
    let mut done: Vec<Step> = Vec::new();
    while !left.is_empty() {
        let ready = left
            .iter()
            .position(|step| step.after.iter().all(|need| done.iter().any(|d| d.key == *need)));
        done.push(left.remove(ready.unwrap_or(0)));
    }
    done
}

fn unordered(work: &Work) -> Vec<Step> {
    let cut =
        |key, face, said: &Said, cutter: &str, after: &[&'static str], files: &[&'static str]| {
            Step {
                setup: Some(face),
                cutter: Some(cutter.to_owned()),
                files: files.to_vec(),
                ..bench(key, said, &[("cutter", cutter)], after)
            }
        };
    let at = |side: usize| match &work.positions[side] {
        Some(word) => fill(words::AT_POSITION, &[("word", word)]),
        None => String::new(),
    };
    let count = |side: usize| work.hold_downs[side].to_string();
    let pins = work.pins.to_string();
    let bore = work.bore.as_deref().unwrap_or(words::A_DRILL);
    let (rough, finish) = (&work.rough, &work.finish);
    let skims = [("top", &*work.skim_top), ("bottom", &work.skim_bottom), ("stock", &work.stock)];
    let mut steps = vec![
        bench("skim", &words::SKIM, &skims, &[]),
        Step {
            files: vec!["workholding/hold-down.3mf"],
            ..bench("print", &words::PRINT, &[], &["skim"])
        },
        Step {
            cutter: work.bore.clone(),
            files: vec!["bed.dxf"],
            ..bench("bore-bed", &words::BORE_BED, &[("hole", &work.hole), ("cutter", bore)], &[])
        },
        Step {
            setup: Some(Face::Top),
            ..bench(
                "mount-top",
                &words::MOUNT_TOP,
                &[("at", &at(0)), ("count", &count(0))],
                &["skim", "print", "bore-bed"],
            )
        },
        Step {
            what: fill(words::BORE_PINS.what, &[("count", &pins), ("hole", &work.hole)]),
            ..cut(
                "bore-pins",
                Face::Top,
                &words::BORE_PINS,
                bore,
                &["mount-top"],
                &["top/pins.dxf"],
            )
        },
        cut("rough-top", Face::Top, &words::ROUGH_TOP, rough, &["bore-pins"], &TOP),
        cut("finish-top", Face::Top, &words::FINISH_TOP, finish, &["rough-top"], &TOP),
        Step {
            setup: Some(Face::Bottom),
            ..bench(
                "turn",
                &words::TURN,
                &[("turn", work.turn), ("at", &at(1)), ("count", &count(1))],
                &["finish-top"],
            )
        },
        cut("rough-bottom", Face::Bottom, &words::ROUGH_BOTTOM, rough, &["turn"], &BOTTOM),
        cut(
            "finish-bottom",
            Face::Bottom,
            &words::FINISH_BOTTOM,
            finish,
            &["rough-bottom"],
            &BOTTOM,
        ),
    ];
    let mut finished = vec!["finish-top", "finish-bottom"];
    if work.clean_up > 0 {
        let places = match work.clean_up {
            1 => words::ONE_PLACE.to_owned(),
            many => fill(words::PLACES, &[("count", &many.to_string())]),
        };
        let files = ["top/limits.dxf", "bottom/limits.dxf"];
        steps.push(Step {
            what: fill(words::CLEAN_UP.what, &[("places", &places)]),
            ..cut("clean-up", Face::Bottom, &words::CLEAN_UP, finish, &finished, &files)
        });
        finished.push("clean-up");
    }
    if let Some((cutter, deep)) = &work.slots {
        let files = ["bottom/slots.dxf"];
        let step = cut("slots", Face::Bottom, &words::SLOTS, cutter, &finished, &files);
        steps.push(Step { what: fill(&step.what, &[("deep", deep)]), ..step });
    }
    if let Some(cutter) = &work.edge {
        let mut after = finished;
        after.extend(work.slots.is_some().then_some("slots"));
        let files = ["bottom/limits.dxf"];
        steps.push(cut("edge", Face::Bottom, &words::EDGE, cutter, &after, &files));
    }
    let last_cut = steps.last().map_or("finish-bottom", |step| step.key);
    steps.push(Step {
        files: vec!["bottom/saw.dxf", "templates.pdf"],
        ..bench("tabs-off", &words::TABS_OFF, &[], &[last_cut, "bore-pins"])
    });
    steps.push(Step {
        files: vec!["templates.pdf"],
        ..bench("sand", &words::SAND, &[], &["tabs-off"])
    });
    steps.push(bench("raise-grain", &words::RAISE_GRAIN, &[], &["sand"]));
    steps
}

/// What both passes over a side load.
const TOP: [&str; 2] = ["top/relief.stl", "top/limits.dxf"];
const BOTTOM: [&str; 2] = ["bottom/relief.stl", "bottom/limits.dxf"];

/// A step away from the machine.
pub(super) fn bench(
    key: &'static str,
    said: &Said,
    values: &[(&str, &str)],
    after: &[&'static str],
) -> Step {
    Step {
        key,
        what: fill(said.what, values),
        why: said.why,
        mind: said.mind,
        after: after.to_vec(),
        setup: None,
        cutter: None,
        files: Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fork() -> Work {
        Work {
            slots: Some(("flat 1/8".to_owned(), "13.5 mm".to_owned())),
            edge: Some("flat 1/8".to_owned()),
            clean_up: 2,
            turn: "Turn the board about X.",
            ..Work::default()
        }
    }

    #[test]
    fn the_order_holds_and_slots_follow_both_finishing_passes() {
        let steps = steps(&fork());
        assert_eq!(out_of_order(&steps), None);
        let at = |key: &str| steps.iter().position(|s| s.key == key).expect(key);
        assert!(at("slots") > at("finish-top") && at("slots") > at("finish-bottom"));
        assert!(at("bore-pins") < at("rough-top") && at("tabs-off") > at("edge"));
        assert_eq!(steps.last().map(|s| s.key), Some("raise-grain"));
        assert!(steps.iter().all(|s| !s.why.is_empty()));
        assert!(steps.iter().all(|s| !s.what.contains(['{', '}'])), "no gap is left open");
        // Each of these is where a maker gets hurt.
        for key in ["skim", "rough-top", "turn", "finish-bottom", "slots", "tabs-off", "sand"] {
            assert!(!steps[at(key)].mind.is_empty(), "{key} has its caution");
        }
    }

    #[test]
    fn any_two_steps_that_need_each_other_can_not_be_swapped() {
        let right = steps(&fork());
        for i in 0..right.len() {
            for j in 0..i {
                let mut swapped = right.clone();
                swapped.swap(i, j);
                let needs = right[j + 1..=i].iter().any(|s| s.after.contains(&right[j].key))
                    || right[i].after.iter().any(|n| right[j..i].iter().any(|s| s.key == *n));
                assert_eq!(
                    out_of_order(&swapped).is_some(),
                    needs,
                    "{} {}",
                    right[i].key,
                    right[j].key
                );
            }
        }
    }

    #[test]
    fn every_step_left_out_is_missed_by_each_that_needs_it() {
        let right = steps(&fork());
        for gone in &right {
            let rest: Vec<Step> = right.iter().filter(|s| s.key != gone.key).cloned().collect();
            let needed = rest.iter().find(|s| s.after.contains(&gone.key));
            assert_eq!(out_of_order(&rest), needed.map(|s| (s.key, gone.key)), "{}", gone.key);
            assert!(needed.is_some() || gone.key == "raise-grain", "{} hangs loose", gone.key);
        }
    }

    #[test]
    fn every_need_that_is_broken_is_reported() {
        let right = steps(&fork());
        for (index, step) in right.iter().enumerate() {
            for need in &step.after {
                // The step moved to just before what it needs.
                let mut moved = right.clone();
                let step = moved.remove(index);
                let at = moved.iter().position(|s| s.key == *need).expect("known");
                moved.insert(at, step);
                let found = out_of_order(&moved).expect("told");
                assert_eq!(found.0, right[index].key);
            }
        }
        // Two steps that wait for each other.
        let mut ring = right.clone();
        ring[0].after = vec!["print"];
        assert!(out_of_order(&arranged(ring)).is_some());
    }

    #[test]
    fn slots_and_the_edge_come_after_cleaning_up_and_nothing_is_cut_after_the_saw() {
        for work in [fork(), Work { slots: None, ..fork() }, Work { clean_up: 0, ..fork() }] {
            let steps = steps(&work);
            assert_eq!(out_of_order(&steps), None);
            let at = |key: &str| steps.iter().position(|s| s.key == key);
            assert!(at("clean-up").is_none_or(|c| Some(c) < at("edge")));
            let saw = at("tabs-off").expect("sawn off");
            assert!(steps[saw..].iter().all(|s| s.cutter.is_none()));
        }
    }

    #[test]
    fn steps_given_in_any_order_come_out_right() {
        let mut steps = unordered(&fork());
        steps.reverse();
        assert_eq!(out_of_order(&arranged(steps)), None);
    }
}
