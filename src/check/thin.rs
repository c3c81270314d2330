//! Is there wood enough in tines, wall and rim?

use super::Context;
use super::cure::{self, Sense};
use crate::finding::{Code, Finding, Findings, Source};
use crate::mesh::{self, Sizes};
use crate::outline::slots::SlotMeasure;
use crate::params::{Bowl, Design, Head, Tines, Varying};
use crate::shape::Body;
use crate::units::{Angle, Length, told_apart};
use rayon::prelude::*;

/// A tine is too thin.
pub const TINE_TOO_THIN: Code = Code {
    name: "tine-too-thin",
    explain: "The thinnest tine, measured between the slots and between a slot and the outline of \
        the head, is thinner than the shop's limits.tine. A thin tine chips under the cutter and \
        breaks along short grain at the table. Have fewer tines, narrower slots, less taper, a \
        wider head or a squarer front (bowl.fullness). The tines are measured from the slots' \
        roots to where the front begins to round off the outer tines; their tips are narrower. The \
        rule doesn't know how the grain runs, which matters as much.",
};

/// An outer tine is a sliver or a stub.
pub const TINE_SLIVER: Code = Code {
    name: "tine-sliver",
    explain: "An outer tine runs out much thinner, or much shorter, than it begins: its thinnest \
        place is less than four tenths as wide as its root, or its slot leaves the head through \
        the side before it has gone half its way. Such a tine is the first to break, and looks \
        like a splinter beside the others. The outline curves in towards the tip and the slots \
        don't, and where they fan out (tines.splay) they run to meet it. Make the front squarer \
        (bowl.fullness), the widest place further forward (bowl.widest), the slots shorter or \
        narrower, or let them fan out less. The last stretch, as long as the tine is wide at its \
        root, is left out: every tip is narrower.",
};

/// A tip that is to be round or pointed has no room for it.
pub const TIP_STAYS_SQUARE: Code = Code {
    name: "tip-stays-square",
    explain: "A tine has no room for the tip that tines.tip asks for, and stays square there: it is narrower than \
        3.5 mm, or its front lies so askew that the tip's two sides would not meet it. Both sides of a tine are then left as they \
        are; the others have their tips. Have fewer tines, \
        narrower slots or less splay, or a wider head, or write tines.tip = \"square\".",
};

/// The wall between hollow and back is too thin.
pub const WALL_TOO_THIN: Code = Code {
    name: "wall-too-thin",
    explain: "Somewhere between the hollow and the back the wood is thinner than the shop's \
        limits.wall, measured square to the surface on the finished mesh. It is as thick as \
        bowl.wall asks inside of the rim land; at the hollow's edge it is no thicker than the land \
        and the body's edge let it be, and grows from there. Make bowl.wall thicker or the hollow shallower; where it is thinnest at \
        the hollow's edge, make the rim land wider (bowl.rim) or the body's edge higher \
        (utensil.edge). The rule leaves out what sanding takes off.",
};

/// The rim land is too narrow.
pub const RIM_TOO_THIN: Code = Code {
    name: "rim-too-thin",
    explain: "The rim land, the flat round the hollow, is narrower than the shop's limits.rim. A \
        narrow rim chips where the finishing pass climbs over it across the grain, and it is sharp \
        in the mouth. Make bowl.rim wider. The rule leaves out what rounding the edges by hand \
        takes off.",
};

/// A mesh may measure this much less than the exact body (its usual tolerance).
const MESH: Length = mesh::USUAL;

pub(super) fn look(at: &Context<'_>, out: &mut Findings) {
    let limits = &at.shop.limits;
    if let Some(tines) = at.tines
        && tines.tine_width_least + MESH < limits.tine
    {
        let message = short("the thinnest tine", tines.tine_width_least, limits.tine);
        out.push(
            Finding::fault(TINE_TOO_THIN, message, cure::advice(at, || stout_tines(at)))
                .at(Source::Design, "tines"),
        );
    }
    if let (Some(tines), Some(design)) = (at.tines, &at.design.tines) {
        sliver(at, tines, design, out);
    }
    if at.tines.is_some_and(|tines| tines.square_tips) {
        out.push(
            Finding::caution(
                TIP_STAYS_SQUARE,
                "a tine has no room for the tip that is asked for, and stays square there",
                "Have fewer tines, narrower slots or less splay, or make the head wider; or write \
                 tip = \"square\".",
            )
            .at(Source::Design, "tines.tip"),
        );
    }
    let Head::Bowl(_) = at.design.head else { return };
    if wall_falls_short(at) {
        let message = short("the wall between hollow and back", at.sizes.wall_least, limits.wall);
        out.push(
            Finding::fault(WALL_TOO_THIN, message, cure::advice(at, || thick_enough(at)))
                .at(Source::Design, "bowl.wall"),
        );
    }
    if let Some(rim) = at.sizes.rim_least
        && rim + MESH < limits.rim
    {
        let message = short("the rim land", rim, limits.rim);
        out.push(
            Finding::fault(RIM_TOO_THIN, message, cure::advice(at, || wide_enough(at)))
                .at(Source::Design, "bowl.rim"),
        );
    }
}

