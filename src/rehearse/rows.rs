//! The figures in words.

use super::figures::LeftFigures;
use super::run::Rehearsal;
use super::slips::place;
use super::stage::StagedSetup;
use super::standing::{CLOSED, PieceProgress, PieceStanding, RIM};
use crate::relief::Face;
use crate::units::plain;

fn mm(value: f64, places: usize) -> String {
    format!("{} mm", plain(value, places))
}

/// Minutes, or hours and minutes.
fn time(seconds: f64) -> String {
    let minutes = (seconds / 60.0).round() as u64;
    match (minutes, seconds < 60.0) {
        (_, true) => format!("{} s", seconds.round()),
        (minutes, _) if minutes < 60 => format!("{minutes} min"),
        (minutes, _) => format!("{} h {} min", minutes / 60, minutes % 60),
    }
}

/// How far a piece has come, in words.
pub fn state(left: &LeftFigures, of: &PieceStanding) -> String {
    let percent = |share: f64| plain((100.0 * share).clamp(1.0, 99.0), 0);
    let mut says = match of.progress() {
        PieceProgress::Finished => format!("finished; at most {} left", mm(left.most, 2)),
        PieceProgress::Roughed => {
            format!("roughed only: up to {} of wood stand for finishing", mm(of.most, 1))
        }
        PieceProgress::Untouched => {
            format!("not carved yet: up to {} of wood stand on it", mm(of.most, 1))
        }
        PieceProgress::Partly => {
            let (standing, most) = (percent(of.standing), mm(of.most, 1));
            format!("not finished on {standing} %: up to {most} of wood stand there")
        }
        PieceProgress::Spoiled => {
            let (below, area) = (mm(left.below_most, 1), plain(left.below_mm2, 0));
            format!("spoiled: cut up to {below} too deep, on {area} mm\u{b2}")
        }
    };
    match of.closed {
        Some(closed) if closed > CLOSED => says += "; its slots are not cut",
        Some(closed) if closed > RIM => says += "; its slots are cut in part",
        _ => {}
    }
    says
}

/// Where the deepest cut is.
fn deepest_at(stage: &StagedSetup, done: &Rehearsal) -> String {
    let Some((program, line, at)) = done.figures.deepest_at else { return String::new() };
    let name = done.names.get(program).map(String::as_str).unwrap_or_default();
    let place = place(stage, at);
    format!(", in {name}, line {line}; at {place}")
}

/// Each figure's name and what it says.
pub fn figure_rows(stage: &StagedSetup, done: &Rehearsal) -> Vec<(String, String)> {
    let (f, whole) = (&done.figures, &done.figures.whole);
    let row = |name: &str, says: String| (name.to_owned(), says);
    let begins = match (done.from_kept, stage.face) {
        (true, _) => "the wood that was kept",
        (false, Face::Top) => "the uncut board",
        (false, Face::Bottom) => "the uncut board: without --from nothing of setup 1 is cut",
    };
    let mut rows = vec![
        row("begins with", begins.to_owned()),
        row(
            "time",
            format!(
                "{}; {} % of the time at feed cuts no wood",
                time(f.seconds),
                plain(100.0 * f.air_share(), 0)
            ),
        ),
        row("motions", f.motions.to_string()),
        row("wood taken off", format!("{} cm\u{b3}", plain(f.removed_mm3 / 1000.0, 1))),
        row("deepest cut", mm(f.deepest, 1) + &deepest_at(stage, done)),
        row("lowest tip in wood", format!("Z {}", mm(f.lowest, 2))),
    ];
    if !f.not_run.is_empty() && f.motions > 0 {
        rows.push(row("passes not run here", f.not_run.join(", ")));
    }
    let left = format!(
        "at most {}, nine tenths of it under {}; within {} on {} %",
        mm(whole.most, 2),
        mm(whole.tenth, 2),
        mm(stage.uncut, 2),
        plain(100.0 * whole.done_share, 0)
    );
    let many = stage.pieces.len() > 1;
    rows.push(row(if many { "left on the pieces" } else { "left on the piece" }, left));
    for (piece, (left, of)) in stage.pieces.iter().zip(&f.pieces) {
        rows.push(row(&piece.name, state(left, of)));
    }
    if let Some(promised) = stage.pieces.iter().filter_map(|piece| piece.promised).reduce(f64::max)
    {
        rows.push(row("promised by the reach map", format!("at most {} left", mm(promised, 3))));
    }
    let below = match whole.below_mm2 > 0.0 {
        true => {
            format!(
                "at most {}, on {} mm\u{b2}",
                mm(whole.below_most, 2),
                plain(whole.below_mm2, 0)
            )
        }
        false => "nowhere".to_owned(),
    };
    rows.push(row("cut too deep", below));
    rows
}
