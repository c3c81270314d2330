//! Which passes the programs run, one after the other, and whether one comes before what it needs.
//!
//! Slots and openings are known by their limits, the edge by its line, finishing by its cutter. What else is cut is of
//! no matter here: in solid wood it is told by its depth.

use super::codes::OUT_OF_ORDER;
use super::plan_shape::PlanShape;
use super::slips::{Slip, Slips};
use super::stage::{StagePass, StagedSetup};
use crate::cutting::PassKind;
use crate::finding::Severity;
use crate::program::{Motion, PathForm};
use crate::relief::Face;
use crate::work::Task;
use std::collections::BTreeMap;

/// The cuts are looked at once in so many mm.
const EACH_MM: f64 = 4.0;

/// What goes so near to the edge's line goes along it, and so little outside a limit is in it, in mm.
const ALONG_MM: f64 = 0.45;
const INSIDE_MM: f64 = 0.3;

/// A cutter that goes to one pass's places with more than this share of its cuts runs that pass.
const MOSTLY: f64 = 0.6;

/// Fewer places than this tell nothing.
const PLACES_LEAST: usize = 5;

/// One piece's pass: the piece's number, and what the packet calls the pass.
type OfPiece = (usize, PassKind);

/// A stretch of a program with one cutter.
#[derive(Clone, Debug)]
struct Stretch {
    program: usize,
    line: u32,
    cutter: usize,
    places: usize,
    at: BTreeMap<OfPiece, (usize, u32)>,
}

/// The stretches of all programs, in the order in which they are run.
#[derive(Clone, Debug, Default)]
pub(super) struct Sequence {
    all: Vec<Stretch>,
    since: f64,
    /// Of each piece and its passes, how many places of it were cut with its cutter.
    places: BTreeMap<(usize, usize), usize>,
}

/// A pass that was run.
#[derive(Clone, Copy, Debug)]
struct Ran {
    program: usize,
    line: u32,
    piece: usize,
    kind: PassKind,
    /// Whether something was cut before it.
    begun: bool,
}

impl Sequence {
    /// Takes in a motion that cuts wood.
    pub(super) fn add(
        &mut self,
        stage: &StagedSetup,
        program: usize,
        cutter: usize,
        motion: &Motion,
    ) {
        let flat = match motion.form {
            PathForm::Straight => motion.from.truncate().distance(motion.to.truncate()),
            PathForm::Turn { centre, angle } => {
                motion.from.truncate().distance(centre) * angle.abs()
            }
        };
        let same = |last: &&mut Stretch| (last.program, last.cutter) == (program, cutter);
        let fresh = Stretch { program, line: motion.line, cutter, places: 0, at: BTreeMap::new() };
        if self.all.last_mut().filter(same).is_none() {
            self.all.push(fresh);
            self.since = EACH_MM;
        }
        self.since += flat;
        if self.since < EACH_MM {
            return;
        }
        self.since = 0.0;
        let Some(stretch) = self.all.last_mut() else { return };
        stretch.places += 1;
        let place = motion.to.truncate();
        let name = &stage.cutters[cutter].name;
        for (piece, of) in stage.pieces.iter().enumerate() {
            let own = of.passes.iter().enumerate().filter(|(_, pass)| pass.cutter == *name);
            for (index, pass) in own {
                let kind = kind(pass);
                let there = match kind {
                    Some(PassKind::Edge) => {
                        pass.centre.iter().any(|line| line.edge_away(place) < ALONG_MM)
                    }
                    _ => inside(&pass.centre, place),
                };
                if there {
                    *self.places.entry((piece, index)).or_default() += 1;
                }
                if let Some(kind) = kind.filter(|_| there) {
                    stretch.at.entry((piece, kind)).or_insert((0, motion.line)).0 += 1;
                }
            }
        }
    }

    /// Whether a pass of a piece was run, by their numbers: its cutter has cut where its limit is.
    pub(super) fn has_run(&self, piece: usize, pass: usize) -> bool {
        self.places.get(&(piece, pass)).is_some_and(|places| *places >= PLACES_LEAST)
    }

    /// The passes that were run, in their order.
    fn ran(&self) -> Vec<Ran> {
        let of = |(index, stretch): (usize, &Stretch)| {
            let Stretch { program, line: first, places, .. } = *stretch;
            let enough = |(count, _): &(usize, u32)| {
                places >= PLACES_LEAST && *count as f64 > MOSTLY * places as f64
            };
            let own = stretch
                .at
                .iter()
                .filter(|((_, kind), count)| *kind == PassKind::Finish || enough(count));
            own.map(|((piece, kind), (_, line))| Ran {
                program,
                line: (*line).max(first),
                piece: *piece,
                kind: *kind,
                begun: index > 0,
            })
            .collect::<Vec<Ran>>()
        };
        self.all.iter().enumerate().flat_map(of).collect()
    }

    /// Says what is cut before what it needs.
    pub(super) fn judge(
        &self,
        stage: &StagedSetup,
        names: &[String],
        unfinished: &dyn Fn(usize) -> bool,
        out: &mut Slips,
    ) {
        let ran = self.ran();
        for (place, early) in ran.iter().enumerate() {
            let needs = needs(early.kind, stage.face);
            let late = ran[place + 1..]
                .iter()
                .find(|late| late.piece == early.piece && needs.contains(&late.kind));
            let of = &stage.pieces[early.piece].name;
            let (cut, help) = (
                named(early.kind),
                "Run the programs in the order of the sheet: what is freed first trembles under the cutters after it.",
            );
            let says = if let Some(late) = late {
                let whence = match names.get(late.program).filter(|_| late.program != early.program)
                {
                    Some(name) => format!("in {name}"),
                    None => "in the same program".to_owned(),
                };
                format!(
                    "{cut} of {of} is cut before {}, which comes after it {whence}, line {}",
                    named(late.kind),
                    late.line
                )
            } else if needs.contains(&PassKind::Finish)
                && unfinished(early.piece)
                && early.begun
                && !ran[..place]
                    .iter()
                    .any(|one| (one.piece, one.kind) == (early.piece, PassKind::Finish))
            {
                format!("{cut} of {of} is cut, and its finishing was not run before")
            } else {
                continue;
            };
            let at = (early.program, early.line);
            out.add(&says.clone(), Slip::new(OUT_OF_ORDER, Severity::Fault, at, says, help));
        }
    }
}

/// The kind of a pass that is looked at.
fn kind(pass: &StagePass) -> Option<PassKind> {
    [PassKind::Finish, PassKind::Slots, PassKind::Openings, PassKind::Edge]
        .into_iter()
        .find(|kind| kind.key() == pass.kind)
}

/// The passes of the same setup that must be done before one, by the packet's order of work.
fn needs(kind: PassKind, face: Face) -> Vec<PassKind> {
    let needs = Task::Cut(kind, face).needs();
    needs
        .iter()
        .filter_map(|need| match need {
            Task::Cut(before, side) if *side == face => Some(*before),
            _ => None,
        })
        .collect()
}

/// A pass in a sentence.
fn named(kind: PassKind) -> &'static str {
    match kind {
        PassKind::Slots => "the slots' pass",
        PassKind::Openings => "the openings' pass",
        PassKind::Edge => "the edge",
        _ => "finishing",
    }
}

fn inside(areas: &[PlanShape], place: glam::DVec2) -> bool {
    areas.iter().any(|area| area.away(place, 2.0 * INSIDE_MM) < INSIDE_MM)
}
