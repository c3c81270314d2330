//! Advice with a number: the least change of one dimension that takes a finding away.
//!
//! Promised: a change that is named was tried. The design as its file has it was changed, found
//! sound, fitted to the board, and looked at as the rule looks at it, and its tabs are then no thicker
//! than what they stand on. Not promised: that no other caution is then to be said; the least change
//! where dimensions give way to the board, since it is looked for with those held.

use super::{Context, Sides, reach};
use crate::cutting::Limit;
use crate::fit::{self, Stock};
use crate::outline::slots::SlotMeasure;
use crate::outline::{ArcPath, arcs, slots};
use crate::params::{self, Board, Bowl, Design, Dimension, Head, Shop, Varying, dimension};
use crate::relief::{Face, skirt_width};
use crate::shape::Body;
use crate::tabs::TabGround;
use crate::units::{Length, Unit};
use std::cell::Cell;
use std::sync::atomic::Ordering;

/// In place of advice that is still to be searched for.
const LATER: &str = "What would mend it is worked out once your hand rests.";
/// In place of advice for a design with a size that looks like a slip.
const SLIP_FIRST: &str = "First look at the size that may be a slip, and check again.";
/// Chords of the outline that tabs stand on.
const CHORD: Length = Length::mm(0.05);
/// Most steps of a change; a dimension that must change by more is another design.
pub(super) const STEPS: u32 = 256;

/// Which way a dimension is changed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Sense {
    More,
    Less,
}

/// Changes are tried by so much: what a maker writes has no more places, and what is told is what was
/// tried, in either unit.
const fn steps_to_a(unit: Unit) -> f64 {
    match unit {
        Unit::Millimetre => 10.0,
        Unit::Inch => 200.0,
    }
}

/// Advice that takes a search, in words; at a glance it is only said that it comes. A slip is to be put
/// right first.
pub(super) fn advice(at: &Context<'_>, search: impl FnOnce() -> String) -> String {
    if at.glance {
        LATER.to_owned()
    } else if params::slipped(at.design) {
        SLIP_FIRST.to_owned()
    } else {
        search()
    }
}

/// A design with one length changed, as it comes out of the fitting; none when it is not sound or
/// doesn't fit the board, or when nobody waits for it any more.
pub(super) fn changed(at: &Context<'_>, change: impl Fn(&mut Design)) -> Option<Design> {
    if at.unwanted.load(Ordering::Relaxed) {
        return None;
    }
    let mut set = at.set.to_vec();
    let design = set.get_mut(at.number)?;
    change(design);
    if params::faults(design).has_fault() {
        return None;
    }
    fit::fitted((&set, at.number), at.board, at.shop, at.spare).map(|fit| fit.design)
}

/// The least step of so many at which something is good, if any: ever longer steps, then halved.
pub(crate) fn least_step(most: u32, good: impl Fn(u32) -> bool) -> Option<u32> {
    let mut bad = 0;
    let mut step = 1;
    while !good(step) {
        bad = step;
        step = (2 * step).min(most);
        if step == bad {
            return None;
        }
    }
    Some(halved(bad, step, good))
}

/// The least step at which something is good, between one that is not and one that is.
fn halved(mut bad: u32, mut step: u32, good: impl Fn(u32) -> bool) -> u32 {
    while step - bad > 1 {
        let middle = bad + (step - bad) / 2;
        if good(middle) { step = middle } else { bad = middle }
    }
    step
}

