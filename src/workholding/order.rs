//! The order of work, as data: steps, what each needs done before it, and why it stands where it
//! does. The sheet prints it and the checks read it.
//!
//! Promised: no step comes before one that it needs. Not promised: that it is the only good order.

use super::order_more;
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
    /// Slots; none without slots.
    pub slots: Option<String>,
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
    let bench = |key, what: String, why, after: &[&'static str]| Step {
        key,
        what,
        why,
        mind: "",
        after: after.to_vec(),
        setup: None,
        cutter: None,
        files: Vec::new(),
    };
    let cut = |key,
               face,
               cutter: &str,
               what: String,
               why,
               after: &[&'static str],
               files: &[&'static str]| Step {
        setup: Some(face),
        cutter: Some(cutter.to_owned()),
        files: files.to_vec(),
        ..bench(key, what, why, after)
    };
    let at = |side: usize| match &work.positions[side] {
        Some(word) => format!(" at {word}"),
        None => String::new(),
    };
    let bore = work.bore.as_deref().unwrap_or("a drill");
    let mut steps = vec![
        Step {
            mind: "Short or thin stock can lift or tip in a planer; its manual says how short is too short.",
            ..bench(
                "skim",
                format!("Skim {} off the top face and {} off the bottom face; the stock is then {} high.", work.skim_top, work.skim_bottom, work.stock),
                "All heights are counted from flat, parallel faces.",
                &[],
            )
        },
        Step {
            files: vec!["workholding/hold-down.3mf"],
            mind: "A printed part can be weak between its layers and creeps when left tight. Throw away one with a crack.",
            ..bench(
                "print",
                "Print the hold-downs and try one on the stock: it is as tall under its lip as the stock, less the squeeze.".to_owned(),
                "A block of the wrong height lets the board rise or cracks it.",
                &["skim"],
            )
        },
        Step {
            cutter: work.bore.clone(),
            files: vec!["bed.dxf"],
            ..bench(
                "bore-bed",
                format!("Bore the bed's pin holes for both setups, {} in diameter, with {bore}; the drill chart has their places.", work.hole),
                "The bed's holes are the machine's own, so that each mounting finds the same place.",
                &[],
            )
        },
        Step {
            setup: Some(Face::Top),
            ..bench(
                "mount-top",
                format!("Setup 1, top up{}: set the board square in its corner under {} hold-downs.", at(0), work.hold_downs[0]),
                "The first mounting has no pins yet; the corner gives the place.",
                &["skim", "print", "bore-bed"],
            )
        },
        cut("bore-pins", Face::Top, bore, format!("Bore {} pin holes of {} through the board.", work.pins, work.hole), "The pins register everything after, and the board is still whole and flat.", &["mount-top"], &["top/pins.dxf"]),
        Step {
            mind: "The hold-downs stand near the cutter's way. Run each path once above the wood before you cut.",
            ..cut("rough-top", Face::Top, &work.rough, format!("Rough the top inside its limit with {}.", work.rough), "Most of the wood goes while the board is stiffest.", &["bore-pins"], &["top/relief.stl", "top/limits.dxf"])
        },
        Step {
            mind: "Fine dust comes from finishing: extraction on, eyes, ears and breath protected.",
            ..cut("finish-top", Face::Top, &work.finish, format!("Finish the top with {}.", work.finish), "Roughing leaves an even layer, so that the small cutter cuts little and does not chatter.", &["rough-top"], &["top/relief.stl", "top/limits.dxf"])
        },
        Step {
            setup: Some(Face::Bottom),
            mind: "The spindle stands still and the machine is stopped before hands go on the bed. If the board does not drop on without force, look for chips under it.",
            ..bench(
                "turn",
                format!("{} Setup 2, bottom up{}: put it on its pins, where it lies flat without force, under {} hold-downs.", work.turn, at(1), work.hold_downs[1]),
                "The top must be done: it is not seen again.",
                &["finish-top"],
            )
        },
        cut("rough-bottom", Face::Bottom, &work.rough, format!("Rough the bottom inside its limit with {}.", work.rough), "As on the top.", &["turn"], &["bottom/relief.stl", "bottom/limits.dxf"]),
        Step {
            mind: "From now on the tabs alone hold the piece. Hands out until the spindle stands still.",
            ..cut("finish-bottom", Face::Bottom, &work.finish, format!("Finish the bottom with {}.", work.finish), "The piece is held by its full roughed thickness until here.", &["rough-bottom"], &["bottom/relief.stl", "bottom/limits.dxf"])
        },
    ];
    if work.clean_up > 0 {
        steps.push(cut(
            "clean-up",
            Face::Bottom,
            &work.finish,
            format!("Look the faces over, and go over {} again inside the clean-up limits if they want it; the top on its pins in setup 1.", if work.clean_up == 1 { "the place".to_owned() } else { format!("the {} places", work.clean_up) }),
            "What was left shows when both faces are finished, and the piece is still held.",
            &["finish-top", "finish-bottom"],
            &["top/limits.dxf", "bottom/limits.dxf"],
        ));
    }
    let finished: &[&'static str] = if work.clean_up > 0 {
        &["finish-top", "finish-bottom", "clean-up"]
    } else {
        &["finish-top", "finish-bottom"]
    };
    if let Some(cutter) = &work.slots {
        steps.push(cut("slots", Face::Bottom, cutter, format!("Cut the slots with {cutter}, along their outlines, in shallow passes."), "A finishing pass over thin tines chips them, so both faces are finished while the head is whole.", finished, &["bottom/slots.dxf"]));
    }
    if let Some(cutter) = &work.edge {
        let mut after = finished.to_vec();
        after.extend(work.slots.is_some().then_some("slots"));
        steps.push(cut("edge", Face::Bottom, cutter, format!("Run once round the edge with {cutter} where a step is left between the two sides, lifting over the tabs."), "It takes the step off when both sides are there to be seen, and last, because it frees the piece most.", &after, &["bottom/limits.dxf"]));
    }
    let last_cut = steps.last().map_or("finish-bottom", |step| step.key);
    steps.push(Step {
        files: vec!["bottom/saw.dxf", "templates.pdf"],
        mind: "Hold the piece in a padded vice, not in the hand, and keep both hands behind the saw. The last tab lets go at once. Never free or hold a small piece by hand near a cutter.",
        ..bench(
            "tabs-off",
            "Stop the spindle and wait until it stands still. Take the board off. Saw through the tabs along their saw lines by hand and pare the stubs flush.".to_owned(),
            "The tabs are all that holds the piece, so nothing is cut by machine after them; a tab cut by the machine lets the piece go into the cutter.",
            &[last_cut, "bore-pins"],
        )
    });
    steps.push(Step {
        files: vec!["templates.pdf"],
        mind: "Wear a mask made for fine dust, and draw the dust away.",
        ..bench(
            "sand",
            "Hold the gauges of templates.pdf against the handle, fair the edge where the two sides meet, then sand 100, 150, 220 (common practice, no source).".to_owned(),
            "The tabs' stubs must be off before the edge is sanded through.",
            &["tabs-off"],
        )
    });
    steps.push(bench(
        "raise-grain",
        "Wet the wood, let it dry, and sand 220 again.".to_owned(),
        "Water lifts the fibres that sanding pressed down; better now than at the first wash.",
        &["sand"],
    ));
    steps
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fork() -> Work {
        Work {
            slots: Some("flat 1/8".to_owned()),
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
