//! The designs of a set made to fit together, where gives of a group change alike.
//!
//! Promised: dimensions of one group end at the same share of what each file asks for, in all designs
//! of the set that fit, within the limits of all of them; so far as the one goes that must go
//! furthest, or, where there is height to spare, as the one that can go least. What is left to do is
//! then done by each design's own gives. Not promised: the least sum of changes over the set.

use super::gives::{Variable, variables};
use super::limits::BodyRoom;
use super::single::{Fit, GroupBounds, Move, Spare, tried};
use crate::finding::{Code, Finding, Findings, Source};
use crate::params::{Design, Shop};
use rayon::prelude::*;

/// Nothing else of the set changes alike with a give.
pub const ALIKE_ALONE: Code = Code {
    name: "alike-alone",
    explain: "A give names a group with `alike`, and nothing else in the set is of that group. So \
        it changes by itself, and what it was to go with may come out different. Mostly the word is \
        written in two ways, or the other design has it not yet. Write the same word under `alike` \
        in each design, or leave out the design that needs none. A design that is built alone is \
        not told: the others may be built later, on a board of their own, and then nothing keeps \
        them alike.",
};

/// Changes nearer than this are alike.
const ALIKE: f64 = 1e-9;
/// Rounds in which the designs of a set come to agree. Two do for one group; each further group may
/// take one more.
const ROUNDS: usize = 8;

/// The limits of each group: those that all its members allow.
pub(super) fn limits(designs: &[Design]) -> GroupBounds {
    let mut limits = GroupBounds::new();
    for variable in designs.iter().flat_map(variables) {
        let Some(group) = variable.alike.clone() else { continue };
        let own = [variable.least, variable.most];
        let all = limits.entry(group).or_insert(own);
        *all = [all[0].max(own[0]), all[1].min(own[1])];
    }
    limits
}

/// The gives of a design of a set as variables.
pub(super) fn variables_within(design: &Design, limits: &GroupBounds) -> Vec<Variable> {
    let mut all = variables(design);
    for variable in &mut all {
        if let Some(limit) = variable.alike.as_ref().and_then(|group| limits.get(group)) {
            variable.keep_to(*limit);
        }
    }
    all
}

/// Each design of a set fitted to a room, or none where it can't be.
pub(super) fn together(
    designs: &[Design],
    shop: &Shop,
    room: BodyRoom,
    spare: Spare,
) -> Vec<Option<Fit>> {
    let limits = limits(designs);
    let mut held = limits.clone();
    let fit = |design: &Design, held: &GroupBounds| {
        tried(design, &variables_within(design, &limits), held, (shop, room, spare))
    };
    let mut moves: Vec<Option<Move>> =
        designs.par_iter().with_max_len(1).map(|design| fit(design, &held)).collect();
    for round in 1..=ROUNDS {
        let moved = moves.iter().flatten().collect::<Vec<_>>();
        let groups = limits.keys();
        let apart: Vec<(&String, f64, bool)> = groups
            .filter_map(|group| Some((group, furthest(&moved, group)?)))
            .map(|(group, (to, must))| (group, to, must))
            .collect();
        if apart.is_empty() {
            break;
        }
        for (group, to, must) in apart {
            let bounds = held.entry(group.clone()).or_insert([to, to]);
            *bounds = match (must, to < 0.0) {
                _ if round == ROUNDS => [to, to],
                (true, true) => [bounds[0], to],
                (true, false) => [to, bounds[1]],
                (false, _) => [bounds[0], to],
            };
        }
        moves = designs
            .par_iter()
            .zip(moves)
            .with_max_len(1)
            .map(|(design, known)| {
                let grouped = design.give.iter().any(|give| give.alike.is_some());
                if grouped { fit(design, &held) } else { known }
            })
            .collect();
    }
    moves.into_iter().map(|moved| moved.map(|moved| moved.fit)).collect()
}

/// Where a group whose members don't agree must go, and whether that is because one must.
fn furthest(moves: &[&Move], group: &str) -> Option<(f64, bool)> {
    let of =
        |moved: &&&Move| moved.groups.iter().find(|(name, _)| name == group).map(|(_, to)| *to);
    let all: Vec<f64> = moves.iter().filter_map(|moved| of(&moved)).collect();
    let least = all.iter().copied().fold(f64::INFINITY, f64::min);
    let most = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if most - least <= ALIKE || all.is_empty() {
        return None;
    }
    let must = moves.iter().filter(|moved| moved.must).filter_map(|moved| of(&moved));
    let must = must.filter(|to| to.abs() > ALIKE).max_by(|a, b| a.abs().total_cmp(&b.abs()));
    Some(must.map_or((least, false), |to| (to, true)))
}

