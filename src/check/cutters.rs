//! Are the cutters that the work names in the shop, and can they do it?

use super::Context;
use super::cure::{self, Sense};
use super::feeds;
use super::used::{self, Used};
use crate::cutting::passes;
use crate::finding::{Code, Finding, Findings, Severity, Source, fill};
use crate::params::{Cutter, CutterForm, SLENDER};
use crate::relief::skirt_width;
use crate::units::{Length, Rounding, Unit, plain};

/// The work names a cutter that the shop does not have.
pub const CUTTER_ABSENT: Code = Code {
    name: "cutter-absent",
    explain: "The shop file's [work] table names a cutter, but no [[cutter]] in that file has the \
        name. Skirt, limits and slots are made to the cutter's diameter, so the job can't be made \
        without it; where nothing of this job is cut with it, it is only a caution. Write the name exactly as the [[cutter]] has it, or add the cutter with its \
        measured sizes.",
};

/// A cutter is of the wrong form for its work.
pub const CUTTER_UNFIT: Code = Code {
    name: "cutter-unfit",
    explain: "The top and the bottom are finished with a ball cutter. It can follow a hollow and \
        run out over the rim, and the skirt of the relief models is made for its radius. Slots are \
        cut with a flat cutter: its straight flank makes the sides of the tines. A cutter of \
        another form would leave another shape than the models show. A vee cutter doesn't clear \
        wood away, so nothing is roughed with one. A drill only bores: it may be \
        named under work.pins. Where this job has no slots, another form there is only a caution. Name a ball cutter under work.finish and a flat one under \
        work.slots.",
};

/// The roughing cutter does not go into the skirt.
pub const ROUGH_TOO_THICK: Code = Code {
    name: "rough-too-thick",
    explain: "The skirt round the piece is 1 mm wider than the finishing ball, and the roughing \
        cutter is thicker than that, so it can't go down into the skirt. The wood there then \
        stands at full height when the finishing ball arrives. A thin cutter that cuts as deep as \
        the body is tall chatters, burns or breaks. If the shop has a flat cutter that fits, a \
        pass with it is added to the limits and to the order of work, and there is no finding. Add \
        such a cutter, rough with a thinner one, or finish with a thicker ball, which makes the \
        skirt wider. The rule doesn't know how your path program steps down.",
};

/// A slot is narrower than the cutter that must cut it.
pub const SLOT_TOO_NARROW: Code = Code {
    name: "slot-too-narrow",
    explain: "A slot can't be narrower at its root than the cutter that cuts it. Make the slot \
        wider, use a thinner cutter for slots, or have fewer tines. A slot exactly as wide as the \
        cutter is cut in one pass, which leaves rougher sides than two passes. The rule leaves out \
        the run-out of the spindle, which widens every slot a little.",
};

/// A pass is deeper than the cutter is thick.
pub const PASS_TOO_DEEP: Code = Code {
    name: "pass-too-deep",
    explain: "A cutter that takes wood in layers (roughing, the skirt, slots, openings, the edge, inlays) \
        has a pass_depth greater than its own diameter. Or work.leave is more than a third of the \
        finishing ball's diameter, and the ball takes all that is left at once. A pass that deep leaves \
        no room for the chips. It bends the cutter, burns the wood and can break the cutter. Use half \
        the diameter, as the tool does when pass_depth is left out, and never more than the diameter; \
        leave the ball a third of its diameter at most. It is a fault to leave it as much as it is thick. \
        The limits are common practice, without a source. The rule \
        leaves out feed, speed and how hard the wood is.",
};

/// A cutter's figures don't go together.
pub const CUTTER_DOUBTFUL: Code = Code {
    name: "cutter-doubtful",
    explain: "A cutter that the job uses has cutting edges more than twelve times as long as it is \
        thick, or a drill more than 25 times. Or it sticks out of its holder by more than 200 mm, or a vee's \
        edges are not half as long as a cone of its angle and diameter. Such cutters are hardly made: long \
        thin ones bend and break. Or one that clears wood in layers steps over by more than nine tenths of its \
        diameter, which leaves slivers standing in corners, or by less than a twentieth, which takes ten times \
        as long as it need (common practice, no source). \
        So one of the figures is likely to be a slip: `1/4 mm` for `1/4 in`, or a point \
        beside its place. Skirt, slots, limits and the estimate of time all follow from the diameter. Measure \
        the cutter, and correct the figure. The rule doesn't know what the cutter is made of.",
};

/// A drill's edges are longer for its thickness than a router's (common practice, no source).
const SLENDER_DRILL: f64 = 25.0;

/// A cutter that sticks out further is hardly made for a router (common practice, no source).
const STICKS_OUT: Length = Length::mm(200.0);

/// The edges of a vee go along its cone, but for a flat at the tip or a short shank (no source).
const OF_CONE: f64 = 0.5;

