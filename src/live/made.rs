//! What is made of the files for the page: a coarse picture at once, the fine one after it, and all
//! that the rules say once the hand rests.

use super::shelf::{LiveFile, Shelf};
use super::{clock::Clock, words};
use crate::check::Checks;
use crate::drawn;
use crate::finding::{Finding, Findings, Place, Source, Spans};
use crate::fit::Spare;
use crate::inlay::{self, Brought};
use crate::job::{self, Job, StopWord};
use crate::mesh;
use crate::params::{self, Board, Design, Shop, unit_of_shop};
use crate::render::{self, PictureMesh};
use crate::units::Unit;
use rayon::prelude::*;

/// How much is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// A picture within a tenth of a millimetre, and the rules that cost next to nothing.
    Coarse,
    /// The picture and the sizes at the usual tolerance.
    Fine,
    /// The whole job, with all its rules.
    Whole,
}

impl Stage {
    /// As addresses have it.
    pub const fn name(self) -> &'static str {
        match self {
            Stage::Coarse => "coarse",
            Stage::Fine => "fine",
            Stage::Whole => "whole",
        }
    }

    /// From an address.
    pub fn of(name: &str) -> Option<Stage> {
        [Stage::Coarse, Stage::Fine, Stage::Whole].into_iter().find(|stage| stage.name() == name)
    }
}

/// The files, read; what can't be read is missing.
pub(super) struct Parsed {
    texts: Vec<String>,
    designs: Vec<Option<Design>>,
    board: Option<Board>,
    shop: Option<Shop>,
    pub(super) spans: Vec<Option<Spans>>,
    pub(super) findings: Findings,
}

impl Parsed {
    /// Reads all texts.
    pub(super) fn of(texts: &[(LiveFile, String, Option<Finding>)], shelf: &dyn Shelf) -> Parsed {
        let several = texts.iter().filter(|text| text.0.source == Source::Design).count() > 1;
        let mut parsed = Parsed {
            texts: texts.iter().map(|(_, text, _)| text.clone()).collect(),
            designs: Vec::new(),
            board: None,
            shop: None,
            spans: Vec::new(),
            findings: Findings::new(),
        };
        for (index, (file, text, lost)) in texts.iter().enumerate() {
            let piece = (several && file.source == Source::Design).then_some(index);
            let mut found = Findings::of(piece);
            if let Some(lost) = lost {
                found.push(lost.clone());
            }
            let spans = match file.source {
                Source::Design => {
                    let lend = |name: &str| shelf.lend(index, name);
                    let (design, spans) = drawn::design(text, &lend, &mut found);
                    parsed.designs.push(design);
                    spans
                }
                Source::Board => {
                    let (board, spans) = params::parse_board(text, &mut found).unzip();
                    parsed.board = board;
                    spans
                }
                Source::Shop => {
                    let (shop, spans) = params::parse_shop(text, &mut found).unzip();
                    parsed.shop = shop;
                    spans
                }
            };
            parsed.spans.push(spans);
            parsed.findings.extend(found);
        }
        // In the shop's unit, as the command line says it, even if that file has faults.
        let shop = texts.iter().find(|(file, ..)| file.source == Source::Shop);
        parsed.findings.told_in(shop.map_or(Unit::Millimetre, |(_, text, _)| unit_of_shop(text)));
        parsed
    }

    /// The line of a file that a place is in, from 1; none when the place is the file as a whole.
    pub(super) fn line(&self, file: usize, place: &Place) -> Option<usize> {
        let known = || self.spans.get(file)?.as_ref()?.get(&place.key);
        let span = place.span.clone().or_else(|| known().filter(|_| !place.key.is_empty()))?;
        let before = self.texts.get(file)?.get(..span.start)?;
        Some(1 + before.bytes().filter(|byte| *byte == b'\n').count())
    }

    /// The designs that could be read, by their numbers.
    pub(super) fn designs(&self) -> impl Iterator<Item = (usize, &Design)> {
        self.designs
            .iter()
            .enumerate()
            .filter_map(|(index, design)| Some((index, design.as_ref()?)))
    }

    /// The job that they ask for, of one design or of all.
    fn order(&self, only: Option<usize>) -> Option<job::Order> {
        let designs = match only {
            Some(piece) => vec![self.designs.get(piece)?.clone()?],
            None => self.designs.iter().cloned().collect::<Option<_>>()?,
        };
        Some(job::Order::new(designs, self.board.clone()?, self.shop.clone()?))
    }
}

