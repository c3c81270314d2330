//! Why a program carves what it should not: the usual mistakes are tried, and the one that explains
//! what is seen is named.
//!
//! The program is carved once more, in a block without end and in its own coordinates. Each mistake
//! is then a map from these to the setup's frame under which the carved surface would lie on the
//! relief. A zero that is off is only named when the program, moved so, cuts neither into the piece nor
//! into its tabs, and cuts what is to be cut. What nothing explains was made for something else.

use super::causes::NamedCause;
use super::cells::BoardCells;
use super::codes::{
    INTO_PIECE, NOTHING_CUT, PAST_LIMIT, SPOILS, WRONG_PACKET, WRONG_POSITION, WRONG_UNIT, ZERO_OFF,
};
use super::fit::{
    BEHIND, CarvedBy, Fits, Free, LeftOnPurpose, Sampled, TOO_DEEP, TOUCHED, carved, sampled,
    sampled_of_the_other,
};
use super::form::CuttingForm;
use super::ground::{Belongs, KeptGround};
use super::guesses::{Guess, TURNS_ALIKE, UNLIKELY, guesses, help};
use super::limit::CutterLimit;
use super::manner::Manner;
use super::plan_shape::PlanShape;
use super::remedy::Remedy;
use super::replay::{RehearsalOrder, each_feed};
use super::shift::zero_shift;
use super::slips::{Slip, Slips};
use super::timber::{MotionTool, Timber};
use crate::finding::{Code, Severity};
use crate::relief::Face;
use crate::units::{MM_PER_INCH, plain};
use glam::{DAffine3, DVec2, DVec3};
use std::collections::{BTreeMap, BTreeSet};
use std::io;

/// A moved program may cut into so much of the piece and the tabs: single wrong cuts are no matter of the
/// zero.
const SPOILED: f64 = 0.005;

/// Roughing that leaves much keeps clear of the piece wherever it is: when it is moved, no more of it may be outside
/// its limits.
const OUTSIDE: f64 = 0.01;

/// A guess must cost less than this share of what the program as it is costs.
pub(super) const MUCH_BETTER: f64 = 0.75;

/// So many squares of a model that is far too small may be hollows.
const HOLLOWS: f64 = 0.6;

/// A shift that brings the cuts back into their limit leaves less than this share of what they went beyond it.
const INSIDE: f64 = 0.5;

/// Costs that differ by less than this share are equal.
const EQUAL: f64 = 0.01;

/// The low and the high corner of a box.
type Span = (DVec3, DVec3);

/// Boxes of cuts and of limits are of one size when they differ by less than this, in mm.
const ALIKE_MM: f64 = 0.5;

/// With no more lines than this that spoil the piece, of more than so many feeds, these lines are wrong and not the
/// program.
const LINES_FEW: u64 = 3;
const FEEDS_MANY: usize = 100;

/// With this share of the feeds before the first that spoils the piece, what is wrong begins there.
const BEFORE: f64 = 0.2;

/// What a program takes in.
struct Extent {
    /// The box of the feeds, and of those of them that come near the board.
    full: Span,
    near: Option<Span>,
    /// The box of those that go along in the plan.
    plan: Option<(DVec2, DVec2)>,
    cutters: Vec<usize>,
    feeds: usize,
}

/// What the guesses are judged by.
pub(super) struct Trial<'a> {
    pub(super) order: &'a RehearsalOrder<'a>,
    pub(super) program: usize,
    pub(super) span: Span,
    /// The box of all feeds.
    full: Span,
    /// The box of what goes along in the plan.
    plan: Option<(DVec2, DVec2)>,
    pub(super) cutters: Vec<usize>,
    pub(super) own: Sampled,
    pub(super) base: Fits,
    /// Whether more than a few places are cut too deep.
    digs: bool,
    pub(super) found: Vec<(Fits, Guess)>,
    /// How the program uses each of its cutters.
    pub(super) manners: &'a BTreeMap<usize, Manner>,
    /// What must stay, and on which cells.
    ground: (&'a KeptGround, &'a BoardCells),
}