/// Says which gives of a set are to change alike with nothing.
pub fn alone(designs: &[Design], out: &mut Findings) {
    if designs.len() < 2 {
        return;
    }
    let all = || designs.iter().enumerate().flat_map(|(i, d)| d.give.iter().map(move |g| (i, g)));
    for (piece, give) in all() {
        let Some(group) = &give.alike else { continue };
        if all().filter(|(_, other)| other.alike.as_ref() == Some(group)).count() > 1 {
            continue;
        }
        let finding = Finding::caution(
            ALIKE_ALONE,
            format!("nothing else in the set changes alike with \"{group}\""),
            "Write the same word under `alike` in each design that is to match, or take it out.",
        );
        let finding = finding.at(Source::Design, format!("give.{}.alike", give.key));
        out.push(Finding { piece: Some(piece), ..finding });
    }
}

#[cfg(test)]
mod tests {
    use super::super::to_room;
    use super::*;
    use crate::params::{Bound, parse_design, parse_shop, template};
    use crate::shape::Body;

    const SPOON: &str = include_str!("../../../params/designs/harvest-spoon.toml");
    const FORK: &str = include_str!("../../../params/designs/harvest-fork.toml");

    /// Spoon and fork, whose handles' curves change alike or not, and may do so down to these shares.
    fn set(alike: bool, least: [f64; 2]) -> Vec<Design> {
        let read = |text: &str| parse_design(text, &mut Findings::new()).expect("an example").0;
        let mut set = vec![read(SPOON), read(FORK)];
        for (design, least) in set.iter_mut().zip(least) {
            for give in design.give.iter_mut().filter(|give| give.key == "handle.curve") {
                give.alike = alike.then(|| "handles".to_owned());
                give.least = Bound::Fraction(least);
            }
        }
        set
    }

    fn shop() -> Shop {
        parse_shop(template(Source::Shop), &mut Findings::new()).expect("an example").0
    }

    fn height(design: &Design) -> f64 {
        let [low, high] = Body::new(design).heights();
        (high - low).as_mm()
    }

    fn room(height: f64) -> BodyRoom {
        BodyRoom { height, length: 2000.0, width: 2000.0 }
    }

    /// By how much a design's handle is curved less or more than it asks.
    fn curved(fit: &Fit, asked: &Design) -> f64 {
        let rise = |design: &Design| design.handle.curve[1].size.as_mm();
        rise(&fit.design) / rise(asked) - 1.0
    }

    #[test]
    fn curves_that_are_alike_go_as_far_as_the_one_that_must_go_furthest() {
        let (single, alike) = (set(false, [0.2, 0.2]), set(true, [0.2, 0.2]));
        let [spoon, fork] = [height(&single[0]), height(&single[1])];
        // Lower than both, lower than one, and lower than the other far more.
        for low in [spoon.min(fork) - 0.5, 0.5 * (spoon + fork), spoon.min(fork) - 2.5] {
            let apart = to_room(&single, &shop(), room(low), Spare::Leave);
            let fits = to_room(&alike, &shop(), room(low), Spare::Leave);
            assert!(fits.iter().chain(&apart).all(|fit| fit.advice.is_none()), "{low}: {fits:#?}");
            let by = |fits: &[Fit]| [0, 1].map(|i| curved(&fits[i], &single[i]));
            let ([a, b], [c, d]) = (by(&apart), by(&fits));
            assert!((a - b).abs() > 0.01, "{low}: they would differ: {a} {b}");
            assert!((c - d).abs() < 1e-9, "{low}: {c} {d}");
            // Each of the searches ends within a hundredth of a per cent, as it is printed.
            assert!((c - a.min(b)).abs() < 1e-4, "{low}: {c} of {a} {b}");
            assert!(fits.iter().all(|fit| height(&fit.design) <= low), "{low}");
            let listed =
                |fit: &Fit| fit.changes.iter().any(|c| c.alike.as_deref() == Some("handles"));
            assert!(fits.iter().all(listed), "{low}: {fits:#?}");
        }
    }