/// Least and greatest step-over of a cutter that clears in layers, as a share of its diameter: four tenths
/// are usual (common practice, no source).
const STEPS: [f64; 2] = [0.05, 0.9];

/// What may be left for the finishing ball to take at once, as a share of its diameter (common practice,
/// no source).
const LEFT: f64 = 1.0 / 3.0;

pub(super) fn look(at: &Context<'_>, out: &mut Findings) {
    let used = used::used(at);
    feeds::look(at, &used, out);
    let work = &at.shop.work;
    let through = used::through(at);
    let named = [
        ("work.rough", Some(&work.rough), true),
        ("work.finish", Some(&work.finish), true),
        ("work.slots", Some(&work.slots), through),
        ("work.pins", work.pins.as_ref(), true),
    ];
    for (key, name, needed) in named {
        let Some(name) = name else { continue };
        if at.shop.cutter(name).is_none() {
            let known: Vec<String> =
                at.shop.cutters.iter().map(|cutter| format!("\"{}\"", cutter.name)).collect();
            let absent = Finding::fault(
                CUTTER_ABSENT,
                format!("{key} names \"{name}\", but the shop has no cutter of that name"),
                format!("The shop has {}. Name one of these, or add the cutter.", known.join(", ")),
            );
            out.push(graver(absent, needed).at(Source::Shop, key));
        }
    }
    for (key, name) in [("work.rough", &work.rough), ("work.slots", &work.slots)] {
        if let Some(cutter) = at.shop.cutter(name).filter(|cutter| drills(cutter)) {
            out.push(unfit(
                cutter,
                key,
                "{name} is a drill, which bores the pins' holes and does nothing else",
            ));
        }
    }
    let rough = at.shop.cutter(&work.rough);
    if let Some(cutter) = rough.filter(|cutter| matches!(cutter.form, CutterForm::Vee(_))) {
        let need =
            "{name} is a vee cutter, whose tip clears no wood away: nothing is roughed with it";
        out.push(unfit(cutter, "work.rough", need));
    }
    for Used { cutter, layers, .. } in used {
        let doubted = doubtful(cutter).or_else(|| odd_step(cutter).filter(|_| layers));
        if let Some((key, message, keys)) = doubted {
            let help = format!("Is it a slip? Check the unit and the decimal point of {keys}.");
            let finding = Finding::caution(CUTTER_DOUBTFUL, message, help);
            out.push(finding.at(Source::Shop, at.shop.key_of(cutter, key)));
        }
        if let Some(depth) = cutter.pass_depth.filter(|depth| layers && *depth > cutter.diameter) {
            out.push(
                Finding::caution(
                    PASS_TOO_DEEP,
                    format!(
                        "\"{}\" has a diameter of {} but cuts {depth} deep in one pass",
                        cutter.name, cutter.diameter
                    ),
                    format!(
                        "Write pass_depth = \"{}\", or leave it out.",
                        cutter.diameter.half().written(Unit::Millimetre, Rounding::Nearest)
                    ),
                )
                .at(Source::Shop, at.shop.key_of(cutter, "pass_depth")),
            );
        }
    }
    let finish = at.shop.cutter(&work.finish);
    if let Some(cutter) = finish.filter(|cutter| cutter.form != CutterForm::Ball) {
        let need = "the top and bottom must be finished with a ball cutter, and {name} is not one";
        out.push(unfit(cutter, "work.finish", need));
    }
    if let Some(ball) = finish.filter(|ball| work.leave > ball.diameter * LEFT) {
        let deep = Finding::fault(
            PASS_TOO_DEEP,
            format!(
                "roughing leaves {} on the surface, which \"{}\" must take at once; it is {} thick",
                work.leave, ball.name, ball.diameter
            ),
            format!("Write leave = \"{}\" or less under [work].", down(ball.diameter * LEFT)),
        );
        let can_not = work.leave >= ball.diameter;
        out.push(graver(deep, can_not).at(Source::Shop, "work.leave"));
    }
    if let Some((rough, finish)) = at.shop.cutter(&work.rough).zip(finish)
        && passes::rough_misses_skirt(at.shop)
        && passes::clearing_cutter(at.shop).is_none()
    {
        let width = skirt_width(finish.diameter);
        out.push(
            Finding::caution(
                ROUGH_TOO_THICK,
                format!(
                    "\"{}\" is {} thick and can't go into the skirt, which is {width} wide; nor \
                     does the shop have a flat cutter that can",
                    rough.name, rough.diameter
                ),
                format!(
                    "Add a flat cutter of {} or a little less, or rough with one.",
                    down(width)
                ),
            )
            .at(Source::Shop, "work.rough"),
        );
    }
    let Some(cutter) = at.shop.cutter(&work.slots) else { return };
    if cutter.form != CutterForm::Flat && !drills(cutter) {
        let need = "slots must be cut with a flat cutter, and {name} is not one";
        out.push(graver(unfit(cutter, "work.slots", need), through));
    }
    let Some(tines) = &at.design.tines else { return };
    if tines.slot.width < cutter.diameter {
        out.push(
            Finding::fault(
                SLOT_TOO_NARROW,
                format!(
                    "the slots are {} wide, and \"{}\" cuts {} wide",
                    tines.slot.width, cutter.name, cutter.diameter
                ),
                cure::advice(at, || match wide_enough(at, cutter) {
                    Some(width) => format!(
                        "Make tines.slot.width {width}, or name a thinner cutter under work.slots."
                    ),
                    None => "Name a thinner cutter under work.slots; wider slots leave no tine of \
                             the shop's limits.tine."
                        .to_owned(),
                }),
            )
            .at(Source::Design, "tines.slot.width"),
        );
    }
}

