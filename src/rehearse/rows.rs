//! The figures in words.

use super::run::Rehearsal;
use super::stage::StagedSetup;
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

/// Each figure's name and what it says.
pub fn figure_rows(stage: &StagedSetup, done: &Rehearsal) -> Vec<(String, String)> {
    let f = &done.figures;
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
            format!("{}, of it cutting air {} %", time(f.seconds), plain(100.0 * f.air_share(), 0)),
        ),
        row("motions", f.motions.to_string()),
        row("wood taken off", format!("{} cm\u{b3}", plain(f.removed_mm3 / 1000.0, 1))),
        row("deepest cut", mm(f.deepest, 1)),
        row("lowest tip in wood", format!("Z {}", mm(f.lowest, 2))),
    ];
    let left = format!(
        "at most {}, nine tenths of it under {}; within {} on {} %",
        mm(f.left_most, 2),
        mm(f.left_tenth, 2),
        mm(stage.uncut, 2),
        plain(100.0 * f.done_share, 0)
    );
    rows.push(row("left on the piece", left));
    if let Some(promised) = stage.pieces.iter().filter_map(|piece| piece.promised).reduce(f64::max)
    {
        rows.push(row("reach map promises", format!("at most {} left", mm(promised, 3))));
    }
    let below = match f.below_mm2 > 0.0 {
        true => format!("at most {}, on {} mm\u{b2}", mm(f.below_most, 2), plain(f.below_mm2, 0)),
        false => "nowhere".to_owned(),
    };
    rows.push(row("cut too deep", below));
    rows
}