/// The same as [`least_step`] for what takes long to look at. `guess` says quickly by how much a step
/// is over what is asked for, give or take `unsure`, if it can be made at all; what is given has been
/// looked at as it is, and so has the step before it.
pub(super) fn least_guessed(
    most: u32,
    (guess, unsure): (impl Fn(u32) -> Option<f64>, f64),
    good: impl Fn(u32) -> bool,
) -> Option<u32> {
    let nearest = Cell::new(f64::NEG_INFINITY);
    let likely = |step| {
        let over = guess(step).unwrap_or(f64::NEG_INFINITY);
        nearest.set(nearest.get().max(over));
        over >= 0.0
    };
    let Some(from) = least_step(most, likely) else {
        return if nearest.get() < -unsure { None } else { least_step(most, good) };
    };
    let mut by = 1;
    if good(from) {
        let mut step = from;
        loop {
            let next = step.saturating_sub(by);
            if next == 0 || !good(next) {
                return Some(halved(next, step, good));
            }
            (step, by) = (next, 2 * by);
        }
    }
    let mut bad = from;
    while bad < most {
        let next = (bad + by).min(most);
        if good(next) {
            return Some(halved(bad, next, good));
        }
        (bad, by) = (next, 2 * by);
    }
    None
}

/// A design with something changed, to look for a change with. Where some of it gives way to the board, each
/// fitting takes a search of its own: then it is as it is fitted now, and the board's room isn't asked for.
fn held(at: &Context<'_>, change: impl Fn(&mut Design)) -> Option<Design> {
    // Without any, the fitting is quick.
    if at.set.get(at.number)?.give.is_empty() {
        return changed(at, change);
    }
    if at.unwanted.load(Ordering::Relaxed) {
        return None;
    }
    let mut design = at.design.clone();
    design.give.clear();
    change(&mut design);
    (!params::faults(&design).has_fault()).then_some(design)
}

/// The first of a few steps from one that was found with what had given way held, at which the design is good
/// as it then comes out of the fitting, and its tabs stand.
fn fits_from(
    at: &Context<'_>,
    found: u32,
    change: &dyn Fn(&mut Design, u32),
    good: impl Fn(&Design) -> bool,
) -> Option<u32> {
    /// What gives way anew may ask for a little more.
    const MORE: [u32; 2] = [0, 3];
    // Looked for as the file would have it, it is known to be good.
    let known = at.set.get(at.number)?.give.is_empty();
    let fits = |step: u32| {
        let fitted = changed(at, |design| change(design, step))?;
        (known || good(&fitted)).then_some((step, fitted))
    };
    let (step, fitted) = MORE.map(|more| found + more).into_iter().find_map(fits)?;
    let stand = |design: &Design| thinner_tabs(design, at.board, at.shop).is_none();
    (!stand(at.design) || stand(&fitted)).then_some(step)
}

/// What a length must be, in whole steps of the shop's unit, so that the design is good, if that can
/// be done with it alone on this board.
pub(super) fn length(
    at: &Context<'_>,
    key: &str,
    way: Sense,
    good: impl Fn(&Design) -> bool,
) -> Option<Length> {
    let find = |to: &dyn Fn(u32) -> Option<Design>| {
        least_step(STEPS, |step| to(step).is_some_and(|to| good(&to)))
    };
    length_found(at, (key, way), find, &good)
}

/// The same, where `find` says which step is the least, of those that give it a design.
pub(super) fn length_found(
    at: &Context<'_>,
    (key, way): (&str, Sense),
    find: impl FnOnce(&dyn Fn(u32) -> Option<Design>) -> Option<u32>,
    good: impl Fn(&Design) -> bool,
) -> Option<Length> {
    let to = stepped(at, key, way)?;
    let change = |design: &mut Design, step| set(design, key, to(step));
    let found = find(&|step| held(at, |design| change(design, step)))?;
    fits_from(at, found, &change, good).map(to)
}

/// What tabs would have to be thinned to on a board, if they are thicker than what they stand on.
pub(super) fn thinner_tabs(design: &Design, board: &Board, shop: &Shop) -> Option<Length> {
    let finish = shop.cutter(&shop.work.finish)?;
    let body = Body::new(design);
    let [low, high] = body.heights();
    let outline = arcs::fit(&body.outline(), arcs::ARC_FIT).path;
    let ground = TabGround {
        length: design.length,
        outline: &outline.to_polyline(CHORD),
        edge: &Limit::round(&outline, finish.diameter).ok()?.skirt_edge(),
        parting: &|p| body.parting(p),
        stock: &Stock::round(board.usable_height(), low, high),
        skirt: skirt_width(finish.diameter),
        slots: &[],
        height: &|p| body.top(p) - body.bottom(p),
    };
    ground.thinned(&design.tabs)
}

