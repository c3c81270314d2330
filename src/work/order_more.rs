//! Steps of the order of work that only some jobs have: rebates for low hold-downs, spacers, and a
//! pass that clears the skirt where the roughing cutter is too thick for it.

use super::order::{Step, bench};
use super::words;
use crate::relief::Face;

/// What these steps depend on.
#[derive(Clone, Debug, Default)]
pub struct More {
    /// How many rebates each face gets.
    pub rebates: [usize; 2],
    /// Their depth, as it is written.
    pub rebate: String,
    /// Whether spacers are made.
    pub spacers: bool,
    /// The cutter that clears the skirt; none where roughing goes into it.
    pub clear: Option<String>,
}

/// The steps with those that this job has besides, and what then depends on them.
pub(super) fn added(more: &More, mut steps: Vec<Step>) -> Vec<Step> {
    for step in &mut steps {
        if step.key == "print" {
            step.files = vec!["workholding/print-plate.3mf"];
            step.what.push_str(words::PRINT_PLATE);
        }
        if step.key == "mount-top" && more.spacers {
            step.what.push_str(words::SPACERS);
        }
    }
    if more.rebates != [0, 0] {
        let [top, bottom] = more.rebates.map(|count| count.to_string());
        let values = [("depth", more.rebate.as_str()), ("top", &top), ("bottom", &bottom)];
        let rebates = Step {
            files: vec!["top/rebates.dxf", "bottom/rebates.dxf"],
            ..bench("rebates", &words::REBATES, &values, &["skim"])
        };
        before(&mut steps, "mount-top", rebates);
    }
    if let Some(cutter) = &more.clear {
        for (key, face, after, next, file) in [
            ("clear-top", Face::Top, "rough-top", "finish-top", "top/limits.dxf"),
            ("clear-bottom", Face::Bottom, "rough-bottom", "finish-bottom", "bottom/limits.dxf"),
        ] {
            let clear = Step {
                setup: Some(face),
                cutter: Some(cutter.clone()),
                files: vec![file],
                ..bench(key, &words::CLEAR, &[("cutter", cutter)], &[after])
            };
            before(&mut steps, next, clear);
        }
    }
    steps
}

/// Puts a step before another, which then needs it.
fn before(steps: &mut Vec<Step>, key: &str, step: Step) {
    let at = steps.iter().position(|other| other.key == key).unwrap_or(steps.len());
    if let Some(next) = steps.get_mut(at) {
        next.after.push(step.key);
    }
    steps.insert(at, step);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::work::order::{Work, out_of_order, steps};

    #[test]
    fn rebates_come_before_the_first_mounting_and_clearing_before_the_ball() {
        let more = More {
            rebates: [4, 2],
            rebate: "9 mm".to_owned(),
            spacers: true,
            clear: Some("flat 3".to_owned()),
        };
        let with = steps(&Work { more, ..Work::default() });
        assert_eq!(out_of_order(&with), None);
        let at = |key: &str| with.iter().position(|s| s.key == key).expect(key);
        assert!(at("rebates") < at("mount-top") && at("rebates") > at("skim"));
        assert!(at("rough-top") < at("clear-top") && at("clear-top") < at("finish-top"));
        assert!(
            at("rough-bottom") < at("clear-bottom") && at("clear-bottom") < at("finish-bottom")
        );
        assert!(with.iter().all(|s| !s.why.is_empty() && !s.what.is_empty()));
        // Swapped, the order no longer holds.
        let mut wrong = with.clone();
        wrong.swap(at("rebates"), at("mount-top"));
        assert!(out_of_order(&wrong).is_some());
        let without = steps(&Work::default());
        assert!(without.iter().all(|s| s.key != "rebates" && !s.key.starts_with("clear")));
    }
}
