//! A rehearsal in words and as JSON.

use crate::cli::say::{SlipCard, escaped};
use crate::finding::{Severity, told_in};
use crate::rehearse::{Rehearsal, Slip, StagedSetup, figure_rows};
use crate::units::Unit;
use serde_json::{Value, json};

/// What there is to tell.
pub(super) struct Told<'a> {
    pub(super) stage: &'a StagedSetup,
    pub(super) done: &'a Rehearsal,
    pub(super) names: &'a [String],
}

impl Told<'_> {
    fn unit(&self) -> Unit {
        if self.stage.inches { Unit::Inch } else { Unit::Millimetre }
    }

    /// Each slip as a card.
    pub(super) fn cards(&self) -> Vec<SlipCard> {
        self.done.slips.iter().map(|slip| self.card(slip)).collect()
    }

    fn card(&self, slip: &Slip) -> SlipCard {
        let mut whence = self.names.get(slip.program).cloned().unwrap_or_default();
        if slip.line > 0 {
            whence += &format!(", line {}", slip.line);
        }
        if slip.times > 1 {
            whence += &format!(", and {} more", slip.times - 1);
            if slip.worst_line != slip.line {
                whence += &format!("; worst in line {}", slip.worst_line);
            }
        }
        let mut rows = vec![("Where", whence)];
        rows.extend(slip.place(self.stage).map(|place| ("At", told_in(&place, self.unit()))));
        rows.push(("To do", slip.help.to_owned()));
        rows.push(("More", format!("treenwright explain {}", slip.code.name)));
        SlipCard { severity: slip.severity, says: told_in(&slip.says, self.unit()), rows }
    }

    /// Such as `2 faults, 1 caution`.
    pub(super) fn last_line(&self) -> String {
        let count =
            |severity| self.done.slips.iter().filter(|slip| slip.severity == severity).count();
        let words = |count: usize, one: &str| match count {
            1 => format!("1 {one}"),
            many => format!("{many} {one}s"),
        };
        match (count(Severity::Fault), count(Severity::Caution)) {
            (0, 0) => "no findings; watch the first run all the same".to_owned(),
            (faults, cautions) => {
                format!("{}, {}", words(faults, "fault"), words(cautions, "caution"))
            }
        }
    }

    /// The figures, a line each.
    pub(super) fn figures(&self) -> String {
        let rows = figure_rows(self.stage, self.done);
        let wide = rows.iter().map(|(name, _)| name.chars().count()).max().unwrap_or(0);
        let line = |(name, value): &(String, String)| {
            format!("{name:wide$}  {}\n", told_in(value, self.unit()))
        };
        rows.iter().map(line).collect()
    }

    /// All of it for programs; lengths in mm.
    pub(super) fn json(&self) -> String {
        let slips: Vec<Value> = self.done.slips.iter().map(|slip| self.slip(slip)).collect();
        let f = &self.done.figures;
        let promised = self.stage.pieces.iter().filter_map(|p| p.promised).reduce(f64::max);
        let all = json!({
            "setup": self.stage.face.name(),
            "programs": self.names,
            "cell_mm": self.done.timber.cells.cell,
            "findings": slips,
            "figures": {
                "motions": f.motions,
                "time_s": f.seconds,
                "air_percent": 100.0 * f.air_share(),
                "removed_mm3": f.removed_mm3,
                "cut_deepest_mm": f.deepest,
                "tip_lowest_mm": f.lowest,
                "left_most_mm": f.left_most,
                "left_most_at_mm": f.left_at.to_array(),
                "left_nine_tenths_mm": f.left_tenth,
                "left_promised_mm": promised,
                "done_percent": 100.0 * f.done_share,
                "below_most_mm": f.below_most,
                "below_mm2": f.below_mm2,
            },
        });
        escaped(&serde_json::to_string_pretty(&all).unwrap_or_default()) + "\n"
    }

    fn slip(&self, slip: &Slip) -> Value {
        let on_piece = slip.on_piece(self.stage).map(|(index, at)| {
            json!({ "piece": self.stage.pieces[index].name, "along_mm": at.x, "left_mm": at.y })
        });
        json!({
            "code": slip.code.name,
            "severity": slip.severity.name(),
            "program": self.names.get(slip.program),
            "line": slip.line,
            "worst_line": slip.worst_line,
            "times": slip.times,
            "message": slip.says,
            "help": slip.help,
            "amount": slip.amount,
            "at_mm": slip.at.map(|at| at.to_array()),
            "on_board_mm": slip.on_board(self.stage).map(|at| at.to_array()),
            "on_piece": on_piece,
        })
    }
}