/// A cutter of so many hundredths of a millimetre, and no more than it may be.
fn down(width: Length) -> Length {
    Length::mm((100.0 * width.as_mm() + 1e-9).floor() / 100.0)
}

/// The least width of slots that this cutter goes into, where tines remain between them.
fn wide_enough(at: &Context<'_>, cutter: &Cutter) -> Option<Length> {
    cure::length(at, "tines.slot.width", Sense::More, |design| {
        let wide = design.tines.as_ref().is_some_and(|tines| tines.slot.width >= cutter.diameter);
        wide && cure::tine_least(at, design).is_some_and(|least| least >= at.shop.limits.tine)
    })
}

/// A fault where the job needs it right, or else a caution.
fn graver(finding: Finding, needed: bool) -> Finding {
    match needed {
        true => finding,
        false => Finding { severity: Severity::Caution, ..finding },
    }
}

/// The key of a size that is doubted, why, and which keys to look at.
fn doubtful(cutter: &Cutter) -> Option<(&'static str, String, &'static str)> {
    let Cutter { name, form, diameter, flute, stick_out, .. } = cutter;
    let slender = *flute / *diameter;
    if slender > if drills(cutter) { SLENDER_DRILL } else { SLENDER } {
        let message = format!(
            "\"{name}\" is {diameter} thick and its cutting edges are {flute} long, {} times as much",
            plain(slender, 0)
        );
        return Some(("diameter", message, "`diameter` and of `flute`"));
    }
    if *stick_out > STICKS_OUT {
        let message = format!(
            "\"{name}\" sticks out of its holder by {stick_out}; hardly any cutter does by more than \
             {STICKS_OUT}"
        );
        return Some(("stick_out", message, "`stick_out`"));
    }
    let CutterForm::Vee(angle) = form else { return None };
    let cone = diameter.half() * (1.0 / (angle.as_radians() / 2.0).tan());
    (*flute < cone * OF_CONE).then(|| {
        let message = format!(
            "\"{name}\" is {diameter} thick; a cone of {} deg that thick is {cone} long, and its cutting \
             edges only {flute}",
            plain(angle.as_degrees(), 0)
        );
        ("diameter", message, "`diameter`, `angle` and `flute`")
    })
}

/// The same of the step-over of one that clears in layers. Balls may follow the surface, too, and a vee
/// goes along its art's outlines.
fn odd_step(cutter: &Cutter) -> Option<(&'static str, String, &'static str)> {
    let clears = matches!(cutter.form, CutterForm::Flat | CutterForm::Bull(_));
    let step = cutter.step_over.filter(|_| clears)?;
    let [least, most] = STEPS;
    let how = match step / cutter.diameter {
        share if share < least => "less than a twentieth",
        share if share > most => "more than nine tenths",
        _ => return None,
    };
    let Cutter { name, diameter, .. } = cutter;
    let message = format!("\"{name}\" is {diameter} thick and steps over by {step}, {how} of that");
    Some(("step_over", message, "`step_over` and of `diameter`"))
}

fn drills(cutter: &Cutter) -> bool {
    matches!(cutter.form, CutterForm::Drill(_))
}

fn unfit(cutter: &Cutter, key: &str, need: &str) -> Finding {
    Finding::fault(
        CUTTER_UNFIT,
        fill(need, &[("name", &format!("\"{}\"", cutter.name))]),
        format!("Name a cutter of the right form at {key}."),
    )
    .at(Source::Shop, key)
}

pub(super) fn says(at: &Context<'_>) -> Option<String> {
    let work = &at.shop.work;
    let slots = match (&at.design.tines, at.design.opening.as_slice()) {
        (Some(_), _) => format!(", slots {}", work.slots),
        (None, []) => String::new(),
        (None, _) => format!(", openings {}", work.slots),
    };
    Some(format!("rough {}, finish {}{slots}", work.rough, work.finish))
}
