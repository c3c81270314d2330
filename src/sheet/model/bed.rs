//! What the sheet says of the pins' holes: in the board, in the bed, and how well the two sides meet on
//! them.

use super::super::page::{BedLine, BoreLine, DrillLine};
use super::super::whole::{Sheet, Whole};
use super::super::words::{self, fill};
use super::steps::loaded;
use crate::job::{Carved, Mounting};
use crate::relief::Face;
use crate::units::{Length, Unit};
use crate::work::{Boring, Task};

/// The boring of the board's holes.
pub(super) fn of_board(
    pieces: &[Whole<'_>],
    sheet: &Sheet<'_>,
    mounting: &Mounting,
) -> Option<BoreLine> {
    let top = mounting.setups[0].stock_top;
    let holes = mounting.borings.iter().filter(|hole| hole.in_board);
    line(pieces, sheet, mounting, Task::BorePins, [top, top - deepest(holes)])
}

/// The boring of the bed's holes, by a file of its own in the machine's frame.
pub(super) fn of_bed(
    pieces: &[Whole<'_>],
    sheet: &Sheet<'_>,
    mounting: &Mounting,
) -> Option<BedLine> {
    let own = || mounting.borings.iter().filter(|hole| !hole.in_board);
    let heights = [Length::ZERO, -deepest(own())];
    let bore = line(pieces, sheet, mounting, Task::BoreBed, heights)?;
    let hole = |hole: &Boring| DrillLine {
        pin: hole.pin,
        setup: 1 + usize::from(hole.face == Face::Bottom),
        on_bed: [hole.on_bed.x, hole.on_bed.y].map(Length::mm),
        diameter: hole.diameter,
        depth: hole.tip,
    };
    let listed = mounting.mounts.iter().all(|mount| mount.word.is_some());
    let plan = if listed { words::BED_ZERO_HOME } else { words::BED_ZERO_CORNER };
    Some(BedLine {
        zero: vec![plan.to_owned(), words::BED_ZERO_Z.to_owned()],
        bore,
        holes: own().map(hole).collect(),
    })
}

fn deepest<'a>(holes: impl Iterator<Item = &'a Boring>) -> Length {
    holes.map(|hole| hole.tip).fold(Length::ZERO, Length::max)
}

fn line(
    pieces: &[Whole<'_>],
    sheet: &Sheet<'_>,
    mounting: &Mounting,
    task: Task,
    heights: [Length; 2],
) -> Option<BoreLine> {
    let unit = sheet.job.shop.unit;
    let (at, step) = mounting.steps.iter().enumerate().find(|(_, step)| step.task == task)?;
    let drilling = mounting.drilling();
    let way = drilling.map_or(words::BORE_BY_HAND.to_owned(), |drilling| {
        match drilling.path.zip(drilling.turn) {
            Some((path, turn)) => {
                let [path, turn] = [path, turn].map(|length| length.said(unit));
                fill(words::BORE_PATH, &[("path", &path), ("turn", &turn)])
            }
            None => words::BORE_DOWN.to_owned(),
        }
    });
    let work = match task {
        Task::BoreBed => words::BORE_BED,
        _ => words::BORE_BOARD,
    };
    Some(BoreLine {
        count: at + 1,
        work: work.to_owned(),
        cutter: mounting.bore.clone(),
        way,
        peck: drilling.map(|drilling| drilling.peck),
        heights,
        files: loaded(pieces, sheet, step),
    })
}

/// How well the two sides meet and why, and that the board goes back one way only.
pub(super) fn register(carved: &Carved, unit: Unit) -> Vec<String> {
    let registration = &carved.registration;
    let figure = |length: Length| length.said(unit);
    let causes: Vec<String> = registration
        .causes
        .iter()
        .map(|cause| format!("{} {}", cause.what, figure(cause.most)))
        .collect();
    let values = [
        ("worst", figure(registration.worst)),
        ("likely", figure(registration.likely)),
        ("causes", causes.join("; ")),
    ];
    let mut lines = vec![fill(words::REGISTER, &values.each_ref().map(|(k, v)| (*k, v.as_str())))];
    let wrong = registration.mountings.iter().filter(|way| way.misses > Length::ZERO);
    if let Some(way) = wrong.min_by(|a, b| a.misses.as_mm().total_cmp(&b.misses.as_mm())) {
        let values = [
            ("count", registration.mountings.len().to_string()),
            ("way", way.way.to_owned()),
            ("misses", figure(way.misses)),
        ];
        lines.push(fill(words::KEYED, &values.each_ref().map(|(k, v)| (*k, v.as_str()))));
    }
    lines
}
