//! Whether a program was made for another cutter than the one that it names: by what the other would leave, and
//! by the manner in which the program uses it.

use super::causes::NamedCause;
use super::codes::{PASS_DEEPER, SPOILS, WRONG_CUTTER};
use super::fit::{CarvedBy, Fits, Free, LeftOnPurpose, Sample, TOUCHED, carved};
use super::guesses::{Guess, UNLIKELY};
use super::manner::{Manner, Signs};
use super::remedy::Remedy;
use super::shift::zero_shift;
use super::slips::{Slip, Slips};
use super::stage::StagedSetup;
use super::zero::{MUCH_BETTER, Trial, in_place};
use crate::finding::Severity;
use crate::units::plain;
use glam::{DAffine3, DVec2, DVec3};
use std::collections::BTreeMap;
use std::io;

/// Of what the named cutter spoils, another one that the program was made for spoils less than this share.
const CLEAN: f64 = 0.1;

/// Less of the piece and its tabs than this is spoiled by single wrong cuts.
const FEW: f64 = 0.0005;

/// With so many signs that speak for another cutter it is the likeliest of all that explain what is seen.
pub(super) const SIGNS_SURE: i32 = 2;

/// What its cost is multiplied by then, and when what it leaves is what the packet has.
const LIKELIEST: f64 = 0.05;

/// Places that are less steep than this are level, in mm for each mm, and this share of them may be lower than the
/// rest. They are where they should be when they are no more than this below, in mm.
const LEVEL: f64 = 0.15;
const LOWEST: f64 = 0.05;
const LEVEL_MM: f64 = 0.15;

/// Less than this share of what is left on purpose is too little, over so much nothing, in mm. The ways in which such
/// slopes face cancel out but for this share when they lie all round.
const TOO_LITTLE: f64 = 0.5;
const NOTHING_MM: f64 = 0.1;
const ALL_ROUND: f64 = 0.6;

/// So many when nothing is spoiled, and nothing but the manner speaks.
const SIGNS_ALONE: i32 = 3;

/// A layer may be so much deeper, in mm: rounding of heights.
const DEEPER_MM: f64 = 0.1;

/// Another cutter that was tried.
struct TriedCutter {
    fit: Fits,
    cutter: usize,
    signs: Signs,
    /// Whether what it leaves is what the packet has, without any shift.
    settled: bool,
}

impl Trial<'_> {
    /// Another cutter in the place of one that does harm: one that the program has elsewhere changes places
    /// with it.
    pub(super) fn other_cutters(&mut self, free: &Free, out: &Slips) -> io::Result<()> {
        let stage = self.order.stage;
        let harmful = out.keys(self.program, SPOILS);
        if self.base.touched <= TOUCHED || harmful.is_empty() {
            return Ok(());
        }
        // A cutter that is too large spoils slopes, and all alike; a zero that is off spoils what is level, or one side.
        let of_slopes =
            |left: LeftOnPurpose| self.own.iter().all(|one| spoils_slopes(free, one, left.leaves));
        let base = self.spoiled(DVec3::ZERO, &BTreeMap::new())?;
        if base < FEW {
            return Ok(());
        }
        for cutter in self.cutters.clone() {
            let named = &stage.cutters[cutter];
            if self.cutters.len() > 1 && !harmful.contains(&named.name.as_str()) {
                continue;
            }
            let mut fitting: Vec<TriedCutter> = Vec::new();
            let others = stage.cutters.iter().enumerate();
            for (index, other) in others.filter(|(i, _)| *i != cutter && stage.has_pass(*i)) {
                let mut instead = BTreeMap::from([(cutter, other.form)]);
                let mut then: Vec<usize> = self.cutters.clone();
                if then.contains(&index) {
                    instead.insert(index, named.form);
                } else {
                    then.retain(|one| *one != cutter);
                    then.push(index);
                }
                let by = CarvedBy::Instead(instead.clone());
                let Some(other_free) = carved(self.order, self.program, self.span, 1.0, &by, 1)?
                else {
                    continue;
                };
                let left = LeftOnPurpose::by(stage, &then);
                let fit = other_free.fits(&self.own, DAffine3::IDENTITY, left);
                let signs = self.signs(cutter, index);
                let spoils = self.spoiled(DVec3::ZERO, &instead)?;
                let settled = of_slopes(left)
                    && zero_shift(&other_free, &self.own, left, None).is_none_or(|by| by.z == 0.0);
                let better = fit.cost < MUCH_BETTER * self.base.cost;
                let cures = spoils < CLEAN * base && (settled || signs.net >= SIGNS_SURE);
                if !fit.digs() && (fit.lies() && better || cures) {
                    fitting.push(TriedCutter { fit, cutter: index, signs, settled });
                }
            }
            // A path that leaves a little fits several cutters, and a path that goes all over the piece is
            // most likely the finisher's: it is told first, and the others after it.
            fitting.sort_by(|a, b| {
                let finishes = |one: &TriedCutter| stage.cutters[one.cutter].name == stage.finish;
                let signs = b.signs.net.cmp(&a.signs.net);
                signs.then(finishes(b).cmp(&finishes(a))).then(a.fit.cost.total_cmp(&b.fit.cost))
            });
            let Some(best) = fitting.first() else { continue };
            let name = |index: usize| stage.cutters[index].name.as_str();
            let swapped = self.cutters.contains(&best.cutter);
            let mut says = if swapped {
                format!(
                    "{} and {} have changed places: what runs with the one was made for the other",
                    named.name,
                    name(best.cutter)
                )
            } else {
                let alike = fitting[1..].iter().filter(|one| one.signs.net >= best.signs.net);
                let also: String = alike.map(|one| format!(" or {}", name(one.cutter))).collect();
                format!(
                    "the program was made for {}{also}, not for {}",
                    name(best.cutter),
                    named.name
                )
            };
            if best.signs.net > 0 && !swapped {
                says += &format!(", by {}", best.signs.words());
            }
            let likely =
                name(best.cutter) == stage.finish || (swapped && named.name == stage.finish);
            let handicap = match best.signs.net {
                SIGNS_SURE.. => LIKELIEST,
                _ if best.settled => LIKELIEST,
                _ if likely => 1.0,
                _ => UNLIKELY,
            };
            let mut instead = BTreeMap::from([(cutter, best.cutter)]);
            if swapped {
                instead.insert(best.cutter, cutter);
            }
            let guess = Guess { handicap, instead, ..in_place(WRONG_CUTTER, says) };
            self.found.push((best.fit, guess));
        }
        Ok(())
    }

    /// What speaks for another cutter in the place of one.
    fn signs(&self, named: usize, other: usize) -> Signs {
        let manner = self.manners.get(&named);
        manner.map(|manner| manner.signs(self.order.stage, named, other)).unwrap_or_default()
    }
}