/// Explains what is astray in one program, if a usual mistake does. `high`: whether the wood that it leaves
/// stands too high all over. Also whether the program's own surface lies where it should.
///
/// # Errors
/// When the program can't be read.
pub fn explain(
    order: &RehearsalOrder<'_>,
    (program, manners): (usize, &BTreeMap<usize, Manner>),
    (ground, cells): (&KeptGround, &BoardCells),
    high: bool,
    out: &mut Slips,
) -> io::Result<(Option<NamedCause>, bool)> {
    let Some(Extent { full, near, plan, cutters, feeds }) = extent(order, program)? else {
        return Ok((None, false));
    };
    let spoiling = out.of(program).filter(|slip| SPOILS.contains(&slip.code));
    let lines: u64 = spoiling.map(|slip| slip.times).sum();
    if !high && feeds > FEEDS_MANY && (1..=LINES_FEW).contains(&lines) {
        return Ok((None, true));
    }
    let span = near.unwrap_or(full);
    let own = sampled(ground, cells, order.stage.pieces.len());
    let Some(free) = carved(order, program, span, 1.0, &CarvedBy::Named, 1)? else {
        return Ok((None, false));
    };
    let left = LeftOnPurpose::by(order.stage, &cutters);
    let base = free.fits(&own, DAffine3::IDENTITY, left);
    if base.lies() {
        out.amend(program, WRONG_POSITION, |slip| {
            slip.says += &format!(
                "; at {} it would fit",
                order.stage.word.as_deref().unwrap_or("the setup's own")
            );
        });
    }
    let high = high || (base.behind >= BEHIND && out.has(program, &[NOTHING_CUT]));
    let digs = base.digs()
        || (!high
            && base.touched > TOUCHED
            && spoiled(order, program, (DVec3::ZERO, &BTreeMap::new()), (ground, cells))?
                > TOO_DEEP);
    let lies = base.lies() && !digs && !high;
    let mut trial = Trial {
        order,
        program,
        span,
        full,
        plan,
        cutters,
        own,
        base,
        digs,
        found: Vec::new(),
        manners,
        ground: (ground, cells),
    };
    if !high && !digs && base.touched > TOUCHED {
        // Only a few places are wrong: the program as a whole is where it should be, or nearly so, when it leaves
        // its limit.
        if out.has(program, &[PAST_LIMIT]) {
            trial.small_shift(&free, left, true);
        }
        trial.other_cutters(&free, out)?;
        return Ok((trial.tell(&free, left, out)?, lies));
    }
    let other = sampled_of_the_other(order, cells, ground);
    for guess in guesses(order) {
        let samples = if guess.other_side { &other } else { &trial.own };
        let fit = free.fits(samples, guess.map, left);
        trial.consider(fit, guess);
    }
    trial.units(left)?;
    trial.other_cutters(&free, out)?;
    trial.small_shift(&free, left, false);
    Ok((trial.tell(&free, left, out)?, lies))
}

/// What a program takes in. None when there are no feeds.
fn extent(order: &RehearsalOrder<'_>, program: usize) -> io::Result<Option<Extent>> {
    let (mut span, mut near): (Option<Span>, Option<Span>) = (None, None);
    let mut feeds = 0;
    let size = order.stage.size;
    let mut plan: Option<(DVec2, DVec2)> = None;
    let mut cutters: BTreeSet<usize> = BTreeSet::new();
    each_feed(order, program, DVec3::ZERO, &mut |motion, index| {
        let (a, b) = (motion.from.min(motion.to), motion.from.max(motion.to));
        let wider =
            |span: Option<Span>| span.map_or((a, b), |(low, high)| (low.min(a), high.max(b)));
        span = Some(wider(span));
        feeds += 1;
        // One motion that goes far away would make all else too small to be seen.
        if a.truncate().cmpge(-size).all() && b.truncate().cmple(2.0 * size).all() {
            near = Some(wider(near));
        }
        let (a, b) = (a.truncate(), b.truncate());
        if a != b {
            plan = Some(plan.map_or((a, b), |(low, high)| (low.min(a), high.max(b))));
        }
        cutters.insert(index);
    })?;
    let cutters = cutters.into_iter().collect();
    Ok(span.map(|full| Extent { full, near, plan, cutters, feeds }))
}