/// What was made.
pub struct Made {
    /// How much.
    pub stage: Stage,
    /// Of which revision of the files.
    pub revision: u64,
    /// Of which design alone, if not of all.
    pub only: Option<usize>,
    pub(super) parsed: Parsed,
    /// All that there is to say, of the files and of the job.
    pub findings: Findings,
    /// The job, if it could be planned.
    pub job: Option<Job>,
    /// Each piece's name and what the rules looked at.
    pub looked: Vec<(String, Checks)>,
    /// A picture of each piece.
    pub facets: Vec<PictureMesh>,
    /// How long each part took, in ms.
    pub times: Vec<(&'static str, f64)>,
}

/// Which job, and how.
#[derive(Clone, Debug, Default)]
pub struct Wish {
    /// Of which design alone.
    pub only: Option<usize>,
    /// Whether spare height is used.
    pub use_spare: bool,
    /// Whoever is no longer waiting for it can say so.
    pub stop: StopWord,
}

/// Makes it; none when nobody waits for it any more.
pub fn made(
    texts: &[(LiveFile, String, Option<Finding>)],
    revision: u64,
    stage: Stage,
    wish: &Wish,
    shelf: &dyn Shelf,
) -> Option<Made> {
    let mut clock = Clock::start();
    let parsed = Parsed::of(texts, shelf);
    clock.part("read");
    let mut findings = parsed.findings.clone();
    let (mut job, mut looked, mut facets) = (None, Vec::new(), Vec::new());
    let order = parsed.order(wish.only).map(|order| match stage {
        Stage::Whole => {
            job::Order { brought: brought(&order, wish, shelf, &mut findings), ..order }
        }
        _ => order,
    });
    if let Some(order) = order {
        let (tolerance, scope) = match stage {
            Stage::Coarse => (mesh::COARSEST, job::Scope::Glance),
            Stage::Fine => (mesh::USUAL, job::Scope::Glance),
            Stage::Whole => (mesh::USUAL, job::Scope::Packet),
        };
        let spare = if wish.use_spare { Spare::Use } else { Spare::Leave };
        let stop = wish.stop.clone();
        let outcome = job::plan(&job::Order { tolerance, scope, spare, stop, ..order });
        if wish.stop.asked() {
            return None;
        }
        clock.part("plan");
        findings.extend(outcome.findings);
        looked = outcome.looked;
        let pieces = outcome.job.as_ref().map_or(&[][..], |job| &job.pieces);
        let picture = |piece| PictureMesh::of(&render::finished(piece));
        facets = pieces.par_iter().map(picture).collect();
        clock.part("picture");
        job = outcome.job;
    }
    let several = parsed.designs.len() > 1;
    findings.written_as(|place, piece| {
        let designs = parsed.designs.len();
        let file = match place.source {
            Source::Design => piece.filter(|_| several).or(wish.only).unwrap_or(0),
            Source::Board => designs,
            Source::Shop => designs + 1,
        };
        Some(parsed.spans.get(file)?.as_ref()?.unit(&place.key))
    });
    let times = clock.parts();
    Some(Made { stage, revision, only: wish.only, parsed, findings, job, looked, facets, times })
}

/// The files of the inlays of a job. The designs are the first of the page's files.
fn brought(
    order: &job::Order,
    wish: &Wish,
    shelf: &dyn Shelf,
    findings: &mut Findings,
) -> Vec<Vec<Option<Brought>>> {
    let several = order.designs.len() > 1;
    let each = order.designs.iter().enumerate().map(|(index, design)| {
        let file = wish.only.unwrap_or(index);
        let mut found = Findings::of(several.then_some(index));
        let brought = inlay::bring(design, &|name| shelf.lend(file, name), &mut found);
        findings.extend(found);
        brought
    });
    each.collect()
}

/// What can be said of the piece beside its sizes, as pairs of words.
pub(super) fn figures(job: &Job, piece: &job::Piece) -> Vec<(&'static str, String)> {
    let unit = job.shop.unit;
    let high = crate::units::Length::mm(piece.sizes.high.z - piece.sizes.low.z);
    let spare = piece.stock.spare;
    let (what, spare) = match spare < crate::units::Length::ZERO {
        true => (words::TOO_TALL, -spare),
        false => (words::SPARE, spare),
    };
    vec![
        (words::HEIGHT, high.said(unit)),
        (what, spare.said(unit)),
        (words::WALL_LEAST, piece.sizes.wall_least.said(unit)),
    ]
}