/// By so much, in mm, the wall that is found may be less than what is asked for and nothing be said of it.
const SHORT_WALL: f64 = 0.05;

/// Whether the wall of a bowl is thinner than the shop's least.
pub(super) fn wall_falls_short(at: &Context<'_>) -> bool {
    matches!(at.design.head, Head::Bowl(_)) && at.sizes.wall_least + MESH < at.shop.limits.wall
}

/// What the mesh of another design measures, if it is a body at all: the mesh of one that folds is
/// no measure, and takes long. With no allowance for the mesh: what is told to be enough is so
/// whatever tolerance the models are made with.
fn measured(design: &Design, tolerance: Length) -> Option<Sizes> {
    let body = Body::new(design);
    if body.trouble().is_some() {
        return None;
    }
    let mesh = mesh::tessellate(&body, &body.lattice(), tolerance);
    Some(mesh::measure(&body, design, &mesh))
}

/// By how much, in mm, a size of a design's mesh is over what it must be.
fn over(
    design: &Design,
    tolerance: Length,
    size: impl Fn(&Sizes) -> Option<Length>,
    least: Length,
) -> Option<f64> {
    Some((size(&measured(design, tolerance)?)? - least).as_mm())
}

/// Whether a size of a design's usual mesh is as great as it must be.
fn is_enough(design: &Design, size: impl Fn(&Sizes) -> Option<Length>, least: Length) -> bool {
    over(design, mesh::USUAL, size, least).is_some_and(|over| over >= 0.0)
}

/// The least change that makes a size of the mesh as great as it must be: looked for on a coarse mesh,
/// which takes a quarter of the time, and then on the usual one.
fn least_change(
    to: &dyn Fn(u32) -> Option<Design>,
    size: impl Fn(&Sizes) -> Option<Length>,
    least: Length,
) -> Option<u32> {
    /// Two skins of a coarse mesh, and two of the usual one, may be off by so much.
    const UNSURE: f64 = 2.0 * (mesh::COARSEST.as_mm() + mesh::USUAL.as_mm());
    let guess = |step: u32| over(&to(step)?, mesh::COARSEST, &size, least);
    let good = |step: u32| to(step).is_some_and(|design| is_enough(&design, &size, least));
    cure::least_guessed(cure::STEPS, (guess, UNSURE), good)
}

/// Least width of an outer tine, as a share of its root's, and least reach, as a share of a slot's
/// (by eye, on drawings of forks).
const LEAST_OUTER: f64 = 0.4;
const LEAST_REACH: f64 = 0.5;

fn is_sliver(tines: &SlotMeasure, design: &Tines) -> bool {
    tines.outer_width_least < tines.tine_width_root * LEAST_OUTER
        || tines.outer_reach < design.slot.length * LEAST_REACH
}

fn sliver(at: &Context<'_>, tines: &SlotMeasure, design: &Tines, out: &mut Findings) {
    if !is_sliver(tines, design) {
        return;
    }
    let message = format!(
        "an outer tine is {} wide at its root and {} at its thinnest, and reaches {} from the roots \
         of the slots, which are {} long",
        tines.tine_width_root, tines.outer_width_least, tines.outer_reach, design.slot.length
    );
    let fans = design.splay.as_degrees() > 0.0;
    let help = cure::advice(at, || no_sliver(at, fans));
    let key = if fans { "tines.splay" } else { "tines" };
    out.push(Finding::caution(TINE_SLIVER, message, help).at(Source::Design, key));
}

/// What keeps the outer tines from becoming slivers.
fn no_sliver(at: &Context<'_>, fans: bool) -> String {
    let does = |design: &Design| {
        let tines = design.tines.as_ref();
        cure::tines(at, design).zip(tines).is_some_and(|(found, tines)| !is_sliver(&found, tines))
    };
    let straight = |design: &mut Design| {
        if let Some(tines) = &mut design.tines {
            tines.splay = Angle::degrees(0.0);
        }
    };
    let straight = fans && cure::changed(at, straight).is_some_and(|design| does(&design));
    let straight = straight.then(|| "tines.splay 0 deg".to_owned());
    let ways = [("tines.slot.length", Sense::Less), ("bowl.width", Sense::More)];
    let ways = ways.map(|(key, way)| (key, cure::length(at, key, way, does)));
    let found: Vec<String> = straight.into_iter().chain(cure::found(&ways)).collect();
    cure::any_of(&found).unwrap_or_else(|| {
        "Make the front squarer (bowl.fullness) or the slots narrower, or let them fan out less."
            .to_owned()
    })
}

