//! The order holds for every job that there can be.

use super::*;

/// A fork with all that a job can have, or without some of it.
fn fork(without: &[PassKind], more: bool) -> Circumstances {
    let cuts = ORDER.iter().filter_map(|(task, _)| match task {
        Cut(kind, face) if !without.contains(kind) => Some((*kind, *face, "flat 1/8".to_owned())),
        _ => None,
    });
    let piece = PieceWork {
        name: "fork".to_owned(),
        passes: cuts.collect(),
        slots_deep: CutDepth { said: "13.5 mm".to_owned(), to_bed: false },
        openings_deep: CutDepth { said: "12 mm".to_owned(), to_bed: true },
        clean_up: 2,
        inlays: if without.contains(&InlayVee) { Vec::new() } else { inlays() },
    };
    Circumstances {
        pieces: vec![piece],
        turn: "Turn the board about X.",
        rebates: if more { [4, 2] } else { [0, 0] },
        rebate: "9 mm".to_owned(),
        spacers: more,
        ..Circumstances::default()
    }
}

/// In each face one with a plug and one that is poured.
fn inlays() -> Vec<InlayWork> {
    let plug = PlugWork {
        species: "maple".to_owned(),
        stock: "12 mm".to_owned(),
        cutters: ["flat 1/8".to_owned(), "vee 60".to_owned()],
        proud: "1 mm".to_owned(),
    };
    let one = |face, folder: &str, plug: Option<PlugWork>| {
        let resin = plug.is_none().then(|| "0.4".to_owned());
        InlayWork { face, folder: folder.to_owned(), plug, resin }
    };
    [Top, Bottom]
        .into_iter()
        .flat_map(|face| {
            [one(face, "inlay/ear", Some(plug.clone())), one(face, "inlay/ear-2", None)]
        })
        .collect()
}

/// Every job by what it can be without.
fn jobs() -> Vec<Circumstances> {
    let kinds = [Clear, CleanUp, Slots];
    (0..64_usize)
        .map(|bits| {
            let gone = |i: &usize| bits & (1 << i) != 0;
            let mut without: Vec<PassKind> = (0..3).filter(gone).map(|i| kinds[i]).collect();
            if bits & 32 != 0 {
                without.push(Openings);
            }
            if bits & 16 != 0 {
                without.extend([InlayVee, InlayFloor, InlayTrim]);
            }
            fork(&without, bits & 8 == 0)
        })
        .collect()
}

fn at(steps: &[Step], task: Task) -> Option<usize> {
    steps.iter().position(|step| step.task == task)
}

#[test]
fn every_need_stands_earlier_and_no_task_twice() {
    for (index, (task, needs)) in ORDER.iter().enumerate() {
        let before = &ORDER[..index];
        assert!(before.iter().all(|(other, _)| other != task), "{task:?} twice");
        for need in *needs {
            assert!(before.iter().any(|(other, _)| other == need), "{task:?} before {need:?}");
        }
        let needed = ORDER.iter().any(|(_, needs)| needs.contains(task));
        assert!(needed || *task == Sand, "{task:?} hangs loose");
    }
}

#[test]
fn each_job_has_its_steps_and_what_they_need() {
    for work in jobs() {
        let steps = steps(&work);
        for (index, step) in steps.iter().enumerate() {
            assert!(!step.why.is_empty() && !step.what.is_empty());
            assert!(!step.what.contains(['{', '}']), "a gap is left open: {}", step.what);
            assert!(
                !step.after.is_empty() || matches!(step.task, Skim | BoreBed | Plugs(_)),
                "{step:?}"
            );
            assert!(step.after.iter().all(|need| at(&steps, *need).is_some_and(|n| n < index)));
        }
        for (kind, ..) in &work.pieces[0].passes {
            assert!(steps.iter().any(|step| step.task.pass() == Some(*kind)), "{kind}");
        }
        assert_eq!(at(&steps, Rebates).is_some(), work.rebates != [0, 0]);
        let print = &steps[at(&steps, Mount).expect("mounted")];
        assert_eq!(print.what.contains("spacers"), work.spacers);
    }
}