/// The outline of a design and its slots, as the shop's cutter makes them.
fn cut(at: &Context<'_>, design: &Design, body: &Body) -> Option<(ArcPath, Vec<ArcPath>)> {
    let (Some(tines), Head::Bowl(bowl)) = (&design.tines, &design.head) else { return None };
    let cutter = at.shop.cutter(&at.shop.work.slots)?;
    let outline = arcs::fit(&body.outline(), arcs::ARC_FIT).path;
    let length = body.length();
    let cut = slots::slots(&outline, length, bowl.length, bowl.width, tines, cutter.diameter);
    Some((outline, cut))
}

/// The thinnest tine of a design whose slots the shop's cutter goes into.
pub(super) fn tine_least(at: &Context<'_>, design: &Design) -> Option<Length> {
    Some(tines(at, design)?.tine_width_least)
}

/// What the tines measure of a design whose slots the shop's cutter goes into.
pub(super) fn tines(at: &Context<'_>, design: &Design) -> Option<SlotMeasure> {
    let cutter = at.shop.cutter(&at.shop.work.slots)?;
    let tines = design.tines.as_ref().filter(|tines| tines.slot.width >= cutter.diameter)?;
    let body = Body::new(design);
    let (outline, slots) = cut(at, design, &body)?;
    slots::measure(&outline, body.length(), tines, &slots)
}

/// What two lengths must be, the one as much more as the other is less, so that the design is good;
/// `find` as in [`length_found`].
pub(super) fn pair_found(
    at: &Context<'_>,
    [more, less]: [&str; 2],
    find: impl FnOnce(&dyn Fn(u32) -> Option<Design>) -> Option<u32>,
    good: impl Fn(&Design) -> bool,
) -> Option<[Length; 2]> {
    let (up, down) = (stepped(at, more, Sense::More)?, stepped(at, less, Sense::Less)?);
    let change = |design: &mut Design, step: u32| {
        set(design, more, up(step));
        set(design, less, down(step));
    };
    let found = find(&|step| held(at, |design| change(design, step)))?;
    fits_from(at, found, &change, good).map(|step| [up(step), down(step)])
}

/// By how many hundredths every size of `handle.thickness` must grow so that the design is good, at
/// least so many, in words.
pub(super) fn thicker_handle(
    at: &Context<'_>,
    least: u32,
    good: impl Fn(&Design) -> bool,
) -> Option<String> {
    let does = |percent: &u32| {
        let design = changed(at, |design| {
            for station in &mut design.handle.thickness {
                station.size = station.size * (1.0 + 0.01 * f64::from(*percent));
            }
        });
        design.is_some_and(|design| good(&design))
    };
    // Where a part of the section only is the handle's, more than the least is needed.
    let percent = [0, 1, 2, 4, 8, 16, 32].map(|more| least + more).into_iter().find(does)?;
    Some(format!("Make every size of handle.thickness {percent} % greater"))
}

/// By how many hundredths every size of a rim with stations must grow so that the design is good, in words.
pub(super) fn wider_rim(at: &Context<'_>, good: impl Fn(&Design) -> bool) -> Option<String> {
    let Head::Bowl(Bowl { rim: Varying::At(_), .. }) = at.design.head else { return None };
    let widen = |design: &mut Design, percent: u32| {
        if let Head::Bowl(Bowl { rim: Varying::At(rims), .. }) = &mut design.head {
            for (_, rim) in rims {
                *rim = *rim * (1.0 + 0.01 * f64::from(percent));
            }
        }
    };
    let does = |percent: &u32| held(at, |design| widen(design, *percent)).is_some_and(|d| good(&d));
    let found = [10, 20, 40, 70, 100, 150].into_iter().find(does)?;
    let percent = fits_from(at, found, &widen, good)?;
    Some(format!("every size in bowl.rim {percent} % greater"))
}

