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
        bench(
            "skim",
            format!("Skim {} off the top face and {} off the bottom face; the stock is then {} high.", work.skim_top, work.skim_bottom, work.stock),
            "All heights are counted from flat faces.",
            &[],
        ),
        Step {
            files: vec!["workholding/hold-down.3mf"],
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
                format!("Bore the bed's pin holes for both setups, {} in diameter, with {bore}.", work.hole),
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
        cut("rough-top", Face::Top, &work.rough, format!("Rough the top inside its limit with {}.", work.rough), "Most of the wood goes while the board is stiffest.", &["bore-pins"], &["top/relief.stl", "top/limits.dxf"]),
        cut("finish-top", Face::Top, &work.finish, format!("Finish the top with {}.", work.finish), "A fine cutter can't take what roughing leaves out.", &["rough-top"], &["top/relief.stl", "top/limits.dxf"]),
        Step {
            setup: Some(Face::Bottom),
            ..bench(
                "turn",
                format!("{} Setup 2, bottom up{}: put it on its pins, where it lies flat without force, under {} hold-downs.", work.turn, at(1), work.hold_downs[1]),
                "The top must be done: it is not seen again.",
                &["finish-top"],
            )
        },
        cut("rough-bottom", Face::Bottom, &work.rough, format!("Rough the bottom inside its limit with {}.", work.rough), "As on the top.", &["turn"], &["bottom/relief.stl", "bottom/limits.dxf"]),
        cut("finish-bottom", Face::Bottom, &work.finish, format!("Finish the bottom with {}. From now on the tabs alone hold the piece.", work.finish), "The piece is held by its full roughed thickness until here.", &["rough-bottom"], &["bottom/relief.stl", "bottom/limits.dxf"]),
    ];
    if let Some(cutter) = &work.slots {
        steps.push(cut("slots", Face::Bottom, cutter, format!("Cut the slots with {cutter}, along their outlines, in shallow passes."), "A finishing pass over thin tines chips them, so both faces are finished while the head is whole.", &["finish-top", "finish-bottom"], &["bottom/slots.dxf"]));
    }
    if let Some(cutter) = &work.edge {
        let after: &[&'static str] =
            if work.slots.is_some() { &["finish-bottom", "slots"] } else { &["finish-bottom"] };
        steps.push(cut("edge", Face::Bottom, cutter, format!("Run once round the edge with {cutter} where a step is left between the two sides, lifting over the tabs."), "It takes the step off when both sides are there to be seen, and last, because it frees the piece most.", after, &["bottom/limits.dxf"]));
    }
    let last_cut = steps.last().map_or("finish-bottom", |step| step.key);
    steps.push(bench(
        "tabs-off",
        "Stop the spindle and wait until it stands still. Take the board off. Saw through the tabs along their saw line by hand, with the piece held in a vice and not in the hand, and pare them flush.".to_owned(),
        "The tabs are all that holds the piece, so nothing is cut by machine after them.",
        &[last_cut],
    ));
    steps.push(bench(
        "sand",
        "Sand 100, 150, 220 (common practice), with a mask on and the dust drawn off.".to_owned(),
        "The tabs' stubs must be off before the edge is sanded through.",
        &["tabs-off"],
    ));
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
    fn steps_given_in_any_order_come_out_right() {
        let mut steps = unordered(&fork());
        steps.reverse();
        assert_eq!(out_of_order(&arranged(steps)), None);
    }
}