/// Each of these was argued for on its own; the list is not asked.
#[test]
fn a_maker_gets_no_step_too_early() {
    for work in jobs() {
        let steps = steps(&work);
        let has = |task| at(&steps, task);
        let before = |first: Task, then: Task| {
            has(first).is_none_or(|first| has(then).is_none_or(|then| first < then))
        };
        for face in Face::BOTH {
            assert!(before(Cut(Rough, face), Cut(Clear, face)));
            assert!(before(Cut(Clear, face), Cut(Finish, face)));
            // A ball that climbs over thin tines chips them.
            assert!(before(Cut(Finish, face), Cut(Slots, Bottom)));
        }
        assert!(before(Skim, Rebates) && before(Rebates, Mount));
        assert!(before(BorePins, Cut(Rough, Top)) && before(Cut(Finish, Top), Turn));
        assert!(before(Cut(CleanUp, Bottom), Cut(Slots, Bottom)));
        assert!(before(Cut(Slots, Bottom), Cut(Edge, Bottom)));
        let saw = has(TabsOff).expect("sawn off");
        assert!(steps[saw..].iter().all(|step| step.cutters.is_empty()), "cut after the saw");
        assert_eq!(steps.last().map(|step| step.task), Some(Sand));
        // Each of these is where a maker gets hurt.
        let hurts = [Skim, Cut(Rough, Top), Turn, Cut(Finish, Bottom), Cut(Slots, Bottom), TabsOff];
        for task in hurts.into_iter().chain([Sand]) {
            assert!(has(task).is_none_or(|at| !steps[at].mind.is_empty()), "{task:?}");
        }
    }
}

#[test]
fn a_top_that_alone_is_gone_over_again_has_its_step_and_its_own_cutter() {
    let mut work = fork(&[CleanUp], false);
    assert_eq!(at(&steps(&work), Cut(CleanUp, Bottom)), None, "no room for any place");
    work.pieces[0].passes.push((CleanUp, Top, "ball 1/16".to_owned()));
    let steps = steps(&work);
    let step = &steps[at(&steps, Cut(CleanUp, Bottom)).expect("gone over")];
    assert_eq!(step.cutters, ["ball 1/16"]);
    assert_eq!(step.files.len(), 1, "the bottom has no place: {:?}", step.files);
    assert!(step.what.contains("the 2 places"), "{}", step.what);
}

#[test]
fn an_inlay_whose_name_begins_like_another_s_is_not_taken_for_it() {
    let steps = steps(&fork(&[], false));
    let names = |task| -> Vec<String> {
        let step = &steps[at(&steps, task).expect("a step")];
        step.files.iter().map(|file| file.name.to_string()).collect()
    };
    let plugs = ["inlay/ear/plug/relief.stl", "inlay/ear/plug/limit.dxf"];
    assert_eq!(names(Plugs(Top)), plugs);
    assert_eq!(names(Pour(Bottom)), ["inlay/ear-2/dam.dxf"]);
    assert!(!names(Cut(InlayVee, Top)).iter().any(|name| name == "inlay/ear-2/vee.dxf"));
}

#[test]
fn keys_are_what_packets_have_always_had() {
    let keys = ORDER.iter().map(|(task, _)| task.key());
    // Those of inlays and of openings came later, each in its place between them.
    let later = ["inlay-", "plugs-", "glue-", "pour-", "openings"];
    let keys: Vec<String> =
        keys.filter(|key| !later.iter().any(|of| key.starts_with(of))).collect();
    let known = "skim print bore-bed rebates mount-top bore-pins rough-top clear-top finish-top dowels turn \
                 rough-bottom clear-bottom finish-bottom clean-up slots edge tabs-off sand";
    assert_eq!(keys.join(" "), known);
}

#[test]
fn a_set_has_one_order_whose_steps_say_for_which_pieces_they_are() {
    let mut work = fork(&[], false);
    let passes = work.pieces[0].passes.iter().filter(|(kind, ..)| *kind != Slots);
    let passes = passes.map(|(kind, face, _)| (*kind, *face, "ball 1/4".to_owned())).collect();
    work.pieces.push(PieceWork { name: "spoon".to_owned(), passes, ..PieceWork::default() });
    let steps = steps(&work);
    let step = |task| &steps[at(&steps, task).expect("a step")];
    let slots = step(Cut(Slots, Bottom));
    assert_eq!(slots.pieces, [0]);
    assert!(slots.what.ends_with("Only fork."), "{}", slots.what);
    let folders = ["salad-fork".to_owned(), "salad-spoon".to_owned()];
    let paths = |step: &Step| step.files.iter().map(|f| f.path(&folders)).collect::<Vec<_>>();
    assert_eq!(paths(slots), ["salad-fork/bottom/slots.dxf"]);
    let rough = step(Cut(Rough, Top));
    assert_eq!((rough.pieces.as_slice(), rough.cutters.len()), (&[0, 1][..], 2));
    assert_eq!(paths(rough)[2], "salad-spoon/top/relief.stl");
    assert_eq!(paths(step(BorePins)), ["top/pins.dxf"], "the board is bored once");
    assert_eq!(step(TabsOff).files.len(), 4);
}