/// How the surface of another design is looked at, with its own slots.
pub(super) fn looked<T>(
    at: &Context<'_>,
    sides: &Sides,
    design: &Design,
    look: impl FnOnce(&Context<'_>, &Sides) -> T,
) -> T {
    let body = Body::new(design);
    let ground = |face| reach::surface(&body, face, sides.tool, reach::CELL);
    let sides = Sides { tool: sides.tool, grounds: Face::BOTH.map(ground) };
    let slots = cut(at, design, &body).map_or_else(Vec::new, |(_, slots)| slots);
    look(&Context { body: &body, design, slots: &slots, ..*at }, &sides)
}

/// A length of the design after so many steps, in whole steps of the shop's unit.
fn stepped(at: &Context<'_>, key: &str, way: Sense) -> Option<impl Fn(u32) -> Length + use<>> {
    let mut copy = at.set.get(at.number)?.clone();
    let Some(Dimension::Length(asked)) = dimension(&mut copy, key) else { return None };
    let unit = at.shop.unit;
    let steps = asked.as_unit(unit) * steps_to_a(unit);
    Some(move |step: u32| {
        let step = f64::from(step);
        let steps = match way {
            Sense::More => (steps + 1e-6).floor() + step,
            Sense::Less => (steps - 1e-6).ceil() - step,
        };
        // A tenth has no exact binary form; a ratio of whole numbers comes nearest.
        let value = steps / steps_to_a(unit);
        if unit == Unit::Inch { Length::inches(value) } else { Length::mm(value) }
    })
}

fn set(design: &mut Design, key: &str, to: Length) {
    if let Some(Dimension::Length(length)) = dimension(design, key) {
        *length = to;
    }
}

/// Ways that were found, as one sentence; none without any.
pub(super) fn sentence(ways: &[(&str, Option<Length>)]) -> Option<String> {
    any_of(&found(ways))
}

/// Ways that were found, each in words.
pub(super) fn found(ways: &[(&str, Option<Length>)]) -> Vec<String> {
    ways.iter().filter_map(|(key, to)| Some(format!("{key} {}", (*to)?))).collect()
}

/// Ways in words as one sentence; none without any.
pub(super) fn any_of(found: &[String]) -> Option<String> {
    match found {
        [] => None,
        [one] => Some(format!("Make {one}.")),
        [_, _] => Some(format!("Make {}; either does by itself.", found.join(", or "))),
        _ => Some(format!("Make {}; any one of them does by itself.", found.join(", or "))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_least_good_step_is_found_and_none_where_there_is_none() {
        for least in 1..=256 {
            assert_eq!(least_step(256, |step| step >= least), Some(least));
        }
        assert_eq!(least_step(256, |_| false), None);
    }

    #[test]
    fn a_guess_that_is_off_either_way_changes_nothing_but_the_time() {
        for least in [1, 2, 3, 7, 64, 200, 255, 256, 257] {
            for off in [-30_i32, -3, -1, 0, 1, 3, 30] {
                let looks = Cell::new(0);
                let good = |step: u32| {
                    looks.set(looks.get() + 1);
                    step >= least
                };
                let guess = |step: u32| {
                    let over = i64::from(step) - i64::from(least) + i64::from(off);
                    (step <= 256).then_some(over as f64)
                };
                let found = least_guessed(256, (guess, 40.0), good);
                assert_eq!(found, (least <= 256).then_some(least), "{least} {off}");
                assert!(off != 0 || looks.get() <= 2 || least > 256, "{least}: {}", looks.get());
            }
        }
        // Far from good it isn't looked for any closer.
        assert_eq!(least_guessed(256, (|_| Some(-50.0), 40.0), |_| panic!("looked")), None);
        assert_eq!(least_guessed(256, (|_| None, 40.0), |_| panic!("looked")), None);
    }
}
