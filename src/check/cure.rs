//! Advice with a number: the least change of one dimension that takes a finding away.
//!
//! Promised: a change that is named was tried. The design as its file has it was changed, found
//! sound, fitted to the board, and looked at as the rule looks at it. Not promised: that nothing
//! else is then to be said.

use super::{Context, Sides, reach};
use crate::fit;
use crate::params::{self, Design, Dimension, dimension};
use crate::relief::Face;
use crate::shape::Body;
use crate::units::Length;

/// Changes are tried by this much: a file's figures have no more places.
const STEP_MM: f64 = 0.1;
/// Most steps of a change; a dimension that must change by more is another design.
const STEPS: u32 = 256;

/// Which way a dimension is changed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Sense {
    More,
    Less,
}

/// A design with one length changed, as it comes out of the fitting; none when it is not sound or
/// doesn't fit the board.
pub(super) fn changed(at: &Context<'_>, change: impl Fn(&mut Design)) -> Option<Design> {
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
    while step - bad > 1 {
        let middle = bad + (step - bad) / 2;
        if good(middle) { step = middle } else { bad = middle }
    }
    Some(step)
}

/// What a length must be, in whole tenths of a millimetre, so that the design is good, if that can
/// be done with it alone on this board.
pub(super) fn length(
    at: &Context<'_>,
    key: &str,
    way: Sense,
    good: impl Fn(&Design) -> bool,
) -> Option<Length> {
    let to = stepped(at, key, way)?;
    let does = |step: u32| {
        let design = changed(at, |design| set(design, key, to(step)));
        design.is_some_and(|design| good(&design))
    };
    least_step(STEPS, does).map(to)
}

/// What two lengths must be, the one as much more as the other is less, so that the design is good.
pub(super) fn pair(
    at: &Context<'_>,
    [more, less]: [&str; 2],
    good: impl Fn(&Design) -> bool,
) -> Option<[Length; 2]> {
    let (up, down) = (stepped(at, more, Sense::More)?, stepped(at, less, Sense::Less)?);
    let does = |step: u32| {
        let design = changed(at, |design| {
            set(design, more, up(step));
            set(design, less, down(step));
        });
        design.is_some_and(|design| good(&design))
    };
    least_step(STEPS, does).map(|step| [up(step), down(step)])
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

/// How the surface of another design is looked at. Slots are where they were.
pub(super) fn looked<T>(
    at: &Context<'_>,
    sides: &Sides,
    design: &Design,
    look: impl FnOnce(&Context<'_>, &Sides) -> T,
) -> T {
    let body = Body::new(design);
    let ground = |face| reach::surface(&body, face, sides.tool, reach::CELL);
    let sides = Sides { tool: sides.tool, grounds: Face::BOTH.map(ground) };
    look(&Context { body: &body, design, ..*at }, &sides)
}

/// A length of the design after so many steps, in whole tenths of a millimetre.
fn stepped(at: &Context<'_>, key: &str, way: Sense) -> Option<impl Fn(u32) -> Length + use<>> {
    let mut copy = at.set.get(at.number)?.clone();
    let Some(Dimension::Length(asked)) = dimension(&mut copy, key) else { return None };
    let tenths = asked.as_mm() / STEP_MM;
    Some(move |step: u32| {
        let step = f64::from(step);
        let tenths = match way {
            Sense::More => (tenths + 1e-6).floor() + step,
            Sense::Less => (tenths - 1e-6).ceil() - step,
        };
        // A tenth has no exact binary form; a ratio of whole numbers comes nearest.
        Length::mm(tenths / 10.0)
    })
}

fn set(design: &mut Design, key: &str, to: Length) {
    if let Some(Dimension::Length(length)) = dimension(design, key) {
        *length = to;
    }
}

/// Ways that were found, as one sentence; none without any.
pub(super) fn sentence(ways: &[(&str, Option<Length>)]) -> Option<String> {
    let found = ways.iter().filter_map(|(key, to)| Some(format!("{key} {}", (*to)?)));
    let found: Vec<String> = found.collect();
    match &found[..] {
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
}