/// What makes the tines thick enough.
fn stout_tines(at: &Context<'_>) -> String {
    let does = |design: &Design| {
        cure::tine_least(at, design).is_some_and(|least| least >= at.shop.limits.tine)
    };
    let fewer = |count: &u32| {
        let with = |design: &mut Design| {
            if let Some(tines) = &mut design.tines {
                tines.count = *count;
            }
        };
        cure::changed(at, with).is_some_and(|design| does(&design))
    };
    let count = at.design.tines.as_ref().map_or(0, |tines| tines.count);
    let fewer = (2..count).rev().find(fewer).map(|count| format!("tines.count {count}"));
    let ways = [("tines.slot.width", Sense::Less), ("bowl.width", Sense::More)];
    let ways = ways.map(|(key, way)| (key, cure::length(at, key, way, does)));
    let found: Vec<String> = fewer.into_iter().chain(cure::found(&ways)).collect();
    let cures = cure::any_of(&found).unwrap_or_else(|| {
        "Have fewer tines, narrower slots, less taper and a wider head; on this board none of \
         these does by itself."
            .to_owned()
    });
    format!("{cures} If your wood bears it, lower limits.tine in the shop file.")
}

/// What makes the wall thick enough.
fn thick_enough(at: &Context<'_>) -> String {
    let wall = |sizes: &Sizes| Some(sizes.wall_least);
    let limit = at.shop.limits.wall;
    let least = |to: &dyn Fn(u32) -> Option<Design>| least_change(to, wall, limit);
    let good = |design: &Design| is_enough(design, wall, limit);
    // At the hollow's steep edge it is the rim land and the body's edge that make the difference.
    let ways = [
        ("bowl.wall", Sense::More),
        ("bowl.depth", Sense::Less),
        ("bowl.rim", Sense::More),
        ("utensil.edge", Sense::More),
    ];
    let each = ways.into_par_iter().with_max_len(1);
    let each = each.map(|(key, way)| (key, cure::length_found(at, (key, way), least, good)));
    let each: Vec<_> = each.collect();
    let rim = cure::wider_rim(at, good);
    // An edge or a wall more than twice what is asked for is another spoon, told where nothing else does.
    let much = |(key, to): &(&str, Option<Length>)| {
        let asked = match (*key, &at.design.head) {
            ("utensil.edge", _) => at.design.edge,
            ("bowl.wall", Head::Bowl(bowl)) => bowl.wall,
            _ => return false,
        };
        to.is_some_and(|to| to > asked * 2.0)
    };
    let (high, each): (Vec<_>, Vec<_>) = each.into_iter().partition(much);
    let found: Vec<String> = cure::found(&each).into_iter().chain(rim).collect();
    let alone = cure::any_of(&found).or_else(|| cure::sentence(&high));
    // As high as before, where the board has no more height.
    let together = || {
        let [wall, depth] = cure::pair_found(at, ["bowl.wall", "bowl.depth"], least, good)?;
        Some(format!("Make bowl.wall {wall} and bowl.depth {depth}; neither does by itself."))
    };
    alone.or_else(together).unwrap_or_else(|| {
        "Make bowl.wall thicker and bowl.depth less, bowl.rim wider, or the head wider; on this \
         board none of these does by itself."
            .to_owned()
    })
}

/// What makes the rim wide enough.
fn wide_enough(at: &Context<'_>) -> String {
    if let Head::Bowl(Bowl { rim: Varying::At(_), .. }) = at.design.head {
        return format!("Write {} or more for every size in bowl.rim.", at.shop.limits.rim);
    }
    let (land, limit) = (|sizes: &Sizes| sizes.rim_least, at.shop.limits.rim);
    let least = |to: &dyn Fn(u32) -> Option<Design>| least_change(to, land, limit);
    let good = |design: &Design| is_enough(design, land, limit);
    let rim = cure::length_found(at, ("bowl.rim", Sense::More), least, good);
    cure::sentence(&[("bowl.rim", rim)]).unwrap_or_else(|| {
        "Make bowl.rim wider; on this board with this head that is not enough by itself.".to_owned()
    })
}

fn short(what: &str, found: Length, least: Length) -> String {
    let [found, least] = told_apart(found, least);
    format!("{what} is only {found} at its thinnest; the shop's least is {least}")
}

pub(super) fn says(at: &Context<'_>) -> Option<String> {
    let mut says = vec![format!("wall {}", at.sizes.wall_least)];
    says.extend(at.sizes.rim_least.map(|rim| format!("rim land {rim}")));
    says.extend(at.tines.map(|tines| format!("tines {}", tines.tine_width_least)));
    let short =
        at.sizes.list.iter().find(|size| {
            size.key == "bowl.wall" && (size.asked - size.measured).as_mm() > SHORT_WALL
        });
    let short =
        short.map(|size| format!("; in places {} of the wall's {}", size.measured, size.asked));
    // Told as good though it reads as less than the shop's least.
    let just = |size: Length, least: Length| size < least && size + MESH >= least;
    let limits = &at.shop.limits;
    let bowl = matches!(at.design.head, Head::Bowl(_)) && just(at.sizes.wall_least, limits.wall);
    let rim = at.sizes.rim_least.is_some_and(|rim| just(rim, limits.rim));
    let tine = at.tines.is_some_and(|tines| just(tines.tine_width_least, limits.tine));
    let just = (bowl || rim || tine).then(|| format!("; the model may be {MESH} off"));
    let [short, just] = [short, just].map(Option::unwrap_or_default);
    Some(format!("{} at least{short}{just}", says.join(", ")))
}