/// A guess of that kind that moves nothing.
pub(super) fn in_place(code: Code, says: String) -> Guess {
    let instead = BTreeMap::new();
    Guess {
        code,
        says,
        map: DAffine3::IDENTITY,
        instead,
        other_side: false,
        help: help(code, Face::Top),
        handicap: 1.0,
        rank: 0,
    }
}

impl Trial<'_> {
    /// Keeps a guess that lies on the relief, and much better than the program as it is.
    fn consider(&mut self, fit: Fits, guess: Guess) {
        if fit.lies() && fit.cost < MUCH_BETTER * self.base.cost {
            self.found.push((fit, guess));
        }
    }

    fn units(&mut self, left: LeftOnPurpose) -> io::Result<()> {
        let (up, down) = (MM_PER_INCH, 1.0 / MM_PER_INCH);
        for (scale, by, says) in [
            (up, CarvedBy::Scaled, "the program's numbers are inches and are read as millimetres"),
            (
                down,
                CarvedBy::Scaled,
                "the program's numbers are millimetres and are read as inches",
            ),
            (
                up,
                CarvedBy::Named,
                "the path program took the model's inches for millimetres, so that all is 25.4 times too small",
            ),
            (
                down,
                CarvedBy::Named,
                "the path program took the model's millimetres for inches, so that all is 25.4 times too large",
            ),
        ] {
            let size = (self.full.1 - self.full.0) * scale;
            // No use in looking when the result would not be about as large as the board.
            let board = self.order.stage.size.x;
            if size.x > 2.0 * board || size.x < 0.05 * board {
                continue;
            }
            if let Some(free) = carved(self.order, self.program, self.full, scale, &by, 0)? {
                let map = DAffine3::from_scale(DVec3::splat(scale));
                let mut fit = free.fits(&self.own, map, left);
                // A cutter is far too stout for the hollows of a model that is so small.
                if scale > 1.0 && matches!(by, CarvedBy::Named) && fit.behind < HOLLOWS {
                    fit.behind = 0.0;
                }
                self.consider(fit, Guess { map, ..in_place(WRONG_UNIT, says.to_owned()) });
            }
        }
        Ok(())
    }

    /// The box of the limits of the program's cutters.
    fn limit(&self) -> Option<(DVec2, DVec2)> {
        let passes = self.cutters.iter().flat_map(|cutter| self.order.stage.passes_of(*cutter));
        let boxes = passes.flat_map(|pass| &pass.centre).map(PlanShape::bounds);
        boxes.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
    }

    /// How far the cuts go beyond the box of their limits when they are moved.
    fn past(&self, by: DVec2) -> f64 {
        let (Some(limit), Some((low, high))) = (self.limit(), self.plan) else { return 0.0 };
        (limit.0 - low - by).max(high + by - limit.1).max_element().max(0.0)
    }

    /// The shift that lays the box of the cuts on the box of their limits, if these are of one size.
    fn filled(&self) -> Option<DVec2> {
        let limit = self.limit()?;
        let (low, high) = self.plan?;
        let alike = ((high - low) - (limit.1 - limit.0)).abs().max_element() < ALIKE_MM;
        alike.then(|| (limit.0 + limit.1 - low - high) / 2.0)
    }

    /// A shift that lays the cuts on the relief; with `within` only one that brings them back into
    /// their limit.
    fn small_shift(&mut self, free: &Free, left: LeftOnPurpose, within: bool) {
        let Some(by) = zero_shift(free, &self.own, left, self.filled()) else { return };
        if within && self.past(by.truncate()) > INSIDE * self.past(DVec2::ZERO) {
            return;
        }
        let map = DAffine3::from_translation(by);
        let fit = free.fits(&self.own, map, left);
        let says = |value: f64, axis: &str| {
            (value != 0.0).then(|| format!("{} mm along {axis}", plain(-value, 1)))
        };
        let parts: Vec<String> =
            [says(by.x, "X"), says(by.y, "Y"), says(by.z, "Z")].into_iter().flatten().collect();
        let mut says = format!("the program's zero is off by about {}", parts.join(", "));
        if by.z != 0.0 {
            let way = if by.z > 0.0 { "low" } else { "high" };
            says += &format!(": all its cuts are {} mm too {way}", plain(by.z.abs(), 1));
        }
        if left.leaves > 0.0 && by.z != 0.0 {
            says += &format!(
                ", if it is to leave the packet's {} mm for finishing",
                plain(left.leaves, 2)
            );
        } else if by.z < 0.0 && by.z > -1.0 {
            says += ", or the path program leaves that much on the whole piece";
        }
        let guess = Guess { map, handicap: UNLIKELY, ..in_place(ZERO_OFF, says) };
        // What roughing leaves is uneven, so a shift in its plan must bring it to where its limit is, or do much for it.
        let fills = |plan: DVec2| plan.distance(by.truncate()) < ALIKE_MM;
        let sure = left.leaves <= 0.0
            || !self.digs
            || by.truncate() == DVec2::ZERO
            || self.filled().is_some_and(fills);
        if !sure {
            self.consider(fit, guess);
        } else if fit.lies() {
            self.found.push((fit, guess));
        }
    }

    /// What it spoils when it is moved, with other cutters in the place of some.
    pub(super) fn spoiled(
        &self,
        by: DVec3,
        instead: &BTreeMap<usize, CuttingForm>,
    ) -> io::Result<f64> {
        spoiled(self.order, self.program, (by, instead), self.ground)
    }

    /// The line from which on the piece is spoiled, when much is right before it.
    fn begins(&self, out: &Slips) -> io::Result<Option<u32>> {
        let spoiling = out.of(self.program).filter(|slip| SPOILS.contains(&slip.code));
        let Some(line) = spoiling.map(|slip| slip.line).min() else { return Ok(None) };
        let (mut all, mut before) = (0usize, 0usize);
        each_feed(self.order, self.program, DVec3::ZERO, &mut |motion, _| {
            (all, before) = (all + 1, before + usize::from(motion.line < line));
        })?;
        Ok((before as f64 > BEFORE * all as f64).then_some(line))
    }

    fn cause(&self, code: Code, says: String, remedy: Remedy, left: LeftOnPurpose) -> NamedCause {
        NamedCause { program: self.program, code, says, remedy, roughs: left.leaves > 0.0 }
    }

    /// Tells what explains it best; that nothing does, when it is the program as a whole.
    fn tell(
        mut self,
        free: &Free,
        left: LeftOnPurpose,
        out: &mut Slips,
    ) -> io::Result<Option<NamedCause>> {
        let cost = |(fit, guess): &(Fits, Guess)| fit.cost * guess.handicap;
        self.found.sort_by(|a, b| cost(a).total_cmp(&cost(b)));
        // Of what a piece's symmetry makes alike the usual one is told first.
        if let Some(best) = self.found.first().filter(|best| best.1.turns()) {
            let most = (1.0 + EQUAL) * cost(best);
            let alike = self.found.iter().take_while(|one| cost(one) <= most);
            let turning = alike.enumerate().filter(|(_, one)| one.1.turns());
            let usual = turning.min_by_key(|(_, one)| one.1.rank).map_or(0, |(place, _)| place);
            self.found[..=usual].rotate_right(1);
        }
        for (fit, guess) in &self.found {
            let by = guess.map.translation;
            if guess.code == ZERO_OFF
                && (self.spoiled(by, &BTreeMap::new())? > SPOILED
                    || left.leaves > 0.0 && outside(self.order, self.program, by)? > OUTSIDE)
            {
                continue;
            }
            let alike = |other: &&(Fits, Guess)| {
                other.1.turns()
                    && other.1.says != guess.says
                    && other.0.cost < TURNS_ALIKE * fit.cost
            };
            let mut says = guess.says.clone();
            if guess.turns()
                && let Some((_, other)) = self.found.iter().find(alike)
            {
                let other = other.says.replacen("the program's", "its", 1);
                let other = other.replacen("the program", "it", 1);
                says += &format!(", or {other}: this piece looks the same either way");
            }
            let says = format!("most likely {says}");
            out.add("", whole(guess.code, self.program, says.clone(), guess.help));
            return Ok(Some(self.cause(guess.code, says, guess.remedy(), left)));
        }
        // What goes at one height follows no packet's relief: it is a program of one's own, such as a facing strip.
        let flat = self.manners.values().all(Manner::is_level);
        let begins = self.begins(out)?;
        if let Some(line) = begins.filter(|_| self.digs && self.base.touched > TOUCHED && !flat) {
            let tied = format!("; nothing is cut too deep before line {line}");
            out.amend(self.program, INTO_PIECE, |slip| slip.says += &tied);
            return Ok(None);
        }
        if self.digs && self.base.touched > TOUCHED && !flat {
            let fit = free.fits(&self.own, DAffine3::IDENTITY, left);
            let percent = |share: f64| plain((100.0 * share).clamp(1.0, 99.0), 0);
            let mut says = format!(
                "the program doesn't fit this packet: on {} % of the piece it cuts too deep, up to {} mm",
                percent(fit.too_deep),
                plain(fit.deepest.min(self.order.stage.stock[0] - self.order.stage.stock[1]), 1)
            );
            if fit.behind > 0.01 {
                says += &format!(
                    ", and on {} % it leaves up to {} mm",
                    percent(fit.behind),
                    plain(fit.stands, 1)
                );
            }
            says += "; none of the usual mistakes explains it, so the cause isn't known";
            let help = "Was it made for another packet, or for an older design? Load this packet's relief, \
                        make the path anew, and rehearse again.";
            out.add("", whole(WRONG_PACKET, self.program, says.clone(), help));
            return Ok(Some(self.cause(WRONG_PACKET, says, Remedy::NONE, left)));
        }
        Ok(None)
    }
}

