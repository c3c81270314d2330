//! Are the cutters that the work names in the shop, and can they do it?

use super::Context;
use super::cure::{self, Sense};
use crate::cutting::passes;
use crate::finding::{Code, Finding, Findings, Source, fill};
use crate::outline::{arcs, slots};
use crate::params::{Cutter, CutterForm, Head};
use crate::relief::skirt_width;
use crate::shape::Body;
use crate::units::Length;

/// The work names a cutter that the shop does not have.
pub const CUTTER_ABSENT: Code = Code {
    name: "cutter-absent",
    explain: "The shop file's [work] table names a cutter that no [[cutter]] of the same file \
        has. Skirt, limits and slots are made for the cutter's own diameter, so a job cannot be \
        made without it. Write the name exactly as the [[cutter]] has it, or add the cutter with \
        its measured sizes.",
};

/// A cutter is of the wrong form for its work.
pub const CUTTER_UNFIT: Code = Code {
    name: "cutter-unfit",
    explain: "The skins are finished with a ball cutter: it can follow a hollow and run out over \
        the rim, and the skirt of the relief models is made for its radius. Slots are cut with a \
        flat cutter, whose straight flank makes the tines' sides. A cutter of another form would \
        leave another shape than the models show. A drill only bores: it may be named under \
        work.pins. Name a ball cutter under work.finish and a \
        flat one under work.slots.",
};

/// The roughing cutter does not go into the skirt.
pub const ROUGH_TOO_THICK: Code = Code {
    name: "rough-too-thick",
    explain: "The skirt that is carved round the piece is as wide as the finishing ball and 1 mm \
        more, and the roughing cutter is thicker than that, so it can't go down into it. The wood in \
        the skirt then stands at full height when the finishing ball comes: a thin cutter, cutting \
        as deep as the body is tall, chatters, burns or breaks. Where the shop has a flat cutter \
        that fits, a pass with it is added to the limits and to the order of work, and nothing is \
        said. Add such a cutter, rough with a thinner one, or finish with a thicker ball, which \
        makes the skirt wider. The rule does not know how your path program steps down.",
};

/// A slot is narrower than the cutter that must cut it.
pub const SLOT_TOO_NARROW: Code = Code {
    name: "slot-too-narrow",
    explain: "A slot can't be narrower at its root than the cutter that makes it. Make the slot \
        wider, take a thinner cutter for slots, or have fewer tines. A slot just as wide as the \
        cutter has to be cut in one pass, which leaves a rougher side than two passes along it. \
        The rule doesn't see the run-out of the spindle, which widens every slot a little.",
};

/// A pass is deeper than the cutter is thick.
pub const PASS_TOO_DEEP: Code = Code {
    name: "pass-too-deep",
    explain: "The pass_depth that the shop file gives the cutter for roughing or for slots is more \
        than the cutter's own diameter. There it cuts on its whole half and has no room for its \
        chips, so that a deep pass bends it, burns the wood and can break it. Take half the \
        diameter, which is what the tool reckons with when the key is left out, and no more than \
        the whole (common practice, no source). The rule doesn't see feed, speed or the wood's \
        hardness.",
};

pub(super) fn look(at: &Context<'_>, out: &mut Findings) {
    let work = &at.shop.work;
    let fork = at.design.tines.is_some();
    let named = [
        ("work.rough", Some(&work.rough)),
        ("work.finish", Some(&work.finish)),
        ("work.slots", Some(&work.slots).filter(|_| fork)),
        ("work.pins", work.pins.as_ref()),
    ];
    for (key, name) in named.iter().filter_map(|(key, name)| Some((key, (*name)?))) {
        if at.shop.cutter(name).is_none() {
            let known: Vec<String> =
                at.shop.cutters.iter().map(|cutter| format!("\"{}\"", cutter.name)).collect();
            out.push(
                Finding::fault(
                    CUTTER_ABSENT,
                    format!("{key} names \"{name}\", and the shop has no cutter of that name"),
                    format!("The shop has {}. Name one of them, or add it.", known.join(", ")),
                )
                .at(Source::Shop, *key),
            );
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
    for (index, cutter) in at.shop.cutters.iter().enumerate() {
        let used = cutter.name == work.rough || (fork && cutter.name == work.slots);
        if let Some(depth) = cutter.pass_depth.filter(|depth| used && *depth > cutter.diameter) {
            out.push(
                Finding::caution(
                    PASS_TOO_DEEP,
                    format!(
                        "\"{}\" is {} thick and cuts in passes of {depth}",
                        cutter.name, cutter.diameter
                    ),
                    format!("Write pass_depth = \"{}\", or leave it out.", cutter.diameter.half()),
                )
                .at(Source::Shop, format!("cutter[{index}].pass_depth")),
            );
        }
    }
    let finish = at.shop.cutter(&work.finish);
    if let Some(cutter) = finish.filter(|cutter| cutter.form != CutterForm::Ball) {
        let need = "finishing the skins needs a ball cutter, and {name} is not one";
        out.push(unfit(cutter, "work.finish", need));
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
                    "\"{}\" is {} thick and the skirt is {width} wide, and no flat cutter of the \
                     shop fits into it",
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
    let (Some(tines), Some(cutter)) = (&at.design.tines, at.shop.cutter(&work.slots)) else {
        return;
    };
    if cutter.form != CutterForm::Flat && !drills(cutter) {
        out.push(unfit(cutter, "work.slots", "slots need a flat cutter, and {name} is not one"));
    }
    if tines.slot.width < cutter.diameter {
        out.push(
            Finding::fault(
                SLOT_TOO_NARROW,
                format!(
                    "the slots are {} wide and \"{}\" cuts {}",
                    tines.slot.width, cutter.name, cutter.diameter
                ),
                match wide_enough(at, cutter) {
                    Some(width) => format!(
                        "Make tines.slot.width {width}, or name a thinner cutter under work.slots."
                    ),
                    None => "Name a thinner cutter under work.slots; wider slots leave no tine of \
                             the shop's limits.tine."
                        .to_owned(),
                },
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
        let (Some(tines), Head::Bowl(bowl)) = (&design.tines, &design.head) else { return false };
        let body = Body::new(design);
        let outline = arcs::fit(&body.outline(), arcs::ARC_FIT).path;
        let length = body.length();
        let cut = slots::slots(&outline, length, bowl.length, bowl.width, tines, cutter.diameter);
        let least = slots::measure(&outline, length, tines, &cut);
        tines.slot.width >= cutter.diameter
            && least.is_some_and(|tines| tines.tine_width_least >= at.shop.limits.tine)
    })
}

fn drills(cutter: &Cutter) -> bool {
    matches!(cutter.form, CutterForm::Drill(_))
}

fn unfit(cutter: &Cutter, key: &str, need: &str) -> Finding {
    Finding::fault(
        CUTTER_UNFIT,
        fill(need, &[("name", &format!("\"{}\"", cutter.name))]),
        format!("Name a cutter of the right form under {key}."),
    )
    .at(Source::Shop, key)
}

pub(super) fn says(at: &Context<'_>) -> Option<String> {
    let work = &at.shop.work;
    let slots = match at.design.tines {
        Some(_) => format!(", slots {}", work.slots),
        None => String::new(),
    };
    Some(format!("rough {}, finish {}{slots}", work.rough, work.finish))
}