/// Whether a program leaves on level places what it should, and too little on slopes that face all ways.
fn spoils_slopes(free: &Free, samples: &[Sample], leaves: f64) -> bool {
    let still = DAffine3::IDENTITY;
    let (mut level, mut facing): (Vec<f64>, Vec<DVec2>) = (Vec::new(), Vec::new());
    for sample in samples {
        let Some(over) = free.over(sample, &still, &still) else { continue };
        if sample.slope() < LEVEL {
            level.push(over);
        } else if over < (TOO_LITTLE * leaves).min(leaves - NOTHING_MM) && sample.grade.is_finite()
        {
            facing.push(sample.grade.normalize_or_zero());
        }
    }
    if level.is_empty() && facing.is_empty() {
        // A piece that the program never comes to.
        return true;
    }
    level.sort_by(f64::total_cmp);
    let lowest = level.get((LOWEST * level.len() as f64) as usize).copied();
    let mean = facing.iter().sum::<DVec2>() / facing.len().max(1) as f64;
    lowest.is_some_and(|lowest| lowest > leaves - LEVEL_MM) && mean.length() < ALL_ROUND
}

/// Says of a program that nothing else explains which cutter it was made for, by its manner alone; and that a
/// finishing cutter works in layers that are too deep for it.
pub(super) fn by_manner(
    stage: &StagedSetup,
    program: usize,
    manners: &BTreeMap<usize, Manner>,
    out: &mut Slips,
) -> Option<NamedCause> {
    for (index, manner) in manners.iter().filter(|(_, manner)| manner.cuts()) {
        let Some(named) = stage.cutters.get(*index) else { continue };
        let layered = stage.passes_of(*index).any(|pass| pass.depth.is_some());
        let layers = manner.layers();
        let deep = layers.filter(|layers| !layered && layers.step > named.pass_depth + DEEPER_MM);
        if let Some(layers) = deep {
            let says = format!(
                "{} works in layers of {} mm, and may cut {} mm deep at once",
                named.name,
                plain(layers.step, 1),
                plain(named.pass_depth, 1)
            );
            let help = "Rough with the cutter that the packet has for it, or in layers that this one can take.";
            let at = (program, layers.line);
            let slip = Slip::new(PASS_DEEPER, Severity::Fault, at, says, help);
            out.add(&named.name, Slip { amount: layers.step, ..slip });
        }
        let caused = out.of(program).any(Slip::is_cause);
        let others =
            (0..stage.cutters.len()).filter(|other| other != index && stage.has_pass(*other));
        let best = others
            .map(|other| (other, manner.signs(stage, *index, other)))
            .max_by_key(|(other, signs)| (signs.net, std::cmp::Reverse(*other)));
        let Some((other, signs)) = best.filter(|_| !caused) else { continue };
        let unlike = !stage.has_pass(*index) || (layers.is_some() && !layered);
        if signs.net < if unlike { SIGNS_SURE } else { SIGNS_ALONE } {
            continue;
        }
        let harm = deep.is_some() || out.has(program, SPOILS) || out.has(program, &[PASS_DEEPER]);
        let severity = if harm { Severity::Fault } else { Severity::Caution };
        let says = format!(
            "most likely the program was made for {}, not for {}, by {}",
            stage.cutters[other].name,
            named.name,
            signs.words()
        );
        let help = "Put the right cutter in, or correct its number in the path program, and rehearse again.";
        out.add("", Slip::new(WRONG_CUTTER, severity, (program, 0), says.clone(), help));
        let remedy = Remedy { instead: BTreeMap::from([(*index, other)]), ..Remedy::NONE };
        return Some(NamedCause { program, code: WRONG_CUTTER, says, remedy, roughs: false });
    }
    None
}