/// A fault of a whole program.
fn whole(code: Code, program: usize, says: String, help: &'static str) -> Slip {
    Slip::new(code, Severity::Fault, (program, 0), says, help)
}

/// The share of a program's cuts that are outside the limits of their cutters when it is moved.
fn outside(order: &RehearsalOrder<'_>, program: usize, by: DVec3) -> io::Result<f64> {
    let stage = order.stage;
    let top = stage.stock[0];
    let mut limits: BTreeMap<usize, Option<CutterLimit>> = BTreeMap::new();
    let (mut all, mut out) = (0usize, 0usize);
    each_feed(order, program, by, &mut |motion, index| {
        let limit = limits
            .entry(index)
            .or_insert_with(|| CutterLimit::of(stage, &stage.cutters[index].name));
        if let Some(limit) = limit
            && motion.to.z < top
        {
            all += 1;
            out += usize::from(limit.outside(motion.to.truncate()) > ALIKE_MM);
        }
    })?;
    Ok(out as f64 / all.max(1) as f64)
}

/// The share of pieces and tabs that the program cuts into when it is moved and carved anew, with other cutters in
/// the place of some.
fn spoiled(
    order: &RehearsalOrder<'_>,
    program: usize,
    (by, instead): (DVec3, &BTreeMap<usize, CuttingForm>),
    (ground, cells): (&KeptGround, &BoardCells),
) -> io::Result<f64> {
    let stage = order.stage;
    let mut timber = Timber::flat(*cells, stage.stock[0], stage.stock[1]);
    let mut lot = Vec::new();
    each_feed(order, program, by, &mut |motion, index| {
        let form = instead.get(&index).copied().unwrap_or(stage.cutters[index].form);
        lot.push((*motion, MotionTool { form, holder: None, deep: f32::INFINITY }));
        if lot.len() >= 1 << 16 {
            timber.carve(&lot, ground);
            lot.clear();
        }
    })?;
    timber.carve(&lot, ground);
    let kept = (0..timber.top.len())
        .filter(|index| matches!(ground.belongs[*index], Belongs::Body | Belongs::Tab));
    let spoiled = kept.clone().filter(|index| timber.top[*index] < ground.least[*index]).count();
    Ok(spoiled as f64 / kept.count().max(1) as f64)
}