    #[test]
    fn no_member_goes_past_the_limit_of_another() {
        let alike = set(true, [0.2, 0.9]);
        // Hardly higher than the spoon can be at the lowest.
        let hopeless = to_room(&alike, &shop(), room(15.0), Spare::Leave);
        let lowest = hopeless[0].advice.as_ref().expect("none that fits").lowest;
        let low = lowest.as_mm() + 0.05;
        let single = set(false, [0.2, 0.9]);
        let apart = to_room(&single, &shop(), room(low), Spare::Leave);
        assert!(curved(&apart[0], &single[0]) < -0.11, "by itself it would go further");
        let fits = to_room(&alike, &shop(), room(low), Spare::Leave);
        assert!(fits.iter().all(|fit| fit.advice.is_none()), "{fits:#?}");
        let by = [0, 1].map(|i| curved(&fits[i], &alike[i]));
        assert!((by[0] - by[1]).abs() < 1e-9 && by[0] >= -0.1 - 1e-9, "{by:?}");
    }

    #[test]
    fn what_is_told_to_be_widened_for_all_members_does() {
        let alike = set(true, [0.95, 0.95]);
        let low = height(&alike[0]).min(height(&alike[1])) - 3.0;
        let fits = to_room(&alike, &shop(), room(low), Spare::Leave);
        let told = fits.iter().enumerate().find_map(|(i, fit)| {
            let mut widen = fit.advice.iter().flat_map(|advice| &advice.widen);
            Some((i, widen.find(|wider| wider.alike.is_some())?.clone()))
        });
        let (member, wider) = told.expect("a limit of the group that would do");
        assert_eq!((wider.limit.as_str(), wider.alike.as_deref()), ("95 %", Some("handles")));
        let share: f64 = wider.to.trim_end_matches(" %").parse().expect("a share");
        let wide = set(true, [0.01 * share; 2]);
        assert!(to_room(&wide, &shop(), room(low), Spare::Leave)[member].advice.is_none());
    }

    #[test]
    fn height_to_spare_is_used_as_far_as_all_can() {
        let mut alike = set(true, [0.4, 0.4]);
        for give in alike.iter_mut().flat_map(|design| &mut design.give) {
            if give.alike.is_some() {
                give.most = Bound::Fraction(1.5);
            }
        }
        let high = height(&alike[0]).max(height(&alike[1])) + 1.0;
        let fits = to_room(&alike, &shop(), room(high), Spare::Use);
        let by = [0, 1].map(|i| curved(&fits[i], &alike[i]));
        assert!((by[0] - by[1]).abs() < 1e-9 && by[0] > 0.005, "{by:?}");
        assert!(fits.iter().all(|fit| height(&fit.design) <= high), "{fits:#?}");
    }

    #[test]
    fn dimensions_of_one_design_change_alike_too() {
        let mut spoon = set(false, [0.2, 0.2]).remove(0);
        spoon.give.iter_mut().for_each(|give| give.alike = Some("all".to_owned()));
        let low = height(&spoon) - 0.8;
        let fit = to_room(std::slice::from_ref(&spoon), &shop(), room(low), Spare::Leave).remove(0);
        let shares: Vec<f64> = fit.changes.iter().map(|change| change.share).collect();
        assert!(shares.len() == 2 && shares[0] == shares[1], "{fit:#?}");
        let depth = |design: &Design| match &design.head {
            crate::params::Head::Bowl(bowl) => bowl.depth.as_mm(),
            crate::params::Head::Blade(_) => f64::NAN,
        };
        let curve = curved(&fit, &spoon);
        assert!((depth(&fit.design) / depth(&spoon) - 1.0 - curve).abs() < 1e-9);
    }

    #[test]
    fn a_group_of_one_in_a_set_is_told_and_a_design_alone_is_not() {
        let (_, said) = crate::finding::heard(|out| alone(&set(true, [0.4; 2]), out));
        assert!(said.is_empty(), "{said:?}");
        let mut set = set(true, [0.4; 2]);
        set[1].give.iter_mut().for_each(|give| give.alike = None);
        let (_, said) = crate::finding::heard(|out| alone(&set, out));
        let said: Vec<_> = said.iter().map(|f| (f.code, f.piece)).collect();
        assert_eq!(said, [(ALIKE_ALONE, Some(0))]);
        let (_, said) = crate::finding::heard(|out| alone(&set[..1], out));
        assert!(said.is_empty(), "{said:?}");
    }
}
